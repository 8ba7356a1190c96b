package main

import (
	"io"

	"squab/cmd/squab/internal/print"
	"squab/eval/audit"
	"squab/eval/check"
)

func leanVerb() *verb {
	return &verb{name: "lean", args: "CELL FILE...", about: "rank the sizes, rules and materials that a cell leans on", run: (*command).lean, help: `
Ranks what a cell leans on by how far it moves for one small step of each: a sixteenth of an inch (or
what the shop shows) of a length, one of a count, a hundredth of anything else: asks, rules whatever they
are given, and materials' fields. What stands first must be measured with the most care.

  squab lean skin.wide rules/ --order 1042`}
}

// leanFlags are the flags of lean.
type leanFlags struct {
	cutFlags
	share bool
}

func (c *command) lean(args []string) error {
	var f leanFlags
	f.addQuestion(c.flags)
	f.reckonFlags.add(c.flags)
	c.flags.BoolVar(&f.share, "share", false, "move lengths too by a hundredth of themselves")
	args, err := c.question(args, 2, &f.cutFlags)
	if err != nil {
		return err
	}
	return c.writing(&f.outFlags, func(out io.Writer) error { return c.leanTo(out, args[0], args[1:], &f) })
}

func (c *command) leanTo(out io.Writer, cell string, paths []string, f *leanFlags) error {
	book, j, day, err := c.asked(paths, &f.cutFlags)
	if err != nil {
		return err
	}
	if _, err := c.workOne(book, j, day, &f.cutFlags); err != nil {
		return err
	}
	q := audit.Question{Engine: engineFor(book, &f.cutFlags), Order: j.order, Day: day, Cell: cell}
	q.Share = f.share
	var leans []audit.Lean
	var kind check.Type
	c.waiting(func() { leans, kind, err = q.Leans() })
	if err != nil {
		return misuse("%v", err)
	}
	text := print.Leans(book.Program, cell, kind, leans)
	if f.format == "json" {
		text = string(print.Line(print.LeansOf(book.Program, cell, kind, leans))) + "\n"
	}
	return writeAll(out, text)
}
