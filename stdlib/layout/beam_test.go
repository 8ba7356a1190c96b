package layout

import (
	"math/rand/v2"
	"slices"
	"testing"
)

func plainStrip(r *rand.Rand, wide int64, n int) *strip {
	s := &strip{wide: wide}
	var set kindSet
	for i := range n {
		p := Piece{Wide: 1 + r.Int64N(wide), Deep: 1 + r.Int64N(9), Turn: r.IntN(3) == 0}
		set.add(optionsOf(p, 0, false), copyRef{item: i, copy: 1})
	}
	set.fill(s)
	return s
}

// Sums must know every extent that copies left can fill: a missing one would
// prune a good layout.
func TestSumsMissNothing(t *testing.T) {
	for seed := range uint64(200) {
		r := seeded(seed)
		s := plainStrip(r, 5+r.Int64N(30), 1+r.IntN(6))
		sums := newSums(s, s.wide, func(o *option) int64 { return o.wide })
		left := s.counts()
		for k := range left {
			left[k] = uint16(r.IntN(int(left[k]) + 1))
		}
		sums.load(left)
		reach := map[int64]bool{0: true}
		for k, n := range left {
			for range n {
				for sum := range cloneKeys(reach) {
					for _, o := range s.kinds[k].options {
						reach[sum+o.wide] = true
					}
				}
			}
		}
		for extent := int64(0); extent <= s.wide; extent++ {
			least := extent
			for !reach[least] {
				least--
			}
			if got := sums.below(extent); got < least || got > extent {
				t.Fatalf("seed %d: below(%d) = %d, but %d can be filled", seed, extent, got, least)
			}
		}
	}
}

func cloneKeys(m map[int64]bool) map[int64]bool {
	out := map[int64]bool{}
	for k := range m {
		out[k] = true
	}
	return out
}

func TestSumsDeclineLongExtents(t *testing.T) {
	s := plainStrip(seeded(1), 7, 3)
	s.wide = 1_000_003
	if sums := newSums(s, s.wide, func(o *option) int64 { return o.wide }); sums != nil {
		t.Errorf("%d words are kept", sums.words)
	}
}

// Within its limit a beam loses nothing it says it kept: all copies, no overlap.
func TestBeamPlansAreWhole(t *testing.T) {
	for seed := range uint64(150) {
		r := seeded(seed)
		s := plainStrip(r, 6+r.Int64N(20), 1+r.IntN(10))
		start := s.bestFit()
		b := newBeam(s, start.top, 8, &meter{})
		if r.IntN(2) == 0 {
			b.pick = narrowest
		}
		p, ok := b.run()
		if !ok {
			continue
		}
		if p.top > start.top {
			t.Errorf("seed %d: %d over the limit %d", seed, p.top, start.top)
		}
		whole(t, seed, s, p)
		whole(t, seed, s, start)
		whole(t, seed, s, s.unflip(s.flip(99).measure(flipped(p))))
	}
}

func flipped(p plan) []spot {
	out := slices.Clone(p.spots)
	for i := range out {
		out[i].x, out[i].y = out[i].y, out[i].x
	}
	return out
}

func whole(t *testing.T, seed uint64, s *strip, p plan) {
	t.Helper()
	laid := make([]int, len(s.kinds))
	for i, a := range p.spots {
		laid[a.kind]++
		o := s.option(a)
		if a.x < 0 || a.x+o.wide > s.wide {
			t.Errorf("seed %d: %+v is off the strip", seed, a)
		}
		for _, b := range p.spots[:i] {
			q := s.option(b)
			if (Rect{a.x, a.y, o.wide, o.deep}).meets(Rect{b.x, b.y, q.wide, q.deep}) {
				t.Errorf("seed %d: %+v and %+v overlap", seed, a, b)
			}
		}
	}
	for k := range s.kinds {
		if laid[k] != len(s.kinds[k].copies) {
			t.Errorf("seed %d: %d of %d copies of kind %d", seed, laid[k], len(s.kinds[k].copies), k)
		}
	}
}
