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

func seekVerb() *verb {
	return &verb{name: "seek", args: "'CELL = VALUE by ASK' FILE...", about: "find the value of an ask for which a cell meets a target", run: (*command).seek, help: `
Finds every value of an ask, over its range, for which a cell is = a value, or <= or >= it, with the
exact value where the cell crosses its target between two steps. The step is a sixteenth of an inch (or
what the shop shows) unless --step says otherwise.

  squab seek 'skin.wide <= 54 in by wide' rules/ --order 1042   the widest from one width of cloth
  squab seek 'price.total <= $400 by deep' rules/ --order 1042 --step '1/2 in'`}
}

// sought is a question to seek: CELL = VALUE by ASK.
var sought = regexp.MustCompile(`^\s*(\S+?)\s*(<=|>=|=|≤|≥)\s*(.+?)\s+by\s+(\S+)\s*$`)

// seekFlags are the flags of seek.
type seekFlags struct {
	cutFlags
	step, from, to string
}

func (c *command) seek(args []string) error {
	var f seekFlags
	f.addQuestion(c.flags)
	c.flags.StringVar(&f.step, "step", "", "the `STEP` of the ask's values that are tried")
	c.flags.StringVar(&f.from, "least", "", "the least `VALUE` of the ask that is tried (default: its range's)")
	c.flags.StringVar(&f.to, "most", "", "the most `VALUE` of the ask that is tried (default: its range's)")
	f.reckonFlags.add(c.flags)
	args, err := c.question(args, 2, &f.cutFlags)
	if err != nil {
		return err
	}
	m := sought.FindStringSubmatch(args[0])
	if m == nil {
		return misuse("what is sought is written 'CELL = VALUE by ASK', as 'skin.wide <= 54 in by wide', not %q", args[0])
	}
	return c.writing(&f.outFlags, func(out io.Writer) error { return c.seekTo(out, m, args[1:], &f) })
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
	var found audit.Found
	c.waiting(func() { found, err = q.Seek(target, where) })
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
	if err := c.report(book.Files, problems.All()); err != nil {
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
