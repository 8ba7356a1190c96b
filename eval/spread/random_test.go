package spread_test

import (
	"math/rand"
	"testing"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/evaltest"
	"squab/eval/quantity"
	"squab/eval/spread"
	"squab/lang"
	"squab/lang/diag"
)

// soundBook checks a random book; nil where its rules are not sound.
func soundBook(text string) *check.Program {
	files, problems := &diag.Files{}, diag.List{}
	tree := lang.Parse(files.Add("house.squab", text, diag.House), lang.Limits{}, &problems)
	p := check.Check(files, []*lang.File{tree}, &problems)
	if problems.HasErrors() || !p.Sound {
		return nil
	}
	return p
}

// leeways gives what random orders give tolerances of several widths, on both sides or on one.
func leeways(o *check.Order, r *rand.Rand) map[string]*check.Tolerance {
	all := map[string]*check.Tolerance{}
	side := func() check.Leeway {
		return check.Leeway{Num: quantity.Frac(int64(r.Intn(5)), []int64{1, 7, 64}[r.Intn(3)])}
	}
	for _, ask := range o.Recipe.Asks {
		switch {
		case o.Given[ask.Index] == nil || r.Intn(4) == 0:
		case ask.Type.IsLength():
			all[ask.Name] = &check.Tolerance{Up: side(), Down: side()}
		case ask.Name == "share":
			all[ask.Name] = &check.Tolerance{Up: check.Leeway{Num: quantity.Frac(1, 9), Share: true}, Down: side()}
		case ask.Name == "n":
			all[ask.Name] = &check.Tolerance{Up: check.Leeway{Num: quantity.Int(1)}, Down: check.Leeway{Num: quantity.Int(int64(r.Intn(2)))}}
		}
	}
	return all
}

// Ends of random books come out where they are said to, and no point tried in the tolerances goes beyond one that is proved or bounded.
func TestRangesOfRandomBooksHold(t *testing.T) {
	books := 600
	if testing.Short() {
		books = 150
	}
	asked := 0
	for n := range books {
		p := soundBook(evaltest.Book(evaltest.Choices(uint64(n))))
		if p == nil {
			continue
		}
		r := rand.New(rand.NewSource(int64(n)))
		for _, o := range p.Orders {
			a, problems := spread.Question{Engine: &eval.Engine{Program: p}, Order: o, Day: o.Date, Given: leeways(o, r)}.Answer()
			if len(problems) > 0 {
				continue // refused as it is given
			}
			asked++
			reached(t, p, o, a)
			within(t, p, o, a, r, 5)
			if t.Failed() {
				t.Fatalf("book %d", n)
			}
		}
	}
	if asked < books/30 {
		t.Errorf("only %d orders were asked about", asked)
	}
}
