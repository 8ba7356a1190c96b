package layout

import (
	"cmp"
	"slices"
)

// Limits on the kinds among which pieces that need sheets of their own are sought,
// and on the search among them.
const (
	maxApart      = 256
	maxApartNodes = 50_000
)

// apart seeks the dearest copies no two of which can share a sheet: a clique, by
// weight, among kinds in falling weight.
type apart struct {
	weight []int64 // of a kind's copies that need sheets of their own
	never  [][]bool
	nodes  int
	best   int64
}

// apartCost is the cost of a sheet for each of some copies that can share none.
func (b *board) apartCost() int64 {
	var a apart
	kinds := b.byNeed()
	for _, k := range kinds {
		a.weight = append(a.weight, b.aloneCost(k))
		row := make([]bool, len(kinds))
		for j, other := range kinds {
			row[j] = !b.canShare(k, other)
		}
		a.never = append(a.never, row)
	}
	from := make([]int, len(kinds))
	for i := range from {
		from[i] = i
	}
	a.grow(from, 0)
	return a.best
}

func (a *apart) grow(from []int, weight int64) {
	a.nodes++
	a.best = max(a.best, weight)
	rest := int64(0)
	for _, k := range from {
		rest += a.weight[k]
	}
	for i, k := range from {
		if weight+rest <= a.best || a.nodes > maxApartNodes {
			return
		}
		rest -= a.weight[k]
		a.grow(a.without(from[i+1:], k), weight+a.weight[k])
	}
}

// without keeps the kinds that can never share a sheet with k.
func (a *apart) without(from []int, k int) []int {
	var out []int
	for _, other := range from {
		if a.never[k][other] {
			out = append(out, other)
		}
	}
	return out
}

// byNeed lists kinds, the dearest to lay alone first.
func (b *board) byNeed() []int {
	var kinds []int
	for k := range b.kinds {
		kinds = append(kinds, k)
	}
	slices.SortStableFunc(kinds, func(p, q int) int { return cmp.Compare(b.kinds[q].area, b.kinds[p].area) })
	kinds = kinds[:min(len(kinds), maxApart)]
	slices.SortStableFunc(kinds, func(p, q int) int { return cmp.Compare(b.aloneCost(q), b.aloneCost(p)) })
	return kinds
}

// aloneCost is the cheapest sheet for a copy of a kind; for each of its copies
// where no two of them can share one.
func (b *board) aloneCost(k int) int64 {
	least := noWall
	for _, st := range b.stocks {
		if b.kinds[k].wayOnto(st) >= 0 {
			least = min(least, st.cost)
		}
	}
	if b.canShare(k, k) {
		return least
	}
	return least * int64(len(b.kinds[k].copies))
}

// canShare is true where a copy of each kind, lying in some way, fit on one sheet.
func (b *board) canShare(p, q int) bool {
	for i := range b.kinds[p].options {
		for j := range b.kinds[q].options {
			if b.fitTogether(&b.kinds[p].options[i], &b.kinds[q].options[j]) {
				return true
			}
		}
	}
	return false
}

func (b *board) fitTogether(p, q *option) bool {
	return slices.ContainsFunc(b.stocks, func(s boardStock) bool {
		return p.wide+q.wide <= s.wide && max(p.deep, q.deep) <= s.deep ||
			max(p.wide, q.wide) <= s.wide && p.deep+q.deep <= s.deep
	})
}
