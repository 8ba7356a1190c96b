package stdlib

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"squab/eval"
	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
	"squab/lang/diag/benchtest"
	"squab/stdlib/layout"
)

// expectAll proves lines of a proof that makes nothing, or the recipe and asks given first.
func expectAll(t *testing.T, proofs []string) {
	t.Helper()
	openWith(t, strings.Join(proofs, "\n"), published).prove(t)
}

func sixteenths(rng *rand.Rand, from, to int) string {
	return fmt.Sprintf("%d/16 in", from*16+rng.IntN((to-from)*16))
}

// TestRingsClose holds the boxing and the zip panel of a cushion, sewn together, against the way round its plates, for sizes at random.
func TestRingsClose(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	var proofs []string
	for i := range 60 {
		cloth := [...]string{"test_cloth", "test_vinyl", "test_narrow"}[rng.IntN(3)]
		proofs = append(proofs, fmt.Sprintf(`proof "ring %d" source "the seams taken off, a ring is as long as what it goes round" {
  make boxed_cushion
  wide = %s
  deep = %s
  cover = %s
  pad = test_middle
  expect boxing.count * (boxing.wide - 2 * s) + zip_panel - 2 * s = girth(wide, deep)
  expect plate.wide - 2 * s = wide
  expect boxing.deep - 2 * s = thick
  expect 2 * (zip_sides.deep - s - zip_turn) = thick
  expect boxing.wide <= cover.usable
}`, i, sixteenths(rng, 8, 40), sixteenths(rng, 8, 40), cloth))
	}
	expectAll(t, proofs)
}

// TestTuftsTakeMoreThanTheyCover holds the ways of reckoning a tuft against each other: a chord is never longer than its arc,
// deeper takes more, nothing deep takes nothing, and two half spaces make a whole one.
func TestTuftsTakeMoreThanTheyCover(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	var proofs []string
	for i := range 60 {
		space, depth := sixteenths(rng, 1, 12), sixteenths(rng, 1, 6)
		proofs = append(proofs, fmt.Sprintf(`proof "tuft %d" source "a chord is shorter than its arc" {
  expect tuft_take_up(%[2]s, %[3]s, straight_path) < tuft_take_up(%[2]s, %[3]s, domed_path)
  expect tuft_take_up(%[2]s, %[3]s, straight_path) > 0 in
  expect tuft_take_up(%[2]s, %[3]s + 1/16 in, domed_path) > tuft_take_up(%[2]s, %[3]s, domed_path)
  expect tuft_take_up(%[2]s, 0 in, straight_path) = 0 in
  expect tuft_take_up(%[2]s, 0 in, domed_path) = 0 in
  expect abs(2 * edge_take_up(%[2]s / 2, %[3]s, domed_path) - tuft_take_up(%[2]s, %[3]s, domed_path)) < 0.0000001 in
  expect straight_way(%[2]s, %[3]s) <= %[2]s + %[3]s
}`, i, space, depth))
	}
	expectAll(t, proofs)
}

// TestMarksDoNotDrift holds the last running size of long rows against the first, exactly.
func TestMarksDoNotDrift(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	var proofs []string
	for i := range 60 {
		n, inset := 2+rng.IntN(500), sixteenths(rng, 0, 9)
		proofs = append(proofs, fmt.Sprintf(`proof "row %d" source "running sizes from one datum add nothing up" {
  expect last(running_sizes(%[2]s, equal_gap(20 ft - 2 * %[2]s, %[3]d), %[3]d)) = 20 ft - %[2]s
  expect sum(parting(20 ft, %[3]d)) = %[3]d * 10 ft
}`, i, inset, n))
	}
	expectAll(t, proofs)
}

// TestBiasSquaresAreEnough holds the square cut for a strip against the strip that it gives.
func TestBiasSquaresAreEnough(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 10))
	var proofs []string
	for i := range 60 {
		long, strip := sixteenths(rng, 10, 400), sixteenths(rng, 1, 4)
		proofs = append(proofs, fmt.Sprintf(`proof "bias %d" source "the cloth's area is the strip's area" {
  expect bias_long(bias_square(%[2]s, %[3]s), %[3]s) >= %[2]s
  expect bias_long(bias_square(%[2]s, %[3]s) - 1 in, %[3]s) < %[2]s
}`, i, long, strip))
	}
	expectAll(t, proofs)
}

// TestMitredSidesCloseTheRing holds the long sides of a ring of mouldings against the ring outside it: a square of mitres is the
// frame formula, and every further corner brings it nearer to a circle.
func TestMitredSidesCloseTheRing(t *testing.T) {
	var proofs []string
	for n := 3; n < 24; n++ {
		proofs = append(proofs, fmt.Sprintf(`proof "ring of %[1]d" source "a regular polygon round a circle of 10 in: n times its diameter times the tangent of 180/n" {
  expect abs(ring_moulding(10 in * tan(mitre_saw(%[1]d)), 1 in, %[1]d) - %[1]d * 12 in * tan(180 deg / %[1]d)) < 0.000001 in
  expect ring_moulding(10 in * tan(mitre_saw(%[1]d)), 1 in, %[1]d) > pi * 12 in
}`, n))
	}
	proofs = append(proofs, `proof "a square ring" source "the frame formula" {
  expect ring_moulding(10 in, 3/4 in, 4) = frame_moulding(10 in, 10 in, 3/4 in)
}`)
	expectAll(t, proofs)
}

// TestThePrintedChartHasGaps writes the chart of repeats as it is printed, in bands of whole inches, and wants the gaps between them found.
func TestThePrintedChartHasGaps(t *testing.T) {
	const chart = `table printed(repeats: length from 3 in to 54 in): number {
  repeats             | gives
  from 3 in up to 14 in  | 10%
  from 15 in up to 19 in | 15%
  from 20 in up to 27 in | 20%
  from 28 in up to 36 in | 25%
  from 37 in up to 45 in | 30%
  from 46 in up to 54 in | 35%
}
`
	files := &diag.Files{}
	var problems diag.List
	parsed := []*lang.File{lang.Parse(files.Add("chart.squab", chart, diag.House), lang.Limits{}, &problems)}
	check.Check(files, parsed, &problems)
	all := problems.All()
	if len(all) != 1 || all[0].Code != "table-gap" {
		t.Fatalf("got %v, want one table-gap: 14 1/2 in has no band", all)
	}
}

// BenchmarkHeronQuay works every order of the example, as a workroom would at one go.
func BenchmarkHeronQuay(b *testing.B) {
	house := open(b, heronQuay)
	for _, way := range []struct {
		name string
		lay  eval.LayFunc
	}{{"by_area", nil}, {"laid_out", Lay(layout.Effort{Work: 20_000, Workers: 1})}} {
		b.Run(way.name, func(b *testing.B) {
			engine := &eval.Engine{Program: house.program, Lay: way.lay}
			b.ReportAllocs()
			clock := benchtest.Start()
			for b.Loop() {
				for _, o := range house.program.Orders {
					if _, problems := engine.Work(o, o.Date); len(problems) > 0 {
						b.Fatal(problems)
					}
				}
			}
			clock.Rate(b, float64(len(house.program.Orders)*b.N), "orders")
		})
	}
}
