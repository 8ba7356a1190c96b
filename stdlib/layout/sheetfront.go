package layout

import (
	"math/bits"
	"slices"
)

// set is a set of copies, a bit each. The copies of a kind have bits that follow
// one another, so a set is in its plain form when it has the first copies of every
// kind in it.
type set uint64

func (s set) size() int { return bits.OnesCount64(uint64(s)) }

func (s set) first() int { return bits.TrailingZeros64(uint64(s)) }

// copySet gives the copies of a board bits, kind by kind.
type copySet struct {
	kind   []int // of each bit
	ranges []set // of each kind
}

func newCopySet(kinds []kind) copySet {
	var c copySet
	for k := range kinds {
		var all set
		for range kinds[k].copies {
			all |= 1 << len(c.kind)
			c.kind = append(c.kind, k)
		}
		c.ranges = append(c.ranges, all)
	}
	return c
}

// plain is the set with its copies changed for the first ones of their kinds.
func (c *copySet) plain(s set) set {
	out := set(0)
	for rest := s; rest != 0; {
		all := c.ranges[c.kind[rest.first()]]
		n := (s & all).size()
		out |= (set(1)<<n - 1) << all.first()
		rest &^= all
	}
	return out
}

// extent is a rectangle that a set can be cut from: the copies of part make up its
// first group, to extent first of theirs, and the others lie beside or beyond.
type extent struct {
	Size
	part        set
	first, rest int32
	option      int // of a single copy
}

// front is the extents of a set none of which holds another.
type front []extent

func (f front) add(e extent) front {
	for _, o := range f {
		if o.Wide <= e.Wide && o.Deep <= e.Deep {
			return f
		}
	}
	f = slices.DeleteFunc(f, func(o extent) bool { return e.Wide <= o.Wide && e.Deep <= o.Deep })
	return append(f, e)
}

// direction is how the groups of a set lie to one another.
type direction int

const (
	beside direction = iota
	beyond
)

func (d direction) other() direction { return 1 - d }

func (d direction) join(p, q Size) Size {
	if d == beside {
		return Size{p.Wide + q.Wide, max(p.Deep, q.Deep)}
	}
	return Size{max(p.Wide, q.Wide), p.Deep + q.Deep}
}

// fronts knows every way to cut sets of copies from one sheet by straight cuts:
// after so many changes of direction, the first cuts going either way.
type fronts struct {
	copySet
	kinds  []kind
	whole  Size
	stages int // 0 for any number
	meter  *meter
	known  map[set][][2]front
}

// stagesOf is how many changes of direction say all there is to say about a set.
func (f *fronts) stagesOf(s set) int {
	n := s.size()
	switch {
	case n == 1:
		return 0
	case f.stages > 0:
		return min(n, f.stages)
	}
	return n
}

// at are the fronts of a plain set, by stages and direction.
func (f *fronts) at(s set) [][2]front {
	if known, ok := f.known[s]; ok {
		return known
	}
	made := make([][2]front, f.stagesOf(s)+1)
	if s.size() == 1 {
		alone := f.alone(s)
		made[0] = [2]front{alone, alone}
	}
	for stage := 1; stage < len(made); stage++ {
		for _, d := range []direction{beside, beyond} {
			made[stage][d] = f.joined(s, stage, d, made[stage-1][d.other()])
		}
	}
	f.known[s] = made
	return made
}

func (f *fronts) front(s set, stage int, d direction) front {
	all := f.at(f.plain(s))
	return all[min(stage, len(all)-1)][d]
}

func (f *fronts) alone(s set) front {
	var out front
	for i, o := range f.kinds[f.kind[s.first()]].options {
		if o.wide <= f.whole.Wide && o.deep <= f.whole.Deep {
			out = out.add(extent{Size: Size{o.wide, o.deep}, part: s, option: i})
		}
	}
	return out
}

// joined makes the front of a set from every first group and what lies past it.
func (f *fronts) joined(s set, stage int, d direction, turned front) front {
	var out front
	for i := range turned {
		out = out.add(extent{Size: turned[i].Size, part: s, first: int32(i)})
	}
	low := s & -s
	for part := (s - 1) & s; part > 0; part = (part - 1) & s {
		if part&low == 0 || f.plain(part) != part {
			continue
		}
		f.meter.count(1)
		groups := f.front(part, stage-1, d.other())
		if len(groups) > 0 {
			out = f.pairs(out, part, groups, f.front(s&^part, stage, d), d)
		}
	}
	return out
}

func (f *fronts) pairs(out front, part set, groups, rests front, d direction) front {
	for i := range groups {
		for j := range rests {
			size := d.join(groups[i].Size, rests[j].Size)
			if size.Wide <= f.whole.Wide && size.Deep <= f.whole.Deep {
				out = out.add(extent{Size: size, part: part, first: int32(i), rest: int32(j)})
			}
		}
	}
	return out
}

// cuttable is true where a set can be cut from the sheet.
func (f *fronts) cuttable(s set) bool {
	stage := f.stagesOf(s)
	return len(f.front(s, stage, beside)) > 0 || len(f.front(s, stage, beyond)) > 0
}

// lay tells where the copies of a set go on the sheet; nothing where they do not fit.
func (f *fronts) lay(s set) []spot {
	s = f.plain(s)
	stage := f.stagesOf(s)
	for _, d := range []direction{beside, beyond} {
		if len(f.front(s, stage, d)) > 0 {
			return f.trace(nil, s, stage, d, 0, Point{})
		}
	}
	return nil
}

func (f *fronts) trace(out []spot, s set, stage int, d direction, at int32, from Point) []spot {
	s = f.plain(s)
	stage = min(stage, f.stagesOf(s))
	e := f.front(s, stage, d)[at]
	if s.size() == 1 {
		return append(out, spot{f.kind[s.first()], e.option, from.X, from.Y})
	}
	out = f.trace(out, e.part, stage-1, d.other(), e.first, from)
	if e.part == s {
		return out
	}
	group := f.front(e.part, stage-1, d.other())[e.first]
	if d == beside {
		from.X += group.Wide
	} else {
		from.Y += group.Deep
	}
	return f.trace(out, s&^e.part, stage, d, e.rest, from)
}
