// Command squab works upholstery orders out from a house's own rules: cut sizes, marks, layouts, buying list, labour, price, and the reason
// for every number. See `squab --help`.
package main

import (
	"context"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
	"time"
)

// A short run is over before it has made enough to be worth collecting; a long one stays near the limit. An environment that sets GOGC or GOMEMLIMIT has its way.
const (
	gcPercent   = 800
	memoryLimit = 1 << 30
)

func tuneMemory() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(gcPercent)
	}
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(memoryLimit)
	}
}

func main() {
	tuneMemory()
	signal.Ignore(syscall.SIGPIPE) // a reader that has gone away is an error of the write, which leaves no half file
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, func() { time.AfterFunc(2*grace, stop) }) // an interrupt of a run that is stuck for so long ends it at once
	status := run(ctx, os.Args[1:], streams{in: os.Stdin, out: os.Stdout, err: os.Stderr, now: time.Now})
	stop()
	os.Exit(status)
}
