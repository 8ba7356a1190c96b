// Package chromiumtest tries pages in Debian's chromium, headless, over its debugging pipe. A test that opens a browser is skipped where there is none.
package chromiumtest

import (
	"bufio"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"
)

// shots names the environment variable of the folder in which pictures of the pages are kept; unset keeps none.
const shots = "SQUAB_SHOTS"

// Browser is a headless Chromium, spoken to over a pipe. Events that no call waits for are kept for the page to be asked about.
type Browser struct {
	TB      testing.TB // of the test that is running
	to      *os.File
	pipe    *os.File // that from reads
	from    *bufio.Reader
	last    int
	session string
	log     []string // what the page's console said that was no mere chat
	loaded  bool
}

// longest is how long the browser may take over one command, or to load a page, on a machine that has much else to do. What it says meanwhile does not
// lengthen it.
const longest = 90 * time.Second

// message is one message of the protocol, either way.
type message struct {
	ID      int             `json:"id,omitempty"`
	Method  string          `json:"method,omitempty"`
	Params  json.RawMessage `json:"params,omitempty"`
	Session string          `json:"sessionId,omitempty"`
	Result  json.RawMessage `json:"result,omitempty"`
	Error   *struct {
		Message string `json:"message"`
	} `json:"error,omitempty"`
}

// Launch starts Chromium with an empty profile and opens a blank page in it; the test is skipped where there is none.
func Launch(t testing.TB) *Browser {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("the pages are tried in Debian's chromium: apt-get install chromium")
	}
	profile, err := os.MkdirTemp("", "squab-chromium-")
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(path, "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
		"--disable-component-update", "--disable-sync", "--hide-scrollbars", "--remote-debugging-pipe", "--user-data-dir="+profile, "about:blank")
	theirs, to, err1 := os.Pipe()
	from, theirsOut, err2 := os.Pipe()
	cmd.ExtraFiles = []*os.File{theirs, theirsOut}
	if err := errors.Join(err1, err2, cmd.Start()); err != nil {
		t.Fatal(err)
	}
	theirs.Close()
	theirsOut.Close()
	b := &Browser{TB: t, to: to, pipe: from, from: bufio.NewReader(from)}
	t.Cleanup(func() {
		b.close(cmd)
		from.Close()
		os.RemoveAll(profile)
	})
	b.attach()
	return b
}

func (b *Browser) close(cmd *exec.Cmd) {
	b.session = ""
	b.send("Browser.close", nil)
	b.to.Close()
	done := make(chan error, 1)
	go func() { done <- cmd.Wait() }()
	select {
	case <-done:
	case <-time.After(5 * time.Second):
		cmd.Process.Kill()
		<-done
	}
}

// Tab opens another page in the same browser, and turns to it. What it gives turns back to the page that was open before, and again to this one.
func (b *Browser) Tab() (turn func()) {
	b.TB.Helper()
	other := b.session
	b.session = ""
	b.attach()
	return func() {
		b.session, other = other, b.session
		b.Call("Page.bringToFront", nil, nil)
	}
}

func (b *Browser) attach() {
	var target struct {
		TargetID string `json:"targetId"`
	}
	b.Call("Target.createTarget", map[string]string{"url": "about:blank"}, &target)
	var session struct {
		SessionID string `json:"sessionId"`
	}
	b.Call("Target.attachToTarget", map[string]any{"targetId": target.TargetID, "flatten": true}, &session)
	b.session = session.SessionID
	for _, domain := range []string{"Page", "Runtime", "Log", "Network"} {
		b.Call(domain+".enable", nil, nil)
	}
}

func (b *Browser) send(method string, params any) int {
	b.last++
	m := message{ID: b.last, Method: method, Session: b.session}
	if params != nil {
		m.Params, _ = json.Marshal(params)
	}
	text, err := json.Marshal(m)
	if err != nil {
		b.TB.Fatal(err)
	}
	if _, err := b.to.Write(append(text, 0)); err != nil && b.session != "" {
		b.TB.Fatalf("%s: %v", method, err)
	}
	return b.last
}

// Call sends a command and reads its answer into result.
func (b *Browser) Call(method string, params, result any) {
	b.TB.Helper()
	if refused := b.call(method, params, result); refused != "" {
		b.TB.Fatalf("%s: %s", method, refused)
	}
}

// left is how a question is refused whose page goes away while it is asked.
const left = "Inspected target navigated or closed"

// call is Call that tells why the browser refused.
func (b *Browser) call(method string, params, result any) (refused string) {
	b.TB.Helper()
	id, end := b.send(method, params), time.Now().Add(longest)
	for {
		m := b.read(method, end)
		if m.ID != id {
			continue
		}
		if m.Error != nil {
			return m.Error.Message
		}
		if result != nil {
			if err := json.Unmarshal(m.Result, result); err != nil {
				b.TB.Fatalf("%s: %v", method, err)
			}
		}
		return ""
	}
}

// read takes the next message in; what the page complains of is kept.
func (b *Browser) read(waiting string, end time.Time) message {
	b.TB.Helper()
	b.pipe.SetReadDeadline(end)
	text, err := b.from.ReadBytes(0)
	if err != nil {
		b.TB.Fatalf("waiting for %s: %v", waiting, err)
	}
	var m message
	if err := json.Unmarshal(text[:len(text)-1], &m); err != nil {
		b.TB.Fatal(err)
	}
	switch m.Method {
	case "Page.loadEventFired":
		b.loaded = true
	case "Runtime.exceptionThrown", "Log.entryAdded":
		b.log = append(b.log, string(m.Params))
	case "Page.javascriptDialogOpening":
		b.send("Page.handleJavaScriptDialog", map[string]bool{"accept": true}) // a page that asks whether it may be left, may
	case "Runtime.consoleAPICalled":
		b.log = append(b.log, string(m.Params))
	}
	return m
}

