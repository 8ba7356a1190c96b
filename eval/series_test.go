package eval_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/evaltest"
	"squab/eval/quantity"
	"squab/lang/diag"
)

// said is all that an order comes to, as text.
func said(r *eval.Result, problems []diag.Diagnostic) string {
	var b strings.Builder
	for _, d := range problems {
		fmt.Fprintf(&b, "%s at %v: %s %v\n", d.Code, d.At, d.Message, d.Related)
	}
	if r == nil {
		return b.String()
	}
	fmt.Fprintln(&b, r.Order.ID, r.Recipe.Name, r.Off, r.Day)
	for _, p := range r.Pieces {
		fmt.Fprintln(&b, p.Name, p.Material.Name, p.Form, p.Wide, p.Deep, p.Thick, p.HasThick, p.Count, p.Up, p.Turn, p.Match)
	}
	for _, m := range r.Marks {
		fmt.Fprintln(&b, m.Name, m.On, m.Points, m.Hole)
	}
	for _, l := range r.Layouts {
		fmt.Fprintln(&b, l.Material.Name, l.Form, l.Wide, l.Used, l.Bound, l.Waste, l.Placed)
	}
	for _, l := range r.Buy {
		fmt.Fprintln(&b, l.Material.Name, l.Need, l.Buy, l.Charged, l.Each, l.Cost)
	}
	fmt.Fprintln(&b, r.Work, r.Steps, r.Cautions)
	for _, l := range append(r.Charges, r.Price...) {
		fmt.Fprintln(&b, l.Name, l.Value, l.IsTotal, l.IsNote)
	}
	for i, slot := range r.Sheet.Plan.Slots {
		v, fault := r.Sheet.Value(i)
		fmt.Fprintln(&b, slot.Name, fault != nil, fault == nil && v.Obj == nil, v.Num)
	}
	return b.String()
}

// checkSeries holds a series against orders worked out one by one. Some of them are of another day.
func checkSeries(b book, series *eval.Series, orders []*check.Order) error {
	days := make([]int64, len(orders))
	for i, o := range orders {
		days[i] = dayOf(o) + int64(i%3)
	}
	done, wrong := 0, error(nil)
	series.Work(orders, days, func(i int, r *eval.Result, problems []diag.Diagnostic) {
		done++
		got := said(r, problems)
		if want := said(b.engine.Work(orders[i], days[i])); got != want && wrong == nil {
			wrong = fmt.Errorf("order %s:\n%s\nwant\n%s", orders[i].ID, got, want)
		}
	})
	if done != len(orders) && wrong == nil {
		wrong = fmt.Errorf("%d of %d orders were worked out", done, len(orders))
	}
	return wrong
}

func TestSeriesIsOneByOne(t *testing.T) {
	n := 60
	if testing.Short() {
		n = 10
	}
	r := rand.New(rand.NewPCG(4, 8))
	var all eval.Counts
	manyBooks(t, n, func(_ *testing.T, b book) error {
		series := b.engine.NewSeries()
		orders := append(gridOrders(r, b, 150), b.program.Orders...)
		for range 2 {
			if err := checkSeries(b, series, orders); err != nil {
				return err
			}
		}
		all = all.Plus(series.Counts())
		return nil
	})
	t.Logf("%+v", all)
	if all.Orders == 0 || all.Uncovered*3 > all.Orders {
		t.Errorf("%d of %d orders were not covered: this proves too little", all.Uncovered, all.Orders)
	}
}

// Orders are counted once, however many blocks of them come.
func TestSeriesCountsEachOrderOnce(t *testing.T) {
	b := read(t, buying)
	series, orders := b.engine.NewSeries(), buyingOrders(b, 200)
	for n := range 3 {
		series.Work(orders, make([]int64, len(orders)), func(int, *eval.Result, []diag.Diagnostic) {})
		if got, want := series.Counts().Orders, int64((n+1)*len(orders)); got != want {
			t.Errorf("after %d blocks %d orders are counted, want %d", n+1, got, want)
		}
	}
}

