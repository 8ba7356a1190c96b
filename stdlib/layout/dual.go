package layout

import "slices"

// dual is a dual feasible function of extents: those that fit within extent together
// never come to more than whole.
type dual struct {
	extent, whole int64
	at            int64
	how           dualKind
}

type dualKind int

const (
	asIs    dualKind = iota
	rounded          // nearly whole extents count as whole, short ones as nothing
	stepped          // extents count by how often at goes into them
)

// of is what an extent counts.
func (d dual) of(x int64) int64 {
	switch d.how {
	case rounded:
		return roundWidth(x, d.at, d.extent)
	case stepped:
		return steps(x, d.at, d.extent)
	}
	return x
}

// roundWidth counts widths over wide-t as wide and under t as nothing (Fekete and
// Schepers 2001, from memory).
func roundWidth(w, t, wide int64) int64 {
	switch {
	case w > wide-t:
		return wide
	case w < t:
		return 0
	}
	return w
}

// steps counts how often at goes into twice an extent, over half of whole by what
// is left beside it (Carlier, Clautiaux and Moukrim 2007, from memory).
func steps(x, at, whole int64) int64 {
	switch {
	case 2*x > whole:
		return 2 * (whole/at - (whole-x)/at)
	case 2*x == whole:
		return whole / at
	}
	return 2 * (x / at)
}

// duals are the functions that may say something about extents, at most so many.
func duals(extents []int64, whole int64, most int) []dual {
	out := []dual{{extent: whole, whole: whole}}
	for _, t := range spread(roundings(extents, whole), most/2) {
		out = append(out, dual{whole, whole, t, rounded})
	}
	for _, t := range spread(divisors(extents, whole), most-most/2) {
		out = append(out, dual{whole, 2 * (whole / t), t, stepped})
	}
	return out
}

// roundings are the thresholds at which rounding these extents changes.
func roundings(extents []int64, whole int64) []int64 {
	return upToHalf(whole, extents, func(e int64) []int64 { return []int64{e + 1, whole - e} })
}

// divisors are steps that go into these extents, or into what is left beside them
// but for one.
func divisors(extents []int64, whole int64) []int64 {
	return upToHalf(whole, extents, func(e int64) []int64 { return []int64{e, whole - e + 1} })
}

// upToHalf gathers what extents give, in order, none over half of whole.
func upToHalf(whole int64, extents []int64, give func(int64) []int64) []int64 {
	var out []int64
	for _, e := range extents {
		out = append(out, give(e)...)
	}
	out = slices.DeleteFunc(out, func(t int64) bool { return t <= 0 || t*2 > whole })
	slices.Sort(out)
	return slices.Compact(out)
}

// fillWork limits the room times the extents that fill it.
const fillWork = 1 << 20

// fill is the most that extents that fit in a room together come to; noWall where
// nothing is known about it.
func (d dual) fill(extents []int64, room int64) int64 {
	if room*int64(len(extents)) > fillWork {
		if room > d.extent {
			return noWall
		}
		return d.whole
	}
	most := make([]int64, room+1)
	for _, e := range extents {
		value := d.of(e)
		for r := e; value > 0 && r <= room; r++ {
			most[r] = max(most[r], most[r-e]+value)
		}
	}
	return slices.Max(most)
}

// spread picks most of a list, evenly over its length.
func spread(list []int64, most int) []int64 {
	if len(list) <= most {
		return list
	}
	out := make([]int64, most)
	for i := range out {
		out[i] = list[i*len(list)/most]
	}
	return out
}
