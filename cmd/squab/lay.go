package main

import (
	"io"
	"os"
	"strings"
	"time"

	"squab/cmd/squab/internal/load"
	"squab/cmd/squab/internal/plain"
	"squab/cmd/squab/internal/print"
	"squab/cmd/squab/internal/whole"
	"squab/eval/orders"
	"squab/lang/diag"
	"squab/stdlib/layout"
)

func layVerb() *verb {
	return &verb{name: "lay", args: "PIECES", about: "lay plain pieces out on a roll, on sheets or on sticks", run: (*command).lay, help: `
Lays out plain pieces, without a recipe. PIECES is a CSV file with the columns name,wide,deep,count,turn
(for sticks name,long,count), or JSON with the same keys: a list of objects, or one on each line.
- is standard input. More columns: order, end_for_end, match_x, match_y, join, panels; for sticks mitre.

  squab lay cushions.csv --form roll --wide '54 in' --repeat-along '9 in'
  squab lay boards.csv --form sheet --wide '48 in' --deep '96 in' --kerf '1/8 in' --guillotine
  squab lay boards.csv --form sheet --size 'wide=4 ft, deep=8 ft, price=$64' \
                       --size 'wide=4 ft, deep=4 ft, price=$36'
  squab lay trim.csv --form stick --long '8 ft' --kerf '1/8 in' --format json

One JSON object may hold it all, with several materials: {"materials": [{"name": "ply", "form": "sheet",
"wide": "48 in", "deep": "96 in"}], "pieces": [{"name": "shelf", "material": "ply", ...}]}. Its keys are
those of the flags, with _ for -, and the lists sizes, flaws, remnants and bias.`}
}

// layFlags are the flags of lay.
type layFlags struct {
	plain.Job
	outFlags
	seconds uint
	verify  bool
}

// measureFlags are those that give a measure of the material: its name there, and what it is.
var measureFlags = [][2]string{
	{"name", "what the material is called: any `TEXT`"},
	{"wide", "usable width of the roll, or width of a sheet: a `LENGTH` such as '54 in'"},
	{"deep", "the other side of a sheet: a `LENGTH`"},
	{"long", "`LENGTH` of a stick, or of what there is of a roll"},
	{"kerf", "`LENGTH` that a saw cut takes away"},
	{"gap", "`LENGTH` kept between pieces on a roll"},
	{"repeat-along", "`LENGTH` of the pattern repeat along the roll"},
	{"repeat-across", "`LENGTH` of the pattern repeat across the roll"},
	{"first-along", "`LENGTH` from the cut end to the first motif"},
	{"first-across", "`LENGTH` from the left selvage to the first motif"},
	{"stages", "most `TIMES` that the direction of cutting a sheet changes, with --guillotine"},
	{"join-loss", "`LENGTH` lost at each join, with --joins"},
	{"least-wide", "least `WIDTH` of an offcut that is named"},
	{"least-deep", "least `DEPTH` of an offcut that is named"},
	{"least-long", "least `LENGTH` of a stick's rest that is named"},
}

// yesFlags are those that say yes to something of the material.
var yesFlags = [][2]string{
	{"half-drop", "every second column of motifs stands half a repeat lower"},
	{"one-way", "nap, or a pattern with a top: no piece is turned, whatever it says"},
	{"guillotine", "every cut of a sheet runs from edge to edge"},
	{"grain", "every piece keeps to the sheet's grain, whatever it says"},
	{"nest", "pieces of a stick with equal mitres share their slanted cut, every second one turned over"},
	{"joins", "a piece may run on from one stick or reel to the next"},
}

func (f *layFlags) add(c *command) {
	c.flags.StringVar(&f.Form, "form", "", "`FORM` of the material: roll (the default), sheet or stick")
	for _, m := range measureFlags {
		c.flags.Var(&setting{&f.Job, m[0], ""}, m[0], m[1])
	}
	for _, y := range yesFlags {
		c.flags.Var(&setting{&f.Job, y[0], "yes"}, y[0], y[1])
		c.flags.Lookup(y[0]).NoOptDefVal = "yes"
	}
	c.flags.StringArrayVar(&f.Lists[plain.Sizes], "size", nil, "a `SIZE` on sale, as 'wide=48 in, deep=96 in, price=$64, only=2'; for sticks long and price (may be given again)")
	c.flags.StringArrayVar(&f.Lists[plain.Flaws], "flaw", nil, "a `PLACE` of the roll to keep clear of, as 'x=3 in, y=40 in, wide=2 in, deep=1 in' (may be given again)")
	c.flags.StringArrayVar(&f.Lists[plain.Remnants], "remnant", nil, "a `SIZE` of the same cloth to use first, as 'wide=54 in, deep=30 in' (may be given again)")
	c.flags.StringArrayVar(&f.Lists[plain.Bias], "bias", nil, "a `STRIP` cut at 45 degrees, as 'name=piping, wide=1 3/4 in, long=200 in, seam=1/2 in' (may be given again)")
	c.flags.StringVar(&f.Shows, "shows", "1/16 in", "`STEP` and unit in which lengths are shown, such as '1 mm'")
	c.flags.StringVar(&f.Currency, "currency", "USD", "`CODE` of the currency of prices")
	c.flags.UintVar(&f.seconds, "seconds", 0, "search for so many seconds; what is found then depends on the machine")
	c.flags.Int64Var(&f.Effort, "effort", layout.DefaultWork, "how hard to search, in placements tried")
	c.flags.BoolVar(&f.verify, "verify", false, "check each layout by code that shares none with what made it, and say what it finds")
	f.outFlags.add(c.flags, "text", "json", "svg (a drawing)")
}

