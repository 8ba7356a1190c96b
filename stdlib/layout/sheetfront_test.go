package layout

import (
	"cmp"
	"slices"
	"testing"
	"time"
)

// kindsOf makes a kind of each size, so many copies of it.
func kindsOf(sizes []Size, counts []int, turn bool) []kind {
	var set kindSet
	for i, size := range sizes {
		for c := range counts[i] {
			set.add(optionsOf(Piece{Wide: size.Wide, Deep: size.Deep, Turn: turn}, 0, false), copyRef{item: i, copy: c + 1})
		}
	}
	return set.kinds
}

func ones(n int) []int { return slices.Repeat([]int{1}, n) }

func newFronts(kinds []kind, whole Size, stages int) *fronts {
	return &fronts{copySet: newCopySet(kinds), kinds: kinds, whole: whole, stages: stages, meter: &meter{}, known: map[set][][2]front{}}
}

// A plain set has as many copies of each kind, the first ones, and is its own plain set.
func TestPlainSets(t *testing.T) {
	kinds := kindsOf([]Size{{1, 2}, {3, 4}, {5, 6}}, []int{3, 1, 4}, false)
	c := newCopySet(kinds)
	for s := set(1); s < 1<<8; s++ {
		plain := c.plain(s)
		if c.plain(plain) != plain || plain.size() != s.size() {
			t.Fatalf("%08b: plain %08b", s, plain)
		}
		for k, all := range c.ranges {
			n := (s & all).size()
			if want := (set(1)<<n - 1) << all.first(); plain&all != want {
				t.Errorf("%08b: of kind %d are %08b, want %08b", s, k, plain&all, want)
			}
		}
	}
}

// everyTree lists the sizes that sets can be cut from, by trying every tree of
// cuts: the first group of any kind, the rest beside or beyond it.
func everyTree(sizes []Size, turn bool) [][]Size {
	all := make([][]Size, 1<<len(sizes))
	for s := 1; s < len(all); s++ {
		if s&(s-1) == 0 {
			one := sizes[set(s).first()]
			all[s] = append(all[s], one)
			if turn {
				all[s] = append(all[s], Size{one.Deep, one.Wide})
			}
		}
		for part := (s - 1) & s; part > 0; part = (part - 1) & s {
			for _, p := range all[part] {
				for _, q := range all[s&^part] {
					all[s] = append(all[s], Size{p.Wide + q.Wide, max(p.Deep, q.Deep)}, Size{max(p.Wide, q.Wide), p.Deep + q.Deep})
				}
			}
		}
		all[s] = least(all[s])
	}
	return all
}

// least keeps the sizes that hold no other, in order.
func least(sizes []Size) []Size {
	slices.SortFunc(sizes, func(a, b Size) int {
		return cmp.Or(cmp.Compare(a.Wide, b.Wide), cmp.Compare(a.Deep, b.Deep))
	})
	var out []Size
	for _, s := range sizes {
		if len(out) == 0 || s.Deep < out[len(out)-1].Deep {
			out = append(out, s)
		}
	}
	return out
}

// With any number of stages the fronts, either direction first, are the least sizes
// of every tree of cuts.
func TestFrontsAgainstEveryTree(t *testing.T) {
	for seed := range uint64(40) {
		r := seeded(seed)
		sizes, turn := make([]Size, 5), r.IntN(2) == 0
		for i := range sizes {
			sizes[i] = Size{1 + r.Int64N(9), 1 + r.Int64N(9)}
		}
		sizes = slices.CompactFunc(bySize(sizes), func(a, b Size) bool { return a == b })
		kinds := kindsOf(sizes, ones(len(sizes)), turn)
		if len(kinds) != len(sizes) {
			continue
		}
		f := newFronts(kinds, Size{100, 100}, 0)
		for s, want := range everyTree(sizes, turn) {
			if s == 0 {
				continue
			}
			var got []Size
			for _, d := range []direction{beside, beyond} {
				for _, e := range f.front(set(s), f.stagesOf(set(s)), d) {
					got = append(got, e.Size)
				}
			}
			if got = least(got); !slices.Equal(got, want) {
				t.Fatalf("seed %d, set %05b of %v: %v, want %v", seed, s, sizes, got, want)
			}
		}
	}
}

// bySize orders sizes so that equal ones are next to one another.
func bySize(sizes []Size) []Size {
	slices.SortFunc(sizes, func(a, b Size) int { return cmp.Compare(a.Wide*100+a.Deep, b.Wide*100+b.Deep) })
	return sizes
}

// stagesNeeded is how many changes of direction take spots apart; noWall for none.
func stagesNeeded(s *strip, spots []spot, d direction, limit int) bool {
	if len(spots) == 1 {
		return true
	}
	if limit == 0 {
		return false
	}
	span := func(p spot) (int64, int64) {
		if d == beside {
			return p.x, p.x + s.option(p).wide
		}
		return p.y, p.y + s.option(p).deep
	}
	sorted := slices.Clone(spots)
	slices.SortFunc(sorted, func(a, b spot) int { p, _ := span(a); q, _ := span(b); return cmp.Compare(p, q) })
	from, end := 0, int64(0)
	for i, p := range sorted {
		start, to := span(p)
		if i > from && start >= end {
			if !stagesNeeded(s, sorted[from:i], d.other(), limit-1) {
				return false
			}
			from = i
		}
		end = max(end, to)
	}
	return stagesNeeded(s, sorted[from:], d.other(), limit-1)
}

