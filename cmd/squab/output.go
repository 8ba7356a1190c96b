package main

import (
	"errors"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/pflag"

	"squab/cmd/squab/internal/whole"
)

// outFlags say where a result goes and in what form.
type outFlags struct {
	format string
	out    string
	force  bool
}

func (f *outFlags) add(flags *pflag.FlagSet, formats string) {
	flags.StringVar(&f.format, "format", "text", "`FORM` of the result: "+formats)
	flags.StringVar(&f.out, "out", "", "write the result to this `FILE`, which is complete or not there")
	flags.BoolVar(&f.force, "force", false, "let --out replace a file")
}

// output is where a result goes.
type output struct {
	io.Writer
	file *whole.File // nil for standard output
}

// samePlace reports whether two paths lead to one file, there already or not.
func samePlace(a, b string) bool {
	if info, err := os.Stat(a); err == nil {
		other, err := os.Stat(b)
		return err == nil && os.SameFile(info, other)
	}
	a, errA := filepath.Abs(a)
	b, errB := filepath.Abs(b)
	return errA == nil && errB == nil && a == b
}

// output opens where the result goes. Close ends it; a result that is not kept leaves no file.
func (c *command) output(f *outFlags) (*output, error) {
	c.showProgress(f.toStdout())
	if f.toStdout() {
		return &output{Writer: c.stdout}, nil
	}
	c.page.Colour = false
	file, err := whole.Create(f.out, f.force)
	if err != nil {
		return nil, err
	}
	c.file.Store(file)
	return &output{file, file}, nil
}

func (f *outFlags) toStdout() bool { return f.out == "" || f.out == "-" }

// keep ends an output: with what err says, the file is put in its place or nothing is left of it.
func (o *output) keep(err error) error {
	if o.file == nil {
		return err
	}
	if err != nil && !errors.Is(err, errProblems) {
		o.file.Discard()
		return err
	}
	if failed := o.file.Commit(); failed != nil {
		return failed
	}
	return err
}
