package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"squab/cmd/squab/internal/load"
	"squab/cmd/squab/internal/print"
	"squab/eval"
	"squab/eval/check"
	"squab/eval/trace"
	"squab/lang/diag"
	"squab/stdlib"
	"squab/stdlib/layout"
)

func proveVerb() *verb {
	return &verb{name: "prove", args: "[FILE...]", about: "run the proofs: worked examples that the rules must give", run: (*command).prove, help: `
Runs the proofs in the files and in the trade library: worked examples, each with the source of its
figures, that the rules must still give.

  squab prove                        the trade library's own proofs
  squab prove rules/                 those, and the house's
  squab prove rules/ --reach         also lists what no proof and no order has used`}
}

// proveFlags are the flags of prove.
type proveFlags struct {
	orderFlags
	outFlags
	reach, quiet bool
}

func (c *command) prove(args []string) error {
	var f proveFlags
	c.flags.BoolVar(&f.reach, "reach", false, "list the rules, cases, rows and materials that nothing used")
	c.flags.BoolVar(&f.quiet, "quiet", false, "tell only of proofs that fail")
	c.flags.StringVar(&f.date, "date", "", "the `DATE` of proofs and orders that give none (default: today)")
	f.bookFlags.add(c.flags)
	f.outFlags.add(c.flags, "text")
	paths, err := c.parse(args, 0)
	if err != nil {
		return err
	}
	if err := f.settleDate(c.now); err != nil {
		return err
	}
	return c.writing(&f.outFlags, func(out io.Writer) error { return c.proveTo(out, paths, &f) })
}

func (c *command) proveTo(out io.Writer, paths []string, f *proveFlags) error {
	book, err := c.open(paths, &f.bookFlags)
	if err != nil {
		return err
	}
	if !book.Program.Sound {
		return errProblems
	}
	e := &eval.Engine{Program: book.Program, Lay: stdlib.Lay(layout.Effort{Work: 1, Workers: 1})}
	p := prover{command: c, book: book, engine: e, day: f.day, quiet: f.quiet}
	for _, proof := range book.Program.Proofs {
		if c.ctx.Err() != nil {
			return errInterrupted
		}
		if err := writeAll(out, p.one(proof)); err != nil {
			return err
		}
	}
	if err := writeAll(out, p.closing()); err != nil {
		return err
	}
	c.flawed = c.flawed || p.failed > 0
	if f.reach {
		return writeAll(out, p.reachText())
	}
	return nil
}

// prover runs proofs and counts them.
type prover struct {
	*command
	book         *load.Book
	engine       *eval.Engine
	day          int64
	quiet        bool
	hold, failed int
	reach        trace.Reach
}

// one runs a proof and says what came of it.
func (p *prover) one(proof *check.Order) string {
	if proof.Bad {
		p.failed++
		return "FAILS  " + p.title(proof) + "  (see the problems above)\n"
	}
	proved := p.engine.Prove(proof, p.day)
	p.reach.Add(proved.Sheet)
	if !proved.Holds() {
		p.failed++
		return "FAILS  " + p.title(proof) + "\n" + p.details(proved)
	}
	p.hold++
	if p.quiet {
		return ""
	}
	return "holds  " + p.title(proof) + "\n"
}

func (p *prover) title(proof *check.Order) string {
	title := cleanID(proof.ID)
	if proof.Source != "" {
		title += "  [" + cleanID(proof.Source) + "]"
	}
	return title
}

func (p *prover) details(proved eval.Proved) string {
	var b strings.Builder
	b.WriteString(p.page.Problems(p.book.Files, proved.Problems))
	if len(proved.Lines) == 0 {
		b.WriteString("       it expects nothing, so it proves nothing\n")
	}
	for _, l := range proved.Lines {
		place := p.book.Files.Place(l.Expect.At.Start)
		switch {
		case l.Holds:
		case l.Fault != nil:
			b.WriteString(print.Hanging("       ", fmt.Sprintf("%s:%d: %s: %s", place.File, place.Line, l.Expect.Text, l.Fault.Message)))
		default:
			b.WriteString(print.Hanging("       ", fmt.Sprintf("%s:%d: %s, but it is %s", place.File, place.Line, l.Expect.Text, l.Got)))
		}
	}
	return b.String()
}

func (p *prover) closing() string {
	if p.hold+p.failed == 0 {
		return "There are no proofs.\n"
	}
	return fmt.Sprintf("%s: %d hold, %d fail.\n", print.Counted(p.hold+p.failed, "proof"), p.hold, p.failed)
}

// reachText lists what neither the proofs nor the orders have used, layer by layer.
func (p *prover) reachText() string {
	for _, o := range p.book.Program.Orders {
		if o.Bad || o.Recipe == nil {
			continue
		}
		day := p.day
		if o.HasDate {
			day = o.Date
		}
		if r, problems := p.engine.Work(o, day); len(problems) == 0 {
			p.reach.Add(r.Sheet)
		}
	}
	var b strings.Builder
	for _, layer := range []diag.Layer{diag.Trade, diag.House} {
		dead := trace.Dead(p.book.Program, layer)
		for _, u := range p.reach.Unreached(p.book.Program, layer) {
			place := p.book.Files.Place(u.At.Start)
			text := strings.TrimSpace(u.What + " " + u.Text)
			if slices.ContainsFunc(dead, func(r *check.Rule) bool { return r.At == u.At }) {
				text += ", which nothing reads"
			}
			b.WriteString(print.Hanging("not used: ", fmt.Sprintf("%s:%d:%d: %s", place.File, place.Line, place.Column, text)))
		}
	}
	if b.Len() == 0 {
		return "Everything is used by a proof or an order.\n"
	}
	return b.String()
}