// What a front says can be cut is laid on the sheet, every copy once, and comes
// apart in the stages allowed.
func TestFrontsLayWhatTheySay(t *testing.T) {
	laid := 0
	for seed := range uint64(200) {
		r := seeded(seed)
		sizes, counts := []Size{}, []int{}
		for range 1 + r.IntN(3) {
			sizes, counts = append(sizes, Size{1 + r.Int64N(6), 1 + r.Int64N(6)}), append(counts, 1+r.IntN(2))
		}
		stages := r.IntN(4)
		whole := Size{6 + r.Int64N(6), 6 + r.Int64N(6)}
		f := newFronts(kindsOf(sizes, counts, r.IntN(2) == 0), whole, stages)
		all := set(1)<<len(f.kind) - 1
		spots := f.lay(all)
		if (spots != nil) != f.cuttable(all) {
			t.Fatalf("seed %d: laid %v, cuttable %v", seed, spots, f.cuttable(all))
		}
		if spots == nil {
			continue
		}
		laid++
		s := &strip{wide: whole.Wide, kinds: f.kinds}
		wholeWithin(t, seed, s, plan{spots: spots}, whole.Deep)
		if stages == 0 {
			stages = 20
		}
		if !stagesNeeded(s, spots, beside, stages) && !stagesNeeded(s, spots, beyond, stages) {
			t.Errorf("seed %d: %v does not come apart in %d stages", seed, spots, stages)
		}
	}
	if laid < 60 {
		t.Errorf("only %d laid", laid)
	}
}

func wholeWithin(t *testing.T, seed uint64, s *strip, p plan, deep int64) {
	t.Helper()
	whole(t, seed, s, p)
	if top := s.measure(p.spots).top; top > deep {
		t.Errorf("seed %d: laid to %d of %d", seed, top, deep)
	}
}

// Fewer stages allow nothing that more do not.
func TestStagesOnlyAdd(t *testing.T) {
	for seed := range uint64(150) {
		r := seeded(seed)
		var sizes []Size
		for range 5 {
			sizes = append(sizes, Size{1 + r.Int64N(5), 1 + r.Int64N(5)})
		}
		kinds, whole := kindsOf(sizes, ones(5), false), Size{5 + r.Int64N(4), 5 + r.Int64N(4)}
		before := false
		for _, stages := range []int{1, 2, 3, 4, 0} {
			f := newFronts(kinds, whole, stages)
			now := f.cuttable(set(1)<<5 - 1)
			if before && !now {
				t.Errorf("seed %d: %v can be cut from %v in fewer stages than %d, but not in so many", seed, sizes, whole, stages)
			}
			before = now
		}
	}
}

// The oracle finds a pinwheel where cuts are free, and only there.
func TestOracleOnAPinwheel(t *testing.T) {
	for _, free := range []bool{true, false} {
		b := &board{free: free, stages: 3, stocks: []boardStock{{wide: 5, deep: 5, cost: 25, limit: 9}}}
		b.kinds = kindsOf([]Size{{3, 2}, {2, 3}, {1, 1}}, []int{2, 2, 1}, false)
		b.total = 5
		m := &meter{}
		copies := newCopySet(b.kinds)
		o := newOracle(b, 0, copies, m)
		all := set(1)<<5 - 1
		if got := o.fits(all); got != free || m.over {
			t.Errorf("free %v: fits %v, cut short %v", free, got, m.over)
		}
		if free {
			wholeWithin(t, 0, &strip{wide: 5, kinds: b.kinds}, plan{spots: o.lay(all)}, 5)
		}
	}
}

// What the oracle cannot tell ends the search as unproved, never as refuted.
func TestOracleThatCannotTell(t *testing.T) {
	n := maxOnSheet + 1
	b := &board{stages: 3, stocks: []boardStock{{wide: 100, deep: 100, cost: 1, limit: 9}}}
	b.kinds, b.total = kindsOf([]Size{{1, 1}}, []int{n}, false), n
	m := &meter{}
	o := newOracle(b, 0, newCopySet(b.kinds), m)
	if !o.fits(set(1)<<n-1) || !m.over {
		t.Error("more copies than it can tell about are refused, or the meter runs on")
	}
}

// A spent meter proves nothing.
func TestSharingCutShortProvesNothing(t *testing.T) {
	for seed := range uint64(60) {
		b := randomBoard(seeded(seed))
		best := b.first(newClock(t.Context(), Effort{Work: 1}))
		full, proved := b.share(best, 0, newClock(t.Context(), Effort{Work: 1_000_000}))
		short, early := b.share(best, 0, newClock(t.Context(), Effort{Work: 3}))
		if proved && early && short.cost != full.cost {
			t.Errorf("seed %d: both proved, at %d and %d", seed, full.cost, short.cost)
		}
		if short.cost < full.cost && proved {
			t.Errorf("seed %d: %d after little work, %d proved", seed, short.cost, full.cost)
		}
	}
}

// The search ends in time where time decides.
func TestSharingKeepsTime(t *testing.T) {
	r := seeded(3)
	b := &board{stages: 3, stocks: []boardStock{{wide: 40, deep: 40, cost: 1, limit: 99}}}
	var sizes []Size
	for range 30 {
		sizes = append(sizes, Size{5 + r.Int64N(20), 5 + r.Int64N(20)})
	}
	b.kinds, b.total = kindsOf(sizes, ones(30), false), 30
	for k := range b.kinds {
		b.area += b.kinds[k].area
	}
	best := b.shelves()
	began := time.Now()
	b.share(best, 0, newClock(t.Context(), Effort{Time: 20 * time.Millisecond}))
	if took := time.Since(began); took > 5*time.Second {
		t.Errorf("20 ms took %v", took)
	}
}
