package layout

import "slices"

// solve finds the least cost, then few set-ups, and a proven cost.
func (c *cutting) solve(cl *clock) (cuts, int64) {
	m := &meter{ctx: cl.ctx, deadline: cl.deadline, most: cl.remaining()}
	if cl.most == 1 {
		m.most = 0
	}
	defer func() { cl.work += m.work }()
	all := c.allNeeds()
	g := &generator{c: c, meter: m, known: map[string]bool{}, bound: c.quickCost(all.demand), top: slices.Max(c.costs)}
	g.best = c.firstFit(all)
	g.offer(g.best)
	if !g.proved() && len(c.kinds) <= maxGreedyKinds {
		g.offer(c.greedy(cuts{}, all, c.takes(), m))
	}
	if !g.proved() && len(c.kinds) <= maxRows && cl.most != 1 {
		g.generate(all)
	}
	g.best = c.fewerSetUps(g.best)
	return g.best, g.bound
}

// maxGreedyKinds is the most kinds of length that are filled by search.
const maxGreedyKinds = 3000

// generate solves the programme once for the bound, then dives until the bound is
// met or the effort spent.
func (g *generator) generate(all need) {
	g.varied(all, 30)
	root := g.relaxation(all)
	root.run(true)
	shares := root.shares()
	for seed := 0; seed < maxDives && !g.proved() && !g.meter.spent(); seed++ {
		var r *random
		if seed > 0 {
			s := random(seed)
			r = &s
		}
		g.dive(shares, r)
		switch seed {
		case 2:
			g.exact(all, eager)
			g.refuteTight(all, eager)
		case 12:
			g.exact(all, 1)
			g.refuteTight(all, 1)
		}
		g.varied(all, 10)
	}
}

// maxDives ends the dives of a case whose bound cannot be met.
const maxDives = 400

// varied offers greedy cuts with values swayed a little, a different way each call.
func (g *generator) varied(all need, times int) {
	r := random(len(g.pool))
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
