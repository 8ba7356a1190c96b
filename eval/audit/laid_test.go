package audit_test

import (
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
		moved          bool
		calls          int // two materials for each of two orders, once, and what is made anew
	}{
		{"a price", "$32 per yd", "$34 per yd", false, 4},
		{"a width", "usable = 54 in", "usable = 50 in", true, 5},
		{"a depth", "deep  = 18 in", "deep  = 38 in", true, 6},
		{"how many", "make pad\n", "make pad, 2 off\n", true, 6},
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
		{bare, piece, []string{"top.wide", "top.deep", "top.count", "top.from", "buy.tweed", "cost.tweed"}},
		{piece, bare, []string{"top.wide", "top.deep", "top.count", "top.from", "buy.tweed", "cost.tweed"}},
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
