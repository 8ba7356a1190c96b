package page

import (
	"os"
	"path/filepath"
	"testing"

	"squab/eval"
	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
)

// readBook reads a file of testdata as a book of its own, without the trade library.
func readBook(t testing.TB, name string) *check.Program {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	files := &diag.Files{}
	var problems diag.List
	tree := lang.Parse(files.Add(name, string(text), diag.House), lang.Limits{}, &problems)
	program := check.Check(files, []*lang.File{tree}, &problems)
	for _, d := range problems.All() {
		t.Errorf("%+v: %s (%s)", files.Place(d.At.Start), d.Message, d.Code)
	}
	if t.Failed() {
		t.FailNow()
	}
	return program
}

// workedOrders works every order of a book out.
func workedOrders(t testing.TB, program *check.Program) []*eval.Result {
	t.Helper()
	engine := &eval.Engine{Program: program}
	var all []*eval.Result
	for _, o := range program.Orders {
		r, problems := engine.Work(o, o.Date)
		for _, d := range problems {
			t.Errorf("%s: %s", o.ID, d.Message)
		}
		if r != nil {
			all = append(all, r)
		}
	}
	if t.Failed() {
		t.FailNow()
	}
	return all
}

func TestFixture(t *testing.T) {
	if got := len(workedOrders(t, readBook(t, "workroom.squab"))); got != 3 {
		t.Errorf("%d orders, want 3", got)
	}
}
