package main

import (
	"fmt"
	"io"
	"iter"
	"os"
	"slices"
	"strings"

	"squab/cmd/squab/internal/load"
	"squab/cmd/squab/internal/whole"
	"squab/eval"
	"squab/eval/check"
	"squab/eval/orders"
	"squab/lang/diag"
)

// job is one order to be worked out. An order with problems is refused as it is.
type job struct {
	id       string
	order    *check.Order
	problems []diag.Diagnostic
	told     bool // the problems have been told already, with the book's
	row      *orders.Row
	before   []diag.Diagnostic // found in the file of orders up to here
}

// placed puts problems of working the order out at their place in the file that it came from.
func (j job) placed(problems []diag.Diagnostic) []diag.Diagnostic {
	if j.row == nil {
		return problems
	}
	return j.row.Placed(problems)
}

// source gives the jobs of a run, and afterwards what was wrong with where they came from.
type source struct {
	flags   *orderFlags
	book    *load.Book
	reader  *orders.Reader // nil where the orders are the book's own
	changed map[string]bool
	found   map[string]bool
	told    int // how many of the reader's problems have been handed on
	close   func()
}

// orders opens where the orders come from.
func (c *command) orders(book *load.Book, f *orderFlags) (*source, error) {
	s := &source{flags: f, book: book, changed: map[string]bool{}, found: map[string]bool{}, close: func() {}}
	if f.rows == "" {
		return s, nil
	}
	recipe := book.Program.Recipe(f.recipe)
	if recipe == nil {
		return nil, unknownRecipe(book.Program, f.recipe)
	}
	in, err := c.openRows(f)
	if err != nil {
		return nil, err
	}
	s.close = func() { in.Close() }
	s.reader = rowReader(f.rows, in, book.Program, recipe)
	return s, nil
}

// openRows opens the file of rows, or gives what has been read of it.
func (c *command) openRows(f *orderFlags) (io.ReadCloser, error) {
	switch {
	case f.rowText != nil:
		return io.NopCloser(strings.NewReader(*f.rowText)), nil
	case f.rows == "-":
		return io.NopCloser(c.in), nil
	}
	file, err := os.Open(f.rows)
	if err != nil {
		return nil, whole.PathError(f.rows, err)
	}
	return file, nil
}

// rowReader reads a name that ends in .jsonl or .ndjson as JSON lines, and from - what its first byte shows.
func rowReader(path string, in io.Reader, p *check.Program, recipe *check.Recipe) *orders.Reader {
	if path == "-" {
		return sniffed(in, p, recipe)
	}
	if strings.HasSuffix(path, ".jsonl") || strings.HasSuffix(path, ".ndjson") {
		return orders.JSONLines(in, path, p, recipe)
	}
	return orders.CSV(in, path, p, recipe)
}

// sniffed takes input that begins with a brace for JSON lines.
func sniffed(in io.Reader, p *check.Program, recipe *check.Recipe) *orders.Reader {
	sign, in := load.FirstSign(in)
	if sign == '{' {
		return orders.JSONLines(in, load.StdinName, p, recipe)
	}
	return orders.CSV(in, load.StdinName, p, recipe)
}

func unknownRecipe(p *check.Program, name string) error {
	var names []string
	for _, r := range p.Recipes {
		names = append(names, r.Name)
	}
	if near := check.Nearest(name, names); near != "" {
		return misuse("there is no recipe %q; did you mean %s?", name, near)
	}
	return misuse("there is no recipe %q", name)
}

// jobs gives the orders that the flags choose, in the order in which they stand.
func (s *source) jobs() iter.Seq[job] {
	return func(yield func(job) bool) {
		for j := range s.all() {
			if !s.chosen(j.id) {
				continue
			}
			j.before = s.news()
			if !yield(s.change(j)) {
				return
			}
		}
	}
}

// blocks gives the jobs some at a time.
func (s *source) blocks(size int) iter.Seq[[]job] {
	return func(yield func([]job) bool) {
		block := make([]job, 0, size)
		for j := range s.jobs() {
			if block = append(block, j); len(block) < size {
				continue
			}
			if !yield(block) {
				return
			}
			block = make([]job, 0, size)
		}
		if len(block) > 0 {
			yield(block)
		}
	}
}

