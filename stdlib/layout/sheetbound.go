package layout

import "slices"

// lowerBound is a cost no set of sheets can beat, and what it rests on.
func (b *board) lowerBound() (int64, string) {
	best := b.costOf(func(o *option) int64 { return o.wide * o.deep }, func(s *boardStock) int64 { return s.wide * s.deep })
	why := "the area of the pieces over the cheapest area"
	if len(b.stocks) != 1 {
		return best, why
	}
	s := &b.stocks[0]
	across := b.thresholds(s.wide, func(o *option) int64 { return o.wide })
	along := b.thresholds(s.deep, func(o *option) int64 { return o.deep })
	for _, t := range across {
		for _, u := range along {
			cost := b.costOf(func(o *option) int64 { return roundWidth(o.wide, t, s.wide) * roundWidth(o.deep, u, s.deep) },
				func(s *boardStock) int64 { return s.wide * s.deep })
			if cost > best {
				best, why = cost, "the area of the pieces with large ones counted at full size"
			}
		}
	}
	return best, why
}

// costOf prices a dual feasible measure: the copies' least measures together at
// the stock cheapest for its own.
func (b *board) costOf(measure func(*option) int64, whole func(*boardStock) int64) int64 {
	c := cutting{}
	values, demand := []int64{}, []int{}
	for k := range b.kinds {
		least := noWall
		for i := range b.kinds[k].options {
			if o := &b.kinds[k].options[i]; b.fitsAny(o) {
				least = min(least, measure(o))
			}
		}
		values, demand = append(values, least), append(demand, len(b.kinds[k].copies))
	}
	var holds []int64
	for i := range b.stocks {
		c.costs = append(c.costs, b.stocks[i].cost)
		holds = append(holds, whole(&b.stocks[i]))
	}
	return c.provenCost(values, demand, holds)
}

func (b *board) fitsAny(o *option) bool {
	return slices.ContainsFunc(b.stocks, func(s boardStock) bool { return o.wide <= s.wide && o.deep <= s.deep })
}

// thresholds are the narrow extents that the rounding may ignore, and 0 for none.
func (b *board) thresholds(whole int64, of func(*option) int64) []int64 {
	var extents []int64
	for k := range b.kinds {
		for i := range b.kinds[k].options {
			extents = append(extents, of(&b.kinds[k].options[i]))
		}
	}
	ts := append([]int64{0}, roundings(extents, whole)...)
	return ts[:min(len(ts), 24)]
}
