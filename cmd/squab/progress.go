package main

import (
	"fmt"
	"io"
	"time"
)

// progress tells a person on a terminal how far a long run is. The zero value tells nothing.
type progress struct {
	to    io.Writer
	next  time.Time
	shown bool
}

// progressPause is how long a run may take before it is told of, and how often it is then told of.
const progressPause = time.Second

// progress is shown on standard error where that is a terminal, unless the results go to a terminal too, by standard output.
func (c *command) progress(toStdout bool) progress {
	if !isTerminal(c.err) || toStdout && isTerminal(c.out) {
		return progress{}
	}
	return progress{to: c.err, next: time.Now().Add(progressPause)}
}

func (p *progress) tell(t tally) {
	if p.to == nil {
		return
	}
	if now := time.Now(); now.After(p.next) {
		p.next, p.shown = now.Add(progressPause), true
		fmt.Fprintf(p.to, "\r\x1b[K%s, %d refused", counted(t.cut+t.refused, "order"), t.refused)
	}
}

// clear makes room for something else to be written.
func (p *progress) clear() {
	if p.shown {
		fmt.Fprint(p.to, "\r\x1b[K")
		p.shown = false
	}
}
