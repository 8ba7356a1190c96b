package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// shellOfReference gives the command lines of the reference's section on many orders.
func shellOfReference(t *testing.T) []string {
	t.Helper()
	page, err := os.ReadFile("../../lang/REFERENCE.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, found := strings.Cut(string(page), "```sh\n")
	block, _, _ := strings.Cut(rest, "```")
	if !found {
		t.Fatal("the reference has no command lines")
	}
	return strings.Split(strings.TrimSpace(block), "\n")
}

// padLines writes orders of the window pad as JSON lines; every hundredth is too wide.
func padLines(n int) string {
	var b strings.Builder
	for i := range n {
		wide := fmt.Sprintf("%d 1/2 in", 16+i%50)
		if i%100 == 99 {
			wide = "40 ft"
		}
		fmt.Fprintf(&b, `{"order":%d,"wide":"%s","deep":"14 in","cover":"pebble_linen","pad":"firm_2in","date":"2026-06-22"}`+"\n", i, wide)
	}
	return b.String()
}

// Orders that are spread over processes, as the reference shows, come to what one process makes of them, and none is lost.
func TestOrdersSpreadOverProcesses(t *testing.T) {
	for _, tool := range []string{"sh", "split", "xargs"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skip("there is no " + tool)
		}
	}
	commands, binary := shellOfReference(t), build(t)
	rules, err := filepath.Abs(example)
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	t.Setenv("PATH", filepath.Dir(binary)+string(os.PathListSeparator)+os.Getenv("PATH"))
	if err := os.Symlink(rules, "rules"); err != nil {
		t.Fatal(err)
	}
	const n = 6000
	rows := padLines(n)
	put(t, "orders.jsonl", rows)
	var shown [][]byte
	for _, line := range commands {
		out, err := exec.Command("sh", "-c", line).Output()
		if err != nil && !strings.Contains(line, "xargs") {
			t.Fatalf("%s: %v", line, err)
		}
		shown = append(shown, bytes.TrimSpace(out))
	}
	for i, want := range []int{n, n / 100} {
		if got, _ := strconv.Atoi(string(shown[2+i])); got != want {
			t.Errorf("%s: %d, want %d", commands[2+i], got, want)
		}
	}
	spread, err := exec.Command("sh", "-c", "cat part.??.out").Output()
	if err != nil {
		t.Fatal(err)
	}
	one := squab(rows, "cut", "rules", "--orders", "-", "--recipe", "window_pad", "--by-area", "--format", "jsonl")
	if diff := cmp.Diff(withoutLines(one.out), withoutLines(string(spread))); diff != "" {
		t.Errorf("spread over processes: %s", diff)
	}
}

// withoutLines takes the lines at which problems lie away, which count from the beginning of each part.
func withoutLines(out string) []string {
	var all []string
	for line := range strings.Lines(out) {
		before, _, _ := strings.Cut(line, `,"line":`)
		all = append(all, before)
	}
	return all
}
