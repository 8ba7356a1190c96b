package eval_test

import (
	"testing"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
)

// A sheet that is filled again and again, and a batch that runs on, leave nothing for the collector.
func TestSteadyWorkAllocatesNothing(t *testing.T) {
	b := read(t, workload())
	orders := workOrders(b, 300)
	p := b.engine.Plan(orders[0].Recipe, day, nil)
	s := p.NewSheet()
	next := 0
	fill := func() {
		s.Fill(orders[next%len(orders)])
		next++
	}
	for range 2 * len(orders) {
		fill()
	}
	if n := testing.AllocsPerRun(len(orders), fill); n != 0 {
		t.Errorf("%v allocations to fill a sheet", n)
	}
	w5 := orders[0].Recipe.Cell("w5")
	if n := testing.AllocsPerRun(len(orders), func() { s.Set(orders[next%len(orders)].Given[w5.Index]); next++ }); n != 0 {
		t.Errorf("%v allocations to change one ask", n)
	}
	batch, err := p.Batch()
	if err != nil {
		t.Fatal(err)
	}
	in := eval.Orders{Count: len(orders), Asks: workAsks(b, len(orders))}
	run := func() { batch.Run(in, func(_ int, r eval.Row) { sink, _ = r.Value(p.Slot("c0_0")) }) }
	run()
	if n := testing.AllocsPerRun(20, run); n != 0 {
		t.Errorf("%v allocations to work out a batch of %d orders", n, in.Count)
	}
}

// Values that are used in place of the book's are used by the thousandth order as by the first.
func TestWhatIfHoldsForManyFills(t *testing.T) {
	b := read(t, nested)
	o := b.order(t, "1")
	b.engine.WhatIf.Rules = map[*check.Rule]eval.Move{b.program.Rule("labour_rate"): {By: quantity.Int(7)}}
	p := b.engine.Plan(o.Recipe, day, nil)
	first, s := p.NewSheet(), p.NewSheet()
	first.Fill(o)
	for range 1000 {
		s.Fill(o)
	}
	if err := sameSheets(s, first); err != nil {
		t.Error(err)
	}
}