// Orders from before and after a change of the rules come in one block, each by the rules of its day.
func TestSeriesAcrossAChangeOfTheRules(t *testing.T) {
	text := strings.Replace(buying, "piece top from cover, 2 off = wide by 20 in", "piece top from cover, 2 off = wide + fold by 20 in", 1) + `
rule fold: length = 1 in
amend fold from 2026-02-01 { 2 in otherwise }
amend fold from 2026-04-01 until 2026-05-01 { 3 in otherwise }
`
	first := int64(20_454) // 2026-01-01
	for _, cutListOnly := range []bool{false, true} {
		b := read(t, text)
		series, orders := b.engine.NewSeries(), buyingOrders(b, 600)
		series.CutListOnly = cutListOnly
		days := make([]int64, len(orders))
		for i := range days {
			days[i] = first + int64(i*37%150)
		}
		wide := map[string]bool{}
		series.Work(orders, days, func(i int, r *eval.Result, problems []diag.Diagnostic) {
			if got, want := piecesSaid(r, problems), piecesSaid(b.engine.Work(orders[i], days[i])); got != want {
				t.Fatalf("order %d:\n%s\nwant\n%s", i, got, want)
			}
			wide[r.Pieces[0].Wide.Sub(quantity.Frac(160+int64(i)*640/600, 16)).String()] = true
		})
		if len(wide) != 3 || series.Counts().Orders == 0 {
			t.Errorf("%d folds, %+v", len(wide), series.Counts())
		}
	}
}

// A handful of orders does not pay for a batch.
func TestFewOrdersComeOneByOne(t *testing.T) {
	b, _, _ := randomBook(evaltest.Choices(5))
	series := b.engine.NewSeries()
	if err := checkSeries(b, series, gridOrders(rand.New(rand.NewPCG(1, 1)), b, 20)); err != nil {
		t.Error(err)
	}
	if c := series.Counts(); c.Orders != 0 {
		t.Errorf("%d orders were worked out by columns", c.Orders)
	}
}

// An order that is sound by area is not refused by its buying and its price either, and most orders that are not refused are known to be sound.
func TestSoundByAreaIsNotRefused(t *testing.T) {
	n := 300
	if testing.Short() {
		n = 60
	}
	r := rand.New(rand.NewPCG(6, 6))
	sound, cut, whys := 0, 0, map[string]int{}
	manyBooks(t, n, func(_ *testing.T, b book) error {
		orders := gridOrders(r, b, 20)
		p := b.engine.Plan(orders[0].Recipe, day, nil)
		batch, err := p.BatchByArea()
		if err != nil {
			return err
		}
		whys[batch.Unjudged()]++
		batch.Run(columnsOf(orders), func(i int, row eval.Row) {
			_, problems := b.engine.Work(orders[i], day)
			if row.Sound() && len(problems) > 0 && err == nil {
				err = fmt.Errorf("order %d is sound, but %s", i, problems[0].Message)
			}
			if len(problems) == 0 {
				cut++
			}
			if row.Sound() {
				sound++
			}
		})
		return err
	})
	t.Logf("%d of %d orders are sound; %v", sound, cut, whys)
	if sound*2 < cut {
		t.Errorf("%d of %d orders are known to be sound: this proves too little", sound, cut)
	}
}

// piecesSaid is what a cut list shows of a result, and what refuses it.
func piecesSaid(r *eval.Result, problems []diag.Diagnostic) string {
	if r == nil {
		return said(nil, problems)
	}
	b := fmt.Sprintln(r.Order.ID, r.Recipe.Name, r.Off, r.Day)
	for _, p := range r.Pieces {
		b += fmt.Sprintln(p.Name, p.Material.Name, p.Form, p.Wide, p.Deep, p.Thick, p.HasThick, p.Count, p.Up, p.Turn, p.Match, p.Join, p.Bias, p.Mitre, p.Edge.Face, p.Edge.Beneath, p.Edge.Side, p.Edge.Welt)
	}
	return b
}

func TestCutListsAreThoseOfWholeOrders(t *testing.T) {
	n := 60
	if testing.Short() {
		n = 10
	}
	r := rand.New(rand.NewPCG(5, 8))
	var all eval.Counts
	manyBooks(t, n, func(_ *testing.T, b book) error {
		series := b.engine.NewSeries()
		series.CutListOnly = true
		orders := append(gridOrders(r, b, 150), b.program.Orders...)
		days := make([]int64, len(orders))
		var wrong error
		for i, o := range orders {
			days[i] = dayOf(o)
		}
		series.Work(orders, days, func(i int, r *eval.Result, problems []diag.Diagnostic) {
			got, want := piecesSaid(r, problems), piecesSaid(b.engine.Work(orders[i], days[i]))
			if got != want && wrong == nil {
				wrong = fmt.Errorf("order %s:\n%s\nwant\n%s", orders[i].ID, got, want)
			}
		})
		all = all.Plus(series.Counts())
		return wrong
	})
	t.Logf("%+v", all)
	if all.Apart == 0 || all.Apart == all.Orders {
		t.Errorf("%d of %d orders were worked out apart: this proves too little", all.Apart, all.Orders)
	}
}

