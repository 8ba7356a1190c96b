// Command squab works upholstery orders out from a house's own rules: cut sizes, marks, layouts, buying list, labour, price, and the reason
// for every number. See `squab --help`.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
	"time"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop) // a second interrupt ends at once
	status := run(ctx, os.Args[1:], streams{in: os.Stdin, out: os.Stdout, err: os.Stderr, now: time.Now})
	stop()
	os.Exit(status)
}
