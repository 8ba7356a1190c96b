package bench

import (
	"bufio"
	"context"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"runtime/pprof"
	"strings"
	"testing"
	"time"
)

// events gives the news that a page is told, one by one.
func (b *bench) events() (next func() string) { return b.eventsUntil(b.t.Context()) }

func (b *bench) eventsUntil(ctx context.Context) (next func() string) {
	r, err := http.NewRequestWithContext(ctx, "GET", "http://"+b.host+"/events?key="+b.Key, nil)
	if err != nil {
		b.t.Fatal(err)
	}
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		b.t.Fatal(err)
	}
	b.t.Cleanup(func() { answer.Body.Close() })
	lines := bufio.NewScanner(answer.Body)
	return func() string {
		for lines.Scan() {
			if text, ok := strings.CutPrefix(lines.Text(), "data: "); ok {
				return text
			}
		}
		b.t.Fatalf("no more is told: %v", lines.Err())
		return ""
	}
}

func TestEventsTellOfChangedFiles(t *testing.T) {
	b := open(t)
	next := b.events()
	first := next()
	if first != b.says().Version {
		t.Errorf("the first news is %s, of files that are %s", first, b.says().Version)
	}
	b.replace("orders.squab", "30 in", "35 in")
	if second := next(); second == first {
		t.Error("a changed file is told of as the same")
	}
	fields := b.says().Fields
	for _, part := range []string{`data-name="wide" data-kept="35 in" data-given="true"`, `data-name="straps" data-kept="2" data-given="false" data-usual="2"`} {
		if !strings.Contains(fields, part) {
			t.Errorf("the fields lack %s:\n%s", part, fields)
		}
	}
}

// What is written while the bench begins, or twice within one tick of the file system's clock, is seen all the same.
func TestNothingWrittenIsMissed(t *testing.T) {
	b := open(t)
	path := filepath.Join(b.folder, "orders.squab")
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	b.replace("orders.squab", "30 in", "35 in")
	if err := os.Chtimes(path, time.Time{}, info.ModTime()); err != nil {
		t.Fatal(err)
	}
	b.eventually("a change of the same size and time is seen", func() bool { return strings.Contains(b.says().Fields, "35 in") })
}

// A file that was just written may be written again within one tick of the clock, in its place and of the same size: it is read again all the same.
func TestAFreshFileIsReadAgain(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "all.squab")
	text := readFile(t, "testdata/house.squab") + readFile(t, "testdata/orders.squab")
	at := time.Now()
	put := func(text string) {
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(path, at, at); err != nil {
			t.Fatal(err)
		}
	}
	put(text)
	s, err := New(Options{Paths: []string{folder}, Library: library})
	if err != nil {
		t.Fatal(err)
	}
	put(strings.Replace(text, "30 in", "35 in", 1))
	s.glance(s.glance(""))
	if says := s.now().source("7").says("wide"); *says != "35 in" {
		t.Errorf("the file was written, and the order says %s", *says)
	}
}

// Files that are read again and say the same are no news, and no state of before.
func TestTheSameIsNoNews(t *testing.T) {
	b := open(t)
	next := b.events()
	next()
	before := b.now()
	b.write("orders.squab", b.read("orders.squab"))
	b.renew()
	b.renew()
	if now := b.now(); now.state != before.state || len(now.before) != 0 {
		t.Errorf("the same is another state, and %d are remembered", len(now.before))
	}
	b.replace("orders.squab", "30 in", "35 in")
	b.renew()
	if news, now := next(), b.now(); news != now.version || len(now.before) != 1 {
		t.Errorf("the news is %s, of files that are %s, and %d states are remembered", news, now.version, len(now.before))
	}
}

func TestLookAt(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "a.squab")
	put := func(text string, at time.Time) {
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(path, at, at); err != nil {
			t.Fatal(err)
		}
	}
	now := time.Now()
	long := now.Add(-time.Hour)
	see := func() look { return lookAt([]string{folder}, now) }
	folderTime := func() {
		if err := os.Chtimes(folder, long, long); err != nil {
			t.Fatal(err)
		}
	}
	put("one", long)
	folderTime()
	was := see()
	if again := see(); again != was || was.fresh {
		t.Errorf("nothing was written, and it looks otherwise: %+v, %+v", was, again)
	}
	for _, tt := range []struct {
		what string
		do   func()
	}{
		{"a longer text", func() { put("three", long) }},
		{"another time", func() { put("two", long.Add(time.Second)) }},
		{"gone", func() { os.Remove(path) }},
		{"a new file", func() { os.WriteFile(filepath.Join(folder, "b.squab"), nil, 0o644) }},
	} {
		tt.do()
		folderTime()
		if see().traces == was.traces {
			t.Errorf("%s: it looks the same", tt.what)
		}
		os.Remove(filepath.Join(folder, "b.squab"))
		put("one", long)
	}
	if err := os.Chtimes(folder, now, now); err != nil {
		t.Fatal(err)
	}
	if see().fresh {
		t.Error("a folder in which something was just made is taken for a file that may be written again")
	}
	put("one", now)
	if !see().fresh {
		t.Error("a file that was just written is taken to be settled")
	}
}

