package layout_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"squab/stdlib/layout"
	"squab/stdlib/layout/verify"
)

// A planted case is cut out of a layout made first, so what that layout takes is
// enough: a bound over it is false, and what is proved cannot be over it.

// planted says what a layout may not claim.
func planted(t *testing.T, seed uint64, got layout.Result, used, cost int64, what any) {
	t.Helper()
	if got.Bound > used || got.CostBound > cost {
		t.Errorf("seed %d: bound %d, proven cost %d, but %d at %d is enough (%s)\n%+v", seed, got.Bound, got.CostBound, used, cost, got.BoundRests, what)
	}
	if got.Proved && got.Used > used && cost == 0 || got.Proved && got.Cost > cost {
		t.Errorf("seed %d: proved at %d for %d, but %d at %d is enough (%s)\n%+v", seed, got.Used, got.Cost, used, cost, got.BoundRests, what)
	}
}

// plantedRoll lays rows of pieces on a cloth and gives those that a motif falls on
// that motif to show.
func plantedRoll(seed uint64) (roll layout.Roll, pieces []layout.Piece, used int64) {
	r := rand.New(rand.NewPCG(seed, 87))
	roll = layout.Roll{Name: "moss linen", Wide: within(r, 20, 60), Gap: r.Int64N(2)}
	if r.IntN(3) > 0 {
		roll.Repeat = layout.Repeat{Along: 2 * within(r, 0, 8), Across: within(r, 0, 15), First: layout.Point{X: r.Int64N(9), Y: r.Int64N(9)}}
		roll.Repeat.HalfDrop = roll.Repeat.Across > 0 && roll.Repeat.Along > 0 && r.IntN(2) == 0
	}
	for y := int64(0); len(pieces) < 4+r.IntN(20); y = used + roll.Gap {
		row := within(r, 2, 14)
		for x := r.Int64N(3); x+2 <= roll.Wide; {
			at := layout.Rect{X: x, Y: y, Wide: min(roll.Wide-x, within(r, 2, 25)), Deep: max(1, row-r.Int64N(3))}
			pieces = append(pieces, plantedPiece(r, roll.Repeat, at, len(pieces)))
			x += at.Wide + roll.Gap + r.Int64N(2)
			used = max(used, y+at.Deep)
		}
	}
	return roll, pieces, used
}

func plantedPiece(r *rand.Rand, repeat layout.Repeat, at layout.Rect, n int) layout.Piece {
	p := layout.Piece{Name: fmt.Sprint(n), Wide: at.Wide, Deep: at.Deep, Count: 1, Turn: r.IntN(4) == 0, EndForEnd: r.IntN(4) == 0}
	for dx := int64(0); dx <= at.Wide && r.IntN(5) > 0; dx++ {
		for dy := int64(0); dy <= at.Deep; dy++ {
			if shows(repeat, at.X+dx, at.Y+dy) {
				p.Match = &layout.Point{X: dx, Y: dy}
				return p
			}
		}
	}
	return p
}

// shows is true where a motif stands; a repeat of none is everywhere.
func shows(repeat layout.Repeat, x, y int64) bool {
	x, y = x-repeat.First.X, y-repeat.First.Y
	if repeat.Across > 0 && x%repeat.Across != 0 {
		return false
	}
	if repeat.HalfDrop && x/repeat.Across%2 != 0 {
		y += repeat.Along / 2
	}
	return repeat.Along == 0 || y%repeat.Along == 0
}

func checkPlantedRoll(t *testing.T, seed uint64, e layout.Effort) {
	roll, pieces, used := plantedRoll(seed)
	got, err := layout.LayRoll(context.Background(), roll, pieces, e)
	if err != nil || len(got.Unplaced) > 0 {
		t.Fatalf("seed %d: %v, unplaced %+v", seed, err, got.Unplaced)
	}
	report(t, seed, roll, verify.Roll(roll, pieces, got))
	planted(t, seed, got, used, 0, []any{roll, pieces})
}

