package page

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
	"squab/stdlib"
	"squab/stdlib/layout"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden holds a text against a file of testdata/golden.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", "golden", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s (-want +got):\n%s", name, diff)
	}
}

// parseBook checks a text as a book of its own, without the trade library.
func parseBook(t testing.TB, name, text string) *check.Program {
	t.Helper()
	files := &diag.Files{}
	var problems diag.List
	tree := lang.Parse(files.Add(name, text, diag.House), lang.Limits{}, &problems)
	program := check.Check(files, []*lang.File{tree}, &problems)
	for _, d := range problems.All() {
		t.Errorf("%+v: %s (%s)", files.Place(d.At.Start), d.Message, d.Code)
	}
	if t.Failed() {
		t.FailNow()
	}
	return program
}

func readText(t testing.TB, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// workedOrders works every order of a book out.
func workedOrders(t testing.TB, program *check.Program) []*eval.Result {
	t.Helper()
	engine := &eval.Engine{Program: program, Lay: stdlib.Lay(layout.Effort{Work: 1, Workers: 1})}
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

// workroom works the fixture's orders out: 1042 a buttoned lid of two, 1043 a strapped pad, and one with hostile names and 192 buttons.
func workroom(t testing.TB) []*eval.Result {
	t.Helper()
	return workedOrders(t, parseBook(t, "workroom.squab", readText(t, "workroom.squab")))
}

// ticketsOf makes the ticket page of some orders.
func ticketsOf(t testing.TB, results ...*eval.Result) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteTickets(&b, Sheaf{Results: results, Rules: "feed"}); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func spanOf(base diag.Pos, long int) diag.Span {
	return diag.Span{Start: base, End: base + diag.Pos(long)}
}
