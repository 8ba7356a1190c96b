package main

import (
	"cmp"
	"context"
	"errors"
	"io"
	"runtime"
	"time"

	"github.com/spf13/pflag"

	"squab/cmd/squab/internal/load"
	"squab/cmd/squab/internal/print"
	"squab/eval"
	"squab/lang/diag"
	"squab/stdlib"
	"squab/stdlib/layout"
)

func cutVerb() *verb {
	return &verb{name: "cut", args: "FILE...", about: "work orders out: cut list, marks, material, labour, price, cautions", run: (*command).cut, help: `
Works out every order in the files: cut list, marks, material, buying list, labour, price, steps and
cautions. An order with a problem is refused and told of; the others are cut.

  squab cut rules/                                       every order in a folder of *.squab files
  squab cut rules/ --order 1042 --set '1042.wide=48 in'  one order, as if it were wider
  squab cut rules/ --orders week.csv --recipe boxed_cushion --format json --out week.json

In a CSV file of orders the heading names the columns: order, title, off, date, and one for each thing
that the recipe asks; JSON lines have these as keys. An empty field leaves an ask to its default.`}
}

// cutFlags are the flags of cut.
type cutFlags struct {
	orderFlags
	outFlags
	reckonFlags
	jobs     int
	together bool
	verify   bool
	stats    bool
	record   string
}

func (f *cutFlags) add(flags *pflag.FlagSet) {
	f.orderFlags.add(flags)
	f.outFlags.add(flags, "text", "json", "csv (the cut list)", "jsonl (an order a line)")
	flags.IntVar(&f.jobs, "jobs", runtime.GOMAXPROCS(0), "orders worked out side by side, 1000 at most")
	flags.BoolVar(&f.together, "together", false, "also lay the pieces of all orders in one, and say what is then bought")
	flags.BoolVar(&f.verify, "verify", false, "check each layout by code that shares none with what made it; an order with a wrong one is refused")
	flags.BoolVar(&f.stats, "stats", false, "tell on standard error how the orders were worked out")
	f.reckonFlags.add(flags)
}

func (c *command) cut(args []string) error {
	var f cutFlags
	f.add(c.flags)
	c.flags.StringVar(&f.record, "record", "", "also keep rules, orders and answers in this `FILE`, for squab why --record")
	paths, err := c.parse(args, 1)
	if err != nil {
		return err
	}
	if err := f.settle(c.now); err != nil {
		return err
	}
	if f.jobs < 1 || f.jobs > maxJobs {
		return misuse("--jobs is a whole number from 1 to %d", maxJobs)
	}
	if f.record == "-" {
		return misuse("--record keeps a run in a file: give it a name")
	}
	if f.record != "" && samePlace(f.record, f.out) {
		return misuse("--out and --record name one file: give each its own")
	}
	return c.writing(&f.outFlags, func(out io.Writer) error { return c.cutTo(out, paths, &f) })
}

// maxJobs is more than any machine has a use for.
const maxJobs = 1000

// settle reads what the flags say.
func (f *cutFlags) settle(now func() time.Time) error {
	if err := f.orderFlags.settle(now); err != nil {
		return err
	}
	return f.reckonFlags.settle()
}

func (c *command) cutTo(out io.Writer, paths []string, f *cutFlags) error {
	if f.record != "" && f.rows != "" {
		if err := c.keepRows(&f.orderFlags); err != nil {
			return err
		}
	}
	book, err := c.openToCut(paths, &f.orderFlags)
	if err != nil {
		return err
	}
	src, err := c.orders(book, &f.orderFlags)
	if err != nil {
		return err
	}
	defer src.close()
	r := &cutting{command: c, out: out, book: book, src: src, form: c.form(f.format, book), flags: f, engine: engineFor(book, f)}
	if err := r.run(); err != nil || f.record == "" {
		return err
	}
	return c.writeRecord(f.record, book, f)
}

