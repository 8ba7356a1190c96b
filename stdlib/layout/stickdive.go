package layout

import "slices"

// generator proposes patterns by a linear programme and rounds it to whole cuts.
type generator struct {
	c     *cutting
	clock *clock
	meter *meter
	pool  []pattern
	start int // of the pool, where a fork's own patterns begin
	known map[string]bool
	best  cuts
	bound int64 // proven cost
	top   int64 // the dearest stock, the unit of the programme's costs
	// The prices that proved most, and what each stock can hold of them.
	prices, holds []int64
	worth         float64
}

// maxRows keeps the programme's inverse small.
const maxRows = 600

// priceScale turns the programme's prices into whole numbers.
const priceScale = 1 << 30

func (g *generator) keep(p pattern) bool {
	key := make([]byte, 0, 8+len(p.entries)*8)
	key = appendNumber(key, p.stock)
	for _, e := range p.entries {
		key = appendNumber(appendNumber(key, e.kind), e.count)
	}
	if g.known[string(key)] {
		return false
	}
	g.known[string(key)] = true
	g.pool = append(g.pool, p)
	return true
}

func appendNumber(key []byte, n int) []byte {
	return append(key, byte(n), byte(n>>8), byte(n>>16))
}

func (g *generator) offer(found cuts) {
	for _, u := range found.uses {
		g.keep(u.pattern)
	}
	if found.better(g.best) {
		g.best = found
	}
}

func (g *generator) proved() bool { return g.best.uncut == 0 && g.best.cost <= g.bound }

// share is a pattern of the pool and how often the programme would cut it.
type share struct {
	cut int
	x   float64
}

// relaxation is the programme for some needs.
type relaxation struct {
	g       *generator
	need    need
	rows    []int // kind of each row
	row     []int // row of each kind, -1 where nothing is needed
	limited []int // stock of each limit row
	limit   []int // limit row of each stock, -1
	p       *programme
}

func (g *generator) relaxation(n need) *relaxation {
	r := &relaxation{g: g, need: n, row: make([]int, len(n.demand)), limit: make([]int, len(n.limits))}
	var demand, limits []float64
	for k, d := range n.demand {
		r.row[k] = -1
		if d > 0 {
			r.row[k] = len(r.rows)
			r.rows = append(r.rows, k)
			demand = append(demand, float64(d))
		}
	}
	for s, l := range n.limits {
		r.limit[s] = -1
		if l < n.left {
			r.limit[s] = len(r.rows) + len(r.limited)
			r.limited = append(r.limited, s)
			limits = append(limits, float64(l))
		}
	}
	r.p = newProgramme(demand, limits)
	for i := range g.pool {
		if n.times(g.pool[i]) > 0 {
			r.addColumn(i)
		}
	}
	return r
}

func (r *relaxation) addColumn(cut int) {
	p := r.g.pool[cut]
	c := columnOf(p.entries, func(kind int) int { return r.row[kind] })
	c.cut, c.cost = cut, float64(r.g.c.costs[p.stock])/float64(max(1, r.g.top))
	if l := r.limit[p.stock]; l >= 0 {
		c.rows, c.by = append(c.rows, l), append(c.by, 1)
	}
	r.p.add(c)
}

// run generates columns until none improves. For the whole needs it also proves
// a bound from the prices.
func (r *relaxation) run(whole bool) {
	for !r.g.meter.spent() {
		r.p.solve(r.g.meter)
		values := r.prices()
		holds, improved, sure := r.price(values)
		if whole && sure {
			r.g.prove(values, r.need.demand, holds)
		}
		if !improved || whole && (r.g.proved() || r.settled()) {
			return
		}
	}
}

// prove raises the bound by prices, and keeps the prices that say most.
func (g *generator) prove(values []int64, demand []int, holds []int64) {
	g.bound = max(g.bound, g.c.provenCost(values, demand, holds))
	total, most := 0.0, 0.0
	for k, v := range values {
		total += float64(v) * float64(demand[k])
	}
	for s, h := range holds {
		most = max(most, float64(h)/float64(max(1, g.c.costs[s])))
	}
	if most > 0 && total/most > g.worth {
		g.worth, g.prices, g.holds = total/most, values, holds
	}
}

