package audit_test

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/audit"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang"
	"squab/lang/diag"
)

// parted is a house with a rule that has a cell of its own, an interpolated table, uses without a name, a stick and marks with holes.
const parted = house + `
kind batten: stick {
  long:  length = 8 ft
  price: money per each = $6 per each
}
kind thread: supply {
  price: money per length = $3 per yd
  sold:  length = 1 in
}
material pine: batten {
}
material waxed: thread {
}
rule lap(w: length): length {
  share = 1/8
  w * share when w < 30 in
  4 in otherwise
}
table dip(w: length from 0 in to 96 in): length interpolated {
  w     | gives
  0 in  | 0 in
  96 in | 12 in
}
rule flap(w: length): length {
  1 in otherwise
}
amend flap(w) from 2026-01-01 {
  2 in when w < 30 in
}
recipe board {
  ask wide: length from 10 in to 96 in
  piece rail from pine, 2 off = wide + lap(wide)
  piece face from harbour_tweed = wide by 20 in + dip(wide)
  piece strip from harbour_tweed = wide by flap(wide)
  marks holes on face = [2 in at 3 in, 4 in at 5 in] { hole = 1/4 in }
  marks lines on face = [1 in at 1 in]
  use wide of waxed
  use 2 * wide of waxed
}
order 5 {
  make board, 3 off
  date = 2026-04-02
  wide = 24 in
}
`

// A change is told by the part that was changed where the rest may stand as it did, and by the whole declaration where it may not.
func TestAChangeIsToldByItsPart(t *testing.T) {
	tests := []struct {
		name string
		edit edit
		fact string
		want []string
	}{
		{"a case", edit{"", "w * share when", "w * share + 1 in when"}, "5 rail.wide", []string{"rule lap, case 1"}},
		{"a condition", edit{"", "w < 30 in", "w < 20 in"}, "5 rail.wide", []string{"rule lap"}},
		{"a rule's own cell", edit{"", "share = 1/8", "share = 1/4"}, "5 rail.wide", []string{"rule lap"}},
		{"one case more", edit{"", "  w * share when", "  1 in when w < 25 in\n  w * share when"}, "5 rail.wide", []string{"rule lap"}},
		{"one case more, last", edit{"", "  4 in otherwise", "  4 in when w < 40 in\n  4 in otherwise"}, "", nil},
		{"a parameter's range", edit{"", "lap(w: length)", "lap(w: length from 25 in to 90 in)"}, "5 refused", []string{"rule lap"}},
		{"a row", edit{"", "96 in | 12 in", "96 in | 24 in"}, "5 face.deep", []string{"table dip, row 2"}},
		{"a row's test", edit{"", "96 in | 12 in", "48 in | 12 in\n  96 in | 12 in"}, "5 face.deep", []string{"table dip"}},
		{"how a table is read", edit{"", "length interpolated {\n  w     | gives\n  0 in  | 0 in\n  96 in ", "length {\n  w     | gives\n  0 in  | 0 in\n  any "}, "5 face.deep", []string{"table dip"}},
		{"a table's range", edit{"", "dip(w: length from 0 in", "dip(w: length from 30 in"}, "5 refused", []string{"table dip"}},
		{"an amendment's case", edit{"", "2 in when w < 30 in", "3 in when w < 30 in"}, "5 strip.deep", []string{"amendment of flap from 2026-01-01, case 1"}},
		{"an amendment's end", edit{"", "amend flap(w) from 2026-01-01 {", "amend flap(w) from 2026-01-01 until 2026-02-01 {"}, "5 strip.deep", []string{"amendment of flap from 2026-01-01"}},
		{"an amendment's beginning", edit{"", "amend flap(w) from 2026-01-01 {", "amend flap(w) from 2026-05-01 {"}, "5 strip.deep", []string{"amendment of flap from 2026-01-01"}},
		{"a line taken out", edit{"", "  use 2 * wide of waxed\n", ""}, "5 buy.waxed", []string{"recipe board, use 2"}},
		{"a line put in", edit{"", "  use wide of waxed\n", "  use wide of waxed\n  use 9 in of waxed\n"}, "5 buy.waxed", []string{"recipe board, use 2", "recipe board, use 3"}},
		{"the first of two lines", edit{"", "use wide of", "use 3 * wide of"}, "5 buy.waxed", []string{"recipe board, use"}},
		{"the second of two lines", edit{"", "use 2 * wide of", "use 3 * wide of"}, "5 buy.waxed", []string{"recipe board, use 2"}},
		{"a piece taken out", edit{"", "  piece rail from pine, 2 off = wide + lap(wide)\n", ""}, "5 rail.wide", []string{"recipe board, piece rail"}},
		{"a field put in", edit{"", "material pine: batten {\n", "material pine: batten {\n  price = $7 per each\n"}, "5 cost.pine", []string{"material pine, price"}},
		{"how many", edit{"", "make board, 3 off", "make board, 4 off"}, "5 rail.count", []string{"order 5"}},
		{"a mark", edit{"", "4 in at 5 in", "4 in at 6 in"}, "5 holes[2].y", []string{"recipe board, marks holes"}},
		{"a hole", edit{"", "hole = 1/4 in", "hole = 3/8 in"}, "5 holes.hole", []string{"recipe board, marks holes"}},
		{"a kind", edit{"", "= $6 per each", "= $8 per each"}, "5 cost.pine", []string{"kind batten"}},
	}
	for _, test := range tests {
		got := said(compare(t, parted, edited(t, parted, test.edit)))
		if diff := cmp.Diff(test.want, got[test.fact]); diff != "" {
			t.Errorf("%s: %v (-want +got):\n%s", test.name, got, diff)
		}
		if test.want == nil && len(got) > 0 {
			t.Errorf("%s: %v", test.name, got)
		}
	}
}

