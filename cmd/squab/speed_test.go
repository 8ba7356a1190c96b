package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"squab/cmd/squab/internal/load"
	"squab/eval"
	"squab/eval/trace"
	"squab/lang/diag/benchtest"
	"squab/stdlib"
)

const example = "../../examples/heron-quay"

// pads gives n orders of the example's window pad as CSV, row by row.
type pads struct {
	left int
	row  int
	r    *rand.Rand
	text []byte
}

func newPads(n int) *pads {
	return &pads{left: n, r: rand.New(rand.NewPCG(1060, 4)), text: []byte("order,title,off,date,wide,deep,cover,pad,ties\n")}
}

func (p *pads) Read(b []byte) (int, error) {
	if len(p.text) == 0 {
		if p.row == p.left {
			return 0, io.EOF
		}
		p.text = p.next(p.text)
	}
	n := copy(b, p.text)
	p.text = p.text[n:]
	return n, nil
}

// next appends some rows.
func (p *pads) next(b []byte) []byte {
	covers, cores := []string{"harbour_tweed", "slipway_vinyl", "pebble_linen"}, []string{"firm_2in", "firm_3in"}
	for range min(100, p.left-p.row) {
		p.row++
		b = fmt.Appendf(b, "%d,Window,%d,2026-06-%02d,%d %d/16 in,%d 1/2 in,%s,%s,%d\n", p.row, 1+p.r.IntN(3), 1+p.r.IntN(28),
			16+p.r.IntN(50), 1+2*p.r.IntN(8), 12+p.r.IntN(4), covers[p.r.IntN(len(covers))], cores[p.r.IntN(len(cores))], 2*p.r.IntN(4))
	}
	return b
}

// cutPads is a command line that works pads out without laying them out.
func cutPads(format string, more ...string) []string {
	return append([]string{"cut", example, "--orders", "-", "--recipe", "window_pad", "--by-area", "--format", format}, more...)
}

// BenchmarkCut works a file of orders out, from its rows to what is printed.
func BenchmarkCut(b *testing.B) {
	const n = 20_000
	rows, err := io.ReadAll(newPads(n))
	if err != nil {
		b.Fatal(err)
	}
	for _, format := range []string{"csv", "jsonl", "text"} {
		b.Run(format, func(b *testing.B) {
			b.ReportAllocs()
			clock := benchtest.Start()
			for b.Loop() {
				s := streams{in: bytes.NewReader(rows), out: io.Discard, err: io.Discard, now: time.Now}
				if got := run(context.Background(), cutPads(format), s); got != statusWell {
					b.Fatal("status", got)
				}
			}
			clock.Rate(b, float64(n*b.N), "orders")
		})
	}
}

// BenchmarkWhy traces one cell of an order that has been worked out.
func BenchmarkWhy(b *testing.B) {
	book, err := load.Open([]string{example}, load.Options{MaxFile: load.DefaultMaxFile, Library: stdlib.AddTo})
	if err != nil {
		b.Fatal(err)
	}
	var r *eval.Result
	for _, o := range book.Program.Orders {
		if o.ID == "1044" {
			r, _ = (&eval.Engine{Program: book.Program}).Work(o, o.Date)
		}
	}
	b.ReportAllocs()
	clock := benchtest.Start()
	for b.Loop() {
		node, err := trace.Explain(r.Sheet, r, "core.wide")
		if err != nil {
			b.Fatal(err)
		}
		trace.Text(node, book.Files, traceWidth)
	}
	clock.Rate(b, float64(b.N), "whys")
}

// BenchmarkColdCut starts the command for one order, again and again.
func BenchmarkColdCut(b *testing.B) {
	binary := built(b)
	least, used := time.Hour, time.Duration(0)
	for b.Loop() {
		cmd := exec.Command(binary, "cut", example, "--order", "1044")
		began := time.Now()
		if err := cmd.Run(); err != nil {
			b.Fatal(err)
		}
		least = min(least, time.Since(began))
		used += cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
	}
	b.ReportMetric(float64(least.Microseconds())/1000, "ms-at-best")
	b.ReportMetric(used.Seconds()*1000/float64(b.N), "core-ms")
}

// BenchmarkMillion cuts a million orders, and reports the most memory that the command took.
func BenchmarkMillion(b *testing.B) {
	binary := built(b)
	const n = 1_000_000
	for b.Loop() {
		cmd := exec.Command(binary, cutPads("csv")...)
		cmd.Stdin = newPads(n)
		if err := cmd.Run(); err != nil {
			b.Fatal(err)
		}
		state := cmd.ProcessState
		b.ReportMetric(n/(state.UserTime()+state.SystemTime()).Seconds(), "orders/s/core")
		reportMemory(b, state)
	}
}

// built makes the command as a user would have it.
func built(t testing.TB) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "squab")
	if out, err := exec.Command("go", "build", "-o", path, ".").CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return path
}
