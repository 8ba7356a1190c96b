package main

import (
	"bufio"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"sync/atomic"
	"syscall"
	"time"

	"github.com/spf13/pflag"

	"squab/cmd/squab/internal/load"
	"squab/cmd/squab/internal/print"
	"squab/cmd/squab/internal/whole"
	"squab/eval/check"
	"squab/lang/diag"
	"squab/stdlib"
)

// streams is what a run talks to.
type streams struct {
	in       io.Reader
	out, err io.Writer
	now      func() time.Time
}

// The exit statuses.
const (
	statusWell     = 0
	statusProblems = 1
	statusMisused  = 2
	statusFile     = 3
)

// errProblems says that something was wrong in what was read, and that it has been told.
var errProblems = errors.New("there were problems")

// errInterrupted says that a run was ended from outside.
var errInterrupted = errors.New("interrupted")

// misused is an error in how the command was used.
type misused struct{ why string }

func (m misused) Error() string { return m.why }

func misuse(format string, args ...any) error { return misused{fmt.Sprintf(format, args...)} }

// command is one run of one verb.
type command struct {
	streams
	ctx     context.Context
	verb    *verb
	flags   *pflag.FlagSet
	stdout  *bufio.Writer
	page    print.Page                 // for standard output
	errPage print.Page                 // for standard error
	file    atomic.Pointer[whole.File] // what --out is being written to

	progress progress
	flawed   bool // an error in what was read has been told, or an order was refused
}

// verb is one thing that squab does.
type verb struct {
	name, args, about string
	help              string // what it teaches, with examples
	run               func(*command, []string) error
}

// run carries a command line out and gives the exit status.
func run(ctx context.Context, args []string, s streams) int {
	if len(args) == 0 {
		fmt.Fprint(s.err, overview())
		return statusMisused
	}
	for args[0] == "help" {
		args = append(args[1:len(args):len(args)], "--help")
	}
	if isHelp(args[0]) {
		return status(nil, s, writeAll(s.out, overview()))
	}
	for _, v := range verbs() {
		if v.name == args[0] {
			return runVerb(ctx, v, args[1:], s)
		}
	}
	return status(nil, s, unknownVerb(args[0]))
}

func isHelp(arg string) bool { return arg == "--help" || arg == "-h" }

func unknownVerb(name string) error {
	var names []string
	for _, v := range verbs() {
		names = append(names, v.name)
	}
	if near := check.Nearest(name, names); near != "" {
		return misuse("squab has no command %q; did you mean %s?", name, near)
	}
	return misuse("squab has no command %q; squab --help lists them", name)
}

func runVerb(ctx context.Context, v *verb, args []string, s streams) int {
	c := &command{streams: s, ctx: ctx, verb: v, flags: pflag.NewFlagSet(v.name, pflag.ContinueOnError), stdout: bufio.NewWriterSize(s.out, 1<<16)}
	c.flags.SetOutput(io.Discard)
	c.page.Colour, c.errPage.Colour = mayColour(s.out), mayColour(s.err)
	ended, err := c.untilInterrupted(args)
	if !ended {
		return status(v, s, err)
	}
	if errors.Is(err, pflag.ErrHelp) {
		err = writeAll(c.stdout, helpOf(v, c.flags))
	}
	return status(v, s, c.ended(err))
}

// ended writes what standard output is still owed, and gives what a run that ended with err comes to.
func (c *command) ended(err error) error {
	if flushed := c.stdout.Flush(); flushed != nil && (err == nil || !isGone(flushed)) {
		err = flushed
	}
	if c.flawed && (err == nil || isGone(err)) {
		return errProblems
	}
	return err
}

// isGone reports whether an error says that nobody reads any more what is written.
func isGone(err error) bool { return errors.Is(err, syscall.EPIPE) || errors.Is(err, io.ErrClosedPipe) }

// grace is how long an interrupted run has to end itself.
const grace = time.Second

// untilInterrupted runs the verb. One that does not end soon after an interrupt is left behind with what it had still to write, and nothing is left of
// its file; ended is false then.
func (c *command) untilInterrupted(args []string) (ended bool, err error) {
	done := make(chan error, 1)
	go func() { done <- c.verb.run(c, args) }()
	select {
	case err := <-done:
		return true, err
	case <-c.ctx.Done():
	}
	select {
	case err := <-done:
		return true, err
	case <-time.After(grace):
	}
	if f := c.file.Load(); f != nil {
		f.Discard()
	}
	return false, errInterrupted
}