// What an order comes to, by names that are not its cells'.
func TestFactsOfAnOrder(t *testing.T) {
	p := programOf(t, parted)
	o := p.Orders[slices.IndexFunc(p.Orders, func(o *check.Order) bool { return o.ID == "5" })]
	r, problems := (&eval.Engine{Program: p}).Work(o, o.Date)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	var got []string
	for _, f := range audit.Facts(r, nil) {
		got = append(got, f.Name+" = "+eval.Show(p, f.Value, f.Type))
	}
	want := []string{
		"rail.wide = 27 in", "rail.count = 6", "rail.from = pine",
		"face.wide = 24 in", "face.deep = 23 in", "face.count = 3", "face.from = harbour_tweed", "face.up = deep",
		"strip.wide = 24 in", "strip.deep = 2 in", "strip.count = 3", "strip.from = harbour_tweed", "strip.up = deep",
		"holes.count = 2", "holes.hole = 1/4 in", "holes[1].x = 2 in", "holes[1].y = 3 in", "holes[2].x = 4 in", "holes[2].y = 5 in",
		"lines.count = 1", "lines[1].x = 1 in", "lines[1].y = 1 in",
		"buy.pine = 2", "cost.pine = $12.00", "buy.harbour_tweed = 36 in", "cost.harbour_tweed = $32.00", "buy.waxed = 216 in", "cost.waxed = $18.00",
		"price.material = $62.00", "price.labour = $0.00", "price.tax = $4.96", "price.total = $66.96",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

func TestWhatAddsUpOverOrders(t *testing.T) {
	for name, want := range map[string]bool{
		"buy.tweed": true, "cost.tweed": true, "time.sewing": true, "work.sewing": true, "price.total": true,
		"top.wide": false, "top.count": false, "holes[1].x": false, "charge.fetching": false, "refused": false,
	} {
		if got := audit.AddsUp(name, true); got != want {
			t.Errorf("%s adds up: %v", name, got)
		}
	}
	if audit.AddsUp("price.share", false) {
		t.Error("shares add up")
	}
}

// Totals are of the orders that both sides can make; one that neither can is counted apart.
func TestTotalsLeaveOutWhatIsRefused(t *testing.T) {
	refused := edited(t, house, edit{"", "wide  = 40 in", "wide  = 14 in"})
	for _, test := range []struct {
		before, after  string
		orders, refuse int
		old, new       string // of the price, of order 2 alone where order 1 is refused on either side
	}{
		{house, house, 2, 0, totalOf(t, house, "1", "2"), totalOf(t, house, "1", "2")},
		{house, refused, 2, 0, totalOf(t, house, "2"), totalOf(t, house, "2")},
		{refused, house, 2, 0, totalOf(t, house, "2"), totalOf(t, house, "2")},
		{refused, refused, 2, 1, totalOf(t, house, "2"), totalOf(t, house, "2")},
	} {
		c := compare(t, test.before, test.after)
		at := slices.IndexFunc(c.Totals, func(x audit.Total) bool { return x.Name == "price.total" })
		if at < 0 || c.Orders != test.orders || c.Refused != test.refuse {
			t.Fatalf("%d orders, %d refused, totals %v", c.Orders, c.Refused, c.Totals)
		}
		if got := c.Totals[at]; got.Old.String() != test.old || got.New.String() != test.new {
			t.Errorf("the price went from %s to %s, not from %s to %s", got.Old, got.New, test.old, test.new)
		}
	}
}

func totalOf(t *testing.T, text string, orders ...string) string {
	var sum quantity.Number
	for _, id := range orders {
		p := programOf(t, text)
		o := p.Orders[slices.IndexFunc(p.Orders, func(o *check.Order) bool { return o.ID == id })]
		r, problems := (&eval.Engine{Program: p}).Work(o, o.Date)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		for _, l := range r.Price {
			if l.IsTotal {
				sum = sum.Add(l.Value)
			}
		}
	}
	return sum.String()
}

// A material that is sold by the length in one book and by the piece in the other has a total of each.
func TestAmountsOfTwoSortsAreNotAddedUp(t *testing.T) {
	after := edited(t, parted, edit{"", "money per length = $3 per yd\n  sold:  length = 1 in", "money per each = $3 per each\n  sold: count = 1"},
		edit{"", "  use wide of waxed\n", "  use 5 of waxed\n"}, edit{"", "  use 2 * wide of waxed\n", "  use 2 of waxed\n"})
	var got []string
	for _, total := range compare(t, parted, after).Totals {
		if total.Name == "buy.waxed" {
			got = append(got, total.Old.String()+" to "+total.New.String())
		}
	}
	if diff := cmp.Diff([]string{"216 to 0", "0 to 21"}, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

// Two books of one house on two days: what begins or ends between them, for every order whatever its date, and what runs on through both.
func TestCompareDaysOfAmendmentsThatEnd(t *testing.T) {
	const amended = house + "amend turn_under from 2026-01-01 until 2026-06-01 = 2 in\namend spare from 2026-01-01 until 2026-06-01 = 4 in\n" +
		"amend seam(c) from 2026-07-01 {\n  7/8 in when c.stuff is woven\n}\n"
	day := func(month, day int) lang.DateLit { return lang.DateLit{Year: 2026, Month: month, Day: day} }
	for _, test := range []struct {
		name        string
		first, next lang.DateLit
		day         int64
		want        []string
	}{
		{"begins", lang.DateLit{Year: 2025, Month: 12, Day: 31}, day(1, 1), 20_454, []string{"amendment of turn_under from 2026-01-01"}},
		{"runs on", day(1, 1), day(5, 31), 20_604, nil},
		{"ends", day(5, 31), day(6, 1), 20_605, []string{"amendment of turn_under from 2026-01-01"}},
		{"ended long before", day(6, 1), day(6, 30), 20_634, nil},
		{"begins after the orders' dates", day(6, 30), day(7, 1), 20_635, []string{"amendment of seam from 2026-07-01"}},
	} {
		b := bookOf(t, &diag.Files{}, amended)
		c, problems := audit.Compare(b.On(test.first), b.On(test.next), audit.Runner{Day: test.day, All: true})
		if len(problems) > 0 {
			t.Fatal(problems[0].Message)
		}
		if diff := cmp.Diff(test.want, said(c)["1 top.wide"]); diff != "" {
			t.Errorf("%s (-want +got):\n%s", test.name, diff)
		}
	}
}

// Two changes that do together what three others do are told, though leaving one after another out would have ended at the three.
func TestTwoCausesAreFewerThanThree(t *testing.T) {
	const (
		two   = "rule a: length = 2 in\nrule b: length = 2 in\n"
		three = "rule c: length = 1 in\nrule d: length = 1 in\nrule e: length = 2 in\n"
		tag   = "recipe tag { piece tag from harbour_tweed = max(a + b, c + d + e) by 4 in }\norder 9 { make tag }\n"
	)
	after := edited(t, two, edit{"", "a: length = 2 in", "a: length = 4 in"}, edit{"", "b: length = 2 in", "b: length = 5 in"}) +
		edited(t, three, edit{"", "c: length = 1 in", "c: length = 2 in"}, edit{"", "d: length = 1 in", "d: length = 3 in"}, edit{"", "e: length = 2 in", "e: length = 4 in"})
	got := said(compare(t, house+two+three+tag, house+after+tag))["9 tag.wide"]
	if diff := cmp.Diff([]string{"rule a", "rule b"}, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}