// setting is a flag that gives a measure of the material.
type setting struct {
	job  *plain.Job
	flag string
	kind string // "yes" where it has no value of its own
}

// String is empty: no measure is given unless its flag is.
func (s *setting) String() string { return "" }

// Type names the value in a help text.
func (s *setting) Type() string { return s.kind }

// Set takes the value as it is written; it is read with the material.
func (s *setting) Set(text string) error {
	s.job.Given = append(s.job.Given, orders.Setting{Name: strings.ReplaceAll(s.flag, "-", "_"), Text: text})
	return nil
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
	case f.Effort < 1 || f.seconds > 3600:
		return misuse("--effort is 1 or more, and --seconds at most 3600")
	}
	f.Time = time.Duration(f.seconds) * time.Second
	if f.seconds == 0 && c.flags.Changed("seconds") {
		f.Effort = 1 // the first answer, without a search
	}
	if err := f.Settle(); err != nil {
		return misused{err.Error()}
	}
	return c.writing(&f.outFlags, func(out io.Writer) error { return c.layTo(out, paths[0], &f) })
}

func (c *command) layTo(out io.Writer, path string, f *layFlags) error {
	problems, err := c.readPieces(path, f)
	if err != nil {
		return err
	}
	if err := c.report(nil, problems); err != nil {
		return err
	}
	if f.Pieces() == 0 && len(problems) > 0 {
		return errProblems
	}
	if f.format == "svg" && f.Materials() > 1 {
		return misuse("--format svg draws one material, and the file has %d", f.Materials())
	}
	return c.layRead(out, f)
}

// layRead lays what has been read.
func (c *command) layRead(out io.Writer, f *layFlags) error {
	var laid []plain.Laid
	var err error
	c.waiting(func() { laid, err = f.Lay(c.ctx) })
	if err != nil {
		return c.cannotLay(err)
	}
	return c.writeLaid(out, f, laid)
}

// readPieces reads a file of pieces, or what is piped in.
func (c *command) readPieces(path string, f *layFlags) ([]diag.Diagnostic, error) {
	in, name := c.in, load.StdinName
	if path != "-" {
		file, err := os.Open(path)
		if err != nil {
			return nil, whole.PathError(path, err)
		}
		defer file.Close()
		in, name = file, path
	}
	problems, err := f.Read(in, name)
	if plain.IsMisuse(err) {
		return nil, misused{err.Error()}
	}
	return problems, err
}

// cannotLay tells that nothing can be laid at all.
func (c *command) cannotLay(err error) error {
	if c.ctx.Err() != nil {
		return errInterrupted
	}
	return c.report(nil, []diag.Diagnostic{{Code: "layout", Message: err.Error()}})
}

// writeLaid writes the layouts. A piece that is not laid is a problem, and so is what a check finds.
func (c *command) writeLaid(out io.Writer, f *layFlags, laid []plain.Laid) error {
	all := make([]print.Laid, len(laid))
	for i := range laid {
		l := &laid[i]
		all[i] = print.Laid{Layout: l.Layout, Unplaced: l.Unplaced}
		if f.format == "text" {
			all[i].Sketch = l.Sketch()
		}
		if f.verify {
			all[i].Faults = faults(l)
			all[i].Verified = len(all[i].Faults) == 0
		}
		c.flawed = c.flawed || len(l.Unplaced) > 0 || len(all[i].Faults) > 0
	}
	return writeAll(out, c.laidText(f, laid, all))
}

func faults(l *plain.Laid) []string {
	var all []string
	for _, err := range l.Verify() {
		all = append(all, err.Error())
	}
	return all
}

func (c *command) laidText(f *layFlags, laid []plain.Laid, all []print.Laid) string {
	switch f.format {
	case "json":
		return print.LaidJSON(f.Program(), all)
	case "svg":
		return laid[0].SVG()
	}
	return c.page.Laid(f.Program(), all)
}
