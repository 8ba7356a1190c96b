package layout

import (
	"cmp"
	"slices"
)

// stickExact tries every set of patterns that could still beat the best. With
// whole prices p of pieces and a scale such that no pattern of stock s is worth
// more than costs[s]·scale, a set of patterns costs Σp·demand plus what each of
// its patterns is worth less than its cost; so only patterns that lose less than
// the gap to the best can be in a better set.
type stickExact struct {
	g      *generator
	prices []int64
	scale  int64
	gap    int64 // the most that a better set may lose
	cuts   []lossy
	byKind [][]int // cuts that hold a kind
	order  []int   // kinds, longest first
	nodes  int64
	seen   map[string]int64
	used   []int
	found  bool
	// exactly forbids a pattern that holds more than is still needed.
	exactly bool
	share   int // one in so many of the limits
}

// lossy is a pattern and what it loses at the prices.
type lossy struct {
	pattern
	loss int64
}

// Limits on the patterns listed, and on the search for and among them.
const (
	maxLossy       = 60_000
	maxListNodes   = 3_000_000
	maxExactStates = 400_000
)

// eager is the share of those limits, one in so many, that is tried before diving on.
const eager = 16

// exact reports whether the best is proved the cheapest, after improving it where
// it can. Stocks with limits, and costs of zero, are left to the other bounds.
func (g *generator) exact(all need, share int) {
	if g.prices == nil || slices.Min(g.c.costs) <= 0 || slices.ContainsFunc(g.c.limits, func(l int) bool { return l < all.left }) {
		return
	}
	for !g.proved() && !g.meter.spent() {
		e := &stickExact{g: g, prices: g.prices, seen: map[string]int64{}, share: share}
		if !e.prepare(all) || !e.search(all, 0) {
			return
		}
		if !e.found {
			g.bound = g.best.cost
		}
	}
}

// prepare lists the patterns that lose little enough; false where they are too many.
func (e *stickExact) prepare(all need) bool {
	c := e.g.c
	for s := range c.costs {
		e.scale = max(e.scale, ceilDiv(e.g.holds[s], c.costs[s]))
	}
	worth := int64(0)
	for k, p := range e.prices {
		worth += p * int64(all.demand[k])
	}
	if e.scale <= 0 || e.g.best.cost > noWall/8/e.scale {
		return false
	}
	e.gap = (e.g.best.cost-c.costStep())*e.scale - worth
	for s := range c.costs {
		l := newLister(e, all, s)
		l.list(0, c.holds[s])
		e.g.meter.count(l.nodes)
		if l.over() {
			return false
		}
	}
	e.sortCuts()
	return true
}

func (e *stickExact) sortCuts() {
	slices.SortStableFunc(e.cuts, func(a, b lossy) int { return cmp.Compare(a.loss, b.loss) })
	e.byKind = make([][]int, len(e.g.c.kinds))
	for i, cut := range e.cuts {
		for _, en := range cut.entries {
			e.byKind[en.kind] = append(e.byKind[en.kind], i)
		}
	}
	for k := range e.g.c.kinds {
		e.order = append(e.order, k)
	}
	slices.SortStableFunc(e.order, func(a, b int) int { return len(e.byKind[a]) - len(e.byKind[b]) })
}

// lister walks every pattern of a stock that is full for the demand.
type lister struct {
	e     *stickExact
	k     *knapsack
	stock int
	least int64 // worth that loses no more than the gap
	slack int64 // the most that a stick may be short of full, where demand is met exactly
	nodes int64
}

func newLister(e *stickExact, all need, stock int) *lister {
	c := e.g.c
	k := &knapsack{c: c, values: e.prices, most: all.demand, have: make([]int, len(c.setup))}
	for i := range c.kinds {
		if c.kinds[i].take <= c.holds[stock] {
			k.order = append(k.order, i)
		}
	}
	k.arrange()
	return &lister{e: e, k: k, stock: stock, least: c.costs[stock]*e.scale - e.gap}
}

func (l *lister) over() bool {
	return l.nodes*int64(l.e.share) >= maxListNodes || len(l.e.cuts)*l.e.share >= maxLossy
}

