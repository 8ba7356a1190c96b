package layout

import (
	"cmp"
	"slices"
)

// use is a pattern cut so many times.
type use struct {
	pattern
	times int
}

// cuts is a set of patterns in use, their cost, and what stays uncut.
type cuts struct {
	uses  []use
	cost  int64
	uncut int
}

// better orders by copies uncut, then cost, then set-ups.
func (a cuts) better(b cuts) bool {
	if a.uncut != b.uncut {
		return a.uncut < b.uncut
	}
	if a.cost != b.cost {
		return a.cost < b.cost
	}
	return len(a.uses) < len(b.uses)
}

// need is what is still to be cut and the stocks still to be had.
type need struct {
	demand, limits []int
	left           int
}

func (c *cutting) allNeeds() need {
	n := need{limits: slices.Clone(c.limits)}
	for i := range c.kinds {
		n.demand = append(n.demand, c.kinds[i].count)
		n.left += c.kinds[i].count
	}
	return n
}

func (n need) clone() need {
	return need{slices.Clone(n.demand), slices.Clone(n.limits), n.left}
}

// times is how often a pattern can still be cut.
func (n need) times(p pattern) int {
	t := n.limits[p.stock]
	for _, e := range p.entries {
		t = min(t, n.demand[e.kind]/e.count)
	}
	return t
}

func (n *need) cut(p pattern, times int) {
	n.limits[p.stock] -= times
	for _, e := range p.entries {
		n.demand[e.kind] -= e.count * times
		n.left -= e.count * times
	}
}

// add counts a pattern in, joining it with the same pattern used before.
func (a *cuts) add(c *cutting, p pattern, times int) {
	a.cost += c.costs[p.stock] * int64(times)
	for i := range a.uses {
		if a.uses[i].stock == p.stock && slices.Equal(a.uses[i].entries, p.entries) {
			a.uses[i].times += times
			return
		}
	}
	a.uses = append(a.uses, use{p, times})
}

// fillNodes is the search for one stick in a greedy completion.
const fillNodes = 1500

// fullest fills a stick as full as it can, long pieces first.
func (c *cutting) fullest(n need, values []int64, stock int, m *meter) (pattern, int64) {
	k := &knapsack{c: c, values: values, most: n.demand, limit: fillNodes, enough: noWall, have: make([]int, len(c.setup))}
	for i := range c.kinds {
		if n.demand[i] > 0 && c.kinds[i].take <= c.holds[stock] {
			k.order = append(k.order, i)
		}
	}
	k.arrange()
	k.search(0, c.holds[stock])
	m.count(k.nodes)
	return pattern{stock, sortedEntries(k.found)}, k.best
}

func sortedEntries(es []entry) []entry {
	out := slices.Clone(es)
	slices.SortFunc(out, func(a, b entry) int { return a.kind - b.kind })
	return out
}

// greedy completes the needs stick by stick, each the cheapest for what it
// holds; values say what a kind is worth.
func (c *cutting) greedy(done cuts, n need, values []int64, m *meter) cuts {
	done.uses, n = slices.Clone(done.uses), n.clone()
	for n.left > 0 && !m.spent() {
		best, worth := pattern{stock: -1}, int64(0)
		for s := range c.holds {
			if n.limits[s] <= 0 {
				continue
			}
			m.count(int64(len(c.kinds)) + 20)
			p, value := c.fullest(n, values, s, m)
			if value > 0 && (best.stock < 0 || cmpProducts(value, c.costs[best.stock], worth, c.costs[s]) > 0) {
				best, worth = p, value
			}
		}
		if best.stock < 0 {
			break
		}
		times := max(1, n.times(best))
		done.add(c, best, times)
		n.cut(best, times)
	}
	done.uncut = n.left
	return done
}

func (c *cutting) takes() []int64 {
	values := make([]int64, len(c.kinds))
	for i := range values {
		values[i] = c.kinds[i].take
	}
	return values
}

// firstFit puts each piece, longest first, on the first stick with room: a quick
// answer for very many kinds of length.
func (c *cutting) firstFit(n need) cuts {
	order := make([]int, len(c.kinds))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(c.kinds[b].take, c.kinds[a].take) })
	f := &firstFitter{c: c, need: n.clone()}
	for _, k := range order {
		for range n.demand[k] {
			f.put(k)
		}
	}
	return f.cuts()
}

type openStick struct {
	stock   int
	room    int64
	entries []entry
	classes []int
}

type firstFitter struct {
	c     *cutting
	need  need
	open  []openStick
	uncut int
}

func (f *firstFitter) put(k int) {
	kind := &f.c.kinds[k]
	for i := range f.open {
		if f.open[i].take(f.c, k) {
			return
		}
	}
	best := -1
	for s := range f.c.holds {
		if f.need.limits[s] > 0 && f.c.holds[s] >= kind.take+f.c.setup[kind.class] &&
			(best < 0 || cmpProducts(f.c.costs[s], f.c.holds[best], f.c.costs[best], f.c.holds[s]) < 0) {
			best = s
		}
	}
	if best < 0 {
		f.uncut++
		return
	}
	f.need.limits[best]--
	f.open = append(f.open, openStick{stock: best, room: f.c.holds[best]})
	f.open[len(f.open)-1].take(f.c, k)
}

func (o *openStick) take(c *cutting, k int) bool {
	kind := &c.kinds[k]
	need := kind.take
	fresh := !slices.Contains(o.classes, kind.class)
	if fresh {
		need += c.setup[kind.class]
	}
	if need > o.room {
		return false
	}
	o.room -= need
	if fresh {
		o.classes = append(o.classes, kind.class)
	}
	if last := len(o.entries) - 1; last >= 0 && o.entries[last].kind == k {
		o.entries[last].count++
	} else {
		o.entries = append(o.entries, entry{k, 1})
	}
	return true
}

func (f *firstFitter) cuts() cuts {
	out := cuts{uncut: f.uncut}
	for _, o := range f.open {
		p := pattern{o.stock, sortedEntries(o.entries)}
		if last := len(out.uses) - 1; last >= 0 && out.uses[last].stock == p.stock && slices.Equal(out.uses[last].entries, p.entries) {
			out.uses[last].times++
			out.cost += f.c.costs[p.stock]
			continue
		}
		out.uses = append(out.uses, use{p, 1})
		out.cost += f.c.costs[p.stock]
	}
	return out
}
