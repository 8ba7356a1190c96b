package main

import (
	"io"
	"os"
	"time"

	"squab/cmd/squab/internal/load"
	"squab/cmd/squab/internal/plain"
	"squab/cmd/squab/internal/print"
	"squab/cmd/squab/internal/whole"
	"squab/stdlib/layout"
)

func layVerb() *verb {
	return &verb{name: "lay", args: "PIECES", about: "lay plain pieces out on a roll, on sheets or on sticks", run: (*command).lay, help: `
Lays out plain pieces, without a recipe. PIECES is a CSV file with the columns name,wide,deep,count,turn
(for sticks name,long,count), or JSON with the same keys: a list of objects, or one on each line.
- is standard input.

  squab lay cushions.csv --form roll --wide '54 in' --repeat-along '9 in'
  squab lay boards.csv --form sheet --wide '48 in' --deep '96 in' --kerf '1/8 in' --guillotine
  squab lay trim.csv --form stick --long '8 ft' --kerf '1/8 in' --format json`}
}

// layFlags are the flags of lay.
type layFlags struct {
	plain.Job
	outFlags
	seconds uint
}

func (f *layFlags) add(c *command) {
	c.flags.StringVar(&f.Form, "form", "roll", "`FORM` of the material: roll, sheet or stick")
	c.flags.StringVar(&f.Wide, "wide", "", "usable width of the roll, or width of a sheet: a `LENGTH` such as '54 in'")
	c.flags.StringVar(&f.Deep, "deep", "", "the other side of a sheet: a `LENGTH`")
	c.flags.StringVar(&f.Long, "long", "", "`LENGTH` of a stick")
	c.flags.StringVar(&f.Kerf, "kerf", "", "`LENGTH` that a saw cut takes away")
	c.flags.StringVar(&f.Along, "repeat-along", "", "`LENGTH` of the pattern repeat along the roll")
	c.flags.StringVar(&f.Across, "repeat-across", "", "`LENGTH` of the pattern repeat across the roll")
	c.flags.StringVar(&f.Shows, "shows", "1/16 in", "`STEP` and unit in which lengths are shown, such as '1 mm'")
	c.flags.BoolVar(&f.Guillotine, "guillotine", false, "every cut of a sheet runs from edge to edge")
	c.flags.UintVar(&f.seconds, "seconds", 0, "search for so many seconds; what is found then depends on the machine")
	c.flags.Int64Var(&f.Effort, "effort", layout.DefaultWork, "how hard to search, in placements tried")
	f.outFlags.add(c.flags, "text or json")
}

func (c *command) lay(args []string) error {
	var f layFlags
	f.add(c)
	paths, err := c.parse(args, 1)
	if err != nil {
		return err
	}
	switch {
	case len(paths) > 1:
		return misuse("squab lay wants one file of pieces")
	case f.format != "text" && f.format != "json":
		return misuse("--format is text or json, not %q", f.format)
	case f.Effort < 1 || f.seconds > 3600:
		return misuse("--effort is 1 or more, and --seconds at most 3600")
	}
	f.Time = time.Duration(f.seconds) * time.Second
	if err := f.Settle(); err != nil {
		return misused{err.Error()}
	}
	out, err := c.output(&f.outFlags)
	if err != nil {
		return err
	}
	return out.keep(c.layTo(out, paths[0], &f))
}

func (c *command) layTo(out io.Writer, path string, f *layFlags) error {
	in, name := c.in, load.StdinName
	if path != "-" {
		file, err := os.Open(path)
		if err != nil {
			return whole.PathError(path, err)
		}
		defer file.Close()
		in, name = file, path
	}
	pieces, problems, err := f.Read(in, name)
	if err != nil {
		return err
	}
	if err := c.tell(c.errPage.Problems(nil, problems)); err != nil {
		return err
	}
	if len(pieces) == 0 && len(problems) > 0 {
		return errProblems
	}
	laid, err := f.Lay(c.ctx, pieces)
	if err != nil {
		return err
	}
	if err := writeAll(out, c.layText(f, laid)); err != nil {
		return err
	}
	if hasErrors(problems) || len(laid.Unplaced) > 0 {
		return errProblems
	}
	return nil
}

func (c *command) layText(f *layFlags, laid plain.Laid) string {
	if f.format == "json" {
		return print.LaidJSON(f.Program(), laid.Layout, laid.Unplaced)
	}
	return c.page.Laid(f.Program(), laid.Layout, laid.Sketch, laid.Unplaced)
}