// settled is true where rounding up the programme's value can prove no more.
func (r *relaxation) settled() bool {
	step := r.g.c.costStep()
	if len(r.g.c.costs) > 1 {
		return false
	}
	return float64(r.g.bound) >= r.p.value()*float64(r.g.top)-float64(step)*1e-4
}

func (r *relaxation) prices() []int64 {
	values := make([]int64, len(r.need.demand))
	for i, k := range r.rows {
		values[k] = int64(max(0, r.p.price[i]) * priceScale)
	}
	return values
}

// price seeks the best pattern of each stock at these values.
func (r *relaxation) price(values []int64) (holds []int64, improved, sure bool) {
	c := r.g.c
	holds, sure = make([]int64, len(c.holds)), true
	for s := range c.holds {
		if r.need.limits[s] <= 0 {
			continue
		}
		enough := r.enough(s)
		w := c.mostValue(values, r.need.demand, c.holds[s], enough, r.g.meter)
		r.g.meter.count(int64(len(c.kinds)))
		holds[s], sure = w.value, sure && w.sure
		for _, found := range w.patterns {
			if w.value > enough && r.g.keep(pattern{s, sortedEntries(found)}) {
				r.addColumn(len(r.g.pool) - 1)
				improved = true
			}
		}
	}
	return holds, improved, sure
}

// enough is the value over which a pattern of a stock improves the programme.
func (r *relaxation) enough(stock int) int64 {
	cost := float64(r.g.c.costs[stock]) / float64(max(1, r.g.top))
	if l := r.limit[stock]; l >= 0 {
		cost -= r.p.price[l]
	}
	return int64(float64(cost*priceScale)) + 1000
}

func (r *relaxation) shares() []share {
	var out []share
	for i, b := range r.p.basis {
		if cut := r.p.columns[b].cut; cut >= 0 && r.p.amount[i] > 1e-6 {
			out = append(out, share{cut, r.p.amount[i]})
		}
	}
	slices.SortFunc(out, func(a, b share) int {
		if a.x != b.x {
			if a.x > b.x {
				return -1
			}
			return 1
		}
		return a.cut - b.cut
	})
	return out
}

// dive rounds the programme down, then fixes its largest fractions, solves for
// the rest again, and so on; the rest is also completed greedily each time.
func (g *generator) dive(first []share, r *random) {
	n, done := g.c.allNeeds(), cuts{}
	shares := first
	for n.left > 0 && !g.meter.spent() && !g.proved() {
		before := n.left
		g.fixWhole(shares, &n, &done)
		if n.left == before {
			g.fixLargest(shares, &n, &done, r)
		}
		if n.left == before || done.cost >= g.best.cost && g.best.uncut == 0 {
			break
		}
		g.offer(g.c.greedy(done, n, g.c.takes(), g.meter))
		if n.left == 0 {
			break
		}
		next := g.relaxation(n)
		next.run(false)
		shares = next.shares()
		if done.cost+int64(next.p.value()*float64(g.top)*0.999999) > g.best.cost && g.best.uncut == 0 {
			return
		}
	}
}

func (g *generator) fix(cut, times int, n *need, done *cuts) {
	p := g.pool[cut]
	if times = min(times, n.times(p)); times > 0 {
		done.add(g.c, p, times)
		n.cut(p, times)
	}
}

func (g *generator) fixWhole(shares []share, n *need, done *cuts) {
	for _, s := range shares {
		g.fix(s.cut, int(s.x+1e-5), n, done)
	}
}

// fixLargest cuts the largest fraction once (one of the larger where r is set),
// and others nearly whole.
func (g *generator) fixLargest(shares []share, n *need, done *cuts, r *random) {
	if len(shares) == 0 {
		return
	}
	at := 0
	if r != nil {
		at = min(r.below(6), r.below(6), len(shares)-1)
	}
	g.fix(shares[at].cut, 1, n, done)
	for i, s := range shares {
		if i != at && s.x > 0.8 && (r == nil || r.below(4) > 0) {
			g.fix(s.cut, 1, n, done)
		}
	}
}
