package audit_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/audit"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang/diag"
)

// counted lays nothing out: what is taken is each piece's depth on a roll no wider than 53 in, half of that on a wider one, and one sheet of anything else.
func counted(calls *int) eval.LayFunc {
	return func(s eval.Stock, pieces []eval.Piece) (eval.Layout, error) {
		*calls++
		l := eval.Layout{Material: s.Material, Form: s.Material.Kind.Form, Laid: true, Used: quantity.Int(1)}
		if l.Form != check.Roll {
			return l, nil
		}
		l.Used = quantity.Number{}
		share := quantity.Int(1)
		if usable, _ := s.Measure("usable"); quantity.Int(53).Sub(usable).Abs().Equal(quantity.Int(1)) {
			share = quantity.Frac(1, 2)
		}
		for _, p := range pieces {
			l.Used = l.Used.Add(p.Deep.Mul(quantity.Int(p.Count)).Mul(share))
		}
		return l, nil
	}
}

// A layout is made anew where what it rests on changes, and only there: not for another price.
func TestLayoutsAreRememberedWhereNothingTheyRestOnChanges(t *testing.T) {
	tests := []struct {
		name, from, to string
		moved, dearer  bool
		calls          int // two materials for each of two orders, once, and what is made anew
	}{
		{"a price", "$32 per yd", "$34 per yd", false, true, 4},
		{"a width", "usable = 54 in", "usable = 50 in", true, true, 5},
		{"a depth", "deep  = 18 in", "deep  = 38 in", true, true, 6},
		{"how many", "make pad\n", "make pad, 2 off\n", true, true, 6},
	}
	for _, test := range tests {
		calls := 0
		files := &diag.Files{}
		c, problems := audit.Compare(bookOf(t, files, house), bookOf(t, files, edited(t, house, edit{"", test.from, test.to})), audit.Runner{Lay: counted(&calls)})
		if len(problems) > 0 {
			t.Fatal(problems[0].Message)
		}
		if calls != test.calls {
			t.Errorf("%s: %d layouts were made, not %d", test.name, calls, test.calls)
		}
		if _, moved := said(c)["1 buy.harbour_tweed"]; moved != test.moved {
			t.Errorf("%s: what is bought differs: %v", test.name, moved)
		}
		if _, dearer := said(c)["1 cost.harbour_tweed"]; dearer != test.dearer {
			t.Errorf("%s: what it costs differs: %v", test.name, dearer)
		}
	}
}

const sized = `
kind board: sheet {
  wide:  length = 48 in
  deep:  length = 96 in
  sizes: list of board = []
  price: money per each
}
material birch: board {
  sizes = [birch_half]
  price = $40 per each
}
material birch_half: board {
  deep  = 48 in
  price = $25 per each
}
rule labour_rate: money per time = $40 per h
recipe shelf {
  piece shelf from birch = 20 in by 10 in
  work sawing = 6 min
}
price {
  charge material = bought
  charge labour   = worked
}
order 1 {
  make shelf
}
`

// cheapest takes one of the cheapest size.
func cheapest(calls *int) eval.LayFunc {
	return func(s eval.Stock, pieces []eval.Piece) (eval.Layout, error) {
		*calls++
		best := s.Material
		for _, size := range s.Items("sizes") {
			was, _ := s.Other(best).Measure("price")
			is, _ := s.Other(size.Material()).Measure("price")
			if order, _ := is.Cmp(was); order < 0 {
				best = size.Material()
			}
		}
		return eval.Layout{Material: s.Material, Form: check.Sheet, Laid: true, Used: quantity.Int(1), Taken: []eval.Taken{{Material: best, Amount: quantity.Int(1)}}}, nil
	}
}

// Where a layout chooses among sizes it rests on what each of them costs and measures; what it took is found in the book that asks.
func TestLayoutsOfSeveralSizesRestOnEach(t *testing.T) {
	for _, test := range []struct {
		name, from, to string
		calls          int
		bought         []string // over both books
	}{
		{"nothing", "6 min", "6 min", 1, []string{"buy.birch_half 1 to 1", "cost.birch_half 25 to 25"}},
		{"the price of labour", "$40 per h", "$50 per h", 1, []string{"buy.birch_half 1 to 1", "cost.birch_half 25 to 25"}},
		{"the price of the other size", "$25 per each", "$30 per each", 2, []string{"buy.birch_half 1 to 1", "cost.birch_half 25 to 30"}},
		{"which is cheaper", "$25 per each", "$45 per each", 2, []string{"buy.birch_half 1 to 0", "cost.birch_half 25 to 0", "buy.birch 0 to 1", "cost.birch 0 to 40"}},
		{"the depth of the other size", "deep  = 48 in", "deep  = 60 in", 2, []string{"buy.birch_half 1 to 1", "cost.birch_half 25 to 25"}},
	} {
		calls := 0
		files := &diag.Files{}
		c, problems := audit.Compare(bookOf(t, files, sized), bookOf(t, files, edited(t, sized, edit{"", test.from, test.to})), audit.Runner{Lay: cheapest(&calls)})
		if len(problems) > 0 {
			t.Fatal(problems[0].Message)
		}
		var bought []string
		for _, total := range c.Totals {
			if strings.Contains(total.Name, "birch") {
				bought = append(bought, total.Name+" "+total.Old.String()+" to "+total.New.String())
			}
		}
		if diff := cmp.Diff(test.bought, bought); diff != "" || calls != test.calls {
			t.Errorf("%s: %d layouts were made, not %d (-want +got):\n%s", test.name, calls, test.calls, diff)
		}
	}
}

// A recipe without pieces, in a house without prices, comes to nothing; its orders are compared all the same.
func TestOrdersThatComeToNothingAreCompared(t *testing.T) {
	const bare = "kind cloth: roll {\n  usable: length = 54 in\n  price: money per length\n  sold: length = 1 yd\n}\nmaterial tweed: cloth {\n  price = $1 per yd\n}\n" +
		"recipe plain {\n  ask wide: length from 10 in to 96 in\n  need wide < 50 in else \"too wide\"\n  a = wide + 1 in\n}\norder 2 {\n  make plain\n  wide = 40 in\n}\n"
	piece := edited(t, bare, edit{"", "a = wide", "piece top from tweed = wide by 2 in\n  a = wide"})
	refused := edited(t, bare, edit{"", "wide = 40 in", "wide = 60 in"})
	for _, test := range []struct {
		before, after string
		changed       []string
	}{
		{bare, bare, nil},
		{bare, piece, []string{"top.wide", "top.deep", "top.count", "top.from", "top.up", "buy.tweed", "cost.tweed"}},
		{piece, bare, []string{"top.wide", "top.deep", "top.count", "top.from", "top.up", "buy.tweed", "cost.tweed"}},
		{bare, refused, []string{"refused"}},
		{refused, bare, []string{"refused"}},
	} {
		c := compare(t, test.before, test.after)
		var changed []string
		for _, ch := range c.Changes {
			changed = append(changed, ch.Name)
		}
		if diff := cmp.Diff(test.changed, changed); diff != "" || c.Orders != 1 || len(c.Added)+len(c.Removed) > 0 {
			t.Errorf("%d compared, added %v, removed %v, -want +got:\n%s", c.Orders, c.Added, c.Removed, diff)
		}
	}
}