// cutApart cuts a sheet by straight cuts, in no more stages than allowed.
func cutApart(r *rand.Rand, wide, deep, kerf int64, stages int, across bool, out []layout.Piece) []layout.Piece {
	if stages == 0 || r.IntN(6) == 0 || wide < 4 && deep < 4 {
		return append(out, layout.Piece{Name: fmt.Sprint(len(out)), Wide: wide, Deep: max(1, deep-r.Int64N(2)), Count: 1, Turn: r.IntN(4) == 0})
	}
	whole := deep
	if across {
		whole = wide
	}
	for at := int64(0); at < whole; {
		part := min(whole-at, within(r, 2, max(2, whole/2)))
		if across {
			out = cutApart(r, part, deep, kerf, stages-1, false, out)
		} else {
			out = cutApart(r, wide, part, kerf, stages-1, true, out)
		}
		at += part + kerf
	}
	return out
}

func checkPlantedSheets(t *testing.T, seed uint64, e layout.Effort) {
	r := rand.New(rand.NewPCG(seed, 88))
	rule := layout.SheetRule{Kerf: r.Int64N(2), Guillotine: r.IntN(3) > 0, Stages: 1 + r.IntN(4)}
	var stocks []layout.SheetStock
	for range 1 + r.IntN(2) {
		stocks = append(stocks, layout.SheetStock{Name: "board", Wide: within(r, 8, 20), Deep: within(r, 8, 20), Price: within(r, 1, 9)})
	}
	var pieces []layout.Piece
	used, cost := int64(0), int64(0)
	for range 1 + r.IntN(4) {
		s := stocks[r.IntN(len(stocks))]
		pieces = cutApart(r, s.Wide, s.Deep, rule.Kerf, rule.Stages, r.IntN(2) == 0, pieces)
		used, cost = used+s.Wide*s.Deep, cost+s.Price
	}
	if r.IntN(4) == 0 {
		rule.Stages = 0
	}
	got, err := layout.LaySheets(context.Background(), stocks, rule, pieces, e)
	if err != nil || len(got.Unplaced) > 0 {
		t.Fatalf("seed %d: %v, unplaced %+v", seed, err, got.Unplaced)
	}
	report(t, seed, rule, verify.Sheets(stocks, rule, pieces, got))
	planted(t, seed, got, used, cost, []any{stocks, rule, pieces})
}

func checkPlantedSticks(t *testing.T, seed uint64, e layout.Effort) {
	r := rand.New(rand.NewPCG(seed, 89))
	rule := layout.StickRule{Kerf: r.Int64N(3), Nest: r.IntN(2) == 0}
	stocks := []layout.StickStock{{Name: "lath", Long: within(r, 40, 90), Price: within(r, 1, 9)}, {Name: "stave", Long: within(r, 40, 200), Price: within(r, 1, 9)}}
	var pieces []layout.StickPiece
	used, cost := int64(0), int64(0)
	for range 2 + r.IntN(20) {
		s := stocks[r.IntN(len(stocks))]
		for x, before := int64(0), int64(0); x+6 < s.Long; {
			mitre := r.Int64N(2) * 3
			if rule.Nest && mitre == before {
				x -= mitre
			}
			long := min(s.Long-x, within(r, 6, 45))
			pieces = append(pieces, layout.StickPiece{Name: "rail", Long: long, Count: 1, Mitre: mitre})
			x, before = x+long+rule.Kerf, mitre
		}
		used, cost = used+s.Long, cost+s.Price
	}
	got, err := layout.LaySticks(context.Background(), stocks, rule, pieces, e)
	if err != nil || len(got.Unplaced) > 0 {
		t.Fatalf("seed %d: %v, unplaced %+v", seed, err, got.Unplaced)
	}
	report(t, seed, rule, verify.Sticks(stocks, rule, pieces, got))
	planted(t, seed, got, used, cost, []any{stocks, rule, pieces})
}

func checkPlanted(t *testing.T, seed uint64) {
	e := layout.Effort{Work: 30_000}
	checkPlantedRoll(t, seed, e)
	checkPlantedSheets(t, seed, e)
	checkPlantedSticks(t, seed, e)
	checkPlantedReels(t, seed, e)
}

func TestBoundsAgainstPlantedLayouts(t *testing.T) {
	for seed := range uint64(250) {
		if checkPlanted(t, seed); t.Failed() {
			return
		}
	}
}

func FuzzPlanted(f *testing.F) {
	for seed := range uint64(8) {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, seed uint64) { checkPlanted(t, seed) })
}
