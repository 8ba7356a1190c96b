package layout

import (
	"fmt"
	"slices"
	"testing"
)

// everyCutting finds the least cost of a cutting by every pattern of every stock for
// the first piece still needed.
type everyCutting struct {
	c     *cutting
	known map[string]int64
}

func (e *everyCutting) least(demand []int) int64 {
	first := slices.IndexFunc(demand, func(n int) bool { return n > 0 })
	if first < 0 {
		return 0
	}
	key := fmt.Sprint(demand)
	if known, ok := e.known[key]; ok {
		return known
	}
	best := noWall
	for s := range e.c.holds {
		for _, rest := range e.rests(demand, s, first, nil) {
			best = min(best, e.c.costs[s]+e.least(rest))
		}
	}
	e.known[key] = best
	return best
}

// rests are what is still needed after each pattern of a stock that holds the first kind.
func (e *everyCutting) rests(demand []int, stock, kind int, taken []entry) [][]int {
	if e.c.takenBy(taken) > e.c.holds[stock] {
		return nil
	}
	if kind == len(demand) {
		rest := slices.Clone(demand)
		for _, en := range taken {
			rest[en.kind] -= en.count
		}
		return [][]int{rest}
	}
	var out [][]int
	for n := range demand[kind] + 1 {
		switch {
		case n > 0:
			out = append(out, e.rests(demand, stock, kind+1, append(slices.Clip(taken), entry{kind, n}))...)
		case len(taken) > 0:
			out = append(out, e.rests(demand, stock, kind+1, taken)...)
		}
	}
	return out
}

// atFirst is a generator that knows prices and a layout of one piece a stick.
func atFirst(t *testing.T, c *cutting) (*generator, need) {
	all := c.allNeeds()
	g := &generator{c: c, clock: newClock(t.Context(), Effort{}), known: map[string]bool{}, bound: c.quickCost(all.demand), top: slices.Max(c.costs)}
	g.begin()
	root := g.relaxation(all)
	root.run(true)
	for k := range c.kinds {
		for s := range c.holds {
			if one := (entry{k, 1}); c.takenBy([]entry{one}) <= c.holds[s] {
				g.best.add(c, pattern{s, []entry{one}}, c.kinds[k].count)
				break
			}
		}
	}
	return g, all
}

// tightCutting is one stock cut up with next to nothing lost, so that few sticks may lose
// any length.
func tightCutting(seed uint64) *cutting {
	r := seeded(seed)
	c := &cutting{setup: []int64{0}, holds: []int64{20 + r.Int64N(20)}, costs: []int64{1 + r.Int64N(3)}, limits: []int{1000}}
	counts := map[int64]int{}
	for range 2 + r.IntN(3) {
		for left := c.holds[0] - r.Int64N(2); left > 0; {
			take := min(left, 4+r.Int64N(14))
			counts[take]++
			left -= take
		}
	}
	for take := c.holds[0]; take > 0; take-- {
		if counts[take] > 0 {
			c.kinds = append(c.kinds, stickKind{take: take, count: counts[take]})
		}
	}
	return c
}

// What the searches find is the least where they say so, and no bound is over it, against
// every way to cut; and they do say so.
func TestStickSearchesAgainstEveryCutting(t *testing.T) {
	for name, search := range map[string]struct {
		draw func(uint64) *cutting
		run  func(*generator, need)
	}{
		"every set of patterns": {func(seed uint64) *cutting { return randomCutting(seeded(seed)) }, func(g *generator, all need) { g.exact(all, 1) }},
		"nearly full sticks":    {tightCutting, func(g *generator, all need) { g.tighten(all) }},
	} {
		proved := 0
		for seed := range uint64(100) {
			c := search.draw(seed)
			want := (&everyCutting{c, map[string]int64{}}).least(c.allNeeds().demand)
			if want >= noWall {
				continue
			}
			g, all := atFirst(t, c)
			search.run(g, all)
			if g.best.uncut > 0 || g.best.cost < want || g.bound > want || g.proved() && g.best.cost != want {
				t.Errorf("%s, seed %d: cost %d, bound %d, least %d of %+v", name, seed, g.best.cost, g.bound, want, c)
			}
			if g.proved() {
				proved++
			}
		}
		if proved < 60 {
			t.Errorf("%s: only %d proved", name, proved)
		}
	}
}

// tighten refutes a stick less again and again, as long as that improves the layout.
func (g *generator) tighten(all need) {
	for before := noWall; g.best.cost < before && !g.proved(); {
		before = g.best.cost
		g.offer(g.c.greedy(cuts{}, all, g.c.takes(), g.meter))
		g.refuteTight(all, 1)
	}
}
