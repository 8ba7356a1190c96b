package page

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/stdlib"
	"squab/stdlib/layout"
)

func gathered(t *testing.T, s Sheaf) []*bought {
	t.Helper()
	all, err := gather(s)
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// The needs of the orders are summed before they are rounded up: 3 1/2 yd and 2 1/9 yd of wadding are not rounded each.
func TestBuyingRoundsOnce(t *testing.T) {
	results := workroom(t)
	var got []string
	for _, b := range gathered(t, Sheaf{Results: results}) {
		row, _ := b.row()
		got = append(got, fmt.Sprintf("%s: %s from %d", row.Name, row.Bought.Shown, len(row.Needs)))
		each := quantity.Number{}
		for _, r := range results {
			for _, l := range r.Buy {
				if l.Material == b.line.Material {
					each = each.Add(l.Buy)
				}
			}
		}
		if order, _ := b.line.Buy.Cmp(each); order > 0 {
			t.Errorf("%s: %s together, and %s bought apart", row.Name, b.line.Buy, each)
		}
		if order, _ := b.line.Buy.Cmp(b.apart); order < 0 || !b.line.Need.Equal(b.apart) {
			t.Errorf("%s: %s is bought for %s, and the orders need %s", row.Name, b.line.Buy, b.line.Need, b.apart)
		}
	}
	want := []string{"Birch board, 1/2 in: 2 from 2", "Firm foam, 2 in: 2 from 2", "Soft wadding: 3 1/2 yd from 2", `Quay velvet, <b>moss</b> & fern: 3 1/2 yd from 1`, "Covered button: 212 from 2", "Waxed thread: 100 yd from 2", "Harbour tweed, grey: 4 yd from 2"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("bought (-want +got):\n%s", diff)
	}
}

// usedOf is what layouts take of a material.
func usedOf(layouts []eval.Layout, m *check.Material) (sum quantity.Number) {
	for _, l := range layouts {
		for _, t := range l.Takes() {
			if t.Material == m {
				sum = sum.Add(t.Amount)
			}
		}
	}
	return sum
}

// inSizes reports whether a material is one of several sizes that a layout may be cut from: together it may take more of one and less of another.
func inSizes(layouts []eval.Layout, m *check.Material) bool {
	return slices.ContainsFunc(layouts, func(l eval.Layout) bool {
		return l.Taken != nil && (l.Material == m || slices.ContainsFunc(l.Taken, func(t eval.Taken) bool { return t.Material == m }))
	})
}

// Laid out together, the example's orders take no more of any material than one by one, no less than the layouts' bound with what is used besides pieces,
// and less of some.
func TestBuyingOfOrdersLaidTogether(t *testing.T) {
	results := exampleOrders(t)
	together, err := stdlib.Together(results, layout.Effort{Work: 20_000, Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	less := 0
	for _, b := range gathered(t, Sheaf{Results: results, Together: together}) {
		if inSizes(together, b.line.Material) {
			continue
		}
		switch order, _ := b.line.Need.Cmp(b.apart); {
		case order > 0:
			t.Errorf("%s: %s together and %s apart", b.line.Material.Name, b.line.Need, b.apart)
		case order < 0:
			less++
		}
		var besides, bound quantity.Number
		for _, r := range results {
			for _, l := range r.Buy {
				if l.Material == b.line.Material {
					besides = besides.Add(l.Need).Sub(usedOf(r.Layouts, l.Material))
				}
			}
		}
		for _, l := range together {
			if l.Material == b.line.Material {
				bound = l.Bound
			}
		}
		if order, _ := b.line.Need.Cmp(besides.Add(bound)); order < 0 {
			t.Errorf("%s: %s is bought, and the pieces take %s at least besides %s", b.line.Material.Name, b.line.Need, bound, besides)
		}
	}
	if less == 0 {
		t.Error("laying the orders out together saves nothing at all")
	}
}

// What each material comes to, reckoned by hand from the fixture's prices on the day of the first order that takes it: tweed was $38 in February.
func TestBuyingComesTo(t *testing.T) {
	var got []string
	for _, b := range gathered(t, Sheaf{Results: workroom(t)}) {
		row, _ := b.row()
		got = append(got, strings.Join([]string{row.Bought.Shown, row.Each.Shown, row.Cost.Shown}, " "))
	}
	want := []string{
		"2 $64.00 per each $128.00", "2 $118.00 per each $236.00", "3 1/2 yd $4.20 per yd $14.70", "3 1/2 yd $62.00 per yd $217.00",
		"212 $0.65 per each $137.80", "100 yd $0.08 per yd $8.00", "4 yd $38.00 per yd $152.00",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("bought, at, comes to (-want +got):\n%s", diff)
	}
	if page := buyingOf(t); !strings.Contains(page, `<data value="1787/2 USD">$893.50</data>`) {
		t.Error("the list does not come to $893.50 in all")
	}
}

// A whole box is paid for, though a customer is charged for what goes into the piece.
func TestBuyingPaysForWhatIsSold(t *testing.T) {
	for _, b := range gathered(t, Sheaf{Results: exampleOrders(t)}) {
		if row, _ := b.row(); b.line.Material.Name == "crown_staple" {
			if got := row.Bought.Shown + " at " + row.Each.Shown + " comes to " + row.Cost.Shown; got != "5000 at $0.01 per each comes to $50.00" {
				t.Error(got)
			}
			return
		}
	}
	t.Error("the example buys no staples")
}

// What the orders would need one by one is told where it is more than they need together, and only there.
func TestBuyingApart(t *testing.T) {
	tests := []struct {
		apart            quantity.Number // of two boards
		isTold, isSummed bool
	}{
		{quantity.Int(1), false, false}, // together more of one size is taken, and less of another
		{quantity.Int(2), false, true},
		{quantity.Int(3), true, false},
	}
	for _, tt := range tests {
		b := gathered(t, Sheaf{Results: workroom(t)})[0]
		b.apart = tt.apart
		row, _ := b.row()
		if told, summed := row.Apart != nil, row.Need.Why.Formula == "what each order needs, together"; told != tt.isTold || summed != tt.isSummed {
			t.Errorf("%s together and %s apart: apart is told %v, and the need is their sum %v", row.Need.Shown, tt.apart, told, summed)
		}
	}
}

func TestLaid(t *testing.T) {
	results := workroom(t)
	all := len(results[0].Layouts) + len(results[1].Layouts) + len(results[2].Layouts)
	for want, s := range map[int]Sheaf{all: {Results: results}, 1: {Results: results, Together: results[0].Layouts[:1]}} {
		if got := len(s.laid()); got != want {
			t.Errorf("%d layouts hold, want %d", got, want)
		}
	}
}

// Every number of a buying list opens, and leads on to the orders' own derivations; what is said of orders laid together is true of them.
func TestBuyingNumbersOpen(t *testing.T) {
	example := exampleOrders(t)
	together, err := stdlib.Together(example, layout.Effort{Work: 100, Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	for name, s := range map[string]Sheaf{"apart": {Results: workroom(t)}, "together": {Results: example, Together: together}} {
		page := made(t, func(w io.Writer) error { return WriteBuying(w, s) })
		if says := strings.Contains(page, "The pieces of all orders are laid out together"); says != (name == "together") {
			t.Errorf("orders laid out %s are told to be laid out together: %v", name, says)
		}
		leadsSomewhere(t, page)
		for _, text := range shutIn(t, page) {
			if strings.HasPrefix(text, "data: ") {
				t.Errorf("%s: %s does not open", name, text)
			}
		}
		for _, b := range gathered(t, s) {
			row, _ := b.row()
			laid := strings.Contains(row.Need.Why.Formula, "laid out together")
			if laid == b.line.Need.Equal(b.apart) || len(row.Need.Why.From) != len(row.Needs) {
				t.Errorf("%s, %s: %s of %d orders, which need %s one by one, is explained as %q from %d", name, row.Name, b.line.Need, len(row.Needs), b.apart, row.Need.Why.Formula, len(row.Need.Why.From))
			}
		}
	}
}

// The root of two times itself is two, known within a bound: whether one more must be bought is not decided, and no list is made without the material.
func TestBuyingOfWhatCannotBeRounded(t *testing.T) {
	r := workroom(t)[0]
	root, _ := quantity.Sqrt(quantity.Int(2))
	for i := range r.Buy {
		if r.Buy[i].Material.Name == "small_button" {
			r.Buy[i].Need = root.Mul(root)
		}
	}
	err := WriteBuying(io.Discard, Sheaf{Results: []*eval.Result{r}})
	if err == nil || !strings.Contains(err.Error(), "the need of small_button is known only within its bound") {
		t.Errorf("the error is %v", err)
	}
}