func engineFor(book *load.Book, f *cutFlags) *eval.Engine {
	e := &eval.Engine{Program: book.Program}
	if !f.byArea {
		e.Lay = f.lay(layout.Effort{Work: f.effort, Workers: 1})
	}
	return e
}

// lay is how pieces are laid out.
func (f *cutFlags) lay(effort layout.Effort) eval.LayFunc {
	if f.verify {
		return stdlib.LayVerified(effort)
	}
	return stdlib.Lay(effort)
}

// cutting is one run of cut.
type cutting struct {
	*command
	out     io.Writer
	book    *load.Book
	src     *source
	form    form
	flags   *cutFlags
	engine  *eval.Engine
	desks   chan *desk
	tally   tally
	refused []string
	kept    []*eval.Result // for laying out together
}

// tally counts the orders: all of them are cut or refused.
type tally struct {
	cut, refused int
	refusedIDs   []string
}

func (r *cutting) run() error {
	if err := writeAll(r.out, r.form.begin); err != nil {
		return err
	}
	r.desks = newDesks(r)
	err := inOrder(r.ctx, r.src.blocks(r.blockSize()), r.flags.jobs, r.work, r.emit)
	r.progress.clear()
	if errors.Is(err, context.Canceled) {
		return errInterrupted
	}
	if err != nil {
		return err
	}
	return r.finish()
}

// ordersSideBySide is how many orders one worker takes at a time where none is laid out; an order that is laid out is work enough by itself.
const ordersSideBySide = 256

func (r *cutting) blockSize() int {
	if r.flags.byArea {
		return ordersSideBySide
	}
	return 1
}

// emit is called for each block in turn.
func (r *cutting) emit(block []outcome) error {
	for i := range block {
		if err := r.emitOne(&block[i]); err != nil {
			return err
		}
	}
	return nil
}

func (r *cutting) emitOne(o *outcome) error {
	r.progress.tell(r.tally)
	if err := r.report(r.book.Files, o.before); err != nil {
		return err
	}
	if !o.cut {
		return r.emitRefused(o)
	}
	if r.flags.together {
		r.kept = append(r.kept, o.result)
	}
	if r.tally.cut > 0 {
		if err := writeAll(r.out, r.form.between); err != nil {
			return err
		}
	}
	r.tally.cut++
	_, err := r.out.Write(o.text)
	return err
}

func (r *cutting) emitRefused(o *outcome) error {
	r.tally.refuse(o.id)
	if r.form.apart {
		r.refused = append(r.refused, string(o.text))
	} else if _, err := r.out.Write(o.text); err != nil {
		return err
	}
	return r.command.refuse(r.book.Files, o.job)
}

// finish writes what comes after the orders, and tells what was wrong with where they came from.
func (r *cutting) finish() error {
	together, problems := r.layTogether()
	if err := writeAll(r.out, r.form.end(r.refused, together, r.tally)); err != nil {
		return err
	}
	if err := r.report(r.book.Files, problems); err != nil {
		return err
	}
	err := r.endOf(r.src)
	return cmp.Or(r.tell(r.stats()), err)
}

func (r *cutting) layTogether() (print.Joint, []diag.Diagnostic) {
	if len(r.kept) == 0 {
		return print.Joint{}, nil
	}
	layouts, err := stdlib.TogetherBy(r.kept, r.flags.lay(layout.Effort{Work: r.flags.effort}))
	buy, problems := eval.BuyTogether(r.kept, layouts)
	if err != nil {
		problems = append(problems, diag.Diagnostic{Code: "layout", Message: err.Error()})
	}
	return print.Joint{Orders: r.kept, Layouts: layouts, Buy: buy}, problems
}

// maxRefusedNamed is how many refused orders the last line names.
const maxRefusedNamed = 20

func (t *tally) refuse(id string) {
	if t.refused++; t.refused <= maxRefusedNamed {
		t.refusedIDs = append(t.refusedIDs, cleanID(id))
	}
}