// An editor that empties a file before it writes it makes nobody lose the order meanwhile.
func TestAFileThatIsEmptiedFirst(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "all.squab")
	put := func(text string) {
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	orders := readFile(t, "testdata/house.squab") + readFile(t, "testdata/orders.squab")
	put(orders)
	s, err := New(Options{Paths: []string{folder}, Library: library})
	if err != nil {
		t.Fatal(err)
	}
	before := s.now().state
	last := s.glance("")
	put("")
	last = s.glance(last)
	put(strings.Replace(orders, "30 in", "35 in", 1))
	last = s.glance(last)
	if s.now().state != before {
		t.Fatal("a file is read while it is being written")
	}
	s.glance(last)
	if says := s.now().source("7").says("wide"); says == nil || *says != "35 in" {
		t.Errorf("the file was written, and the order says %v", says)
	}
}

// What was good is remembered for a while, and no longer.
func TestFollowed(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "all.squab")
	good := readFile(t, "testdata/house.squab") + readFile(t, "testdata/orders.squab")
	if err := os.WriteFile(path, []byte(good), 0o644); err != nil {
		t.Fatal(err)
	}
	s, err := New(Options{Paths: []string{folder}, Library: library})
	if err != nil {
		t.Fatal(err)
	}
	first := s.now().state
	for i, text := range []string{"rule a: length = 1 lb\n", "rule b: length = 1 lb\n", "", "# c\n", "# d\n", "# e\n"} {
		if shown := s.now().shows(wish{Order: "7"}); shown != first {
			t.Fatalf("after %d changes the first state is no longer shown", i)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		s.renew()
	}
	if n := len(s.now().before); n != pastMost {
		t.Errorf("%d states are remembered", n)
	}
	if err := os.WriteFile(path, []byte(good), 0o644); err != nil {
		t.Fatal(err)
	}
	s.renew()
	if now := s.now(); now.shows(wish{Order: "7"}) != now.state {
		t.Error("what holds again is not what is shown")
	}
}

func TestAFolderThatComesAndGoes(t *testing.T) {
	b := open(t)
	away := b.folder + "-away"
	if err := os.Rename(b.folder, away); err != nil {
		t.Fatal(err)
	}
	b.eventually("the files are gone", func() bool { return b.says().Fields == "" })
	if html, problems := b.tries(wish{Order: "7", Blank: true}); problems == "" || !strings.Contains(html, ">31 in</data>") {
		t.Errorf("while the files are gone: %q, %.100s", problems, html)
	}
	if status, text := b.keeps(fromTo("wide", "30 in", "31 in")); status != 422 {
		t.Errorf("kept in a file that is gone: %d: %s", status, text)
	}
	for _, recipe := range []string{"seat_pad", "absent"} {
		if status, text := b.post("/keep", wish{Order: "8", Recipe: recipe}); status != 422 {
			t.Errorf("a new order of %s kept in a file that is gone: %d: %s", recipe, status, text)
		}
	}
	if err := os.Rename(away, b.folder); err != nil {
		t.Fatal(err)
	}
	b.eventually("the files are back", func() bool { return b.says().Fields != "" })
}

func TestNewOfWhatIsNotThere(t *testing.T) {
	if _, err := New(Options{Paths: []string{filepath.Join(t.TempDir(), "absent")}}); err == nil {
		t.Error("a folder that is not there makes a bench")
	}
}

// A bench that is closed while pages listen and wait for layouts that would not end leaves nothing running.
func TestNothingIsLeftRunning(t *testing.T) {
	http.DefaultClient.CloseIdleConnections()
	before := runtime.NumGoroutine()
	t.Run("a bench with two pages", func(t *testing.T) {
		b := openWith(t, 1<<50, "house.squab", jig(t))
		b.events()()
		b.events()()
		for range 2 {
			b.improves(b.t.Context())
		}
		if b.trying.Load() != 2 || b.listening() != 2 {
			t.Errorf("%d trials are worked on, not 2; %d pages listen, not 2", b.trying.Load(), b.listening())
		}
	})
	http.DefaultClient.CloseIdleConnections()
	for end := time.Now().Add(30 * time.Second); runtime.NumGoroutine() > before; time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			var stacks strings.Builder
			pprof.Lookup("goroutine").WriteTo(&stacks, 1)
			t.Fatalf("%d run, and %d before:\n%s", runtime.NumGoroutine(), before, stacks.String())
		}
	}
}

func (b *bench) listening() int {
	b.mu.Lock()
	defer b.mu.Unlock()
	return len(b.waiting)
}

// A page that is closed is told nothing any more.
func TestAClosedPageIsForgotten(t *testing.T) {
	b := open(t)
	ctx, leave := context.WithCancel(t.Context())
	next := b.eventsUntil(ctx)
	next()
	if n := b.listening(); n != 1 {
		t.Errorf("%d pages listen", n)
	}
	leave()
	b.eventually("nobody listens", func() bool { return b.listening() == 0 })
}
