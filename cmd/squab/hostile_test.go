package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"
)

// TestHostileFiles gives each verb that reads files what nobody should: all are told of with a place, and none ends in anything but a status.
func TestHostileFiles(t *testing.T) {
	house(t)
	cases := []struct {
		name, text string
		flags      []string
		want       string // in what is told; empty where the file is in order
	}{
		{name: "empty", text: ""},
		{name: "only a mark of order", text: "\ufeff"},
		{name: "50 MB", text: strings.Repeat("# fifty million bytes of remarks, more or less\n", 1_070_000), want: "file-too-large"},
		{name: "over a lowered limit", text: "# more than ten bytes\n", flags: []string{"--max-file", "10"}, want: "file-too-large"},
		{name: "100,000 nested brackets", text: "rule deep: length = " + strings.Repeat("(", 100_000) + "1 in" + strings.Repeat(")", 100_000) + "\n", want: "nest"},
		{name: "10,000 digits", text: "rule long: number = " + strings.Repeat("7", 10_000) + "\n", want: "digits"},
		{name: "NUL", text: "rule nil: length = 1 \x00in\n", want: "hostile.squab:1:"},
		{name: "invalid UTF-8", text: "rule off: length = 1 in because \"\xff\xfe\"\n", want: "hostile.squab:1:"},
		{name: "an escape for the terminal", text: "rule \x1b[31mred: length = 1 in\n", want: "hostile.squab:1:"},
		{name: "10,000 mistakes", text: strings.Repeat("rule twice: length = = 1 in\n", 10_000), want: "… and "},
		{name: "a brace never closed", text: "recipe r {\n  ask wide: length\n", want: "hostile.squab:1:"},
		{name: "one line of 1 MB", text: "rule wide: length = 1 in" + strings.Repeat(" + 1 in", 140_000) + " + nothing_at_all\n", want: "hostile.squab:1:"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			put(t, "hostile.squab", c.text)
			for _, verb := range []string{"check", "cut", "tidy"} {
				got := quickly(t, append([]string{verb, "hostile.squab"}, c.flags...))
				if c.want == "" && got.status != statusWell {
					t.Errorf("%s: status %d: %s", verb, got.status, got.err)
				}
				if c.want != "" && (got.status != statusProblems || !strings.Contains(got.err, c.want)) {
					t.Errorf("%s: status %d, and nothing says %q: %.500s", verb, got.status, c.want, got.err)
				}
				if strings.ContainsAny(got.err+got.out, "\x00\x1b") {
					t.Errorf("%s: a control character came through", verb)
				}
			}
		})
	}
}

// quickly runs squab, and fails where it takes longer than anybody would wait.
func quickly(t *testing.T, args []string) ran {
	t.Helper()
	start := time.Now()
	got := squab("", args...)
	if took := time.Since(start); took > 20*time.Second {
		t.Errorf("%v took %v", args, took)
	}
	return got
}

func TestHostileRows(t *testing.T) {
	house(t)
	head := "order,wide,drop\n"
	cases := []struct {
		name, file, text string
		rows             int
		want             string
	}{
		{"a NUL in a field", "r.csv", head + "1,20 \x00in,4 ft\n2,20 in,4 ft\n", 2, "r.csv:2:"},
		{"invalid UTF-8", "r.csv", head + "1,20 in\xff,4 ft\n2,20 in,4 ft\n", 2, "not UTF-8"},
		{"a field of 1 MB", "r.csv", head + "1," + strings.Repeat("9", 900_000) + ",4 ft\n2,20 in,4 ft\n", 2, "field-too-long"},
		{"a row of 3 MB", "r.csv", head + "1," + strings.Repeat("9", 3_000_000) + ",4 ft\n2,20 in,4 ft\n", 2, "longer than 1 MiB"},
		{"10,000 digits", "r.csv", head + "1," + strings.Repeat("9", 10_000) + " in,4 ft\n2,20 in,4 ft\n", 2, "digits"},
		{"nested brackets", "r.csv", head + "1," + strings.Repeat("(", 30_000) + ",4 ft\n2,20 in,4 ft\n", 2, "nest"},
		{"a quote never closed", "r.csv", head + "1,\"20 in,4 ft\n2,20 in,4 ft\n", 2, "never closed"},
		{"nested JSON", "r.jsonl", strings.Repeat("[", 100_000) + "\n" + `{"order":2,"wide":"20 in","drop":"4 ft"}`, 2, "row-malformed"},
		{"deep lists in JSON", "r.jsonl", `{"wide":` + strings.Repeat("[", 5_000) + strings.Repeat("]", 5_000) + "}\n", 1, "row-malformed"},
		{"UTF-16", "r.jsonl", "\xff\xfe{\x00}\x00", 1, "not UTF-8"},
		{"no line end", "r.jsonl", `{"order":2,"wide":"20 in","drop":"4 ft"}`, 1, ""},
		{"a formula that rests on a list of a million", "r.csv", head + "1,count(for each i from 1 to 1000000: i) * 1 in,4 ft\n2,20 in,4 ft\n", 2, "r.csv:2:"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			put(t, c.file, c.text)
			got := quickly(t, []string{"cut", "house.squab", "--by-area", "--orders", c.file, "--recipe", "roller_blind"})
			if !strings.Contains(got.out, fmt.Sprintf("%d order", c.rows)) {
				t.Errorf("not every row is counted: %s", lastLine(got.out))
			}
			if !strings.Contains(got.err, c.want) || (c.want == "") != (got.status == statusWell) {
				t.Errorf("status %d, want %q in: %.500s", got.status, c.want, got.err)
			}
		})
	}
}

