package layout

import (
	"cmp"
	"slices"
)

// lowerBound is a cost no set of sheets can beat, and what it rests on.
func (b *board) lowerBound() (int64, string) {
	area := b.areaMeasure()
	best, why := area.cost(b), "the area of the pieces over the cheapest area"
	b.eachMeasure(func(m measure) {
		if cost := m.cost(b); cost > best {
			best, why = cost, "the area of the pieces with large ones counted at full size"
		}
	})
	if cost := b.apartCost(); cost > best {
		best, why = cost, "pieces no two of which can share a sheet"
	}
	return best, why
}

// measure is a dual feasible measure: copies that fit on a sheet of a stock never
// come to more than that stock's whole.
type measure struct {
	kind  []int64 // of one copy of each kind
	whole []int64 // of each stock
}

func (b *board) areaMeasure() measure {
	x, y := scale{}, scale{}
	for _, st := range b.stocks {
		x.whole, y.whole = append(x.whole, st.wide), append(y.whole, st.deep)
	}
	return b.measure(x, y)
}

// measure takes for each kind the option that comes to least.
func (b *board) measure(x, y scale) measure {
	m := measure{kind: make([]int64, len(b.kinds)), whole: make([]int64, len(b.stocks))}
	for k := range b.kinds {
		m.kind[k] = noWall
		for i := range b.kinds[k].options {
			if o := &b.kinds[k].options[i]; b.fitsAny(o) {
				m.kind[k] = min(m.kind[k], x.of(o.wide)*y.of(o.deep))
			}
		}
	}
	for i := range m.whole {
		m.whole[i] = x.whole[i] * y.whole[i]
	}
	return m
}

func (b *board) fitsAny(o *option) bool {
	return slices.ContainsFunc(b.stocks, func(s boardStock) bool { return o.wide <= s.wide && o.deep <= s.deep })
}

// scale is a function of extents, and the most that those that fit each stock come to.
type scale struct {
	dual
	whole []int64
}

// scales are the functions for the extents of the options and stocks, at most so
// many a stock, each different.
func (b *board) scales(most int, of func(*option) int64, room func(*boardStock) int64) []scale {
	extents := b.extents(of)
	slices.Sort(extents)
	extents = slices.Compact(extents)
	var out []scale
	for i := range b.stocks {
		for _, d := range duals(extents, room(&b.stocks[i]), most/len(b.stocks)) {
			s := scale{dual: d}
			for j := range b.stocks {
				s.whole = append(s.whole, d.fill(extents, room(&b.stocks[j])))
			}
			if slices.Max(s.whole) < noWall {
				out = append(out, s)
			}
		}
	}
	return out
}

// Limits on the functions tried each way, and on their pairs times the kinds that
// they measure.
const (
	maxScales   = 48
	maxScaled   = 8
	measureWork = 4_000_000
)

// eachMeasure goes through pairs of functions across and along.
func (b *board) eachMeasure(each func(measure)) {
	most := maxScales
	for most > 8 && most*most*len(b.kinds) > measureWork {
		most /= 2
	}
	if len(b.stocks) > maxScaled {
		return
	}
	along := b.scales(most, func(o *option) int64 { return o.deep }, func(s *boardStock) int64 { return s.deep })
	for _, x := range b.scales(most, func(o *option) int64 { return o.wide }, func(s *boardStock) int64 { return s.wide }) {
		for _, y := range along {
			each(b.measure(x, y))
		}
	}
}

func (b *board) extents(of func(*option) int64) []int64 {
	var out []int64
	for k := range b.kinds {
		for i := range b.kinds[k].options {
			out = append(out, of(&b.kinds[k].options[i]))
		}
	}
	return out
}

// cost is the copies' measures together at the stock cheapest for its own.
func (m *measure) cost(b *board) int64 {
	c, demand := cutting{costs: b.costs(), limits: b.limits()}, make([]int, len(b.kinds))
	for k := range b.kinds {
		demand[k] = len(b.kinds[k].copies)
	}
	return c.provenCost(m.kind, demand, m.whole)
}

func (b *board) limits() []int {
	limits := make([]int, len(b.stocks))
	for i := range b.stocks {
		limits[i] = b.stocks[i].limit
	}
	return limits
}

func (b *board) costs() []int64 {
	costs := make([]int64, len(b.stocks))
	for i := range b.stocks {
		costs[i] = b.stocks[i].cost
	}
	return costs
}

// maxSharpest is how many measures the search keeps beside the area.
const maxSharpest = 6

// sharpest are the area and the measures by which the copies come to most sheets.
func (b *board) sharpest() []measure {
	type proof struct {
		measure
		sheets int64
	}
	var found []proof
	b.eachMeasure(func(m measure) {
		total := int64(0)
		for k := range b.kinds {
			total += m.kind[k] * int64(len(b.kinds[k].copies))
		}
		found = append(found, proof{m, mulDiv(total, 1<<20, max(1, slices.Max(m.whole)))})
	})
	slices.SortStableFunc(found, func(p, q proof) int { return cmp.Compare(q.sheets, p.sheets) })
	out := []measure{b.areaMeasure()}
	for _, p := range found[:min(len(found), maxSharpest)] {
		out = append(out, p.measure)
	}
	return out
}
