package bench

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"squab/lang/diag"
	"squab/stdlib"
)

// bench is a bench that answers for a copy of testdata in a folder of its own.
type bench struct {
	*Server
	t      *testing.T
	folder string
	host   string
	trying atomic.Int64 // trials that are being worked on
}

func open(t *testing.T) *bench {
	t.Helper()
	return openWith(t, 100, "house.squab", readFile(t, "testdata/house.squab"), "orders.squab", readFile(t, "testdata/orders.squab"))
}

// openWith serves files, given as names and texts.
func openWith(t *testing.T, effort int64, files ...string) *bench {
	t.Helper()
	b := &bench{t: t, folder: t.TempDir()}
	for i := 0; i < len(files); i += 2 {
		b.write(files[i], files[i+1])
	}
	var err error
	b.Server, err = New(Options{Paths: []string{b.folder}, Library: library, Effort: effort, Today: func() int64 { return 20545 }}) // 2026-04-02
	if err != nil {
		t.Fatal(err)
	}
	b.pause = 10 * time.Millisecond
	server := httptest.NewUnstartedServer(nil)
	b.host = server.Listener.Addr().String()
	server.Config.Handler = b.counting(b.Handler(b.host))
	server.Start()
	ctx, stop := context.WithCancel(context.Background())
	var watching sync.WaitGroup
	watching.Go(func() { b.Watch(ctx) })
	t.Cleanup(func() {
		stop()
		watching.Wait()
		server.CloseClientConnections()
		server.Close()
	})
	return b
}

// library is what of the trade library the house of testdata rests on: the whole takes most of a test's time.
func library(files *diag.Files) []*diag.Source {
	var whole diag.Files
	var added []*diag.Source
	for _, src := range stdlib.AddTo(&whole) {
		switch src.Name {
		case "trade/kinds.squab", "trade/money.squab", "trade/labour.squab", "trade/cautions.squab":
			added = append(added, files.Add(src.Name, src.Text, diag.Trade))
		}
	}
	return added
}

func (b *bench) counting(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/try" {
			b.trying.Add(1)
			defer b.trying.Add(-1)
		}
		next.ServeHTTP(w, r)
	})
}

// jig is a recipe whose layout is not proved at once.
func jig(t *testing.T) string {
	var text strings.Builder
	text.WriteString(readFile(t, "testdata/house.squab") + "\nrecipe jig \"Jig\" {\n  ask cover: cloth\n  ask more: length = 0 in\n")
	for i := range 17 {
		fmt.Fprintf(&text, "  piece p%d from cover, %d off = (%d in + more) by %d in\n", i, i%3+1, 7+i*5%23, 9+i*7%19)
	}
	text.WriteString("}\n\norder 1 {\n  make jig\n  date = 2026-03-02\n  cover = harbour_tweed\n}\n")
	return text.String()
}

// write puts a file in its place whole, so that a busy machine does not show the bench half of it.
func (b *bench) write(name, text string) {
	b.t.Helper()
	path := filepath.Join(b.folder, name)
	if err := os.WriteFile(path+".part", []byte(text), 0o644); err != nil {
		b.t.Fatal(err)
	}
	if err := os.Rename(path+".part", path); err != nil {
		b.t.Fatal(err)
	}
}

func (b *bench) read(name string) string { return readFile(b.t, filepath.Join(b.folder, name)) }

// replace writes a file again with one text in the place of another that it holds.
func (b *bench) replace(name, old, text string) {
	b.t.Helper()
	before := b.read(name)
	if !strings.Contains(before, old) {
		b.t.Fatalf("%s does not hold %q:\n%s", name, old, before)
	}
	b.write(name, strings.Replace(before, old, text, 1))
}

// holds reports what a file lacks, or should not hold: the latter begins with !.
func (b *bench) holds(name string, parts ...string) {
	b.t.Helper()
	text := b.read(name)
	for _, part := range parts {
		if bare, not := strings.CutPrefix(part, "!"); strings.Contains(text, bare) == not {
			b.t.Errorf("the file should hold %q:\n%s", part, text)
		}
	}
}

func readFile(t *testing.T, path string) string {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// request asks the bench for a path; with changes what is sent.
func (b *bench) request(method, path, body string, with func(*http.Request)) (int, string) {
	b.t.Helper()
	r, err := http.NewRequest(method, "http://"+b.host+path, strings.NewReader(body))
	if err != nil {
		b.t.Fatal(err)
	}
	if with != nil {
		with(r)
	}
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		b.t.Fatal(err)
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	if err != nil {
		b.t.Fatal(err)
	}
	return answer.StatusCode, string(text)
}

// post sends a wish as the page does.
func (b *bench) post(path string, w wish) (int, string) {
	b.t.Helper()
	text, err := json.Marshal(w)
	if err != nil {
		b.t.Fatal(err)
	}
	return b.request("POST", path, string(text), b.asPage)
}

func (b *bench) asPage(r *http.Request) {
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("X-Squab-Key", b.Key)
	r.Header.Set("Origin", "http://"+b.host)
}

// keeps asks for changes of order 7 to be kept.
func (b *bench) keeps(changes ...change) (int, string) {
	b.t.Helper()
	return b.post("/keep", wish{Order: "7", Changes: changes})
}

// tries gives the last sheet of a trial, and its problems.
func (b *bench) tries(w wish) (html, problems string) {
	b.t.Helper()
	status, text := b.post("/try", w)
	if status != 200 {
		b.t.Fatalf("%d: %s", status, text)
	}
	done := 0
	for _, n := range newsOf(b.t, text) {
		if n.HTML != nil {
			html = *n.HTML
		}
		if n.Problems != nil {
			problems = *n.Problems
		}
		if n.Done {
			done++
		}
	}
	if done != 1 {
		b.t.Errorf("%d lines say that they are the last", done)
	}
	return html, problems
}

func newsOf(t *testing.T, text string) []news {
	t.Helper()
	var all []news
	for line := range strings.Lines(text) {
		var n news
		if err := json.Unmarshal([]byte(line), &n); err != nil {
			t.Fatal(err)
		}
		all = append(all, n)
	}
	return all
}

// says asks what the files say of order 7 now.
func (b *bench) says() said {
	b.t.Helper()
	status, text := b.request("GET", "/order?order=7&key="+b.Key, "", nil)
	var s said
	if err := json.Unmarshal([]byte(text), &s); status != 200 || err != nil {
		b.t.Fatalf("%d, %v: %s", status, err, text)
	}
	return s
}

// eventually waits for something to hold.
func (b *bench) eventually(what string, holds func() bool) {
	b.t.Helper()
	for end := time.Now().Add(30 * time.Second); !holds(); time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			b.t.Fatalf("it never came to hold: %s", what)
		}
	}
}
