package quantity

import (
	"math/big"
	"testing"
)

// operands are pairs as a workroom meets them.
var operands = []struct {
	name string
	a, b Number
}{
	{"whole", Int(46), Int(17)},
	{"whole_sixteenths", Int(46), Frac(13, 16)},
	{"eighths", Frac(197, 8), Frac(35, 8)},
	{"eighths_sixteenths", Frac(197, 8), Frac(13, 16)},
	{"inches_millimetres", Frac(197, 8), Frac(585, 127)},
	{"thirds_sevenths", Frac(44, 3), Frac(95, 7)},
}

func BenchmarkAdd(b *testing.B) { benchmarkPairs(b, Number.Add) }
func BenchmarkSub(b *testing.B) { benchmarkPairs(b, Number.Sub) }
func BenchmarkMul(b *testing.B) { benchmarkPairs(b, Number.Mul) }
func BenchmarkDiv(b *testing.B) {
	benchmarkPairs(b, func(x, y Number) Number {
		q, _ := x.Div(y)
		return q
	})
}
func BenchmarkCmp(b *testing.B) {
	benchmarkPairs(b, func(x, y Number) Number {
		order, _ := x.Cmp(y)
		return Int(int64(order))
	})
}
func BenchmarkRoundUp(b *testing.B) {
	step := Frac(1, 4)
	benchmarkPairs(b, func(x, _ Number) Number {
		q, _ := x.RoundUp(step)
		return q
	})
}

var sink Number

func benchmarkPairs(b *testing.B, op func(Number, Number) Number) {
	for _, pair := range operands {
		b.Run(pair.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				sink = op(pair.a, pair.b)
			}
		})
	}
}

// BenchmarkCutList is the arithmetic of one cut: sizes in inches and
// millimetres, allowances, a rounding and a comparison.
func BenchmarkCutList(b *testing.B) {
	const operations = 8
	turnUnder, seam, wide := Frac(3, 2), Frac(5, 8), Int(46)
	cord, quarter, most := Frac(585, 127), Frac(1, 4), Int(54)
	b.ReportAllocs()
	for b.Loop() {
		cut := wide.Add(Int(2).Mul(turnUnder)).Add(seam.Mul(Int(2))).Add(cord)
		cut = cut.Sub(Frac(1, 16))
		rounded, _ := cut.RoundUp(quarter)
		sink, _ = Max(rounded, most)
	}
	b.ReportMetric(b.Elapsed().Seconds()*1e9/float64(b.N)/operations, "ns/operation")
}

func BenchmarkBigRatAdd(b *testing.B) {
	x, y := big.NewRat(197, 8), big.NewRat(13, 16)
	b.ReportAllocs()
	for b.Loop() {
		new(big.Rat).Add(x, y)
	}
}

func BenchmarkParse(b *testing.B) {
	for _, text := range []string{"46", "4 5/8", "4½", "12.5"} {
		b.Run(text, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				sink, _ = Parse(text)
			}
		})
	}
}

func BenchmarkAppend(b *testing.B) {
	room := make([]byte, 0, 64)
	b.ReportAllocs()
	for b.Loop() {
		Frac(197, 8).Append(room)
	}
}

func BenchmarkShow(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		Style{}.Show(Frac(197, 8), LengthDim)
	}
}

func BenchmarkSin(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		sink, _ = Sin(Int(37))
	}
}

func BenchmarkAtan(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		sink, _ = Atan(Frac(3, 7))
	}
}
