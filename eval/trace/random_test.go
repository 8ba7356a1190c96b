package trace_test

import (
	"testing"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/evaltest"
	"squab/lang"
	"squab/lang/diag"
)

// randomProgram makes the n-th random book; false where something is wrong with it.
func randomProgram(n uint64) (p *check.Program, text string, ok bool) {
	text = evaltest.Book(evaltest.Choices(n))
	files := &diag.Files{}
	var problems diag.List
	tree := lang.Parse(files.Add("house.squab", text, diag.House), lang.Limits{}, &problems)
	p = check.Check(files, []*lang.File{tree}, &problems)
	return p, text, !problems.HasErrors()
}

// Every node of every trace of random books, worked out again from what the trace itself says of it.
func TestEveryNodeOfRandomBooksIsWorkedOutAgain(t *testing.T) {
	books := uint64(80)
	if testing.Short() {
		books = 10
	}
	nodes, sound := 0, 0
	for n := range books {
		p, text, ok := randomProgram(n)
		if !ok {
			continue
		}
		sound++
		e := &eval.Engine{Program: p}
		for _, o := range p.Orders {
			s := e.Plan(o.Recipe, o.Date, o).NewSheet()
			s.Fill(o)
			count, err := heldSheet(s, nil)
			if err != nil {
				t.Fatalf("book %d, order %s, %v\n%s", n, o.ID, err, numbered(text))
			}
			nodes += count
		}
	}
	if nodes < int(books)*100 || sound < int(books)/2 {
		t.Errorf("only %d nodes of %d sound books", nodes, sound)
	}
}
