package layout

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"
)

func randomCutting(r *rand.Rand) *cutting {
	c := &cutting{setup: []int64{0}}
	for range r.IntN(3) {
		c.setup = append(c.setup, 1+r.Int64N(4))
	}
	for range 1 + r.IntN(3) {
		c.holds = append(c.holds, 10+r.Int64N(40))
		c.costs = append(c.costs, 1+r.Int64N(30))
		c.limits = append(c.limits, 1000)
	}
	for range 1 + r.IntN(5) {
		c.kinds = append(c.kinds, stickKind{take: 2 + r.Int64N(15), class: r.IntN(len(c.setup)), count: 1 + r.IntN(4)})
	}
	return c
}

// mostByTrying values every pattern of a stick.
func mostByTrying(c *cutting, values []int64, most []int, holds int64) int64 {
	best := int64(0)
	var try func(k int, chosen []entry, value int64)
	try = func(k int, chosen []entry, value int64) {
		if c.takenBy(chosen) > holds {
			return
		}
		best = max(best, value)
		if k == len(c.kinds) {
			return
		}
		for n := 0; n <= most[k]; n++ {
			next := chosen
			if n > 0 {
				next = append(slices.Clone(chosen), entry{k, n})
			}
			try(k+1, next, value+int64(n)*values[k])
		}
	}
	try(0, nil, 0)
	return best
}

// The search and the table must both find the most valuable pattern, and the
// pattern they give must be worth what they say and fit.
func TestKnapsackAgainstTrying(t *testing.T) {
	for seed := range uint64(300) {
		r := seeded(seed)
		c := randomCutting(r)
		values := make([]int64, len(c.kinds))
		for i := range values {
			values[i] = r.Int64N(100)
		}
		most, holds := c.allNeeds().demand, c.holds[0]
		want := mostByTrying(c, values, most, holds)
		w := c.mostValue(values, most, holds, noWall, &meter{})
		checkPattern(t, seed, c, values, w.patterns[len(w.patterns)-1], holds, w.value, want)
		k := &knapsack{c: c, values: values, most: most, meter: &meter{}, have: make([]int, len(c.setup))}
		for i := range c.kinds {
			if c.kinds[i].take <= holds {
				k.order = append(k.order, i)
			}
		}
		if found, value, ok := k.table(holds); ok {
			checkPattern(t, seed, c, values, found, holds, value, want)
		}
	}
}

func checkPattern(t *testing.T, seed uint64, c *cutting, values []int64, found []entry, holds, value, want int64) {
	t.Helper()
	worth := int64(0)
	for _, e := range found {
		worth += values[e.kind] * int64(e.count)
	}
	if value != want || worth != value || c.takenBy(found) > holds {
		t.Errorf("seed %d: %v worth %d, stated %d, best %d, takes %d of %d", seed, found, worth, value, want, c.takenBy(found), holds)
	}
}

// Hope must never be less than what the kinds left can really add.
func TestKnapsackHopeIsAnUpperBound(t *testing.T) {
	for seed := range uint64(300) {
		r := seeded(seed)
		c := randomCutting(r)
		values := make([]int64, len(c.kinds))
		for i := range values {
			values[i] = 1 + r.Int64N(100)
		}
		k := &knapsack{c: c, values: values, most: c.allNeeds().demand, have: make([]int, len(c.setup))}
		for i := range c.kinds {
			k.order = append(k.order, i)
		}
		k.arrange()
		if r.IntN(2) == 0 {
			k.buildLookup()
		}
		room := c.holds[0]
		if hope, best := k.hope(0, room), mostByTrying(c, values, k.most, room); hope < best {
			t.Errorf("seed %d: hope %d under the %d possible", seed, hope, best)
		}
	}
}

// Every way of cutting costs at least what is proved.
func TestCutsCostAtLeastTheBound(t *testing.T) {
	for seed := range uint64(200) {
		c := randomCutting(seeded(seed))
		all := c.allNeeds()
		bound := c.quickCost(all.demand)
		for name, got := range map[string]cuts{"first fit": c.firstFit(all), "greedy": c.greedy(cuts{}, all, c.takes(), &meter{})} {
			covered(t, seed, name, c, got)
			if got.uncut == 0 && got.cost < bound {
				t.Errorf("seed %d: %s costs %d, under the bound %d", seed, name, got.cost, bound)
			}
		}
		best, proved := c.solve(newClock(context.Background(), Effort{Work: 50_000}))
		covered(t, seed, "solve", c, best)
		if best.uncut == 0 && best.cost < proved {
			t.Errorf("seed %d: solved at %d, under the bound %d", seed, best.cost, proved)
		}
	}
}

func covered(t *testing.T, seed uint64, name string, c *cutting, got cuts) {
	t.Helper()
	counts, cost := make([]int, len(c.kinds)), int64(0)
	for _, u := range got.uses {
		cost += c.costs[u.stock] * int64(u.times)
		if c.takenBy(u.entries) > c.holds[u.stock] {
			t.Errorf("seed %d: %s: %v does not fit", seed, name, u)
		}
		for _, e := range u.entries {
			counts[e.kind] += e.count * u.times
		}
	}
	uncut := 0
	for k := range c.kinds {
		uncut += c.kinds[k].count - counts[k]
	}
	if cost != got.cost || uncut != got.uncut {
		t.Errorf("seed %d: %s: cost %d stated %d, uncut %d stated %d", seed, name, cost, got.cost, uncut, got.uncut)
	}
}

func TestFewerSetUpsKeepsTheCut(t *testing.T) {
	for seed := range uint64(100) {
		c := randomCutting(seeded(seed))
		before := c.greedy(cuts{}, c.allNeeds(), c.takes(), &meter{})
		after := c.fewerSetUps(before)
		covered(t, seed, "fewer set-ups", c, after)
		if len(after.uses) > len(before.uses) {
			t.Errorf("seed %d: %d set-ups became %d", seed, len(before.uses), len(after.uses))
		}
	}
}

// The simplex method on a programme with a known answer: cover 3 of a and 2 of b
// by patterns a, b and a+b at costs 2, 2 and 3: two of a+b and one of a cost 8.
func TestProgramme(t *testing.T) {
	p := newProgramme([]float64{3, 2}, nil)
	p.add(column{rows: []int{0}, by: []float64{1}, cost: 2})
	p.add(column{rows: []int{1}, by: []float64{1}, cost: 2})
	p.add(column{rows: []int{0, 1}, by: []float64{1, 1}, cost: 3})
	p.solve(&meter{})
	if v := p.value(); v < 7.999 || v > 8.001 {
		t.Errorf("value %v, want 8", v)
	}
}

// A limit on the cheap pattern must be kept.
func TestProgrammeWithLimit(t *testing.T) {
	p := newProgramme([]float64{3}, []float64{1})
	p.add(column{rows: []int{0, 1}, by: []float64{1, 1}, cost: 1})
	p.add(column{rows: []int{0}, by: []float64{1}, cost: 5})
	p.solve(&meter{})
	if v := p.value(); v < 10.999 || v > 11.001 {
		t.Errorf("value %v, want one at 1 and two at 5", v)
	}
}