// TestManyRefusedOrders refuses each of many orders by what is wrong with it alone, without a look at all the others' problems for each.
func TestManyRefusedOrders(t *testing.T) {
	house(t)
	var text strings.Builder
	const many = 40_000
	for i := range many {
		fmt.Fprintf(&text, "order %d {\n  make roller_blind\n  wide = 2 min\n  drop = 4 ft\n}\n", i+1)
	}
	put(t, "many.squab", text.String())
	got := quickly(t, []string{"cut", "house.squab", "many.squab", "--by-area", "--format", "jsonl"})
	for i, line := range strings.Split(strings.TrimSpace(got.out), "\n") {
		if want := fmt.Sprintf(`"file":"many.squab","line":%d,`, 5*i+3); strings.Count(line, `"severity"`) != 1 || !strings.Contains(line, want) {
			t.Fatalf("order %d is refused for %s", i+1, line)
		}
	}
	if n := strings.Count(got.out, "\n"); n != many || got.status != statusProblems {
		t.Errorf("status %d, and %d orders gave %d lines", got.status, many, n)
	}
}

// TestSeveralOrders asks about one of many orders without saying which, and sets something of one that comes late.
func TestSeveralOrders(t *testing.T) {
	house(t)
	var text strings.Builder
	for i := range 30 {
		fmt.Fprintf(&text, "order %d {\n  make roller_blind\n  wide = 20 in\n  drop = 4 ft\n}\n", i+1)
	}
	put(t, "many.squab", text.String())
	got := squab("", "why", "cut_wide", "house.squab", "many.squab", "--set", "30.wide=22 in")
	if want := "there are several orders: add --order with one of 1, 2,"; got.status != statusMisused || !strings.Contains(got.err, want) || !strings.Contains(got.err, "20, …\n") {
		t.Errorf("status %d: %s", got.status, got.err)
	}
	if got := squab("", "why", "cut_wide", "house.squab", "many.squab", "--set", "30.wide=22 in", "--order", "30"); !strings.HasPrefix(got.out, "cut_wide = 25 1/2 in") {
		t.Errorf("status %d: %s%s", got.status, got.out, got.err)
	}
}

// TestSetMendsNoOtherField sets one thing of an order in which another is wrong, in a file of rows and in the book.
func TestSetMendsNoOtherField(t *testing.T) {
	house(t)
	put(t, "rows.csv", "order,wide,drop\n1,20 in,long\n")
	put(t, "wrong.squab", "order 1 {\n  make roller_blind\n  wide = 20 in\n  drop = 4 min\n}\n")
	for _, args := range [][]string{{"--orders", "rows.csv", "--recipe", "roller_blind"}, {"wrong.squab"}} {
		got := squab("", append([]string{"cut", "house.squab", "--set", "1.wide=22 in"}, args...)...)
		if got.status != statusProblems || got.out != "1 order: 0 cut, 1 refused (1).\n" || !strings.Contains(got.err, "drop") {
			t.Errorf("%v: status %d: %s%s", args, got.status, got.out, got.err)
		}
	}
}

// TestSetIsOneValue gives more than a value to what a run sets.
func TestSetIsOneValue(t *testing.T) {
	house(t)
	for _, set := range []string{"edge_fold=1 in\nrule more: length = 2 in", "sail_canvas.price=$1 per yd\n}\nrule more: length = 2 in\nmaterial x: sun_awning {", "7.wide=20 in\r30 in"} {
		if got := squab("", "cut", "house.squab", "orders.squab", "--set", set); got.status != statusMisused || got.out != "" {
			t.Errorf("%q: status %d: %.200s", set, got.status, got.out)
		}
	}
}

func lastLine(s string) string {
	s = strings.TrimSuffix(s, "\n")
	return s[strings.LastIndexByte(s, '\n')+1:]
}

