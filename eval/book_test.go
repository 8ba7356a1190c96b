package eval_test

import (
	"fmt"
	"strings"
	"testing"

	"squab/eval"
	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
)

// book is a checked book with what works its orders out.
type book struct {
	files   *diag.Files
	program *check.Program
	engine  *eval.Engine
}

// read checks a book in which nothing is wrong.
func read(t testing.TB, text string) book {
	t.Helper()
	b, problems := tryRead(text)
	for _, d := range problems {
		t.Errorf("%v: %s: %s", b.files.Place(d.At.Start), d.Code, d.Message)
	}
	if len(problems) > 0 {
		t.Log(numbered(text))
		t.FailNow()
	}
	return b
}

func tryRead(text string) (book, []diag.Diagnostic) {
	files := &diag.Files{}
	var problems diag.List
	src := files.Add("heron-quay.squab", text, diag.House)
	tree := lang.Parse(src, lang.Limits{}, &problems)
	program := check.Check(files, []*lang.File{tree}, &problems)
	return book{files, program, &eval.Engine{Program: program}}, problems.All()
}

func numbered(text string) string {
	var b strings.Builder
	for i, line := range strings.Split(text, "\n") {
		fmt.Fprintf(&b, "%4d  %s\n", i+1, line)
	}
	return b.String()
}

// day is the day on which an order without a date is worked out: 2026-04-01.
const day = 20_544

func dayOf(o *check.Order) int64 {
	if o.HasDate {
		return o.Date
	}
	return day
}

// fill fills a sheet for the order with an id.
func (b book) fill(t testing.TB, id string) *eval.Sheet {
	t.Helper()
	o := b.order(t, id)
	s := b.engine.Plan(o.Recipe, dayOf(o), o).NewSheet()
	s.Fill(o)
	return s
}

func (b book) order(t testing.TB, id string) *check.Order {
	t.Helper()
	for _, o := range b.program.Orders {
		if o.ID == id {
			return o
		}
	}
	t.Fatalf("the book has no order %s", id)
	return nil
}

// work works the order with an id out.
func (b book) work(t testing.TB, id string) (*eval.Result, []diag.Diagnostic) {
	t.Helper()
	o := b.order(t, id)
	return b.engine.Work(o, dayOf(o))
}

// shown is a cell as the page shows it, or the code of its fault in brackets.
func shown(t testing.TB, s *eval.Sheet, cell string) string {
	t.Helper()
	i := s.Plan.Slot(cell)
	if i < 0 {
		t.Fatalf("there is no cell %s", cell)
	}
	v, fault := s.Value(i)
	if fault != nil {
		return "(" + fault.Code + ")"
	}
	return s.Plan.Show(v, s.Plan.Slots[i].Cell.Type)
}

// give checks a value for an ask, as it would stand in an order.
func (b book) give(t testing.TB, r *check.Recipe, ask, text string) *check.Cell {
	t.Helper()
	var problems diag.List
	tree := lang.ParseFormula(b.files.Add("given", text, diag.Order), &problems)
	cell := b.program.CheckValue(r.Cell(ask), tree, &problems)
	for _, d := range problems.All() {
		t.Fatalf("%s = %s: %s", ask, text, d.Message)
	}
	return cell
}

func codes(problems []diag.Diagnostic) string {
	var all []string
	for _, d := range problems {
		all = append(all, d.Code)
	}
	return strings.Join(all, " ")
}
