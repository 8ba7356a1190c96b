package layout

// tight seeks one stick less than the best, where so little may then be lost that
// only nearly full sticks can be in it. The demand must be met exactly by them, so
// prices may fall below zero and say more than those of the plain programme. One
// stock only.
type tight struct {
	g      *generator
	sticks int64 // the number of sticks to be had or refuted
	lost   int64 // the length that may be lost on them together
	p      *programme
	terms  []term
	prices []int64
	value  int64 // the most that a nearly full stick is worth
}

// maxTight is the longest stick, in units, that is tabled for a refutation.
const maxTight = 200_000

// refuteTight tries to raise the bound to the best, or to better the best.
func (g *generator) refuteTight(all need, share int) {
	c := g.c
	if len(c.holds) != 1 || len(c.setup) != 1 || c.costs[0] <= 0 || len(c.kinds) > maxRows || g.best.uncut > 0 {
		return
	}
	t := &tight{g: g, sticks: g.best.cost/c.costs[0] - 1}
	t.lost = t.sticks * c.holds[0]
	for i := range c.kinds {
		t.lost -= c.kinds[i].take * int64(c.kinds[i].count)
	}
	if t.lost < 0 || t.lost*8 > c.holds[0] || c.holds[0] > maxTight || !t.converge(all) {
		return
	}
	if t.refuted(all, share) {
		g.bound = g.best.cost
	}
}

// converge generates nearly full sticks until none improves.
func (t *tight) converge(all need) bool {
	demand := make([]float64, len(all.demand))
	for i, d := range all.demand {
		demand[i] = float64(d)
	}
	t.p = newProgramme(demand, nil)
	for i := range demand {
		t.p.columns[len(demand)+i].cost = dearest
	}
	t.terms = t.g.knapsackTerms()
	for !t.g.meter.spent() {
		t.p.solve(t.g.meter)
		t.prices = make([]int64, len(demand))
		for i := range t.prices {
			t.prices[i] = int64(t.p.price[i] * priceScale)
		}
		found, value, possible := t.best(t.prices)
		t.value = value
		if !possible || t.gap(all) < 0 || value <= priceScale+priceScale/10_000_000 || !t.keep(found) {
			return true
		}
	}
	return false
}

// gap is what the sticks can be worth together over the worth of the demand: less
// than zero where they cannot meet it.
func (t *tight) gap(all need) int64 {
	gap := t.sticks * t.value
	for i, p := range t.prices {
		gap -= p * int64(all.demand[i])
	}
	return gap
}

// refuted lists the nearly full sticks that lose no more than the gap, and seeks a
// set of them that meets the demand exactly.
func (t *tight) refuted(all need, share int) bool {
	if t.value <= 0 || t.gap(all) < 0 {
		return t.gap(all) < 0
	}
	e := &stickExact{g: t.g, prices: t.prices, scale: t.value, gap: t.gap(all), exactly: true, share: share, seen: map[string]int64{}}
	l := newLister(e, all, 0)
	l.least, l.slack = t.value-e.gap, t.lost
	if l.list(0, t.g.c.holds[0]); l.over() {
		return false
	}
	for i := range e.cuts {
		e.cuts[i].loss = t.value - e.worth(&e.cuts[i])
	}
	e.sortCuts()
	return e.search(all, 0) && !e.found
}

func (g *generator) knapsackTerms() []term {
	k := &knapsack{c: g.c, most: g.c.allNeeds().demand}
	for i := range g.c.kinds {
		k.order = append(k.order, i)
	}
	return k.blocks()
}

func (t *tight) keep(found []entry) bool {
	c := columnOf(found, func(kind int) int { return kind })
	c.cost = 1
	if t.p.reduced(&c) >= -tiny {
		return false
	}
	t.p.add(c)
	return true
}

// best is the most valuable nearly full stick; values may be negative.
func (t *tight) best(values []int64) ([]entry, int64, bool) {
	holds := int(t.g.c.holds[0])
	t.g.meter.count(int64(holds) * int64(len(t.terms)) / 32)
	value := make([]int64, holds+1)
	for i := 1; i <= holds; i++ {
		value[i] = -noWall
	}
	for i := range t.terms {
		t.addTerm(&t.terms[i], values, value)
	}
	at, best := -1, -noWall
	for i := holds - int(t.lost); i <= holds; i++ {
		if value[i] > best {
			at, best = i, value[i]
		}
	}
	if at < 0 {
		return nil, 0, false
	}
	return t.trace(at), best, true
}

func (t *tight) addTerm(b *term, values, value []int64) {
	take := int(t.g.c.kinds[b.kind].take) * b.copies
	worth := values[b.kind] * int64(b.copies)
	b.reach = make([]uint64, len(value)/64+1)
	for i := len(value) - 1; i >= take; i-- {
		if before := value[i-take]; before > -noWall && before+worth > value[i] {
			value[i] = before + worth
			b.reach[i/64] |= 1 << (i % 64)
		}
	}
}

func (t *tight) trace(at int) []entry {
	counts := make([]int, len(t.g.c.kinds))
	for i := len(t.terms) - 1; i >= 0; i-- {
		b := &t.terms[i]
		if b.reach[at/64]>>(at%64)&1 == 1 {
			counts[b.kind] += b.copies
			at -= int(t.g.c.kinds[b.kind].take) * b.copies
		}
	}
	var out []entry
	for k, n := range counts {
		if n > 0 {
			out = append(out, entry{k, n})
		}
	}
	return out
}
