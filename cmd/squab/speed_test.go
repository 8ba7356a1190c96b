package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"testing"
	"time"
)

// pads writes n orders of the example's window pad as CSV.
func pads(n int) []byte {
	r := rand.New(rand.NewPCG(1060, 4))
	var b bytes.Buffer
	b.WriteString("order,title,off,date,wide,deep,cover,pad,ties\n")
	covers, cores := []string{"harbour_tweed", "slipway_vinyl", "pebble_linen"}, []string{"firm_2in", "firm_3in"}
	for i := range n {
		fmt.Fprintf(&b, "%d,Window,%d,2026-06-%02d,%d %d/16 in,%d 1/2 in,%s,%s,%d\n", i, 1+r.IntN(3), 1+r.IntN(28),
			16+r.IntN(50), 1+2*r.IntN(8), 12+r.IntN(4), covers[r.IntN(len(covers))], cores[r.IntN(len(cores))], 2*r.IntN(4))
	}
	return b.Bytes()
}

// BenchmarkCut works a file of orders out from its rows to what is printed.
func BenchmarkCut(b *testing.B) {
	const n = 2000
	rows := pads(n)
	for _, format := range []string{"csv", "jsonl", "text"} {
		b.Run(format, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				args := []string{"cut", "../../examples/heron-quay", "--orders", "-", "--recipe", "window_pad", "--by-area", "--format", format, "--jobs", "1"}
				s := streams{in: bytes.NewReader(rows), out: io.Discard, err: io.Discard, now: time.Now}
				if got := run(context.Background(), args, s); got != statusWell {
					b.Fatal("status", got)
				}
			}
			b.ReportMetric(float64(n*b.N)/b.Elapsed().Seconds(), "orders/s")
		})
	}
}
