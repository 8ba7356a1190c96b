package layout

import (
	"maps"
	"slices"
)

// solve finds the least cost, then few set-ups, and a proven cost.
func (c *cutting) solve(cl *clock) (cuts, int64) {
	all := c.allNeeds()
	g := &generator{c: c, clock: cl, known: map[string]bool{}, bound: c.quickCost(all.demand), top: slices.Max(c.costs)}
	g.begin()
	g.best = c.firstFit(all)
	g.offer(g.best)
	if !g.proved() && len(c.kinds) <= maxGreedyKinds {
		g.offer(c.greedy(cuts{}, all, c.takes(), g.meter))
	}
	if !g.proved() && len(c.kinds) <= maxRows && cl.most != 1 {
		g.generate(all)
	}
	g.account()
	g.best = c.fewerSetUps(g.best)
	return g.best, g.bound
}

// begin starts a meter for work on this core alone; account counts it in.
func (g *generator) begin() { g.meter = g.clock.meter() }

func (g *generator) account() { g.clock.work += g.meter.work }

// maxGreedyKinds is the most kinds of length that are filled by search.
const maxGreedyKinds = 3000

// generate solves the programme once for the bound, then dives until the bound is
// met or the effort spent. Between dives it tries to prove the best.
func (g *generator) generate(all need) {
	g.varied(all, random(1), 12)
	root := g.relaxation(all)
	root.run(true)
	shares := root.shares()
	g.dive(shares, nil)
	for round := 0; round < maxRounds && !g.proved() && !g.meter.spent(); round++ {
		switch round {
		case 0:
			g.exact(all, eager)
			g.refuteTight(all, eager)
		case 20:
			g.exact(all, 1)
			g.refuteTight(all, 1)
		}
		if g.proved() || g.meter.spent() {
			return
		}
		g.account()
		g.divesTogether(all, shares, round)
		g.begin()
	}
}

// maxRounds ends the dives of a case whose bound cannot be met.
const maxRounds = 100

// divesARound is how many dives go on together, on however many cores.
const divesARound = 4

// divesTogether dives several ways at once and gathers what they find in order.
func (g *generator) divesTogether(all need, shares []share, round int) {
	forks := make([]*generator, divesARound)
	var tasks []func(*meter) bool
	for i := range forks {
		tasks = append(tasks, func(m *meter) bool {
			forks[i] = g.fork(m)
			r := random(round*divesARound + i + 1)
			forks[i].dive(shares, &r)
			forks[i].varied(all, r, 10)
			return forks[i].proved()
		})
	}
	won := g.clock.slices(tasks)
	for _, f := range forks[:min(won+1, len(forks))] {
		if f != nil {
			g.gather(f)
		}
	}
}

// fork is a generator that starts from what is known and goes its own way.
func (g *generator) fork(m *meter) *generator {
	f := *g
	f.start = len(g.pool)
	f.meter, f.pool, f.known = m, slices.Clip(g.pool), maps.Clone(g.known)
	return &f
}

func (g *generator) gather(f *generator) {
	for _, p := range f.pool[f.start:] {
		g.keep(p)
	}
	g.offer(f.best)
}

// varied offers greedy cuts with values swayed a little, a different way each call.
func (g *generator) varied(all need, r random, times int) {
	for i := 0; i < times && !g.proved() && !g.meter.spent(); i++ {
		values := g.c.takes()
		for k := range values {
			values[k] = values[k]*1024 + values[k]*int64(r.below(64+i*8))
		}
		g.offer(g.c.greedy(cuts{}, all, values, g.meter))
	}
}

// fewerSetUps joins pairs of patterns that come to one pattern cut as often as
// both.
func (c *cutting) fewerSetUps(in cuts) cuts {
	uses := slices.Clone(in.uses)
	for joined := len(uses) <= 200; joined; {
		joined = false
		for a := 0; a < len(uses) && !joined; a++ {
			for b := a + 1; b < len(uses) && !joined; b++ {
				if u, ok := c.joined(uses[a], uses[b]); ok {
					uses[a] = u
					uses = slices.Delete(uses, b, b+1)
					joined = true
				}
			}
		}
	}
	in.uses = uses
	return in
}

func (c *cutting) joined(a, b use) (use, bool) {
	if a.stock != b.stock {
		return use{}, false
	}
	counts := make([]int, len(c.kinds))
	for _, e := range a.entries {
		counts[e.kind] += e.count * a.times
	}
	for _, e := range b.entries {
		counts[e.kind] += e.count * b.times
	}
	out := use{pattern{stock: a.stock}, a.times + b.times}
	for k, n := range counts {
		if n%out.times != 0 {
			return use{}, false
		}
		if n > 0 {
			out.entries = append(out.entries, entry{k, n / out.times})
		}
	}
	return out, c.takenBy(out.entries) <= c.holds[a.stock]
}

// takenBy is the length a pattern takes up, a kerf after each piece.
func (c *cutting) takenBy(entries []entry) int64 {
	total := int64(0)
	var classes []int
	for _, e := range entries {
		kind := &c.kinds[e.kind]
		total += kind.take * int64(e.count)
		if !slices.Contains(classes, kind.class) {
			classes = append(classes, kind.class)
			total += c.setup[kind.class]
		}
	}
	return total
}
