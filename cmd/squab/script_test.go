package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write what the scripts in testdata give into them")

// script is a file of testdata/scripts: the command lines first, each after "$ ", then files, then what is expected.
type script struct {
	text     string // all before the part that is expected
	commands []string
	files    map[string]string
	expected string
}

const expectedHead = "-- expected --\n"

func readScript(t *testing.T, path string) script {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	text, expected, _ := strings.Cut(string(data), expectedHead)
	s := script{text: text, expected: expected, files: map[string]string{}}
	name := ""
	for line := range strings.Lines(text) {
		switch file, isHead := strings.CutPrefix(line, "-- "); {
		case isHead && strings.HasSuffix(file, " --\n"):
			name = strings.TrimSuffix(file, " --\n")
			s.files[name] = ""
		case name != "":
			s.files[name] += line
		case strings.HasPrefix(line, "$ "):
			s.commands = append(s.commands, strings.TrimSpace(line[2:]))
		}
	}
	return s
}

// words splits a command line; single quotes hold blanks.
func words(line string) []string {
	var all []string
	for i, part := range strings.Split(line, "'") {
		if i%2 == 1 {
			all = append(all, part)
			continue
		}
		all = append(all, strings.Fields(part)...)
	}
	return all
}

// ran is what one command line gave.
type ran struct {
	out, err string
	status   int
}

var testDay = time.Date(2026, 4, 2, 12, 0, 0, 0, time.UTC)

func squab(in string, args ...string) ran {
	var out, errs bytes.Buffer
	status := run(context.Background(), args, streams{in: strings.NewReader(in), out: &out, err: &errs, now: func() time.Time { return testDay }})
	return ran{out.String(), errs.String(), status}
}

// fingerprints change with every word of the trade library.
var fingerprint = regexp.MustCompile(`"rules":"[0-9a-f]{64}"`)

// told writes what a command gave as the scripts have it: standard error behind "! ", and the status where it is not 0.
func (r ran) told() string {
	var b strings.Builder
	b.WriteString(fingerprint.ReplaceAllString(r.out, `"rules":"FINGERPRINT"`))
	for line := range strings.Lines(r.err) {
		b.WriteString("! " + line)
	}
	if r.status != 0 {
		fmt.Fprintf(&b, "(exit status %d)\n", r.status)
	}
	return b.String()
}

// house fills a fresh folder with the files that every script may use, and goes there.
func house(t *testing.T) {
	t.Helper()
	names, err := filepath.Glob("testdata/files/*")
	if err != nil || len(names) == 0 {
		t.Fatal("no files to test with", err)
	}
	dir := t.TempDir()
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		put(t, filepath.Join(dir, filepath.Base(name)), string(data))
	}
	t.Chdir(dir)
}

func put(t *testing.T, path, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

func (s script) run(t *testing.T) string {
	house(t)
	for name, text := range s.files {
		put(t, name, text)
	}
	var b strings.Builder
	for _, line := range s.commands {
		command, from, _ := strings.Cut(line, " < ")
		fmt.Fprintf(&b, "$ %s\n%s", line, execute(words(command), s.files[strings.TrimSpace(from)], t))
	}
	return b.String()
}

// execute runs squab, or shows a file with cat.
func execute(args []string, in string, t *testing.T) string {
	switch args[0] {
	case "squab":
		return squab(in, args[1:]...).told()
	case "cat":
		data, err := os.ReadFile(args[1])
		if err != nil {
			return "(no such file)\n"
		}
		return string(data)
	}
	t.Fatalf("scripts run squab and cat, not %s", args[0])
	return ""
}

func TestScripts(t *testing.T) {
	paths, err := filepath.Glob("testdata/scripts/*.txt")
	if err != nil || len(paths) < 10 {
		t.Fatal("the scripts are missing", err)
	}
	for _, path := range paths {
		full, err := filepath.Abs(path)
		if err != nil {
			t.Fatal(err)
		}
		t.Run(strings.TrimSuffix(filepath.Base(path), ".txt"), func(t *testing.T) {
			s := readScript(t, full)
			got := s.run(t)
			if *update {
				put(t, full, s.text+expectedHead+got)
				return
			}
			if diff := cmp.Diff(s.expected, got); diff != "" {
				t.Errorf("%s (-expected +got):\n%s", path, diff)
			}
			narrow(t, got, !strings.Contains(s.text, "--format "))
		})
	}
}

// narrow reports text for people that is wider than 100 columns: what is told on standard error and, where that is for people, on standard output.
func narrow(t *testing.T, text string, results bool) {
	t.Helper()
	for line := range strings.Lines(text) {
		if strings.HasPrefix(line, "$ ") || !results && !strings.HasPrefix(line, "! ") {
			continue
		}
		line = strings.TrimPrefix(strings.TrimSuffix(line, "\n"), "! ")
		if n := len([]rune(line)); n > 100 {
			t.Errorf("a line is %d columns wide: %s", n, line)
		}
	}
}
