package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"strconv"
	"syscall"
	"time"

	"squab/cmd/squab/internal/page/bench"
	"squab/stdlib"
)

func benchVerb() *verb {
	return &verb{name: "bench", args: "FOLDER...", about: "serve a live page: change sizes, see the ticket at once", run: (*command).bench, help: `
Serves a page on the loopback address, to this machine alone, until it is interrupted. There an order's
sizes, title, date and how many are changed, or left to what is usual, and its cut list, drawings and
price are seen at once, with what changed marked; every number opens to how it came about. A change, or
a new order of a recipe, is kept in the orders' file only when asked, laid out as squab tidy does, with
its comments; where somebody else has changed the same meanwhile, it is told and nothing is lost. The
files are watched: while one has an error, the last good numbers stay and are marked as old.

  squab bench rules/               open the address that it prints
  squab bench rules/ --port 8123   always at one port

The address holds a key: whoever has it may change the orders.`}
}

// benchFlags are the flags of bench.
type benchFlags struct {
	orderFlags
	port   int
	effort int64
}

func (c *command) bench(args []string) error {
	var f benchFlags
	f.bookFlags.add(c.flags)
	c.flags.StringVar(&f.date, "date", "", "the `DATE` of orders that give none, as 2026-04-02 (default: today)")
	c.flags.IntVar(&f.port, "port", 0, "the port to serve at; 0 takes a free one")
	c.flags.Int64Var(&f.effort, "effort", 400_000, "how hard to search for layouts, in placements tried")
	paths, err := c.parse(args, 1)
	if err != nil {
		return err
	}
	if err := f.settleDate(c.now); err != nil {
		return err
	}
	if f.port < 0 || f.port > 65535 {
		return misuse("--port is from 0 to 65535, not %d", f.port)
	}
	if err := boundedEffort(f.effort); err != nil {
		return err
	}
	for _, path := range paths {
		if path == "-" {
			return misuse("the bench watches files, so it cannot read standard input")
		}
	}
	s, err := bench.New(bench.Options{Paths: paths, Library: stdlib.AddTo, MaxFile: int64(f.maxFile), Effort: f.effort, Today: f.today(c.now)})
	if err != nil {
		return err
	}
	return c.serve(s, f.port)
}

// today gives the day that --date names, or else the day that it is when it is asked: a bench may be open for longer than one.
func (f *benchFlags) today(now func() time.Time) func() int64 {
	if f.date != "" {
		return func() int64 { return f.day }
	}
	return func() int64 { return dayOf(now()) }
}

// serve answers on the loopback address until the run is interrupted.
func (c *command) serve(s *bench.Server, port int) error {
	listener, err := net.Listen("tcp4", net.JoinHostPort("127.0.0.1", strconv.Itoa(port)))
	if errors.Is(err, syscall.EADDRINUSE) {
		return fmt.Errorf("port %d is in use: name another with --port, or none for one that is free", port)
	}
	if err != nil {
		return err
	}
	host := listener.Addr().String()
	server := &http.Server{Handler: s.Handler(host), ReadHeaderTimeout: 10 * time.Second, ReadTimeout: 30 * time.Second, MaxHeaderBytes: 1 << 16, BaseContext: func(net.Listener) context.Context { return c.ctx }}
	go s.Watch(c.ctx)
	stop := context.AfterFunc(c.ctx, func() { server.Close() })
	defer stop()
	if _, err := fmt.Fprintf(c.stdout, "The bench is open at %s\nInterrupt to close it.\n", s.Address(host)); err != nil {
		return err
	}
	if err := c.stdout.Flush(); err != nil {
		return err
	}
	if err := server.Serve(listener); !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}
