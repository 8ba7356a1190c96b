package layout

import (
	"context"
	"math/rand/v2"
	"testing"
)

// patternedStrip is a strip whose copies mostly show a motif.
func patternedStrip(r *rand.Rand, n int) *strip {
	s := &strip{wide: 6 + r.Int64N(20)}
	s.repeat = Repeat{Along: 2 * r.Int64N(6), Across: r.Int64N(s.wide), First: Point{r.Int64N(9), r.Int64N(9)}}
	s.repeat.HalfDrop = s.repeat.Along > 0 && s.repeat.Across > 0 && r.IntN(2) == 0
	var set kindSet
	mostly, alike := r.IntN(5), r.IntN(2) == 0
	for i := range n {
		p := Piece{Wide: 1 + r.Int64N(s.wide), Deep: 1 + r.Int64N(9), Turn: r.IntN(4) == 0, EndForEnd: r.IntN(4) == 0}
		if r.IntN(5) <= mostly {
			p.Match = &Point{r.Int64N(p.Wide + 1), r.Int64N(p.Deep + 1)}
		}
		if alike {
			p.Match = &Point{0, 0}
		}
		for c := range 1 + r.IntN(4)/2 {
			set.add(optionsOf(p, 0, s.repeat.patterned()), copyRef{item: i, copy: c + 1})
		}
	}
	set.fill(s)
	return s
}

func (s *strip) laysEverything() bool {
	for k := range s.kinds {
		if len(s.kinds[k].options) == 0 {
			return false
		}
	}
	return true
}

// No raw bound is over a length that is enough. (Result.Bound cannot show this: it
// is never given as more than what is used.)
func TestRawStripBoundsAreUnderWhatIsFound(t *testing.T) {
	tried, met := 0, map[string]int{}
	for seed := range uint64(600) {
		r := seeded(seed)
		s := patternedStrip(r, 1+r.IntN(5))
		if seed%4 == 0 {
			s = plainStrip(r, 5+r.Int64N(20), 1+r.IntN(7))
		}
		if !s.laysEverything() {
			continue
		}
		tried++
		c := newClock(context.Background(), Effort{Work: 60_000})
		best, _, _ := s.solve(c)
		simple, _ := s.lowerBound()
		for name, bound := range map[string]int64{"simple": simple, "bars": s.barBound(newClock(context.Background(), Effort{}))} {
			if bound > best.top {
				t.Errorf("seed %d: %s bound %d, but %d is enough: %+v", seed, name, bound, best.top, s)
			}
			if bound == best.top {
				met[name]++
			}
		}
	}
	if tried < 300 || met["bars"]*3 < tried || met["simple"]*4 < tried {
		t.Errorf("of %d bounds, met %v", tried, met)
	}
}

func randomBoard(r *rand.Rand) *board {
	b := &board{free: r.IntN(3) == 0, stages: 3}
	if b.most = r.IntN(4); b.most > 0 {
		b.stages = b.most
	}
	for range 1 + r.IntN(5)/4 {
		b.stocks = append(b.stocks, boardStock{wide: 6 + r.Int64N(8), deep: 6 + r.Int64N(8), cost: 1 + r.Int64N(20), limit: 100})
	}
	var set kindSet
	for i := range 1 + r.IntN(7) {
		p := Piece{Wide: 1 + r.Int64N(6), Deep: 1 + r.Int64N(6), Turn: r.IntN(3) == 0}
		set.add(optionsOf(p, 0, false), copyRef{item: i, copy: 1})
	}
	for _, k := range set.kinds {
		b.kinds = append(b.kinds, k)
		b.total += len(k.copies)
		b.area += k.area * int64(len(k.copies))
	}
	return b
}

// The same for sheets, by every bound on its own.
func TestRawSheetBoundsAreUnderWhatIsFound(t *testing.T) {
	met := map[string]int{}
	const cases = 400
	for seed := range uint64(cases) {
		b := randomBoard(seeded(seed))
		best, _, _ := b.solve(newClock(context.Background(), Effort{Work: 100_000}))
		bounds := map[string]int64{"apart": b.apartCost()}
		bounds["lower"], _ = b.lowerBound()
		for _, m := range b.sharpest() {
			bounds["measure"] = max(bounds["measure"], m.cost(b))
		}
		for name, bound := range bounds {
			if bound > best.cost {
				t.Errorf("seed %d: %s bound %d, but %d is enough: %+v", seed, name, bound, best.cost, b)
			}
			if bound == best.cost {
				met[name]++
			}
		}
	}
	if met["lower"]*3 < cases*2 || met["apart"] < cases/4 {
		t.Errorf("bounds met %v", met)
	}
}