// What a house's buying or price cannot be worked out for is refused, in a cut list too.
func TestCutListsAreRefusedByBuyingAndPrice(t *testing.T) {
	cases := []struct{ name, old, new string }{
		{"nothing wrong", "", ""},
		{"a roll without width", "usable = 54 in", "usable = 0 in"},
		{"sold by nothing", "sold   = 1/4 yd", "sold   = 0 yd"},
		{"a sheet without size", "deep  = 82 in", "deep  = 0 in"},
		{"foam of no thickness that can be told", "thick = 2 in", "thick = 2 in / (loft / 1 in)"},
		{"foam thicker than any", "thick = 2 in", "thick = 90 in + loft"},
		{"a card of no such thickness", "thick = 2 in", "thick = 2 in\n  wide = 24 in + loft / (loft / 1 in)"},
		{"too short a stick", "long  = 8 ft", "long  = 20 in"},
		{"a price that divides by what was bought", "charge material = bought", "charge material = bought * ($1 / (bought - bought))"},
		{"a share of the price that nothing reads", "charge other    = extras", "charge other    = extras\n  share = bought / max($0, bought - $90)"},
		{"a price that divides by what is charged", "charge material = bought", "charge material = bought / max(0, (bought - $72) / $1)"},
		{"a price that divides by the work of narrow ones", "charge labour   = worked", "charge labour   = worked / max(0, (worked - $20) / $1)"},
	}
	for _, c := range cases {
		b := read(t, strings.Replace(buying, c.old, c.new, 1))
		series := b.engine.NewSeries()
		series.CutListOnly = true
		cut, orders := 0, buyingOrders(b, 200)
		series.Work(orders, make([]int64, len(orders)), func(i int, r *eval.Result, problems []diag.Diagnostic) {
			if got, want := piecesSaid(r, problems), piecesSaid(b.engine.Work(orders[i], 0)); got != want {
				t.Errorf("%s: order %d:\n%s\nwant\n%s", c.name, i, got, want)
			}
			if r != nil {
				cut++
			}
		})
		if (cut == len(orders)) != (c.old == "") {
			t.Errorf("%s: %d of %d orders were cut", c.name, cut, len(orders))
		}
		if c.old == "" && series.Counts().Apart > 0 {
			t.Errorf("%d orders were worked out again", series.Counts().Apart)
		}
	}
}

const buying = `kind cloth: roll {
  usable: length
  price:  money per length
  sold:   length
  charged: length = 1 in
}
kind foam: sheet {
  wide:  length = 24 in
  deep:  length
  thick: length from 1/8 in to 12 in
  price: money per each
}
rule loft: length = 1 in * count(for each i from 1 to 0: i)
kind rail: stick {
  long:  length
  price: money per each
}
kind pin: supply {
  price: money per each
  sold:  count = 500
}
material tweed: cloth {
  usable = 54 in
  price  = $38 per yd
  sold   = 1/4 yd
}
material slab: foam {
  deep  = 82 in
  thick = 2 in
  price = $54 per each
}
material bar: rail {
  long  = 8 ft
  price = $3.20 per each
}
material brass_pin: pin { price = $0.0035 per each }
rule labour_rate: money per time = $30 per h
recipe mat {
  ask wide: length from 10 in to 50 in
  ask cover: cloth = tweed
  piece top from cover, 2 off = wide by 20 in
  piece facing from tweed = 10 in by 10 in   when wide > 30 in
  piece core from slab = wide by 20 in
  piece edge from bar, 2 off = wide   { mitre = wide / 20 }
  piece binding from tweed = wide by 2 in   { bias = wide / 80 }
  use 40 of brass_pin
  work cutting = wide / 1 in * 1 min, setup 5 min
  charge parcel = $4.50
}
price {
  charge material = bought
  charge labour   = worked
  charge other    = extras
}
`

// buyingOrders makes mats of all widths.
func buyingOrders(b book, n int) []*check.Order {
	r := b.program.Recipe("mat")
	wide := r.Cell("wide")
	var orders []*check.Order
	for i := range n {
		v := check.Num(quantity.Frac(160+int64(i)*640/int64(n), 16))
		cell := &check.Cell{Name: "wide", Index: wide.Index, Type: wide.Type, Expr: check.Literal(v, wide.Type, wide.At)}
		orders = append(orders, &check.Order{ID: fmt.Sprint(i), Recipe: r, Given: map[int]*check.Cell{wide.Index: cell}})
	}
	return orders
}
