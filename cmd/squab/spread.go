package main

import (
	"io"
	"strings"

	"squab/cmd/squab/internal/load"
	"squab/cmd/squab/internal/print"
	"squab/eval/check"
	"squab/eval/spread"
	"squab/lang"
	"squab/lang/diag"
)

func spreadVerb() *verb {
	return &verb{name: "spread", args: "FILE...", about: "tell how far sizes and prices may lie where what is given may be out", run: (*command).spread, help: `
Tells the exact range of each cut size, purchase and price of an order, where its sizes and materials may
be out by their tolerances, and which of them lead to the ends; and warns where a need of the recipe
fails somewhere in the range. An end that could not be proved is marked, with what it cannot go beyond.

  squab spread rules/ --order 1042            by the tolerances that the files state
  squab spread rules/ --order 1042 --tolerance '1042.wide=1/8 in'
  squab spread rules/ --order 1042 --tolerance 'firm_2in.thick=+1/16in-0in'
  squab spread rules/ --order 1042 --by-area  purchases by area alone, so proved`}
}

// spreadFlags are the flags of spread.
type spreadFlags struct {
	cutFlags
	tolerances []string
}

func (c *command) spread(args []string) error {
	var f spreadFlags
	f.addQuestion(c.flags)
	c.flags.StringArrayVar(&f.tolerances, "tolerance", nil, "take `NAME=TOLERANCE` for this run: an order's ask (ID.ask) or a material's field")
	f.reckonFlags.add(c.flags)
	paths, err := c.question(args, 1, &f.cutFlags)
	if err != nil {
		return err
	}
	return c.writing(&f.outFlags, func(out io.Writer) error { return c.spreadTo(out, paths, &f) })
}

func (c *command) spreadTo(out io.Writer, paths []string, f *spreadFlags) error {
	book, j, day, err := c.asked(paths, &f.cutFlags)
	if err != nil {
		return err
	}
	q := spread.Question{Engine: engineFor(book, &f.cutFlags), Order: j.order, Day: day}
	if q.Given, err = c.tolerances(book, j.order, f.tolerances); err != nil {
		return err
	}
	var a spread.Answer
	var problems []diag.Diagnostic
	c.waiting(func() { a, problems = q.Answer() })
	if len(problems) > 0 {
		j.problems = j.placed(problems)
		return c.cannotAsk(book, j)
	}
	if len(a.Inputs) == 0 {
		return misuse("nothing that order %s is given has a tolerance: state one in the files, or with --tolerance", cleanID(j.id))
	}
	text := print.Spread(book.Program, j.order, a)
	if f.format == "json" {
		text = string(print.Line(print.SpreadOf(book.Program, j.order, a))) + "\n"
	}
	return writeAll(out, text)
}

// tolerances reads what --tolerance says, by the names that a question knows: an ask's, or a material's and a field's.
func (c *command) tolerances(book *load.Book, o *check.Order, flags []string) (map[string]*check.Tolerance, error) {
	given := map[string]*check.Tolerance{}
	for _, flag := range flags {
		name, text, ok := strings.Cut(flag, "=")
		front, last, dotted := cutLast(name)
		if !ok || !dotted {
			return nil, misuse("--tolerance is written ID.ask=TOLERANCE or MATERIAL.field=TOLERANCE, as '1042.wide=+1/8 in -0 in', not %q", flag)
		}
		cell, key, err := toleranced(book.Program, o, front, last)
		if err != nil {
			return nil, err
		}
		t, err := c.tolerance(book, cell, text)
		if err != nil {
			return nil, err
		}
		given[key] = t
	}
	return given, nil
}

// toleranced finds the ask or the field that a --tolerance names.
func toleranced(p *check.Program, o *check.Order, front, last string) (*check.Cell, string, error) {
	var names []string
	if front == o.ID {
		for _, a := range o.Recipe.Asks {
			if a.Name == last {
				return a, last, nil
			}
			names = append(names, front+"."+a.Name)
		}
	}
	m := p.Material(front)
	if m != nil && m.Kind.Field(last) != nil {
		return m.Kind.Field(last), front + "." + last, nil
	}
	if m != nil {
		for _, f := range m.Kind.Fields {
			names = append(names, front+"."+f.Name)
		}
	}
	if near := check.Nearest(front+"."+last, names); near != "" {
		return nil, "", misuse("--tolerance: there is no %s.%s; did you mean %s?", front, last, near)
	}
	return nil, "", misuse("--tolerance: %s.%s is no ask of order %s and no field of a material", front, last, cleanID(o.ID))
}

// tolerance reads and checks one tolerance.
func (c *command) tolerance(book *load.Book, cell *check.Cell, text string) (*check.Tolerance, error) {
	var problems diag.List
	tree := lang.ParseTolerance(book.Files.Add("--tolerance", strings.TrimSpace(text), diag.Order), &problems)
	t := book.Program.CheckTolerance(tree, cell.Type, &problems)
	if err := c.report(book.Files, problems.All()); err != nil {
		return nil, err
	}
	if problems.HasErrors() || t == nil {
		return nil, misuse("%q is no tolerance of %s, which is %s", text, cell.Name, cell.Type)
	}
	return t, nil
}
