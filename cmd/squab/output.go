package main

import (
	"cmp"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"squab/cmd/squab/internal/whole"
)

// outFlags say where a result goes and in what form.
type outFlags struct {
	forms  []string // those that there are; none where there is no choice
	format string
	out    string
	force  bool
}

// add declares the flags. The first of the forms is the usual one; what stands behind the name of one is said of it.
func (f *outFlags) add(flags *pflag.FlagSet, forms ...string) {
	for _, form := range forms {
		name, _, _ := strings.Cut(form, " ")
		f.forms = append(f.forms, name)
	}
	flags.StringVar(&f.format, "format", f.forms[0], "`FORM` of the result: "+anyOf(forms))
	flags.StringVar(&f.out, "out", "", "write the result to this `FILE`, which is complete or not there")
	flags.BoolVar(&f.force, "force", false, "let --out replace a file")
}

// anyOf writes a choice: "text, json or csv".
func anyOf(all []string) string {
	last := len(all) - 1
	if last == 0 {
		return all[0]
	}
	return strings.Join(all[:last], ", ") + " or " + all[last]
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

// writing has a result written to where it goes: to standard output, or to a file, which is put in its place with what the error says, or of which
// nothing is left.
func (c *command) writing(f *outFlags, write func(io.Writer) error) error {
	if len(f.forms) > 0 && !slices.Contains(f.forms, f.format) {
		return misuse("--format is %s, not %q", anyOf(f.forms), f.format)
	}
	c.showProgress(f.toStdout())
	if f.toStdout() {
		return write(c.stdout)
	}
	c.page.Colour = false
	file, err := whole.Create(f.out, f.force)
	if err != nil {
		return err
	}
	c.file.Store(file)
	defer file.Discard()
	err = write(file)
	if err != nil && !errors.Is(err, errProblems) {
		return err
	}
	return cmp.Or(file.Commit(), err)
}

func (f *outFlags) toStdout() bool { return f.out == "" || f.out == "-" }
