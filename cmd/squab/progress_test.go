package main

import (
	"bytes"
	"context"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"
)

// onTerminal is a run whose standard error is a terminal.
func onTerminal(ctx context.Context, to *bytes.Buffer) *command {
	return &command{ctx: ctx, progress: progress{to: to, next: time.Now().Add(progressPause)}}
}

// TestWorkWithoutStepsTellsOfItself holds that work of less than a second says nothing, and longer work how long it has taken, until it is done.
func TestWorkWithoutStepsTellsOfItself(t *testing.T) {
	for took, want := range map[time.Duration]string{
		0:                       "",
		900 * time.Millisecond:  "",
		2500 * time.Millisecond: "\r\x1b[Kworking for 1 s\r\x1b[Kworking for 2 s\r\x1b[K",
	} {
		synctest.Test(t, func(t *testing.T) {
			var told bytes.Buffer
			onTerminal(t.Context(), &told).waiting(func() { time.Sleep(took) })
			if diff := cmp.Diff(want, told.String()); diff != "" {
				t.Errorf("%v: -want +got:\n%s", took, diff)
			}
		})
	}
}

// TestInterruptedWorkLeavesALineFree interrupts work that goes on: nothing more is said of it.
func TestInterruptedWorkLeavesALineFree(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var told bytes.Buffer
		ctx, interrupt := context.WithCancel(t.Context())
		onTerminal(ctx, &told).waiting(func() {
			time.Sleep(1500 * time.Millisecond)
			interrupt()
			time.Sleep(5 * time.Second)
		})
		if diff := cmp.Diff("\r\x1b[Kworking for 1 s\r\x1b[K", told.String()); diff != "" {
			t.Errorf("-want +got:\n%s", diff)
		}
	})
}

// TestOrdersAreCountedWhileTheyAreDone tells of orders once a second, and makes room for what is told between.
func TestOrdersAreCountedWhileTheyAreDone(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var told bytes.Buffer
		c := onTerminal(t.Context(), &told)
		for n := range 25 {
			c.progress.tell(tally{cut: n, refused: n / 10})
			time.Sleep(100 * time.Millisecond)
		}
		c.progress.clear()
		c.progress.clear()
		if diff := cmp.Diff("\r\x1b[K12 orders, 1 refused\r\x1b[K24 orders, 2 refused\r\x1b[K", told.String()); diff != "" {
			t.Errorf("-want +got:\n%s", diff)
		}
	})
}

// TestFilesHearNothingOfProgress runs where standard error is no terminal.
func TestFilesHearNothingOfProgress(t *testing.T) {
	c := &command{streams: streams{out: &bytes.Buffer{}, err: &bytes.Buffer{}}}
	c.showProgress(false)
	done := false
	c.waiting(func() { done = true })
	c.progress.tell(tally{cut: 1})
	if c.progress.to != nil || !done {
		t.Errorf("progress goes to %v; the work was done: %v", c.progress.to, done)
	}
}
