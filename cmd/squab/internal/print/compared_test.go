package print

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval/audit"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang/diag"
)

// inchesOf is a value of so many inches.
func inchesOf(exact string) *Value {
	return &Value{Quantity: &Quantity{Exact: exact, Unit: "in", Shown: exact + " in"}}
}

// resized is a change of a size.
func resized(order, name, before, after, by string, causes ...Cause) Change {
	return Change{Order: order, Name: name, Before: inchesOf(before), After: inchesOf(after), Difference: &Quantity{Shown: by}, Causes: causes}
}

// TestComparisonText writes a comparison in which an order changed for two causes, one set of marks in many places and another in few, and a
// second order came.
func TestComparisonText(t *testing.T) {
	hem := Cause{Label: "rule hem", Before: "rule hem: length = 2 in", After: "rule hem: length = 3 in", At: At{"house.squab", 4, 1}}
	price := Cause{Label: "felt, price", Before: "price = $9 per yd", After: "price = $9.50 per yd", At: At{"house.squab", 9, 3}}
	c := Compared{Of: OfRules, Orders: 5, Changed: 2, Refused: 1, Added: []string{"11", "12"}, Removed: []string{"3"}, Notes: []string{"A note."},
		Total: Total{Name: "price.total", Before: Quantity{Shown: "$90.00"}, After: Quantity{Shown: "$95.00"}, Difference: &Quantity{Shown: "+$5.00"}}}
	c.Changes = append(c.Changes, resized("7", "top.wide", "20", "22", "+2 in", hem))
	for i := range 6 {
		c.Changes = append(c.Changes, resized("7", fmt.Sprintf("holes[%d].x", i+1), fmt.Sprint(i), fmt.Sprint(i+1), "+1 in", hem))
	}
	for i := range 4 {
		c.Changes = append(c.Changes, resized("7", fmt.Sprintf("eyes[%d].x", i+1), fmt.Sprint(i), fmt.Sprint(i+2), "+2 in", hem))
	}
	c.Changes = append(c.Changes, Change{Order: "7", Name: "price.total", Before: &Value{Text: "$40"}, After: &Value{Text: "$45"}, Causes: []Cause{hem, price}},
		Change{Order: "8", Name: "refused", After: &Value{Text: "too wide"}, Causes: []Cause{}})
	c.Totals = []Total{{Name: "buy.felt", Before: Quantity{Exact: "1", Shown: "1 yd"}, After: Quantity{Exact: "2", Shown: "2 yd"}, Difference: &Quantity{Shown: "+1 yd"}},
		{Name: "buy.lath", Before: Quantity{Exact: "1", Shown: "1"}, After: Quantity{Exact: "1", Shown: "1"}},
		{Name: "price.total", Before: Quantity{Exact: "90", Shown: "$90.00"}, After: Quantity{Exact: "95", Shown: "$95.00"}}}
	want := `ORDER 7
because of rule hem: 2 in → 3 in (house.squab:4)
  what           before  after  change
  top.wide        20 in  22 in   +2 in
  holes[1].x       0 in   1 in   +1 in
  holes[2].x       1 in   2 in   +1 in
  holes[3].x       2 in   3 in   +1 in
  holes[4].x       3 in   4 in   +1 in
  holes: 2 more
  eyes[1].x        0 in   2 in   +2 in
  eyes[2].x        1 in   3 in   +2 in
  eyes[3].x        2 in   4 in   +2 in
  eyes[4].x        3 in   5 in   +2 in
because of rule hem: 2 in → 3 in (house.squab:4)
because of felt, price: $9 per yd → $9.50 per yd (house.squab:9)
  what         before  after  change
  price.total     $40    $45

ORDER 8
no ask of the order changed
  what     before     after  change
  refused       —  too wide

ALL ORDERS TOGETHER
  what      before  after  change
  buy.felt    1 yd   2 yd   +1 yd

5 orders compared: 2 changed, 3 the same.
1 of them cannot be made on either side.
Only in the new: 11, 12.
Only in the old: 3.
All prices together: $90.00 before, $95.00 after (+$5.00).
A note.
`
	if diff := cmp.Diff(want, Comparison(c)); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
	c.Of = OfResults
	if got := Comparison(c); strings.Contains(got, "because of") || !strings.Contains(got, "\nwith rule hem") {
		t.Errorf("of results it says what nobody can know:\n%s", got)
	}
	none := Compared{Of: OfRules, Orders: 1, Total: c.Total}
	if diff := cmp.Diff("1 order compared: 0 changed, 1 the same.\n", Comparison(none)); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

// TestComparisonKeepsToThePage has ids and causes as long as files may hold.
func TestComparisonKeepsToThePage(t *testing.T) {
	long := strings.Repeat("long ", 90)
	c := Compared{Of: OfRules, Orders: 1, Changed: 1, Added: []string{long}, Changes: []Change{{Order: long, Name: long, Before: &Value{Text: long}, Causes: []Cause{{Label: long, Before: long, After: long}}}}}
	for line := range strings.Lines(Comparison(c)) {
		if n := diag.Columns(strings.TrimSuffix(line, "\n")); n > maxWidth {
			t.Errorf("%d columns: %s", n, line)
		}
	}
}

// TestComparisonOfRulesIsMadeReady takes a comparison over: totals from material to price, and a cause where it stands now, or where it stood.
func TestComparisonOfRulesIsMadeReady(t *testing.T) {
	p, _ := worked(t)
	now, was := at(t, p.Files.Sources()[0], "piece top"), at(t, p.Files.Sources()[0], "piece edge")
	total := func(name string) audit.Total {
		return audit.Total{Name: name, Type: check.MoneyType(), Old: quantity.Int(5), New: quantity.Int(3)}
	}
	fact := &audit.Fact{Value: check.Num(quantity.Int(1)), Type: check.LengthType()}
	in := audit.Comparison{Before: p, After: p, Orders: 3, Refused: 1, Added: []string{"9"}, Removed: []string{"4"},
		Changes: []audit.Change{{Order: "7", Name: "top.wide", New: fact, Causes: []audit.Cause{{Label: "both", Old: was, New: now}, {Label: "put in", New: now}, {Label: "taken out", Old: was}}},
			{Order: "7", Name: "edge.wide", Old: fact}, {Order: "8", Name: "top.from", Old: fact, New: fact}},
		Totals: []audit.Total{total("price.labour"), total("work.cutting"), total("price.total"), total("buy.felt"), total("time.cutting"), total("cost.felt")}}
	c := ComparisonOf(p.Files, in)
	var totals, causes []string
	for _, sum := range c.Totals {
		totals = append(totals, sum.Name+" "+sum.Difference.Shown)
	}
	if diff := cmp.Diff([]string{"buy.felt -£2.00", "cost.felt -£2.00", "time.cutting -£2.00", "work.cutting -£2.00", "price.labour -£2.00", "price.total -£2.00"}, totals); diff != "" {
		t.Errorf("totals (-want +got):\n%s", diff)
	}
	place := func(s diag.Span) string { return fmt.Sprintf("mat.squab:%d", p.Files.Place(s.Start).Line) }
	for _, cause := range c.Changes[0].Causes {
		causes = append(causes, fmt.Sprintf("%s at %s:%d, %q, %q", cause.Label, cause.At.File, cause.At.Line, cause.Before, cause.After))
	}
	want := []string{`both at ` + place(now) + `, "piece edge", "piece top"`, `put in at ` + place(now) + `, "", "piece top"`, `taken out at ` + place(was) + `, "piece edge", ""`}
	if diff := cmp.Diff(want, causes); diff != "" {
		t.Errorf("causes (-want +got):\n%s", diff)
	}
	if c.Changed != 2 || c.Orders != 3 || c.Refused != 1 || c.Total.After.Shown != "£3.00" || c.Changes[0].Before != nil || c.Changes[1].After != nil {
		t.Errorf("%+v", c)
	}
}

// TestTotalsOfUnlikeUnitsAreKeptApart compares results in which a material was sold by length, and then by the sheet.
func TestTotalsOfUnlikeUnitsAreKeptApart(t *testing.T) {
	with := func(exact, unit string) Results {
		buy := fmt.Sprintf(`"buy":[{"material":"felt","need":{"exact":"1","unit":"%[2]s","shown":"1"},"buy":{"exact":"%[1]s","unit":"%[2]s","shown":"%[1]s"},"each":{"exact":"1","unit":"","shown":"1"},"cost":{"exact":"9","unit":"USD","shown":"$9.00"}}]`, exact, unit)
		return resultsOf(t, strings.Replace(saved("a", "48", "10"), `"buy":[]`, buy, 1))
	}
	c, err := CompareResults(with("72", "in"), with("2", ""))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, sum := range c.Totals {
		got = append(got, fmt.Sprintf("%s: %s %s, %s %s", sum.Name, sum.Before.Exact, sum.Before.Unit, sum.After.Exact, sum.After.Unit))
	}
	want := []string{"buy.felt: 72 in, 0 in", "buy.felt: 0 , 2 ", "cost.felt: 9 USD, 9 USD", "price.total: 10 USD, 10 USD"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
	for _, ch := range c.Changes {
		if ch.Name == "buy.felt" && ch.Difference != nil {
			t.Errorf("72 in and 2 sheets are %s apart", ch.Difference.Shown)
		}
	}
}
