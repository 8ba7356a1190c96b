package main

import (
	"io"
	"regexp"
	"strings"

	"squab/cmd/squab/internal/load"
	"squab/cmd/squab/internal/print"
	"squab/eval"
	"squab/eval/audit"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang"
	"squab/lang/diag"
)

// sought is a question to seek: CELL = VALUE by ASK.
var sought = regexp.MustCompile(`^\s*(\S+?)\s*(<=|>=|=|≤|≥)\s*(.+?)\s+by\s+(\S+)\s*$`)

// questionEffort keeps a question that lays out many times over short: it is spent on each layout.
const questionEffort = 20_000

// seekFlags are the flags of seek.
type seekFlags struct {
	cutFlags
	step, from, to string
}

func (c *command) seek(args []string) error {
	var f seekFlags
	f.orderFlags.add(c.flags)
	f.outFlags.add(c.flags, "text or json")
	c.flags.StringVar(&f.step, "step", "", "the `STEP` of the ask's values that are tried")
	c.flags.StringVar(&f.from, "least", "", "the least `VALUE` of the ask that is tried (default: its range's)")
	c.flags.StringVar(&f.to, "most", "", "the most `VALUE` of the ask that is tried (default: its range's)")
	c.flags.BoolVar(&f.byArea, "by-area", false, "reckon material by area alone, without laying out")
	c.flags.Int64Var(&f.effort, "effort", questionEffort, "how hard to search for each layout, in placements tried")
	args, err := c.parse(args, 2)
	if err != nil {
		return err
	}
	if err := f.settle(c.now); err != nil {
		return err
	}
	if f.format != "text" && f.format != "json" {
		return misuse("--format is text or json, not %q", f.format)
	}
	m := sought.FindStringSubmatch(args[0])
	if m == nil {
		return misuse("what is sought is written 'CELL = VALUE by ASK', as 'skin.wide <= 54 in by wide', not %q", args[0])
	}
	out, err := c.output(&f.outFlags)
	if err != nil {
		return err
	}
	return out.keep(c.seekTo(out, m, args[1:], &f))
}

func (c *command) seekTo(out io.Writer, m []string, paths []string, f *seekFlags) error {
	book, j, day, err := c.asked(paths, &f.cutFlags)
	if err != nil {
		return err
	}
	q := audit.Question{Engine: engineFor(book, &f.cutFlags), Order: j.order, Day: day, Cell: m[1], Ask: m[4]}
	kind, ask, err := q.Kinds()
	if err != nil {
		return misuse("%v", err)
	}
	target := audit.Target{Op: operator(m[2])}
	if target.Value, err = c.measure(book, m[3], kind); err != nil {
		return err
	}
	where, err := c.where(book, f, ask)
	if err != nil {
		return err
	}
	found, err := q.Seek(target, where)
	if err != nil {
		return misuse("%v", err)
	}
	text := print.Found(book.Program, m[1], m[2]+" "+m[3], found)
	if f.format == "json" {
		text = string(print.Line(print.FoundOf(book.Program, m[1], found))) + "\n"
	}
	return writeAll(out, text)
}

func operator(text string) lang.BinaryOp {
	switch text {
	case "<=", "≤":
		return lang.Le
	case ">=", "≥":
		return lang.Ge
	}
	return lang.Eq
}

// where reads the flags that say which values are tried.
func (c *command) where(book *load.Book, f *seekFlags, ask check.Type) (audit.Search, error) {
	var s audit.Search
	for _, flag := range []struct {
		text string
		to   **quantity.Number
	}{{f.step, &s.Step}, {f.from, &s.From}, {f.to, &s.To}} {
		if flag.text == "" {
			continue
		}
		n, err := c.measure(book, flag.text, ask)
		if err != nil {
			return s, err
		}
		*flag.to = &n
	}
	if s.Step != nil {
		if sign, _ := s.Step.Sign(); sign <= 0 {
			return s, misuse("--step must be more than nothing")
		}
	}
	return s, nil
}

// measure reads a measure given on the command line as a formula of the language.
func (c *command) measure(book *load.Book, text string, kind check.Type) (quantity.Number, error) {
	var problems diag.List
	src := book.Files.Add("the command line", strings.TrimSpace(text), diag.Order)
	tree := lang.ParseFormula(src, &problems)
	kind.Whole = false
	cell := book.Program.CheckValue(&check.Cell{Name: "the value", Type: kind}, tree, &problems)
	if err := c.tell(c.errPage.Problems(book.Files, problems.All())); err != nil {
		return quantity.Number{}, err
	}
	if problems.HasErrors() {
		return quantity.Number{}, misuse("%q is not a value that can be asked for here", text)
	}
	s := (&eval.Engine{Program: book.Program}).Plan(nil, 0, nil).NewSheet()
	v, fault := s.Scope(0).Eval(cell.Expr)
	if fault != nil {
		return quantity.Number{}, misuse("%s: %v", text, fault)
	}
	return v.Num, nil
}

// leanFlags are the flags of lean.
type leanFlags struct {
	cutFlags
	share bool
}

func (c *command) lean(args []string) error {
	var f leanFlags
	f.orderFlags.add(c.flags)
	f.outFlags.add(c.flags, "text or json")
	c.flags.BoolVar(&f.byArea, "by-area", false, "reckon material by area alone, without laying out")
	c.flags.Int64Var(&f.effort, "effort", questionEffort, "how hard to search for each layout, in placements tried")
	c.flags.BoolVar(&f.share, "share", false, "move lengths too by a hundredth of themselves")
	args, err := c.parse(args, 2)
	if err != nil {
		return err
	}
	if err := f.settle(c.now); err != nil {
		return err
	}
	if f.format != "text" && f.format != "json" {
		return misuse("--format is text or json, not %q", f.format)
	}
	out, err := c.output(&f.outFlags)
	if err != nil {
		return err
	}
	return out.keep(c.leanTo(out, args[0], args[1:], &f))
}

func (c *command) leanTo(out io.Writer, cell string, paths []string, f *leanFlags) error {
	book, j, day, err := c.asked(paths, &f.cutFlags)
	if err != nil {
		return err
	}
	q := audit.Question{Engine: engineFor(book, &f.cutFlags), Order: j.order, Day: day, Cell: cell}
	q.Share = f.share
	leans, kind, err := q.Leans()
	if err != nil {
		return misuse("%v", err)
	}
	text := print.Leans(book.Program, cell, kind, leans)
	if f.format == "json" {
		text = string(print.Line(print.LeansOf(book.Program, cell, kind, leans))) + "\n"
	}
	return writeAll(out, text)
}
