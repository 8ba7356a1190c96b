//go:build unix

package main

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// pipe makes a file that nobody writes to, so that who reads it waits for ever.
func pipe(t *testing.T, path string) {
	t.Helper()
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Skip("this system makes no pipes:", err)
	}
}

func TestFolderWithPipe(t *testing.T) {
	house(t)
	put(t, "shop/house.squab", "")
	pipe(t, "shop/pipe.squab")
	if got := quickly(t, []string{"check", "shop"}); got.status != statusFile || !strings.Contains(got.err, "not a plain file") {
		t.Errorf("status %d: %s", got.status, got.err)
	}
}

// TestBinaryLeftBehind interrupts verbs that wait for a file, twice as timeout(1) does: each ends soon, with nothing left of its file.
func TestBinaryLeftBehind(t *testing.T) {
	binary := build(t)
	house(t)
	pipe(t, "pipe")
	for _, args := range [][]string{{"compare", "house.squab", "pipe"}, {"book", "pipe"}, {"reach", "edge_fold", "pipe"}} {
		cmd := exec.Command(binary, append(args, "--out", "all.txt")...)
		var told bytes.Buffer
		cmd.Stderr = &told
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		waitForPart(t)
		stuck := time.AfterFunc(10*time.Second, func() { cmd.Process.Kill() })
		cmd.Process.Signal(syscall.SIGTERM)
		cmd.Process.Signal(syscall.SIGTERM)
		err := cmd.Wait()
		stuck.Stop()
		var exit *exec.ExitError
		if !errors.As(err, &exit) || exit.ExitCode() != statusFile || told.String() != "squab: interrupted\n" {
			t.Errorf("%s: %v: %s", args[0], err, told.String())
		}
		if left, _ := filepath.Glob("all.txt*"); len(left) > 0 {
			t.Errorf("%s left %v", args[0], left)
		}
	}
}

// closedPipe is a pipe whose reader has gone away.
func closedPipe(t *testing.T) *os.File {
	t.Helper()
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	r.Close()
	t.Cleanup(func() { w.Close() })
	return w
}

// TestBinaryProblemsUnread has nobody read standard error: the file is made all the same.
func TestBinaryProblemsUnread(t *testing.T) {
	binary := build(t)
	house(t)
	put(t, "rows.csv", "order,wide,drop\n1,wrong,4 ft\n2,20 in,4 ft\n")
	cmd := exec.Command(binary, "cut", "house.squab", "--orders", "rows.csv", "--recipe", "roller_blind", "--format", "csv", "--out", "all.csv")
	cmd.Stderr = closedPipe(t)
	err := cmd.Run()
	var exit *exec.ExitError
	if !errors.As(err, &exit) || exit.ExitCode() != statusProblems {
		t.Error(err)
	}
	files, _ := filepath.Glob("all.csv*")
	if diff := cmp.Diff([]string{"all.csv"}, files); diff != "" {
		t.Error(diff)
	}
	if data, _ := os.ReadFile("all.csv"); !strings.Contains(string(data), "\n2,,roller_blind,") {
		t.Errorf("the file holds %q", data)
	}
}

// TestBinaryResultsUnread has the reader of the results go away before the first: that is no error.
func TestBinaryResultsUnread(t *testing.T) {
	binary := build(t)
	house(t)
	cmd := exec.Command(binary, "cut", "house.squab", "orders.squab")
	cmd.Stdout = closedPipe(t)
	if err := cmd.Run(); err != nil {
		t.Error(err)
	}
}

// TestBinaryProgress runs on a terminal: a run of more than a second says how far it is, unless the results come out beneath it.
func TestBinaryProgress(t *testing.T) {
	binary := build(t)
	if _, err := exec.LookPath("script"); err != nil {
		t.Skip("there is nothing here that makes a terminal:", err)
	}
	house(t)
	rows := `(printf 'order,wide,drop\n1,20 in,4 ft\n'; sleep 1.5; printf '2,20 in,4 ft\n3,20 in,4 ft\n') | `
	const told = "\r\x1b[K"
	for _, c := range []struct {
		to   string
		want bool
	}{{"--out all.txt", true}, {"> /dev/null", true}, {"", false}, {"2> err.txt", false}} {
		line := rows + binary + " cut house.squab --by-area --orders - --recipe roller_blind " + c.to
		cmd := exec.Command("script", "-qec", line, "/dev/null")
		cmd.Env = append(os.Environ(), "TERM=xterm", "NO_COLOR=1")
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatalf("%q: %v: %s", c.to, err, out)
		}
		if strings.Contains(string(out), told) != c.want {
			t.Errorf("%q: %q", c.to, out)
		}
		os.Remove("all.txt")
	}
	if data, err := os.ReadFile("err.txt"); err != nil || len(data) > 0 {
		t.Errorf("standard error in a file holds %q (%v)", data, err)
	}
}
