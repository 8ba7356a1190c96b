package main

import (
	"errors"
	"io"
	"strings"

	"squab/cmd/squab/internal/load"
	"squab/cmd/squab/internal/print"
	"squab/cmd/squab/internal/record"
	"squab/eval"
	"squab/eval/trace"
	"squab/lang"
	"squab/lang/diag"
)

func whyVerb() *verb {
	return &verb{name: "why", args: "CELL FILE...", about: "tell how a number came about, down to the rules and the sizes", run: (*command).why, help: `
Tells how the value of a cell came about: the formula, what went into it, which case or table row was
chosen and why the ones before it were not, what was rounded away, down to the house's rules with their
reasons and the order's own sizes.

  squab why skin.wide rules/ --order 1042        the width to which the cover is cut
  squab why 'buttons[3].x' rules/ --order 1042   where the third button stands
  squab why price.total rules/ --order 1042      the price; buy.NAME and work.NAME are its lines
  squab why layout.cover.used rules/ --order 1042  the cloth taken, and which pieces set its length
  squab why linen.price rules/ --order 1042      a material's field on the order's date
  squab why cover.price rules/ --order 1042      the same of the material that the order gives
  squab why 'seam(cover)' rules/ --order 1042    a rule with what it is given, or any other formula

Where the files hold one order only, --order may be left out. --date works the order out as on that day,
whatever its own: squab why turn_under rules/ --order 1042 --date 2026-02-01`}
}

// traceWidth is how wide a trace is written.
const traceWidth = 80

func (c *command) why(args []string) error {
	var f cutFlags
	f.addQuestion(c.flags)
	f.reckonFlags.add(c.flags)
	c.flags.StringVar(&f.record, "record", "", "explain what this `FILE` keeps of an earlier squab cut --record, without the files")
	paths, err := c.question(args, 1, &f)
	if err != nil {
		return err
	}
	switch {
	case (len(paths) > 1) == (f.record != ""):
		return misuse("squab why wants CELL and FILE..., or CELL with --record")
	case f.record != "" && (c.flags.Changed("by-area") || c.flags.Changed("effort")):
		return misuse("a record keeps its own --by-area and --effort")
	}
	return c.writing(&f.outFlags, func(out io.Writer) error { return c.whyTo(out, paths[0], paths[1:], &f) })
}

func (c *command) whyTo(out io.Writer, cell string, paths []string, f *cutFlags) error {
	book, rec, err := c.openWhy(paths, f)
	if err != nil {
		return err
	}
	j, day, err := c.askedOf(book, f)
	if err != nil {
		return err
	}
	result, err := c.workOne(book, j, day, f)
	if err != nil {
		return err
	}
	node, err := c.explain(book, result, cell)
	if err != nil {
		return err
	}
	if err := writeAll(out, c.whyText(book, node, f.format)); err != nil {
		return err
	}
	return c.whyProblems(book, rec, result, f)
}

// openWhy reads the files, or the record that keeps them.
func (c *command) openWhy(paths []string, f *cutFlags) (*load.Book, *record.Record, error) {
	if f.record == "" {
		book, err := c.openSet(paths, &f.orderFlags)
		return book, nil, err
	}
	return c.openRecord(f.record, f)
}

// whyProblems tells where an order is not as its record keeps it. The error is that there were problems.
func (c *command) whyProblems(book *load.Book, rec *record.Record, r *eval.Result, f *cutFlags) error {
	if rec != nil {
		if other := asRecorded(rec, book, r); other != "" {
			c.flawed = true
			return c.tell(print.Paragraph(print.Harmless("squab: " + f.record + ": " + other)))
		}
	}
	return nil
}

// explain traces what is asked for by name, or else by a formula of the order's recipe.
func (c *command) explain(book *load.Book, r *eval.Result, asked string) (*trace.Node, error) {
	node, err := trace.Explain(r.Sheet, r, asked)
	if err == nil {
		return node, nil
	}
	if !strings.ContainsAny(asked, "( ") {
		return nil, misuse("%v", err)
	}
	var problems diag.List
	tree := lang.ParseFormula(book.Files.Add("the command line", asked, diag.Order), &problems)
	formula := book.Program.CheckFormula(r.Recipe, tree, &problems)
	if problems.HasErrors() {
		return nil, errors.Join(c.report(book.Files, problems.All()), misuse("%q is no formula of %s", asked, r.Recipe.Name))
	}
	return trace.Formula(r.Sheet, r, 0, formula), nil
}

func (c *command) whyText(book *load.Book, node *trace.Node, format string) string {
	if format == "json" {
		return string(print.Line(print.WhyOf(book.Program, node))) + "\n"
	}
	return print.Harmless(trace.Text(node, book.Files, traceWidth))
}

// workOne works the order out, or tells why it is refused.
func (c *command) workOne(book *load.Book, j job, day int64, f *cutFlags) (*eval.Result, error) {
	var result *eval.Result
	var problems []diag.Diagnostic
	c.waiting(func() { result, problems = engineFor(book, f).Work(j.order, day) })
	if len(problems) > 0 {
		j.problems = j.placed(problems)
		return nil, c.cannotAsk(book, j)
	}
	return result, nil
}
