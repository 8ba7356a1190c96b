package layout_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"squab/stdlib/layout"
	"squab/stdlib/layout/verify"
)

// quick is the effort of a test that asks for soundness, not for quality.
var quick = layout.Effort{Work: 20_000}

func randomPieces(r *rand.Rand, n, most int) []layout.Piece {
	var pieces []layout.Piece
	for i := range n {
		p := layout.Piece{
			Name: fmt.Sprintf("part %d", i), Order: fmt.Sprintf("order %d", i%3),
			Wide: 1 + r.Int64N(int64(most)), Deep: 1 + r.Int64N(int64(most)), Count: r.IntN(4),
			Turn: r.IntN(2) == 0, EndForEnd: r.IntN(2) == 0,
		}
		if r.IntN(2) == 0 {
			p.Match = &layout.Point{X: r.Int64N(p.Wide), Y: r.Int64N(p.Deep)}
		}
		p.Join = layout.Join{How: layout.JoinHow(r.IntN(3)), Seam: r.Int64N(3)}
		pieces = append(pieces, p)
	}
	return pieces
}

func randomRoll(r *rand.Rand) layout.Roll {
	roll := layout.Roll{Name: "moss linen", Wide: 20 + r.Int64N(40), Gap: r.Int64N(3)}
	if r.IntN(2) == 0 {
		roll.Repeat.Along = 2 * (1 + r.Int64N(8))
		roll.Repeat.Across = r.Int64N(15)
		roll.Repeat.HalfDrop = roll.Repeat.Across > 0 && r.IntN(2) == 0
		roll.Repeat.First = layout.Point{X: r.Int64N(10), Y: r.Int64N(10)}
	}
	for range r.IntN(3) {
		roll.Flaws = append(roll.Flaws, layout.Rect{X: r.Int64N(20), Y: r.Int64N(60), Wide: 1 + r.Int64N(20), Deep: 1 + r.Int64N(6)})
	}
	for range r.IntN(2) {
		roll.Remnants = append(roll.Remnants, layout.Remnant{Wide: 5 + r.Int64N(40), Deep: 5 + r.Int64N(40), First: layout.Point{X: r.Int64N(5)}})
	}
	for range r.IntN(2) {
		roll.Bias = append(roll.Bias, layout.Bias{Name: "piping", Wide: 1 + r.Int64N(3), Long: 1 + r.Int64N(200), Seam: r.Int64N(2)})
	}
	if r.IntN(5) == 0 {
		roll.Long = 30 + r.Int64N(60)
	}
	return roll
}

func report(t *testing.T, seed uint64, what any, errs []error) {
	t.Helper()
	for _, err := range errs {
		t.Errorf("seed %d: %v\nof %+v", seed, err, what)
	}
}

// checkRoll lays a random roll and has it verified.
func checkRoll(t *testing.T, seed uint64) {
	r := rand.New(rand.NewPCG(seed, 1))
	roll, pieces := randomRoll(r), randomPieces(r, 1+r.IntN(12), 30)
	got, err := layout.LayRoll(context.Background(), roll, pieces, quick)
	if err != nil {
		t.Fatalf("seed %d: %v", seed, err)
	}
	report(t, seed, roll, verify.Roll(roll, pieces, got))
}

func checkSheets(t *testing.T, seed uint64) {
	r := rand.New(rand.NewPCG(seed, 2))
	var stocks []layout.SheetStock
	priced := r.IntN(2)
	for i := range 1 + r.IntN(3) {
		stocks = append(stocks, layout.SheetStock{Name: fmt.Sprintf("board %d", i), Wide: 10 + r.Int64N(40), Deep: 10 + r.Int64N(40),
			Price: int64(priced) * r.Int64N(500), Limit: r.IntN(3) * r.IntN(4)})
	}
	rule := layout.SheetRule{Kerf: r.Int64N(3), Guillotine: r.IntN(3) > 0, Stages: r.IntN(5), LeastOffcut: layout.Size{Wide: 3, Deep: 3}}
	pieces := randomPieces(r, 1+r.IntN(12), 25)
	got, err := layout.LaySheets(context.Background(), stocks, rule, pieces, quick)
	if err != nil {
		t.Fatalf("seed %d: %v", seed, err)
	}
	report(t, seed, []any{stocks, rule}, verify.Sheets(stocks, rule, pieces, got))
}