func (l *lister) list(depth int, room int64) {
	if l.nodes++; l.over() {
		return
	}
	if l.k.value+l.k.hope(depth, room) < l.least {
		return
	}
	if depth == len(l.k.order) {
		l.keep(room)
		return
	}
	i := l.k.order[depth]
	kind := &l.k.c.kinds[i]
	inside := room
	if l.k.have[kind.class] == 0 {
		inside -= l.k.c.setup[kind.class]
	}
	l.k.have[kind.class]++
	for n := min(int64(l.k.most[i]), inside/kind.take); n > 0; n-- {
		l.k.taken = append(l.k.taken, entry{i, int(n)})
		l.k.value += n * l.k.values[i]
		l.list(depth+1, inside-n*kind.take)
		l.k.value -= n * l.k.values[i]
		l.k.taken = l.k.taken[:len(l.k.taken)-1]
	}
	l.k.have[kind.class]--
	l.list(depth+1, room)
}

// keep takes a pattern to which no further piece can be added.
func (l *lister) keep(room int64) {
	if l.e.exactly {
		if room <= l.slack && len(l.k.taken) > 0 && l.k.value >= l.least {
			l.e.cuts = append(l.e.cuts, lossy{pattern: pattern{l.stock, sortedEntries(l.k.taken)}})
		}
		return
	}
	for _, i := range l.k.order {
		kind := &l.k.c.kinds[i]
		need := kind.take
		if l.k.have[kind.class] == 0 {
			need += l.k.c.setup[kind.class]
		}
		if need <= room && countIn(l.k.taken, i) < l.k.most[i] {
			return
		}
	}
	loss := l.k.c.costs[l.stock]*l.e.scale - l.k.value
	if len(l.k.taken) > 0 {
		l.e.cuts = append(l.e.cuts, lossy{pattern{l.stock, sortedEntries(l.k.taken)}, loss})
	}
}

// worth is a pattern's value at the prices.
func (e *stickExact) worth(p *lossy) int64 {
	total := int64(0)
	for _, en := range p.entries {
		total += e.prices[en.kind] * int64(en.count)
	}
	return total
}

func countIn(es []entry, kind int) int {
	for _, e := range es {
		if e.kind == kind {
			return e.count
		}
	}
	return 0
}

// search covers the scarcest kind in every way; false where it was cut short.
func (e *stickExact) search(n need, lost int64) bool {
	if e.nodes++; e.nodes*int64(e.share) > maxExactStates || e.g.meter.spent() {
		return false
	}
	e.g.meter.count(4)
	if n.left == 0 {
		e.take()
		return true
	}
	return e.seenBefore(n, lost) || e.cover(e.scarcest(n), n, lost)
}

// cover cuts a kind by each pattern that holds it; false where it was cut short.
func (e *stickExact) cover(kind int, n need, lost int64) bool {
	for _, at := range e.byKind[kind] {
		cut := &e.cuts[at]
		e.g.meter.count(1)
		if lost+cut.loss > e.gap {
			break
		}
		rest, loss, ok := e.after(n, cut, kind)
		if !ok || lost+loss > e.gap {
			continue
		}
		e.used = append(e.used, at)
		done := e.search(rest, lost+loss)
		e.used = e.used[:len(e.used)-1]
		if !done || e.found {
			return done
		}
	}
	return true
}

func (e *stickExact) scarcest(n need) int {
	for _, k := range e.order {
		if n.demand[k] > 0 {
			return k
		}
	}
	return 0
}

// after cuts a pattern, leaving out what is no longer needed, which loses its price.
func (e *stickExact) after(n need, cut *lossy, kind int) (need, int64, bool) {
	rest, loss := n.clone(), cut.loss
	for _, en := range cut.entries {
		took := min(en.count, rest.demand[en.kind])
		if en.kind == kind && took == 0 || e.exactly && took < en.count {
			return rest, 0, false
		}
		loss += int64(en.count-took) * e.prices[en.kind]
		rest.demand[en.kind] -= took
		rest.left -= took
	}
	return rest, loss, true
}

func (e *stickExact) seenBefore(n need, lost int64) bool {
	key := make([]byte, 0, 2*len(n.demand))
	for _, d := range n.demand {
		key = append(key, byte(d), byte(d>>8))
	}
	if before, ok := e.seen[string(key)]; ok && before <= lost {
		return true
	}
	e.seen[string(key)] = lost
	return false
}

// take makes the patterns in use the best.
func (e *stickExact) take() {
	n, out := e.g.c.allNeeds(), cuts{}
	for _, at := range e.used {
		p := pattern{stock: e.cuts[at].stock}
		for _, en := range e.cuts[at].entries {
			if took := min(en.count, n.demand[en.kind]); took > 0 {
				p.entries = append(p.entries, entry{en.kind, took})
			}
		}
		out.add(e.g.c, p, 1)
		n.cut(p, 1)
	}
	e.found = true
	e.g.offer(out)
}