// parse reads the flags and gives the other arguments; at least least of them.
func (c *command) parse(args []string, least int) ([]string, error) {
	if err := c.flags.Parse(args); err != nil {
		if errors.Is(err, pflag.ErrHelp) {
			return nil, err
		}
		return nil, misused{err.Error()}
	}
	if c.flags.NArg() < least {
		return nil, misuse("squab %s wants %s", c.verb.name, c.verb.args)
	}
	return c.flags.Args(), nil
}

// status tells of an error, and gives the exit status that it calls for. A reader that has gone away is no error.
func status(v *verb, s streams, err error) int {
	var wrong misused
	switch {
	case err == nil, isGone(err):
		return statusWell
	case errors.Is(err, errProblems):
		return statusProblems
	case errors.As(err, &wrong):
		io.WriteString(s.err, errorText(err))
		if v != nil {
			fmt.Fprintf(s.err, "squab %s --help shows how it is used\n", v.name)
		}
		return statusMisused
	}
	io.WriteString(s.err, errorText(err))
	return statusFile
}

// widest is how many columns of text a person is given at most.
const widest = 100

// errorText writes an error for a person, of joined ones each for itself, on one line where it fits.
func errorText(err error) string {
	var b strings.Builder
	for text := range strings.SplitSeq(err.Error(), "\n") {
		line := "squab: " + print.Harmless(text)
		if diag.Columns(line) > widest {
			line = strings.TrimSuffix(print.Hanging("squab: ", text), "\n")
		}
		b.WriteString(line + "\n")
	}
	return b.String()
}

func writeAll(w io.Writer, text string) error {
	_, err := io.WriteString(w, text)
	return err
}

// mayColour reports whether colour may be written: to a terminal, unless NO_COLOR says otherwise.
func mayColour(w io.Writer) bool { return isTerminal(w) && os.Getenv("NO_COLOR") == "" }

// isTerminal reports whether what is written goes to a terminal that can paint and take back.
func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	if !ok || os.Getenv("TERM") == "dumb" {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0 && !isNull(info)
}

// isNull reports whether a file is the device that swallows all.
func isNull(info os.FileInfo) bool {
	null, err := os.Stat(os.DevNull)
	return err == nil && os.SameFile(info, null)
}

// open reads and checks a book, and tells what is wrong with it.
func (c *command) open(paths []string, f *bookFlags) (*load.Book, error) {
	book, err := load.Open(paths, load.Options{MaxFile: int64(f.maxFile), Stdin: c.in, Library: stdlib.AddTo})
	if err != nil {
		return nil, err
	}
	return book, c.report(book.Files, book.Problems)
}

// tell writes to standard error, after what standard output is still owed. Where nobody reads it any more, the work goes on.
func (c *command) tell(text string) error {
	if text == "" {
		return nil
	}
	c.progress.clear()
	if err := c.stdout.Flush(); err != nil {
		return err
	}
	if err := writeAll(c.err, text); err != nil && !isGone(err) {
		return err
	}
	return nil
}

// report tells of problems in what was read. An error among them sets the exit status, however the run goes on.
func (c *command) report(files *diag.Files, problems []diag.Diagnostic) error {
	c.flawed = c.flawed || hasErrors(problems)
	return c.tell(c.errPage.Problems(files, problems))
}

// refuse tells why an order is refused, unless that has been told with the book's problems.
func (c *command) refuse(files *diag.Files, j job) error {
	c.flawed = true
	if j.told {
		return nil
	}
	return c.tell(refusedHead(j.id) + c.errPage.Problems(files, j.problems))
}

// nothing says why there is no answer: after problems that have been told, because of them; else because of how the command was used.
func (c *command) nothing(why string) error {
	if c.flawed {
		return cmp.Or(c.tell(errorText(errors.New(why))), errProblems)
	}
	return misused{why}
}

func hasErrors(problems []diag.Diagnostic) bool {
	return slices.ContainsFunc(problems, func(d diag.Diagnostic) bool { return d.Severity == diag.Error })
}
