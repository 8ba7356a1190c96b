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

// randomProgram checks the n-th random book; false where the checker finds something wrong with it.
func randomProgram(n uint64) (*check.Program, string, bool) {
	text := evaltest.Pieces(evaltest.Choices(n))
	files, problems := &diag.Files{}, diag.List{}
	tree := lang.Parse(files.Add("house.squab", text, diag.House), lang.Limits{}, &problems)
	p := check.Check(files, []*lang.File{tree}, &problems)
	return p, text, !problems.HasErrors()
}

// loose gives the asks of the random books, and two of their fields, tolerances that make conditions turn and counts move.
func loose() map[string]*check.Tolerance {
	by := func(n quantity.Number) *check.Tolerance {
		return &check.Tolerance{Up: check.Leeway{Num: n}, Down: check.Leeway{Num: n}}
	}
	return map[string]*check.Tolerance{
		"wide": by(quantity.Frac(3, 8)), "deep": by(quantity.Int(2)), "share": by(quantity.Frac(1, 2)), "n": by(quantity.Int(1)),
		"harbour_tweed.ease": by(quantity.Frac(1, 4)), "quay_vinyl.usable": by(quantity.Int(1)),
	}
}

// What is said of random books holds wherever in the tolerances an order is put in, and each end is reached.
func TestRangesOfRandomBooks(t *testing.T) {
	books := uint64(300)
	if testing.Short() {
		books = 40
	}
	r := rand.New(rand.NewSource(11))
	asked, proved, moving := 0, 0, 0
	for n := range books {
		p, text, ok := randomProgram(n)
		if !ok {
			continue
		}
		for _, o := range p.Orders {
			a, problems := spread.Question{Engine: &eval.Engine{Program: p}, Order: o, Day: o.Date, Given: loose()}.Answer()
			if len(problems) > 0 {
				continue // it cannot be made as it is given
			}
			asked++
			reached(t, p, o, a)
			within(t, p, o, a, r, 6)
			for _, x := range a.Ranges {
				if x.Moves() {
					moving++
				}
				if x.Least.Proved && x.Most.Proved {
					proved++
				}
			}
		}
		if t.Failed() {
			t.Fatalf("book %d:\n%s", n, text)
		}
	}
	t.Logf("%d orders, %d ranges move, %d are proved", asked, moving, proved)
	if asked < int(books)/4 || moving < asked || proved < asked {
		t.Errorf("%d orders, of whose ranges %d move and %d are proved, prove too little", asked, moving, proved)
	}
}
