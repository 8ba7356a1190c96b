package bench

import (
	"bufio"
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
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// open serves a copy of testdata, and gives its folder and the host at which it answers.
func open(t *testing.T) (s *Server, folder, host string) {
	t.Helper()
	folder = t.TempDir()
	for _, name := range []string{"house.squab", "orders.squab"} {
		text, err := os.ReadFile(filepath.Join("testdata", name))
		if err != nil {
			t.Fatal(err)
		}
		write(t, filepath.Join(folder, name), string(text))
	}
	s, err := New(Options{Paths: []string{folder}, Effort: 100})
	if err != nil {
		t.Fatal(err)
	}
	server := httptest.NewUnstartedServer(nil)
	host = server.Listener.Addr().String()
	server.Config.Handler = s.Handler(host)
	server.Start()
	ctx, stop := context.WithCancel(context.Background())
	var watching sync.WaitGroup
	watching.Go(func() { s.Watch(ctx) })
	t.Cleanup(func() {
		stop()
		watching.Wait()
		server.CloseClientConnections()
		server.Close()
	})
	return s, folder, host
}

func write(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
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

// ask makes a request as the page does; with changes what the page would send.
func request(t *testing.T, method, address, body string, with func(*http.Request)) (int, string) {
	t.Helper()
	r, err := http.NewRequest(method, address, strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	if with != nil {
		with(r)
	}
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	if err != nil {
		t.Fatal(err)
	}
	return answer.StatusCode, string(text)
}

// post sends JSON with the key and the origin of the page.
func post(t *testing.T, s *Server, host, path string, v any) (int, string) {
	t.Helper()
	text, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return request(t, "POST", "http://"+host+path, string(text), func(r *http.Request) { asPage(r, s, host) })
}

func asPage(r *http.Request, s *Server, host string) {
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("X-Squab-Key", s.Key)
	r.Header.Set("Origin", "http://"+host)
}

// Whoever is not the bench's own page is turned away, and changes nothing.
func TestOthersAreTurnedAway(t *testing.T) {
	s, folder, host := open(t)
	before := readFile(t, filepath.Join(folder, "orders.squab"))
	change := `{"order":"7","changes":[{"ask":"wide","from":"30 in","given":true,"to":"40 in"}]}`
	set := func(name, value string) func(*http.Request) {
		return func(r *http.Request) { asPage(r, s, host); r.Header.Set(name, value) }
	}
	tests := []struct {
		name, method, path, body string
		with                     func(*http.Request)
		want                     int
	}{
		{"the page without its key", "GET", "/", "", nil, 403},
		{"a wrong key", "GET", "/?key=" + strings.Repeat("0", 32), "", nil, 403},
		{"another name that leads here", "GET", "/?key=" + s.Key, "", func(r *http.Request) { r.Host = "bench.example" }, 403},
		{"another port", "GET", "/?key=" + s.Key, "", func(r *http.Request) { r.Host = "127.0.0.1:1" }, 403},
		{"a page from elsewhere that reads", "GET", "/order?order=7&key=" + s.Key, "", func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") }, 403},
		{"writing without the key", "POST", "/keep", change, func(r *http.Request) { asPage(r, s, host); r.Header.Del("X-Squab-Key") }, 403},
		{"writing with the key in the address", "POST", "/keep?key=" + s.Key, change, func(r *http.Request) { asPage(r, s, host); r.Header.Del("X-Squab-Key") }, 403},
		{"writing from another origin", "POST", "/keep", change, set("Origin", "http://bench.example"), 403},
		{"writing from an origin that begins alike", "POST", "/keep", change, set("Origin", "http://"+host+".bench.example"), 403},
		{"writing from nowhere", "POST", "/keep", change, func(r *http.Request) { asPage(r, s, host); r.Header.Del("Origin") }, 403},
		{"writing from a sandbox", "POST", "/keep", change, set("Origin", "null"), 403},
		{"writing as a form does", "POST", "/keep", change, set("Content-Type", "text/plain"), 400},
		{"a field that is not known", "POST", "/keep", `{"order":"7","path":"/etc/x"}`, set("X-Other", ""), 400},
		{"too much", "POST", "/keep", `{"order":"` + strings.Repeat("x", bodyMost) + `"}`, set("X-Other", ""), 400},
		{"reading by writing", "GET", "/keep?key=" + s.Key, "", nil, 405},
		{"another path", "GET", "/../house.squab?key=" + s.Key, "", nil, 404},
	}
	for _, tt := range tests {
		status, text := request(t, tt.method, "http://"+host+tt.path, tt.body, tt.with)
		if status != tt.want {
			t.Errorf("%s: %d (%s), want %d", tt.name, status, text, tt.want)
		}
	}
	if after := readFile(t, filepath.Join(folder, "orders.squab")); after != before {
		t.Errorf("the orders were changed:\n%s", cmp.Diff(before, after))
	}
	if status, _ := request(t, "GET", s.Address(host), "", nil); status != 200 {
		t.Errorf("the address itself gives %d", status)
	}
	_, port, _ := strings.Cut(host, ":")
	if status, _ := request(t, "GET", s.Address(host), "", func(r *http.Request) { r.Host = "localhost:" + port }); status != 200 {
		t.Errorf("as localhost it gives %d", status)
	}
}

// tried gives the last sheet of a trial, or its problems.
func tried(t *testing.T, s *Server, host, order string, values map[string]string) (html, problems string) {
	t.Helper()
	status, text := post(t, s, host, "/try", trial{order, values})
	if status != 200 {
		t.Fatalf("%d: %s", status, text)
	}
	done := 0
	for line := range strings.Lines(text) {
		var n news
		if err := json.Unmarshal([]byte(line), &n); err != nil {
			t.Fatal(err)
		}
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
		t.Errorf("%d lines say that they are the last", done)
	}
	return html, problems
}

func TestTryMarksWhatChanged(t *testing.T) {
	s, _, host := open(t)
	html, problems := tried(t, s, host, "7", nil)
	if problems != "" || strings.Contains(html, "changed") {
		t.Errorf("as kept, something is marked as changed, or wrong: %s", problems)
	}
	html, _ = tried(t, s, host, "7", map[string]string{"wide": "31 in"})
	for _, part := range []string{`>32 in</data><span class="unseen">, was 31 in, why</span>`, `data-why="price.total"`} {
		if !strings.Contains(html, part) {
			t.Errorf("the sheet does not say %q", part)
		}
	}
	if strings.Contains(html, `changed" data-why="top.deep"`) || !strings.Contains(html, `changed" data-why="top.wide"`) {
		t.Error("what changed is not what is marked")
	}
	if strings.Contains(html, "<i>tweed") {
		t.Error("a name is more than text")
	}
}

func TestTryTellsWhatIsWrong(t *testing.T) {
	s, folder, host := open(t)
	tests := []struct {
		values map[string]string
		says   string
	}{
		{map[string]string{"wide": "90 in"}, "wide must lie"},
		{map[string]string{"wide": "3 lb"}, "wide"},
		{map[string]string{"wide": ""}, "wide"},
		{map[string]string{"width": "30 in"}, "did you mean wide?"},
		{map[string]string{"cover": "quay_velvt"}, "quay_velvet"},
		{map[string]string{"wide": strings.Repeat("(", 1000)}, "wide"},
	}
	for _, tt := range tests {
		if html, problems := tried(t, s, host, "7", tt.values); html != "" || !strings.Contains(problems, tt.says) {
			t.Errorf("%v: %s", tt.values, problems)
		}
	}
	if status, _ := post(t, s, host, "/try", trial{Order: "70"}); status != 404 {
		t.Errorf("an order that is not there: %d", status)
	}
	write(t, filepath.Join(folder, "house.squab"), "rule broken: length = 1 lb\n")
	s.renew()
	if _, problems := tried(t, s, host, "7", nil); problems == "" {
		t.Error("rules that do not hold are not told of")
	}
}

func keepOne(t *testing.T, s *Server, host, ask, from, to string) (int, string) {
	t.Helper()
	return post(t, s, host, "/keep", keeping{"7", []change{{ask, from, true, to}}})
}

func TestKeep(t *testing.T) {
	s, folder, host := open(t)
	if status, text := keepOne(t, s, host, "wide", "30 in", "2 ft 8 in"); status != 200 {
		t.Fatalf("%d: %s", status, text)
	}
	want := strings.Replace(readFile(t, filepath.Join("testdata", "orders.squab")), "wide  = 30 in  # measured twice", "wide  = 2 ft 8 in  # measured twice", 1)
	if diff := cmp.Diff(want, readFile(t, filepath.Join(folder, "orders.squab"))); diff != "" {
		t.Errorf("the file (-want +got):\n%s", diff)
	}
	for _, bad := range []string{"90 in", "3 lb", "30 in }", "quay"} {
		if status, _ := keepOne(t, s, host, "wide", "2 ft 8 in", bad); status != 422 {
			t.Errorf("%q: %d", bad, status)
		}
	}
	if diff := cmp.Diff(want, readFile(t, filepath.Join(folder, "orders.squab"))); diff != "" {
		t.Errorf("what was refused changed the file (-want +got):\n%s", diff)
	}
}

// Two pages that change different asks both have their way; two that change the same are told.
func TestTwoPagesLoseNothing(t *testing.T) {
	s, folder, host := open(t)
	if status, _ := keepOne(t, s, host, "wide", "30 in", "33 in"); status != 200 {
		t.Fatal(status)
	}
	if status, text := keepOne(t, s, host, "deep", "20 in", "18 in"); status != 200 {
		t.Fatalf("another ask: %d: %s", status, text)
	}
	status, text := keepOne(t, s, host, "wide", "30 in", "29 in")
	var c clash
	if err := json.Unmarshal([]byte(text), &c); status != 409 || err != nil {
		t.Fatalf("the same ask: %d: %s", status, text)
	}
	if diff := cmp.Diff([]conflict{{"wide", "33 in", true}}, c.Conflicts); diff != "" {
		t.Errorf("conflicts (-want +got):\n%s", diff)
	}
	file := readFile(t, filepath.Join(folder, "orders.squab"))
	if !strings.Contains(file, "= 33 in") || !strings.Contains(file, "= 18 in") || strings.Contains(file, "29 in") {
		t.Errorf("the file holds\n%s", file)
	}
}

// Many pages at once: every change that is answered as kept was in the file when it was written, and the file is always whole.
func TestManyPagesAtOnce(t *testing.T) {
	s, folder, host := open(t)
	var pages sync.WaitGroup
	kept := make([]bool, 12)
	for i := range kept {
		pages.Go(func() {
			status, _ := keepOne(t, s, host, "wide", "30 in", fmt.Sprintf("%d in", 31+i))
			kept[i] = status == 200
		})
	}
	pages.Wait()
	n := 0
	for i, was := range kept {
		if was {
			n++
			if !strings.Contains(readFile(t, filepath.Join(folder, "orders.squab")), fmt.Sprintf("= %d in", 31+i)) {
				t.Errorf("%d in was kept and is not in the file", 31+i)
			}
		}
	}
	if n != 1 {
		t.Errorf("%d pages of 12 that changed the same ask were told that it was kept", n)
	}
}

// An editor that writes the file meanwhile loses nothing either.
func TestKeepReadsTheFileAsItIs(t *testing.T) {
	s, folder, host := open(t)
	path := filepath.Join(folder, "orders.squab")
	write(t, path, strings.Replace(readFile(t, path), "deep  = 20 in", "deep  = 22 in  # from an editor", 1))
	if status, text := keepOne(t, s, host, "wide", "30 in", "34 in"); status != 200 {
		t.Fatalf("%d: %s", status, text)
	}
	if file := readFile(t, path); !strings.Contains(file, "= 22 in") || !strings.Contains(file, "# from an editor") || !strings.Contains(file, "= 34 in") {
		t.Errorf("the file holds\n%s", file)
	}
}

func TestEventsTellOfChangedFiles(t *testing.T) {
	s, folder, host := open(t)
	ctx, stop := context.WithTimeout(context.Background(), 10*time.Second)
	defer stop()
	r, err := http.NewRequestWithContext(ctx, "GET", "http://"+host+"/events?key="+s.Key, nil)
	if err != nil {
		t.Fatal(err)
	}
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	lines := bufio.NewScanner(answer.Body)
	next := func() string {
		for lines.Scan() {
			if text, ok := strings.CutPrefix(lines.Text(), "data: "); ok {
				return text
			}
		}
		t.Fatalf("no more is told: %v", lines.Err())
		return ""
	}
	first := next()
	path := filepath.Join(folder, "orders.squab")
	write(t, path, strings.Replace(readFile(t, path), "30 in", "35 in", 1))
	if second := next(); second == first {
		t.Error("a changed file is told of as the same")
	}
	_, text := request(t, "GET", "http://"+host+"/order?order=7&key="+s.Key, "", nil)
	var got said
	if err := json.Unmarshal([]byte(text), &got); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(given{"35 in", true}, got.Asks["wide"]); diff != "" {
		t.Errorf("wide (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(given{"2", false}, got.Asks["straps"]); diff != "" {
		t.Errorf("straps (-want +got):\n%s", diff)
	}
}

func TestNewOfWhatIsNotThere(t *testing.T) {
	if _, err := New(Options{Paths: []string{filepath.Join(t.TempDir(), "absent")}}); err == nil {
		t.Error("a folder that is not there makes a bench")
	}
}

// A layout that is not proved at once is shown at once, told of while it is improved, and shown again.
func TestTryImprovesTheLayout(t *testing.T) {
	folder := t.TempDir()
	house := readFile(t, filepath.Join("testdata", "house.squab")) + "\nrecipe jig \"Jig\" {\n  ask cover: cloth\n"
	for i := range 17 {
		house += fmt.Sprintf("  piece p%d from cover, %d off = %d in by %d in\n", i, i%3+1, 7+i*5%23, 9+i*7%19)
	}
	write(t, filepath.Join(folder, "house.squab"), house+"}\n\norder 1 {\n  make jig\n  date = 2026-03-02\n  cover = harbour_tweed\n}\n")
	s, err := New(Options{Paths: []string{folder}, Effort: 20000})
	if err != nil {
		t.Fatal(err)
	}
	w := httptest.NewRecorder()
	st := s.now()
	asked{st, s, st.order("1"), &stream{w: w, out: http.NewResponseController(w)}}.answer(nil)
	var kinds []string
	for line := range strings.Lines(w.Body.String()) {
		var n news
		if err := json.Unmarshal([]byte(line), &n); err != nil {
			t.Fatal(err)
		}
		switch {
		case n.HTML != nil:
			kinds = append(kinds, fmt.Sprintf("sheet, last %v", n.Done))
		case n.Problems != nil:
			t.Fatal(*n.Problems)
		case n.Progress != nil && kinds[len(kinds)-1] != "progress":
			kinds = append(kinds, "progress")
			if n.Progress.Material != "Harbour <i>tweed</i>" || !strings.HasSuffix(n.Progress.Over, "%") {
				t.Errorf("the progress is %+v", *n.Progress)
			}
		}
	}
	if diff := cmp.Diff([]string{"sheet, last false", "progress", "sheet, last true"}, kinds); diff != "" {
		t.Errorf("what is told (-want +got):\n%s", diff)
	}
}
