package main

import (
	"io"

	"squab/cmd/squab/internal/load"
	"squab/cmd/squab/internal/print"
	"squab/eval/trace"
	"squab/stdlib"
)

func reachVerb() *verb {
	return &verb{name: "reach", args: "NAME FILE...", about: "tell what rests on a rule, table row, material or ask", run: (*command).reach, help: `
Tells what rests on a rule, a row of a table, a material, a field of one, or a recipe's ask: first what
of the book may rest on it in any order, then the orders in which it was used, with the cells, purchases
and prices of each that it went into, by the cases chosen and the branches taken on the order's date.

  squab reach seam rules/                 a rule or table, with its amendments
  squab reach 'strip_wide[2]' rules/      one row of a table, counted from 1, or one case of a rule
  squab reach harbour_tweed rules/        a material; harbour_tweed.price is one field of it
  squab reach buttoned_lid.across rules/  an ask of a recipe, or any cell of one`}
}

func (c *command) reach(args []string) error {
	f := cutFlags{reckonFlags: reckonFlags{byArea: true, effort: usualEffort}}
	f.addQuestion(c.flags)
	paths, err := c.question(args, 2, &f)
	if err != nil {
		return err
	}
	return c.writing(&f.outFlags, func(out io.Writer) error { return c.reachTo(out, paths[0], paths[1:], &f) })
}

func (c *command) reachTo(out io.Writer, name string, paths []string, f *cutFlags) error {
	book, err := c.openSet(paths, &f.orderFlags)
	if err != nil {
		return err
	}
	target, err := trace.FindTarget(book.Program, name)
	if err != nil {
		return misuse("%v", err)
	}
	answer := print.ReachAnswer{Target: target, Book: target.Reach(book.Program, stdlib.LaidBy())}
	if err := c.reachOrders(book, f, &answer); err != nil {
		return err
	}
	text := print.Reach(book.Files, answer)
	if f.format == "json" {
		text = string(print.Line(print.ReachOf(book.Files, answer))) + "\n"
	}
	return writeAll(out, text)
}

// reachOrders works the orders out and takes in which of them used the target. Layouts are left out: which cells go into them is known without.
func (c *command) reachOrders(book *load.Book, f *cutFlags, answer *print.ReachAnswer) error {
	src, err := c.orders(book, &f.orderFlags)
	if err != nil {
		return err
	}
	defer src.close()
	e := engineFor(book, f)
	done := tally{}
	return c.eachOrder(src, func(j job) error {
		c.progress.tell(done)
		if r := src.work(e, &j); r != nil {
			done.cut++
			answer.Add(r, answer.Target.In(r, stdlib.LaidBy()))
			return nil
		}
		done.refused++
		c.flawed = true // the answer names it
		answer.Refused = append(answer.Refused, cleanID(j.id))
		return nil
	})
}