func TestFolderDoesNotLeadOut(t *testing.T) {
	house(t)
	put(t, "outside.squab", "rule outside: length = 1 in\n")
	put(t, "shop/house.squab", "rule inside: length = 1 in\n")
	for name, target := range map[string]string{"up": "../outside.squab", "absolute": absolute(t, "outside.squab"), "lost": "nowhere.squab", "loop": "loop.squab"} {
		t.Run(name, func(t *testing.T) {
			link := filepath.Join("shop", name+".squab")
			if err := os.Symlink(target, link); err != nil {
				t.Skip("this system makes no links:", err)
			}
			defer os.Remove(link)
			if got := squab("", "check", "shop"); got.status != statusFile || !strings.Contains(got.err, link) {
				t.Errorf("status %d: %s", got.status, got.err)
			}
		})
	}
	if err := os.Symlink("house.squab", "shop/within.squab"); err != nil {
		t.Skip(err)
	}
	if got := squab("", "check", "shop"); got.status != statusWell {
		t.Errorf("a link within the folder is refused, or its file is read twice: %s", got.err)
	}
}

func absolute(t *testing.T, path string) string {
	t.Helper()
	full, err := filepath.Abs(path)
	if err != nil {
		t.Fatal(err)
	}
	return full
}

// brokenWriter fails from some byte on.
type brokenWriter struct {
	left int
	err  error
}

func (w *brokenWriter) Write(p []byte) (int, error) {
	if w.left -= len(p); w.left < 0 {
		return 0, w.err
	}
	return len(p), nil
}

func TestOutputThatBreaks(t *testing.T) {
	house(t)
	cases := []struct {
		name   string
		err    error
		status int
	}{
		{"a reader that goes away", syscall.EPIPE, statusWell},
		{"a full disk", syscall.ENOSPC, statusFile},
		{"anything else", errors.New("lost"), statusFile},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			var told bytes.Buffer
			s := streams{in: strings.NewReader(""), out: &brokenWriter{100, c.err}, err: &told, now: func() time.Time { return testDay }}
			got := run(context.Background(), []string{"cut", "house.squab", "orders.squab", "--by-area"}, s)
			if got != c.status || (told.Len() > 0) != (c.status != statusWell) {
				t.Errorf("status %d, told %q", got, told.String())
			}
		})
	}
}

// endless gives rows for ever.
type endless struct{ head string }

func (e *endless) Read(p []byte) (int, error) {
	if e.head == "" {
		e.head = "1,20 in,4 ft\n"
	}
	n := copy(p, e.head)
	e.head = e.head[n:]
	return n, nil
}

func TestInterruptLeavesNoFile(t *testing.T) {
	house(t)
	ctx, cancel := context.WithCancel(context.Background())
	timer := time.AfterFunc(200*time.Millisecond, cancel)
	defer timer.Stop()
	var told bytes.Buffer
	s := streams{in: &endless{"order,wide,drop\n"}, out: io.Discard, err: &told, now: func() time.Time { return testDay }}
	status := run(ctx, []string{"cut", "house.squab", "--by-area", "--orders", "-", "--recipe", "roller_blind", "--out", "all.txt"}, s)
	if status != statusFile || !strings.Contains(told.String(), "interrupted") {
		t.Errorf("status %d: %s", status, told.String())
	}
	left, err := filepath.Glob("all.txt*")
	if err != nil || len(left) > 0 {
		t.Errorf("the interrupt left %v", left)
	}
}

// TestManyRowsAtConstantMemory works a long stream out and looks at what is held afterwards and on the way.
func TestManyRowsAtConstantMemory(t *testing.T) {
	house(t)
	const rows = 20_000
	in := io.LimitReader(&endless{"order,wide,drop\n"}, int64(len("order,wide,drop\n")+rows*len("1,20 in,4 ft\n")))
	var peak uint64
	out := writerFunc(func(p []byte) (int, error) {
		var m runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&m)
		peak = max(peak, m.HeapAlloc)
		return len(p), nil
	})
	var told bytes.Buffer
	status := run(context.Background(), []string{"cut", "house.squab", "--by-area", "--orders", "-", "--recipe", "roller_blind", "--format", "csv"},
		streams{in: in, out: out, err: &told, now: func() time.Time { return testDay }})
	if status != statusWell {
		t.Fatalf("status %d: %s", status, told.String())
	}
	const most = 32 << 20
	if peak > most {
		t.Errorf("%d rows held %d MB", rows, peak>>20)
	}
}

type writerFunc func([]byte) (int, error)

func (f writerFunc) Write(p []byte) (int, error) { return f(p) }

func TestJobsKeepTheOrder(t *testing.T) {
	house(t)
	var csv strings.Builder
	csv.WriteString("order,wide,drop\n")
	for i := range 500 {
		fmt.Fprintf(&csv, "%d,%d in,4 ft\n", i, 10+i%40)
	}
	put(t, "many.csv", csv.String())
	args := []string{"cut", "house.squab", "--by-area", "--orders", "many.csv", "--recipe", "roller_blind", "--format", "jsonl"}
	one := squab("", append(args, "--jobs", "1")...)
	for _, jobs := range []string{"2", "7"} {
		if many := squab("", append(args, "--jobs", jobs)...); many != one {
			t.Errorf("%s jobs give something else than one", jobs)
		}
	}
	if n := strings.Count(one.out, "\n"); n != 500 {
		t.Errorf("500 rows gave %d lines", n)
	}
}
