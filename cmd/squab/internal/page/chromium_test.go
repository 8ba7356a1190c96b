package page

import (
	"bufio"
	"encoding/base64"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"
)

var shots = flag.String("shots", "", "a folder to keep pictures of the pages in")

// browser is a headless Chromium, spoken to over a pipe. Events that no call waits for are kept for the page to be asked about.
type browser struct {
	t       *testing.T
	to      *os.File
	from    *bufio.Reader
	last    int
	session string
	log     []string // what the page's console said that was no mere chat
	loaded  bool
}

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

// openBrowser starts Chromium with an empty profile and opens a blank page in it; the test is skipped where there is none.
func openBrowser(t *testing.T) *browser {
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
	b := &browser{t: t, to: to, from: bufio.NewReader(from)}
	t.Cleanup(func() {
		b.close(cmd)
		from.Close()
		os.RemoveAll(profile)
	})
	b.attach()
	return b
}

func (b *browser) close(cmd *exec.Cmd) {
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

func (b *browser) attach() {
	var target struct {
		TargetID string `json:"targetId"`
	}
	b.call("Target.createTarget", map[string]string{"url": "about:blank"}, &target)
	var session struct {
		SessionID string `json:"sessionId"`
	}
	b.call("Target.attachToTarget", map[string]any{"targetId": target.TargetID, "flatten": true}, &session)
	b.session = session.SessionID
	for _, domain := range []string{"Page", "Runtime", "Log", "Network"} {
		b.call(domain+".enable", nil, nil)
	}
}

func (b *browser) send(method string, params any) int {
	b.last++
	m := message{ID: b.last, Method: method, Session: b.session}
	if params != nil {
		m.Params, _ = json.Marshal(params)
	}
	text, err := json.Marshal(m)
	if err != nil {
		b.t.Fatal(err)
	}
	if _, err := b.to.Write(append(text, 0)); err != nil && b.session != "" {
		b.t.Fatalf("%s: %v", method, err)
	}
	return b.last
}

// call sends a command and reads its answer into result.
func (b *browser) call(method string, params, result any) {
	b.t.Helper()
	id := b.send(method, params)
	for {
		m := b.read(method)
		if m.ID != id {
			continue
		}
		if m.Error != nil {
			b.t.Fatalf("%s: %s", method, m.Error.Message)
		}
		if result != nil {
			if err := json.Unmarshal(m.Result, result); err != nil {
				b.t.Fatalf("%s: %v", method, err)
			}
		}
		return
	}
}

// read takes the next message in; what the page complains of is kept.
func (b *browser) read(waiting string) message {
	b.t.Helper()
	text, err := b.from.ReadBytes(0)
	if err != nil {
		b.t.Fatalf("waiting for %s: %v", waiting, err)
	}
	var m message
	if err := json.Unmarshal(text[:len(text)-1], &m); err != nil {
		b.t.Fatal(err)
	}
	switch m.Method {
	case "Page.loadEventFired":
		b.loaded = true
	case "Runtime.exceptionThrown", "Log.entryAdded":
		b.log = append(b.log, string(m.Params))
	case "Runtime.consoleAPICalled":
		b.log = append(b.log, string(m.Params))
	}
	return m
}

// open goes to an address and waits until it is loaded.
func (b *browser) open(address string) {
	b.t.Helper()
	b.loaded, b.log = false, nil
	b.call("Page.navigate", map[string]string{"url": address}, nil)
	for !b.loaded {
		b.read("the page to load")
	}
}

// openText opens a page from its text, by way of a file.
func (b *browser) openText(page string) {
	b.t.Helper()
	path := filepath.Join(b.t.TempDir(), "page.html")
	if err := os.WriteFile(path, []byte(page), 0o644); err != nil {
		b.t.Fatal(err)
	}
	b.open("file://" + path)
}

// wide sets the width of the window.
func (b *browser) wide(width, height int, phone bool) {
	b.t.Helper()
	b.call("Emulation.setDeviceMetricsOverride", map[string]any{"width": width, "height": height, "deviceScaleFactor": 1, "mobile": phone}, nil)
}

// ask works a script out in the page and reads its value.
func (b *browser) ask(script string, result any) {
	b.t.Helper()
	var answer struct {
		Result struct {
			Value json.RawMessage `json:"value"`
		} `json:"result"`
		Exception *struct {
			Exception struct{ Description string } `json:"exception"`
		} `json:"exceptionDetails"`
	}
	b.call("Runtime.evaluate", map[string]any{"expression": script, "returnByValue": true, "awaitPromise": true}, &answer)
	if answer.Exception != nil {
		b.t.Fatalf("%s: %s", script, answer.Exception.Exception.Description)
	}
	if result == nil {
		return
	}
	if err := json.Unmarshal(answer.Result.Value, result); err != nil {
		b.t.Fatalf("%s gave %s: %v", script, answer.Result.Value, err)
	}
}

// until waits for a script to hold.
func (b *browser) until(script string) {
	b.t.Helper()
	for end := time.Now().Add(10 * time.Second); time.Now().Before(end); time.Sleep(30 * time.Millisecond) {
		holds := false
		b.ask("!!("+script+")", &holds)
		if holds {
			return
		}
	}
	b.t.Fatalf("it never came to hold: %s", script)
}

// key presses a key.
func (b *browser) key(name, code string, number int, text string) {
	b.t.Helper()
	press := map[string]any{"type": "keyDown", "key": name, "code": code, "windowsVirtualKeyCode": number}
	if text != "" {
		press["text"] = text
	}
	b.call("Input.dispatchKeyEvent", press, nil)
	b.call("Input.dispatchKeyEvent", map[string]any{"type": "keyUp", "key": name, "code": code, "windowsVirtualKeyCode": number}, nil)
}

// quiet reports whatever the page complained of.
func (b *browser) quiet(what string) {
	b.t.Helper()
	for _, entry := range b.log {
		b.t.Errorf("%s: the console says %s", what, entry)
	}
}

// keep saves a picture of the whole page where pictures are asked for.
func (b *browser) keep(name string) {
	b.t.Helper()
	if *shots == "" {
		return
	}
	var picture struct{ Data string }
	b.call("Page.captureScreenshot", map[string]any{"captureBeyondViewport": true, "format": "png"}, &picture)
	b.save(name+".png", picture.Data)
}

func (b *browser) save(name, data string) []byte {
	b.t.Helper()
	bytes, err := base64.StdEncoding.DecodeString(data)
	if err != nil {
		b.t.Fatal(err)
	}
	if *shots != "" {
		if err := os.WriteFile(filepath.Join(*shots, name), bytes, 0o644); err != nil {
			b.t.Fatal(err)
		}
	}
	return bytes
}

// paper is a sheet's size in inches.
type paper struct {
	name       string
	wide, high float64
}

func papers() []paper { return []paper{{"letter", 8.5, 11}, {"a4", 210 / 25.4, 297 / 25.4}} }

// printed prints the page and gives the PDF. The page's own @page size, where it has one, holds.
func (b *browser) printed(name string, p paper) []byte {
	b.t.Helper()
	var pdf struct{ Data string }
	b.call("Page.printToPDF", map[string]any{"paperWidth": p.wide, "paperHeight": p.high, "preferCSSPageSize": true, "printBackground": true}, &pdf)
	return b.save(fmt.Sprintf("%s-%s.pdf", name, p.name), pdf.Data)
}
