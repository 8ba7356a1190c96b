package layout

import "slices"

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
	return b.measure(dual{}, dual{}, func(s *boardStock) int64 { return s.wide * s.deep })
}

// measure takes for each kind the option that comes to least.
func (b *board) measure(x, y dual, whole func(*boardStock) int64) measure {
	m := measure{kind: make([]int64, len(b.kinds)), whole: make([]int64, len(b.stocks))}
	for k := range b.kinds {
		m.kind[k] = noWall
		for i := range b.kinds[k].options {
			if o := &b.kinds[k].options[i]; b.fitsAny(o) {
				m.kind[k] = min(m.kind[k], x.of(o.wide)*y.of(o.deep))
			}
		}
	}
	for i := range b.stocks {
		m.whole[i] = whole(&b.stocks[i])
	}
	return m
}

func (b *board) fitsAny(o *option) bool {
	return slices.ContainsFunc(b.stocks, func(s boardStock) bool { return o.wide <= s.wide && o.deep <= s.deep })
}

// measureWork limits the pairs of functions tried times the kinds they measure.
const measureWork = 4_000_000

// eachMeasure goes through pairs of functions across and along, where there is one
// stock.
func (b *board) eachMeasure(each func(measure)) {
	if len(b.stocks) != 1 {
		return
	}
	st, most := &b.stocks[0], 48
	for most > 8 && most*most*len(b.kinds) > measureWork {
		most /= 2
	}
	along := duals(b.extents(func(o *option) int64 { return o.deep }), st.deep, most)
	for _, x := range duals(b.extents(func(o *option) int64 { return o.wide }), st.wide, most) {
		for _, y := range along {
			each(b.measure(x, y, func(*boardStock) int64 { return x.whole * y.whole }))
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
	c, demand := cutting{costs: b.costs()}, make([]int, len(b.kinds))
	for k := range b.kinds {
		demand[k] = len(b.kinds[k].copies)
	}
	return c.provenCost(m.kind, demand, m.whole)
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
		found = append(found, proof{m, mulDiv(total, 1<<20, m.whole[0])})
	})
	slices.SortStableFunc(found, func(p, q proof) int { return compareInt(q.sheets, p.sheets) })
	out := []measure{b.areaMeasure()}
	for _, p := range found[:min(len(found), maxSharpest)] {
		out = append(out, p.measure)
	}
	return out
}
