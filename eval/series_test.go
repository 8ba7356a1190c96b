package eval_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"squab/eval"
	"squab/eval/check"
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

// A handful of orders does not pay for a batch.
func TestFewOrdersComeOneByOne(t *testing.T) {
	b, _, _ := randomBook(choicesOf(5))
	series := b.engine.NewSeries()
	if err := checkSeries(b, series, gridOrders(rand.New(rand.NewPCG(1, 1)), b, 20)); err != nil {
		t.Error(err)
	}
	if c := series.Counts(); c.Orders != 0 {
		t.Errorf("%d orders were worked out by columns", c.Orders)
	}
}