// Open goes to an address and waits until it is loaded.
func (b *Browser) Open(address string) {
	b.TB.Helper()
	b.loaded, b.log = false, nil
	b.Call("Page.navigate", map[string]string{"url": address}, nil)
	for end := time.Now().Add(longest); !b.loaded; {
		b.read("the page to load", end)
	}
}

// OpenText opens a page from its text, by way of a file.
func (b *Browser) OpenText(page string) {
	b.TB.Helper()
	path := filepath.Join(b.TB.TempDir(), "page.html")
	if err := os.WriteFile(path, []byte(page), 0o644); err != nil {
		b.TB.Fatal(err)
	}
	b.Open("file://" + path)
}

// Wide sets the width of the window.
func (b *Browser) Wide(width, height int, phone bool) {
	b.TB.Helper()
	b.Call("Emulation.setDeviceMetricsOverride", map[string]any{"width": width, "height": height, "deviceScaleFactor": 1, "mobile": phone}, nil)
}

// Ask works a script out in the page and reads its value.
func (b *Browser) Ask(script string, result any) {
	b.TB.Helper()
	if refused := b.ask(script, result); refused != "" {
		b.TB.Fatalf("%s: %s", script, refused)
	}
}

func (b *Browser) ask(script string, result any) (refused string) {
	b.TB.Helper()
	var answer struct {
		Result struct {
			Value json.RawMessage `json:"value"`
		} `json:"result"`
		Exception *struct {
			Exception struct{ Description string } `json:"exception"`
		} `json:"exceptionDetails"`
	}
	if refused := b.call("Runtime.evaluate", map[string]any{"expression": script, "returnByValue": true, "awaitPromise": true}, &answer); refused != "" {
		return refused
	}
	if answer.Exception != nil {
		b.TB.Fatalf("%s: %s", script, answer.Exception.Exception.Description)
	}
	if result == nil {
		return ""
	}
	if err := json.Unmarshal(answer.Result.Value, result); err != nil {
		b.TB.Fatalf("%s gave %s: %v", script, answer.Result.Value, err)
	}
	return ""
}

// Until waits for a script to hold, on whatever page is there by then.
func (b *Browser) Until(script string) {
	b.TB.Helper()
	for end := time.Now().Add(longest); time.Now().Before(end); time.Sleep(30 * time.Millisecond) {
		holds := false
		if refused := b.ask("!!("+script+")", &holds); refused != "" && refused != left {
			b.TB.Fatalf("%s: %s", script, refused)
		}
		if holds {
			return
		}
	}
	b.TB.Fatalf("it never came to hold: %s", script)
}

// Key presses a key.
func (b *Browser) Key(name, code string, number int, text string) {
	b.TB.Helper()
	press := map[string]any{"type": "keyDown", "key": name, "code": code, "windowsVirtualKeyCode": number}
	if text != "" {
		press["text"] = text
	}
	b.Call("Input.dispatchKeyEvent", press, nil)
	b.Call("Input.dispatchKeyEvent", map[string]any{"type": "keyUp", "key": name, "code": code, "windowsVirtualKeyCode": number}, nil)
}

// Log lists what the page complained of since it was opened.
func (b *Browser) Log() []string { return b.log }

// Forget clears the log.
func (b *Browser) Forget() { b.log = nil }

// Quiet reports whatever the page complained of.
func (b *Browser) Quiet(what string) {
	b.TB.Helper()
	for _, entry := range b.log {
		b.TB.Errorf("%s: the console says %s", what, entry)
	}
}

// Keep saves a picture of the whole page where pictures are asked for.
func (b *Browser) Keep(name string) {
	b.TB.Helper()
	if os.Getenv(shots) == "" {
		return
	}
	var picture struct{ Data string }
	b.Call("Page.captureScreenshot", map[string]any{"captureBeyondViewport": true, "format": "png"}, &picture)
	b.save(name+".png", picture.Data)
}

func (b *Browser) save(name, data string) []byte {
	b.TB.Helper()
	bytes, err := base64.StdEncoding.DecodeString(data)
	if err != nil {
		b.TB.Fatal(err)
	}
	if os.Getenv(shots) != "" {
		if err := os.WriteFile(filepath.Join(os.Getenv(shots), name), bytes, 0o644); err != nil {
			b.TB.Fatal(err)
		}
	}
	return bytes
}

// Paper is a sheet's size in inches.
type Paper struct {
	Name       string
	Wide, High float64
}

// Papers are Letter (ANSI A) and A4 (ISO 216).
func Papers() []Paper { return []Paper{{"letter", 8.5, 11}, {"a4", 210 / 25.4, 297 / 25.4}} }

// Printed prints the page and gives the PDF. The page's own @page size, where it has one, holds.
func (b *Browser) Printed(name string, p Paper) []byte {
	b.TB.Helper()
	var pdf struct{ Data string }
	b.Call("Page.printToPDF", map[string]any{"paperWidth": p.Wide, "paperHeight": p.High, "preferCSSPageSize": true, "printBackground": true}, &pdf)
	return b.save(fmt.Sprintf("%s-%s.pdf", name, p.Name), pdf.Data)
}
