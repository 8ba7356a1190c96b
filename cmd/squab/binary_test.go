package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// build makes the command as a user would have it.
func build(t *testing.T) string {
	t.Helper()
	if testing.Short() {
		t.Skip("builds the command")
	}
	return built(t)
}

func TestBinaryStatuses(t *testing.T) {
	binary := build(t)
	house(t)
	put(t, "bad.squab", "rule bad: length = 1 in + 2 min\n")
	cases := []struct {
		args   []string
		status int
	}{
		{[]string{"cut", "house.squab", "orders.squab"}, statusWell},
		{[]string{"check", "house.squab", "bad.squab"}, statusProblems},
		{[]string{"cut", "house.squab", "bad.squab", "orders.squab"}, statusProblems},
		{[]string{"cut"}, statusMisused},
		{[]string{"--nonsense"}, statusMisused},
		{[]string{"cut", "nowhere.squab"}, statusFile},
		{[]string{"--help"}, statusWell},
		{[]string{"cut", "--help"}, statusWell},
		{[]string{"help", "why"}, statusWell},
	}
	for _, c := range cases {
		err := exec.Command(binary, c.args...).Run()
		var exit *exec.ExitError
		got := 0
		if errors.As(err, &exit) {
			got = exit.ExitCode()
		} else if err != nil {
			t.Fatal(err)
		}
		if got != c.status {
			t.Errorf("squab %s: status %d, want %d", strings.Join(c.args, " "), got, c.status)
		}
	}
}

// TestBinaryInterrupted interrupts a run that waits for rows: it ends, and leaves no file.
func TestBinaryInterrupted(t *testing.T) {
	binary := build(t)
	house(t)
	cmd := exec.Command(binary, "cut", "house.squab", "--orders", "-", "--recipe", "roller_blind", "--out", "all.txt")
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	if _, err := in.Write([]byte("order,wide,drop\n1,20 in,4 ft\n")); err != nil {
		t.Fatal(err)
	}
	waitForPart(t)
	if err := cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	done := make(chan error, 1)
	go func() { done <- cmd.Wait() }()
	select {
	case <-done:
	case <-time.After(10 * time.Second):
		cmd.Process.Signal(syscall.SIGKILL)
		t.Error("an interrupt does not end a run that waits for rows")
	}
	in.Close()
	if left, _ := filepath.Glob("all.txt*"); len(left) > 0 {
		t.Errorf("the interrupt left %v", left)
	}
}

// waitForPart waits until the run has begun its file.
func waitForPart(t *testing.T) {
	t.Helper()
	for range 200 {
		if parts, _ := filepath.Glob("all.txt*.part"); len(parts) > 0 {
			time.Sleep(50 * time.Millisecond)
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
	t.Fatal("the run does not begin")
}

func TestBinaryClosedPipe(t *testing.T) {
	binary := build(t)
	house(t)
	out, err := exec.Command("sh", "-c", `"$0" cut house.squab orders.squab | head -1`, binary).CombinedOutput()
	if err != nil || string(out) != "ORDER 7 North window\n" {
		t.Errorf("%v: %s", err, out)
	}
}
