package layout

import "slices"

// option is one way a kind may lie; wide and deep include the gap.
type option struct {
	wide, deep    int64
	match         Point
	matched       bool
	turned, ended bool
}

// kind is a set of copies that lie alike.
type kind struct {
	options []option
	area    int64 // of one copy, with the gap
	copies  []copyRef
}

type copyRef struct{ item, copy, panel int }

// strip is the problem of laying every copy in a strip of width wide and least
// length. All measures include the gap on the far sides.
type strip struct {
	wide, gap int64
	repeat    Repeat
	flaws     flaws
	kinds     []kind
	total     int
	area      int64
}

// flaws are in order of their near edge; longest is the length of the longest.
type flaws struct {
	all     []Rect
	longest int64
}

func flawsOf(given []Rect) flaws {
	all, longest := slices.Clone(given), int64(0)
	slices.SortStableFunc(all, func(a, b Rect) int { return compareInt(a.Y, b.Y) })
	for _, f := range all {
		longest = max(longest, f.Deep)
	}
	return flaws{all, longest}
}

// within are the flaws that may reach into a stretch along the cloth.
func (f flaws) within(from, to int64) []Rect {
	near := func(r Rect, y int64) int { return compareInt(r.Y, y) }
	first, _ := slices.BinarySearchFunc(f.all, from-f.longest, near)
	past, _ := slices.BinarySearchFunc(f.all, to, near)
	return f.all[first:max(first, past)]
}

// spot is where one copy lies.
type spot struct {
	kind, option int
	x, y         int64
}

// plan is a complete strip: every copy's spot and the length with the far gap.
type plan struct {
	spots []spot
	top   int64
}

func (s *strip) option(p spot) *option { return &s.kinds[p.kind].options[p.option] }

// plain is true where a copy may lie at any whole position.
func (s *strip) plain() bool {
	if len(s.flaws.all) > 0 {
		return false
	}
	return !slices.ContainsFunc(s.kinds, func(k kind) bool { return k.options[0].matched })
}

// measure recomputes the length of a plan from its spots.
func (s *strip) measure(spots []spot) plan {
	top := int64(0)
	for _, p := range spots {
		top = max(top, p.y+s.option(p).deep)
	}
	return plan{spots: spots, top: top}
}

// upTo is the least value not below from that is congruent to at modulo step.
func upTo(from, at, step int64) int64 {
	if step <= 0 {
		return from
	}
	shift := (at - from) % step
	if shift < 0 {
		shift += step
	}
	return from + shift
}

// columns is how many kinds of motif column there are: two with a half drop.
func (s *strip) columns(o *option) int64 {
	if o.matched && s.repeat.HalfDrop {
		return 2
	}
	return 1
}

// upX is the least x not below from where the motif may land in a column of that parity.
func (s *strip) upX(o *option, from, parity int64) int64 {
	if !o.matched {
		return from
	}
	r := &s.repeat
	return upTo(from, r.First.X-o.match.X+parity*r.Across, r.Across*s.columns(o))
}

// starts lists where a copy may start across a stretch: as far left as may be, and
// just right of each flaw.
func (s *strip) starts(out []int64, o *option, from, to, parity int64) []int64 {
	if x := s.upX(o, from, parity); x+o.wide <= to {
		out = append(out, x)
	}
	for _, f := range s.flaws.all {
		if x := s.upX(o, f.X+f.Wide, parity); x > from && x+o.wide <= to {
			out = append(out, x)
		}
	}
	return out
}

// upY is the least y not below from on the motif of a column of that parity and clear of flaws.
func (s *strip) upY(o *option, x, from, parity int64) int64 {
	y := s.motifY(o, from, parity)
	for moved := true; moved; {
		moved = false
		for _, f := range s.flaws.within(y, y+o.deep-s.gap) {
			if x < f.X+f.Wide && f.X < x+o.wide-s.gap && y < f.Y+f.Deep && f.Y < y+o.deep-s.gap {
				y, moved = s.motifY(o, f.Y+f.Deep, parity), true
			}
		}
	}
	return y
}

func (s *strip) motifY(o *option, from, parity int64) int64 {
	if !o.matched {
		return from
	}
	r := &s.repeat
	return upTo(from, r.First.Y-o.match.Y+parity*r.Along/2, r.Along)
}

// canLie is true where the option has a place across the strip.
func (s *strip) canLie(o *option) bool { return s.upX(o, 0, 0)+o.wide <= s.wide || s.otherColumn(o) }

func (s *strip) otherColumn(o *option) bool {
	return s.columns(o) == 2 && s.upX(o, 0, 1)+o.wide <= s.wide
}

// flip is the same problem laid on its side: a strip as wide as length.
func (s *strip) flip(length int64) *strip {
	f := &strip{wide: length, area: s.area, total: s.total, kinds: slices.Clone(s.kinds)}
	for k := range f.kinds {
		f.kinds[k].options = slices.Clone(f.kinds[k].options)
		for i := range f.kinds[k].options {
			o := &f.kinds[k].options[i]
			o.wide, o.deep = o.deep, o.wide
		}
	}
	return f
}

// unflip lays a plan of the flipped problem upright again.
func (s *strip) unflip(p plan) plan {
	for i := range p.spots {
		p.spots[i].x, p.spots[i].y = p.spots[i].y, p.spots[i].x
	}
	return s.measure(p.spots)
}