func checkSticks(t *testing.T, seed uint64) {
	r := rand.New(rand.NewPCG(seed, 3))
	stocks, rule, pieces := randomSticks(r)
	got, err := layout.LaySticks(context.Background(), stocks, rule, pieces, quick)
	if err != nil {
		t.Fatalf("seed %d: %v", seed, err)
	}
	report(t, seed, []any{stocks, rule, pieces}, verify.Sticks(stocks, rule, pieces, got))
}

func randomSticks(r *rand.Rand) ([]layout.StickStock, layout.StickRule, []layout.StickPiece) {
	var stocks []layout.StickStock
	priced := r.IntN(2)
	for i := range 1 + r.IntN(3) {
		stocks = append(stocks, layout.StickStock{Name: fmt.Sprintf("lath %d", i), Long: 20 + r.Int64N(80),
			Price: int64(priced) * r.Int64N(500), Limit: r.IntN(3) * r.IntN(4)})
	}
	rule := layout.StickRule{Kerf: r.Int64N(3), Nest: r.IntN(2) == 0, Join: r.IntN(4) == 0, JoinSeam: r.Int64N(4)}
	var pieces []layout.StickPiece
	for i := range 1 + r.IntN(10) {
		p := layout.StickPiece{Name: fmt.Sprintf("rail %d", i), Long: 1 + r.Int64N(60), Count: r.IntN(6)}
		p.Mitre = min(p.Long/2, r.Int64N(3)*2)
		pieces = append(pieces, p)
	}
	return stocks, rule, pieces
}

// The largest measures and counts that are taken on must not overflow anything.
func TestHugeMeasuresAreSound(t *testing.T) {
	const big = layout.MaxMeasure
	for seed := range uint64(2) {
		r := rand.New(rand.NewPCG(seed, 5))
		huge := func() int64 { return big - r.Int64N(big/3) }
		var pieces []layout.Piece
		var sticks []layout.StickPiece
		for i := range 30 {
			p := layout.Piece{Name: fmt.Sprint(i), Wide: 1 + r.Int64N(big), Deep: huge(), Count: 1 + r.IntN(600), Turn: r.IntN(2) == 0}
			pieces = append(pieces, p)
			sticks = append(sticks, layout.StickPiece{Name: p.Name, Long: p.Wide, Count: p.Count})
		}
		roll := layout.Roll{Wide: big, Gap: 1, Repeat: layout.Repeat{Along: huge()}}
		got, err := layout.LayRoll(context.Background(), roll, pieces, quick)
		if err != nil {
			t.Fatal(err)
		}
		report(t, seed, roll, verify.Roll(roll, pieces, got))
		stocks := []layout.SheetStock{{Wide: big, Deep: big, Price: layout.MaxPrice}, {Wide: huge(), Deep: big, Price: layout.MaxPrice - 1}}
		sheets, err := layout.LaySheets(context.Background(), stocks, layout.SheetRule{Guillotine: true}, pieces, quick)
		if err != nil {
			t.Fatal(err)
		}
		report(t, seed, stocks, verify.Sheets(stocks, layout.SheetRule{Guillotine: true}, pieces, sheets))
		laths := []layout.StickStock{{Long: big, Price: layout.MaxPrice}, {Long: huge(), Price: layout.MaxPrice - 1}}
		cut, err := layout.LaySticks(context.Background(), laths, layout.StickRule{Kerf: 1}, sticks, quick)
		if err != nil {
			t.Fatal(err)
		}
		report(t, seed, laths, verify.Sticks(laths, layout.StickRule{Kerf: 1}, sticks, cut))
	}
}

// Every layout the engines make must satisfy the verifier, whatever the material.
func TestRandomLayoutsAreSound(t *testing.T) {
	for seed := range uint64(150) {
		checkRoll(t, seed)
		checkSheets(t, seed)
		checkSticks(t, seed)
		if t.Failed() {
			return
		}
	}
}

func FuzzLayouts(f *testing.F) {
	for seed := range uint64(8) {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, seed uint64) {
		checkRoll(t, seed)
		checkSheets(t, seed)
		checkSticks(t, seed)
	})
}
