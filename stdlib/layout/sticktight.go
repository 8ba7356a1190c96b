package layout

// tight proves that one stick more than the bound is needed where so little may be
// lost at the bound that only nearly full sticks could be in it: if even those
// cannot meet the demand exactly at the bound, the bound rises. One stock only.
type tight struct {
	g      *generator
	sticks int64 // the number of sticks to be refuted
	least  int64 // the least that each of them holds
	p      *programme
	terms  []term
	lost   int64
}

// raise tries to refute the present bound; the prices that do so are whole numbers.
func (g *generator) raiseBound() {
	c := g.c
	if len(c.holds) != 1 || len(c.setup) != 1 || c.costs[0] <= 0 || len(c.kinds) > maxRows {
		return
	}
	t := &tight{g: g, sticks: g.bound / c.costs[0], lost: g.bound / c.costs[0] * c.holds[0]}
	for i := range c.kinds {
		t.lost -= c.kinds[i].take * int64(c.kinds[i].count)
	}
	if t.lost < 0 || t.lost*8 > c.holds[0] || c.holds[0] > maxTight {
		return
	}
	t.least = c.holds[0] - t.lost
	if t.refuted() {
		g.bound += c.costs[0]
	}
}

// maxTight is the longest stick, in units, that is tabled for a refutation.
const maxTight = 200_000

func (t *tight) refuted() bool {
	c := t.g.c
	demand := make([]float64, len(c.kinds))
	for i := range demand {
		demand[i] = float64(c.kinds[i].count)
	}
	t.p = newProgramme(demand, nil, dearest)
	t.terms = t.g.knapsackTerms()
	for !t.g.meter.spent() {
		t.p.solve(t.g.meter)
		values := make([]int64, len(demand))
		for i := range values {
			values[i] = int64(t.p.price[i] * priceScale)
		}
		found, value, any := t.best(values)
		if !any || t.beyond(values, value) {
			return true
		}
		if value <= priceScale+priceScale/1_000_000 || !t.g.keepTight(found, t.p) {
			return false
		}
	}
	return false
}

// beyond is true where sticks worth at most value cannot add up to the demand.
func (t *tight) beyond(values []int64, value int64) bool {
	worth := int64(0)
	for i, v := range values {
		worth += v * int64(t.g.c.kinds[i].count)
	}
	if value <= 0 {
		return worth > 0
	}
	return worth > 0 && cmpProducts(worth, 1, t.sticks, value) > 0
}

func (g *generator) knapsackTerms() []term {
	k := &knapsack{c: g.c, most: g.c.allNeeds().demand}
	for i := range g.c.kinds {
		k.order = append(k.order, i)
	}
	return k.blocks()
}

func (g *generator) keepTight(found []entry, p *programme) bool {
	c := column{cost: 1}
	for _, e := range found {
		c.rows = append(c.rows, e.kind)
		c.by = append(c.by, float64(e.count))
	}
	if p.reduced(&c) >= -tiny {
		return false
	}
	p.add(c)
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
	for i := int(t.least); i <= holds; i++ {
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
