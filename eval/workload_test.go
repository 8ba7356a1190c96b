package eval_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang/diag/benchtest"
)

// The workload of the speed goals: 20 asks, 120 cells and a list of 24 marks, three tables, 13 conditions, roundings to sixteenths and quarters.
const (
	workCells  = 120
	workMarks  = 24
	workValues = workCells + workMarks
)

const workTables = `
table strip_wide(cord: length from 1/16 in to 1/2 in, stuff: stuff): length {
  cord                     | stuff | gives
  up to 1/8 in             | any   | 1 1/4 in
  over 1/8 in up to 1/4 in | vinyl | 1 3/4 in
  over 1/8 in up to 1/4 in | any   | 1 1/2 in
  over 1/4 in              | any   | 2 in
}
table pull(run: length from 0 in to 200 ft): length {
  run                   | gives
  up to 12 in           | 3/8 in
  over 12 in up to 30 in | 1/2 in
  over 30 in up to 5 ft | 5/8 in
  over 5 ft             | 3/4 in
}
table hands(n: count from 0 to 40): number unique {
  n             | gives
  0             | 1/2
  1, 2          | 1
  from 3 up to 6 | 3/2
  over 6        | 2
}
`

// workload writes the book. Its cells stand in twelve groups of ten.
func workload() string {
	var b strings.Builder
	b.WriteString(trade + workTables + "recipe bench {\n")
	for i := range 12 {
		fmt.Fprintf(&b, "  ask w%d: length from 1 in to 10 ft\n", i)
	}
	for i := range 4 {
		fmt.Fprintf(&b, "  ask n%d: count from 1 to 6\n", i)
	}
	b.WriteString("  ask cord: length from 1/16 in to 1/2 in\n  ask share: number from 0 to 2\n  ask cover: cloth\n  ask welted: yes/no\n")
	for g := range 12 {
		b.WriteString(workGroup(g))
	}
	b.WriteString("  marks m on top = for each j from 1 to n0, i from 1 to n1: (1 in + (i - 1) * (w0 - 2 in) / 8) at (2 in + (j - 1) * (w1 - 3 in) / 8)\n")
	b.WriteString("  piece top from cover = 20 ft by 20 ft\n}\n")
	return b.String()
}

func workGroup(g int) string {
	w, next, n := fmt.Sprintf("w%d", g), fmt.Sprintf("w%d", (g+1)%12), fmt.Sprintf("n%d", g%4)
	extra := []string{"strip_wide(cord, cover.stuff)", "pull(" + w + ")", "hands(" + n + ") * 1 in", "seam(cover)"}[g%4]
	if g > 3 {
		extra = w + " / 8"
	}
	lines := []string{
		w + " + 2 * (" + extra + ") + 3/8 in",
		"cG_0 / 2 - " + next + " / 4",
		"(cG_0 + cG_1 * 3) rounded up to 1/16 in",
		"if cG_2 > " + next + " + 4 in then cG_2 - " + next + " else " + next + " - 1/2 in",
		"cG_3 * (" + n + " + 1) + 5/16 in",
		"(cG_4 * share) rounded to 1/4 in",
		"max(cG_5, " + w + ", 3 in) + cG_0",
		"cG_6 / 3 + cG_3 * 2 / 5",
		"(cG_7 - cG_1) rounded down to 1/16 in",
		"cG_8 * 15% + cG_4 - cG_2 / 2",
	}
	if g == 0 {
		lines[9] = "(if welted then cG_8 else cG_4) * 15% - cG_2 / 2"
	}
	var b strings.Builder
	for i, line := range lines {
		fmt.Fprintf(&b, "  c%d_%d = %s\n", g, i, strings.ReplaceAll(line, "cG", fmt.Sprintf("c%d", g)))
	}
	return b.String()
}

// workAsks makes the values of n orders for the workload, by the place of the ask.
func workAsks(b book, n int) [][]check.Value {
	r := rand.New(rand.NewPCG(20, 120))
	asks := make([][]check.Value, 20)
	for row := range n {
		for i := range 12 {
			asks[i] = append(asks[i], check.Num(quantity.Frac(16+r.Int64N(1900), 16)))
		}
		for i, most := range []int64{4, 6} {
			asks[12+i] = append(asks[12+i], check.Num(quantity.Int(most)))
		}
		for i := 14; i < 16; i++ {
			asks[i] = append(asks[i], check.Num(quantity.Int(1+r.Int64N(6))))
		}
		asks[16] = append(asks[16], check.Num(quantity.Frac(1+r.Int64N(8), 16)))
		asks[17] = append(asks[17], check.Num(quantity.Frac(r.Int64N(201), 100)))
		asks[18] = append(asks[18], check.Value{Obj: &check.Object{Material: b.program.Materials[row%2]}})
		asks[19] = append(asks[19], check.Bool(row%3 == 0))
	}
	return asks
}

// workOrders makes orders of the same values.
func workOrders(b book, n int) []*check.Order {
	r := b.program.Recipe("bench")
	asks := workAsks(b, n)
	var orders []*check.Order
	for row := range n {
		o := &check.Order{ID: fmt.Sprint(row), Recipe: r, Given: map[int]*check.Cell{}}
		for i, ask := range r.Asks {
			o.Given[ask.Index] = &check.Cell{Name: ask.Name, Index: ask.Index, Type: ask.Type, Expr: check.Literal(asks[i][row], ask.Type, ask.At)}
		}
		orders = append(orders, o)
	}
	return orders
}

func BenchmarkOneOrder(b *testing.B) {
	book := read(b, workload())
	orders := workOrders(book, 500)
	s := book.engine.Plan(orders[0].Recipe, day, nil).NewSheet()
	for i := range 2 * len(orders) { // a plan that is in use works another way
		s.Fill(orders[i%len(orders)])
	}
	b.ReportAllocs()
	b.ResetTimer()
	clock := benchtest.Start()
	for i := range b.N {
		s.Fill(orders[i%len(orders)])
	}
	reportOrders(b, clock, b.N)
}

func BenchmarkPlan(b *testing.B) {
	book := read(b, workload())
	b.ReportAllocs()
	clock := benchtest.Start()
	for b.Loop() {
		e := eval.Engine{Program: book.program}
		e.Plan(book.program.Recipe("bench"), day, nil)
	}
	clock.Rate(b, float64(b.N), "plans")
}

// reportOrders reports orders of the workload, and what a value takes.
func reportOrders(b *testing.B, clock benchtest.Clock, orders int) {
	clock.Rate(b, float64(orders), "orders")
	b.ReportMetric(float64(clock.Since().Nanoseconds())/float64(orders)/workValues, "ns/value")
}

func BenchmarkSet(b *testing.B) {
	book := read(b, workload())
	orders := workOrders(book, 500)
	r := orders[0].Recipe
	s := book.engine.Plan(r, day, nil).NewSheet()
	s.Fill(orders[0])
	w5 := r.Cell("w5")
	b.ReportAllocs()
	b.ResetTimer()
	clock := benchtest.Start()
	for i := range b.N {
		s.Set(orders[i%len(orders)].Given[w5.Index])
	}
	clock.Rate(b, float64(b.N), "changes")
}
