package main

import (
	"encoding/json"
	"fmt"
	"io"
	"runtime"
	"slices"
	"strings"

	"squab/cmd/squab/internal/load"
	"squab/cmd/squab/internal/print"
	"squab/cmd/squab/internal/record"
	"squab/eval/audit"
	"squab/eval/check"
	"squab/eval/orders"
	"squab/lang"
	"squab/lang/diag"
	"squab/stdlib"
	"squab/stdlib/layout"
)

// recordedSides is a record beside the rules of today. The orders are those of the record: as today's files give them where they still do, else as
// they were kept. What the run of the record set is set on both sides.
type recordedSides struct {
	rec    *record.Record
	flags  *cutFlags
	kept   []lang.Decl
	others int   // orders of today that the record does not hold
	err    error // how --set does not fit
}

// compareRecord compares what a record keeps with what today's files give.
func (c *command) compareRecord(out io.Writer, paths []string, f *compareFlags) error {
	rec, err := readRecord(f.record)
	if err != nil {
		return err
	}
	r := &recordedSides{rec: rec, flags: &cutFlags{orderFlags: orderFlags{bookFlags: f.bookFlags}, jobs: runtime.GOMAXPROCS(0)}}
	if err := r.flags.takeFrom(rec, c.now); err != nil {
		return err
	}
	options := load.Options{MaxFile: int64(f.maxFile), Stdin: c.in, Library: stdlib.AddTo}
	pair, err := load.OpenAgainst(rec.Files(), r.old, paths, r.new, options)
	if err != nil {
		return err
	}
	if r.err != nil {
		return r.err
	}
	if err := c.parsed(pair.Files, pair.Problems); err != nil {
		return err
	}
	notes, err := r.notes(c)
	if err != nil {
		return err
	}
	job := comparison{files: pair.Files, before: pair.Old, after: pair.New, run: audit.Runner{Day: r.flags.day, Orders: r.orders}, of: print.OfRecord,
		old: f.record, new: strings.Join(paths, " "), notes: notes}
	if !rec.ByArea {
		job.run.Lay = stdlib.Lay(layout.Effort{Work: rec.Effort, Workers: 1})
	}
	return c.compareBooks(out, job, f.format)
}

// old is the record's side; it is looked at first.
func (r *recordedSides) old(files *diag.Files, trees []*lang.File) ([]*lang.File, []diag.Diagnostic) {
	trees, problems := r.set(files, trees)
	return r.filter(trees, func(d *lang.OrderDecl) bool {
		if !r.wanted(d.ID.Text) {
			return false
		}
		r.kept = append(r.kept, d)
		return true
	}), problems
}

// new is today's side: its own orders where the record has them, and the record's that it lacks.
func (r *recordedSides) new(files *diag.Files, trees []*lang.File) ([]*lang.File, []diag.Diagnostic) {
	trees, problems := r.set(files, trees)
	lacking := slices.Clone(r.kept)
	trees = r.filter(trees, func(d *lang.OrderDecl) bool {
		at := slices.IndexFunc(lacking, func(k lang.Decl) bool { return k.(*lang.OrderDecl).ID.Text == d.ID.Text })
		if at < 0 {
			r.others++
			return false
		}
		lacking = slices.Delete(lacking, at, at+1)
		return true
	})
	return append(trees, &lang.File{Decls: lacking}), problems
}

// wanted reports whether the record's run cut an order of its files.
func (r *recordedSides) wanted(id string) bool {
	return r.rec.Rows == nil && (len(r.rec.Only) == 0 || slices.Contains(r.rec.Only, id))
}

// set puts what the run of the record set of rules, rows and materials into a side.
func (r *recordedSides) set(files *diag.Files, trees []*lang.File) ([]*lang.File, []diag.Diagnostic) {
	s := &bookSetter{flags: &r.flags.orderFlags}
	trees, problems := s.change(files, trees)
	if r.err == nil {
		r.err = s.err
	}
	return trees, problems
}

// filter leaves orders out.
func (r *recordedSides) filter(trees []*lang.File, keep func(*lang.OrderDecl) bool) []*lang.File {
	for i, t := range trees {
		kept := *t
		kept.Decls = slices.DeleteFunc(slices.Clone(t.Decls), func(d lang.Decl) bool {
			order, isOrder := d.(*lang.OrderDecl)
			return isOrder && !keep(order)
		})
		trees[i] = &kept
	}
	return trees
}

// orders are those that a program is to work out: the program's own with what --set gives them, or those of the record's file of rows.
func (r *recordedSides) orders(p *check.Program) []*check.Order {
	if r.rec.Rows != nil {
		return r.rows(p)
	}
	all := slices.Clone(p.Orders)
	for i, o := range all {
		if settings := r.flags.changes[o.ID]; len(settings) > 0 && o.Recipe != nil && !o.Bad {
			all[i] = rowOrder(orders.Change(p, o, setName, settings))
		}
	}
	return all
}

func (r *recordedSides) rows(p *check.Program) []*check.Order {
	recipe := p.Recipe(r.rec.Rows.Recipe)
	var all []*check.Order
	for row := range rowReader(r.rec.Rows.Name, strings.NewReader(r.rec.Rows.Text), p, rowRecipe(recipe)).Rows() {
		if len(r.rec.Only) > 0 && !slices.Contains(r.rec.Only, row.ID) {
			continue
		}
		o := rowOrder(row)
		if settings := r.flags.changes[o.ID]; len(settings) > 0 && !o.Bad {
			o = rowOrder(orders.Change(p, o, setName, settings))
		}
		all = append(all, o)
	}
	return all
}

// rowRecipe stands in for a recipe that is no longer there: its orders are refused for that.
func rowRecipe(recipe *check.Recipe) *check.Recipe {
	if recipe == nil {
		return &check.Recipe{}
	}
	return recipe
}

// rowOrder is a row's order; of a row with problems, one that is refused.
func rowOrder(row orders.Row) *check.Order {
	if row.Order == nil || len(row.Problems) > 0 {
		return &check.Order{ID: row.ID, Bad: true}
	}
	return row.Order
}

// notes says what else is to be known: orders that are left out, and answers of the record that its own rules no longer give.
func (r *recordedSides) notes(c *command) ([]string, error) {
	notes := []string{}
	if r.others > 0 {
		notes = append(notes, fmt.Sprintf("Orders of the files that the record does not hold are left out: %d.", r.others))
	}
	book, err := bookOfRecord(r.rec, r.flags)
	if err != nil {
		return nil, err
	}
	r.flags.only = r.rec.Only
	again, err := c.answers(book, r.flags)
	if err != nil {
		return nil, err
	}
	if changed := record.Compare(r.rec.Answers, json.RawMessage(again), "answers"); len(changed) > 0 {
		notes = append(notes, "The record's own rules, worked out again, do not give what it keeps: "+record.Sentence(changed)+".")
	}
	return notes, nil
}
