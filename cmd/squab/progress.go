package main

import (
	"fmt"
	"io"
	"time"

	"squab/cmd/squab/internal/print"
)

// progress tells a person on a terminal how far a long run is. The zero value tells nothing.
type progress struct {
	to    io.Writer
	next  time.Time
	shown bool
}

// progressPause is how long a run may take before it is told of, and how often it is then told of.
const progressPause = time.Second

// showProgress has progress told on standard error where that is a terminal, unless the results go to a terminal too, by standard output.
func (c *command) showProgress(toStdout bool) {
	if isTerminal(c.err) && !(toStdout && isTerminal(c.out)) {
		c.progress = progress{to: c.err, next: time.Now().Add(progressPause)}
	}
}

// tell counts the orders that are done.
func (p *progress) tell(t tally) {
	if p.to == nil {
		return
	}
	if now := time.Now(); now.After(p.next) {
		p.next = now.Add(progressPause)
		p.write(fmt.Sprintf("%s, %d refused", print.Counted(t.cut+t.refused, "order"), t.refused))
	}
}

func (p *progress) write(text string) {
	fmt.Fprint(p.to, "\r\x1b[K", text)
	p.shown = true
}

// clear makes room for something else to be written.
func (p *progress) clear() {
	if p.shown {
		fmt.Fprint(p.to, "\r\x1b[K")
		p.shown = false
	}
}

// waiting does work that has no steps to count, and tells meanwhile how long it has taken.
func (c *command) waiting(work func()) {
	if c.progress.to == nil {
		work()
		return
	}
	done, quiet := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(quiet)
		c.tick(done)
	}()
	work()
	close(done)
	<-quiet
}

func (c *command) tick(done <-chan struct{}) {
	defer c.progress.clear()
	began, pause := time.Now(), time.NewTicker(progressPause)
	defer pause.Stop()
	for {
		select {
		case <-done:
			return
		case <-c.ctx.Done():
			return
		case <-pause.C:
			c.progress.write(fmt.Sprintf("working for %d s", int(time.Since(began).Seconds())))
		}
	}
}
