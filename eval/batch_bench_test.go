package eval_test

import (
	"testing"

	"squab/eval"
	"squab/eval/check"
	"squab/lang/diag/benchtest"
)

// BenchmarkBatch works the workload out for orders whose asks are small rationals, and reads five cells of each as rationals: the whole path but for text in and out.
func BenchmarkBatch(b *testing.B) {
	book := read(b, workload())
	const n = 2560
	orders := eval.Orders{Count: n, Asks: workAsks(book, n)}
	for _, bench := range []struct {
		name string
		read int // cells read of each order
	}{{"five_cells", 5}, {"all_values", workValues}} {
		b.Run(bench.name, func(b *testing.B) {
			p := book.engine.Plan(book.program.Recipe("bench"), day, nil)
			batch, err := p.Batch()
			if err != nil {
				b.Fatal(err)
			}
			first := p.Slot("c0_0")
			b.ReportAllocs()
			b.ResetTimer()
			clock := benchtest.Start()
			done := 0
			for done < b.N {
				batch.Run(orders, func(_ int, r eval.Row) {
					done++
					for i := range bench.read {
						v, _ := r.Value(first + i%workCells)
						sink = v
					}
				})
			}
			reportOrders(b, clock, done)
			report(b, batch)
		})
	}
}

var sink check.Value

func report(b *testing.B, batch *eval.Batch) {
	c := batch.Counts()
	b.ReportMetric(float64(c.Uncovered+c.Values)/float64(c.Orders), "fallbacks/order")
	b.ReportMetric(float64(len(batch.Unproven())), "slots-unproven")
}

func BenchmarkBatchPlan(b *testing.B) {
	book := read(b, workload())
	p := book.engine.Plan(book.program.Recipe("bench"), day, nil)
	b.ReportAllocs()
	clock := benchtest.Start()
	for b.Loop() {
		if _, err := p.Batch(); err != nil {
			b.Fatal(err)
		}
	}
	clock.Rate(b, float64(b.N), "plans")
}
