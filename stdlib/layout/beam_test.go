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

// On the way to any layout within the limit no state is stranded.
func TestStrandedOnlyWhereNothingFits(t *testing.T) {
	for seed := range uint64(300) {
		r := seeded(seed)
		s := plainStrip(r, 6+r.Int64N(20), 1+r.IntN(12))
		p := s.greedySkyline(s.orders()[r.IntN(4)])
		b := newBeam(s, p.top, 1, &meter{})
		n := &node{line: []step{{0, 0}}, left: s.counts()}
		for i, at := range p.spots {
			if b.stranded(n) {
				t.Fatalf("seed %d: %d of %d laid, the others fit within %d, but are stranded on %v", seed, i, s.total, p.top, n.line)
			}
			n.line = cover(n.line, at.x, s.option(at).wide, at.y+s.option(at).deep, s.wide)
			n.left[at.kind]--
		}
	}
}

// A strip as long as the limit needs a stretch that is still at the near end.
func TestStranded(t *testing.T) {
	set := kindSet{}
	set.add(optionsOf(Piece{Wide: 3, Deep: 20}, 0, false), copyRef{copy: 1})
	set.add(optionsOf(Piece{Wide: 4, Deep: 11}, 0, false), copyRef{item: 1, copy: 1})
	s := &strip{wide: 10}
	set.fill(s)
	b := newBeam(s, 20, 1, &meter{})
	for _, c := range []struct {
		name string
		line []step
		left []uint16
		want bool
	}{
		{"nothing laid", []step{{0, 0}}, []uint16{1, 1}, false},
		{"room for the long one", []step{{0, 5}, {7, 0}}, []uint16{1, 1}, false},
		{"too narrow a stretch", []step{{0, 5}, {8, 0}}, []uint16{1, 1}, true},
		{"two stretches too narrow", []step{{0, 0}, {2, 5}, {8, 0}}, []uint16{1, 0}, true},
		{"long ones need more width than is left", []step{{0, 10}, {4, 0}}, []uint16{1, 1}, true},
		{"the long one is laid", []step{{0, 20}, {3, 0}}, []uint16{0, 1}, false},
	} {
		if got := b.stranded(&node{line: c.line, left: c.left}); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

// Three hundred copies that may lie two ways fill any width that as many of either do.
func TestSumsOfManyCopies(t *testing.T) {
	set := kindSet{}
	for c := range 300 {
		set.add(optionsOf(Piece{Wide: 2, Deep: 3, Turn: true}, 0, false), copyRef{copy: c + 1})
	}
	s := &strip{wide: 1200}
	set.fill(s)
	sums := newSums(s, s.wide, func(o *option) int64 { return o.wide })
	for left, want := range map[uint16]int64{300: 1200, 100: 500, 1: 5, 0: 0} {
		sums.load([]uint16{left})
		if got := sums.below(1200); got != want {
			t.Errorf("%d copies fill %d of 1200, want %d", left, got, want)
		}
	}
}

// A search that dies out gives what it found all the same, finished past its limit: every
// copy once, on the strip, clear of every other.
func TestSearchThatDiesOutIsFinished(t *testing.T) {
	died := 0
	for seed := range uint64(200) {
		r := seeded(seed)
		s := plainStrip(r, 10+r.Int64N(20), 4+r.IntN(10))
		bound, _ := s.lowerBound()
		b := newBeam(s, bound, 1, &meter{})
		if _, ok := b.run(); ok {
			continue
		}
		died++
		whole(t, seed, s, b.finished())
	}
	if died < 50 {
		t.Errorf("only %d died out", died)
	}
	if b := newBeam(plainStrip(seeded(1), 10, 3), 1, 1, &meter{}); b.finished().spots != nil {
		t.Error("a search not begun is finished")
	}
}