// news gives what has been found wrong with the file of orders since it was last asked.
func (s *source) news() []diag.Diagnostic {
	if s.reader == nil {
		return nil
	}
	all := s.reader.Problems()
	fresh := all[s.told:]
	s.told = len(all)
	return fresh
}

func (s *source) chosen(id string) bool {
	if len(s.flags.only) == 0 {
		return true
	}
	if slices.Contains(s.flags.only, id) {
		s.found[id] = true
		return true
	}
	return false
}

func (s *source) all() iter.Seq[job] {
	if s.reader == nil {
		return s.bookJobs
	}
	return s.rowJobs
}

func (s *source) bookJobs(yield func(job) bool) {
	for _, o := range s.book.Program.Orders {
		j := job{id: o.ID, order: o}
		if o.Bad {
			j.problems, j.told = s.book.ProblemsOf(o), true
		}
		if !yield(s.unsound(j)) {
			return
		}
	}
}

func (s *source) rowJobs(yield func(job) bool) {
	for row := range s.reader.Rows() {
		if !yield(s.unsound(job{id: row.ID, order: row.Order, problems: row.Problems, row: &row})) {
			return
		}
	}
}

// unsound refuses every order where the rules themselves have problems.
func (s *source) unsound(j job) job {
	if s.book.Program.Sound || len(j.problems) > 0 {
		return j
	}
	d := diag.Diagnostic{Code: "rules-unsound", Message: "the rules have problems, so no order is worked out", Help: "mend the problems told first"}
	if j.order != nil {
		d.At = j.order.At
	}
	if j.row != nil {
		d = j.row.Placed([]diag.Diagnostic{d})[0]
	}
	j.problems, j.told = []diag.Diagnostic{d}, true
	return j
}

// change puts the values that --set gives into an order.
func (s *source) change(j job) job {
	settings := s.flags.changes[j.id]
	if len(settings) == 0 {
		return j
	}
	s.changed[j.id] = true
	if j.order == nil || j.order.Recipe == nil || len(j.problems) > 0 {
		return j
	}
	row := orders.Change(s.book.Program, j.order, setName, settings)
	j.problems, j.row = row.Problems, &row
	return j
}

// day is the day by whose rules an order is worked out.
func (s *source) day(o *check.Order) int64 {
	if o.HasDate {
		return o.Date
	}
	return s.flags.day
}

// work works a job out by itself; nil where it is refused, with what is wrong in the job.
func (s *source) work(e *eval.Engine, j *job) *eval.Result {
	if len(j.problems) > 0 || j.order == nil {
		return nil
	}
	result, problems := e.Work(j.order, s.day(j.order))
	if len(problems) == 0 {
		return result
	}
	j.problems = j.placed(problems)
	return nil
}

// eachOrder hands the orders on one after another, and tells on the way what is wrong with where they come from.
func (c *command) eachOrder(src *source, take func(job) error) error {
	for j := range src.jobs() {
		if c.ctx.Err() != nil {
			return errInterrupted
		}
		if err := c.report(src.book.Files, j.before); err != nil {
			return err
		}
		if err := take(j); err != nil {
			return err
		}
	}
	return c.endOf(src)
}

// endOf tells what was wrong with where the orders came from. The error is that they could not be read to the end, or that one was named which is not
// among them.
func (c *command) endOf(src *source) error {
	if err := c.report(src.book.Files, src.news()); err != nil {
		return err
	}
	if src.reader != nil && src.reader.Err() != nil {
		return src.reader.Err()
	}
	return src.missing()
}

// missing tells of orders that flags named and that were not there.
func (s *source) missing() error {
	for _, id := range s.flags.only {
		if !s.found[id] {
			return misuse("there is no order %s%s", id, s.near(id))
		}
	}
	for _, set := range s.flags.sets {
		name, _, _ := strings.Cut(set, "=")
		id, _, _ := cutLast(name)
		if _, ofOrder := s.flags.changes[id]; ofOrder && !s.changed[id] {
			return misuse("--set names the order %s, which is not among those worked out%s", id, s.near(id))
		}
	}
	return nil
}

func (s *source) near(id string) string {
	if s.reader != nil {
		return ""
	}
	var ids []string
	for _, o := range s.book.Program.Orders {
		ids = append(ids, o.ID)
	}
	if near := check.Nearest(id, ids); near != "" {
		return fmt.Sprintf("; did you mean %s?", near)
	}
	return ""
}
