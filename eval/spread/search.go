package spread

import (
	"squab/eval"
	"squab/eval/quantity"
)

// mostBoxes bounds the parting of one search.
const mostBoxes = 120

// target is what a search looks for the ends of: over a box, and at a point. One that is made has ends only where the order can be made.
type target struct {
	over func(*walk) *number
	at   func(point) (quantity.Number, bool)
	made bool
}

// walkOver makes a walk over a box.
func (s *spreader) walkOver(b *box) *walk {
	w := &walk{sheet: s.sheet, plan: s.plan, box: b, result: s.result, laid: s.q.Engine.Lay != nil, asks: map[int]int{}, fields: map[eval.FieldOf]int{}, slots: map[int]value{}, stock: map[eval.FieldOf]value{}}
	for i, in := range s.inputs {
		if in.ask != nil {
			w.asks[in.ask.Index] = i
			continue
		}
		w.fields[in.field] = i
	}
	return w
}

func (s *spreader) whole() *box {
	b := &box{}
	for _, in := range s.inputs {
		b.sides = append(b.sides, side{lo: in.Low, hi: in.High})
	}
	return b
}

// part is a box with the most that the target can be in it.
type part struct {
	box  *box
	over *number
	cuts []cut
}

// search finds the greatest value of a target, or with turned set the least, as the greatest of what it is turned round.
type search struct {
	s      *spreader
	t      target
	turned bool
	parts  []part
	best   quantity.Number
	where  point
	found  bool
	beyond *quantity.Number // what is neither proved nor reached, but not gone beyond
	lost   bool             // nothing is known of some part
	boxes  int
}

// end finds one end of a target's range.
func (s *spreader) end(t target, turned bool) End {
	f := &search{s: s, t: t, turned: turned}
	f.try(s.given())
	f.take(s.whole())
	for _, p := range s.ends {
		if f.lost {
			f.try(p)
		}
	}
	for len(f.parts) > 0 {
		p := f.next()
		if f.found && !less(f.best, f.top(p.over)) {
			break // nothing that is left can go beyond what was reached
		}
		f.look(p)
	}
	return f.end()
}

func (f *search) signed(n quantity.Number) quantity.Number {
	if f.turned {
		return n.Neg()
	}
	return n
}

// top is the most that a number can be, or turned round the least.
func (f *search) top(n *number) quantity.Number {
	if f.turned {
		return n.lo.Neg()
	}
	return n.hi
}

// try puts a point in, and reports whether the target has a value there.
func (f *search) try(p point) bool {
	if !f.s.isWhole(p) {
		return false
	}
	n, ok := f.t.at(p)
	if !ok {
		return false
	}
	if n = f.signed(n); !f.found || less(f.best, n) {
		f.best, f.where, f.found = n, p, true
	}
	return true
}

// isWhole reports whether every count of a point is whole.
func (s *spreader) isWhole(p point) bool {
	for i, in := range s.inputs {
		if in.Type.Whole && !p[i].IsInt() {
			return false
		}
	}
	return true
}

// take looks over a box and keeps it for later.
func (f *search) take(b *box) {
	f.boxes++
	w := f.s.walkOver(b)
	n := f.t.over(w)
	if n == nil {
		f.unknown(b, w.cuts)
		return
	}
	f.parts = append(f.parts, part{b, n, w.cuts})
}

// unknown parts a box of which nothing is known where conditions turn, since what stands behind one of them may have no value.
func (f *search) unknown(b *box, cuts []cut) {
	var parts []*box
	if f.boxes < mostBoxes {
		parts = f.s.parted(b, cuts, f.s.counts())
	}
	f.lost = f.lost || parts == nil
	for _, b := range parts {
		f.take(b)
	}
}

// next takes the part out whose top is greatest.
func (f *search) next() part {
	at := 0
	for i := range f.parts {
		if less(f.top(f.parts[at].over), f.top(f.parts[i].over)) {
			at = i
		}
	}
	p := f.parts[at]
	f.parts = append(f.parts[:at], f.parts[at+1:]...)
	return p
}

// look settles a part: at its corner where the target only rises or falls in each input, else by parting it. A corner at which the target has no
// value says nothing of the points around it.
func (f *search) look(p part) {
	corner, closed, isCorner := f.corner(p)
	has := f.try(corner)
	if isCorner && closed && has {
		return
	}
	on := mixedIn(p.over)
	if !has {
		w := f.s.walkOver(p.box)
		if f.t.made && w.cannotBeMade() {
			return
		}
		on, p.cuts = ^uint64(0), append(p.cuts, w.cuts...)
	}
	if !(isCorner && has) && f.boxes < mostBoxes && f.split(p, on) {
		return
	}
	f.cannot(p.over)
}

// mixedIn is the set of inputs that may move a number either way.
func mixedIn(n *number) uint64 {
	var on uint64
	for i, w := range n.ways {
		if w == mixed {
			on |= 1 << i
		}
	}
	return on
}

// cannot notes a part that is given up: its top may be reached, or not.
func (f *search) cannot(n *number) {
	top := f.top(n)
	if f.beyond == nil || less(*f.beyond, top) {
		f.beyond = &top
	}
}

// corner is where the target is greatest in a part, if it moves one way in each input: closed where that point belongs to the part.
func (f *search) corner(p part) (at point, closed, isCorner bool) {
	at, closed, isCorner = f.s.given(), true, true
	for i, side := range p.box.sides {
		way := p.over.ways[i]
		if f.turned {
			way = way.turned()
		}
		switch way {
		case up:
			at[i], closed = side.hi, closed && !side.hiOpen
		case down:
			at[i], closed = side.lo, closed && !side.loOpen
		case mixed:
			at[i], isCorner = side.inside(at[i]), false
		case still:
			at[i] = side.inside(at[i])
		}
	}
	return at, closed, isCorner
}

// split parts a box, where a condition turns or else across the middle of one of some inputs.
func (f *search) split(p part, on uint64) bool {
	parts := f.s.parted(p.box, p.cuts, on)
	for _, b := range parts {
		f.take(b)
	}
	return parts != nil
}

// counts is the set of inputs that are counts.
func (s *spreader) counts() uint64 {
	var set uint64
	for i, in := range s.inputs {
		if in.Type.Whole {
			set |= 1 << i
		}
	}
	return set
}

// tight leaves the boxes out that hold no whole number of a count, and draws the sides of the others in to whole numbers.
func (s *spreader) tight(all []*box) []*box {
	kept := all[:0]
	for _, b := range all {
		empty := false
		for i, in := range s.inputs {
			if in.Type.Whole {
				b.sides[i], empty = b.sides[i].drawnIn(empty)
			}
		}
		if !empty {
			kept = append(kept, b)
		}
	}
	return kept
}

// parted parts a box where a condition turns: before it, at it and past it; else in two across the widest, for its tolerance, of some inputs.
func (s *spreader) parted(b *box, cuts []cut, on uint64) []*box {
	for _, c := range cuts {
		x := b.sides[c.input]
		if less(c.at, x.lo) || less(x.hi, c.at) || x.lo.Equal(x.hi) || c.at.Equal(x.lo) && x.loOpen || c.at.Equal(x.hi) && x.hiOpen {
			continue
		}
		all := []*box{b.with(c.input, side{c.at, c.at, false, false})}
		if less(x.lo, c.at) {
			all = append(all, b.with(c.input, side{x.lo, c.at, x.loOpen, true}))
		}
		if less(c.at, x.hi) {
			all = append(all, b.with(c.input, side{c.at, x.hi, true, x.hiOpen}))
		}
		return s.tight(all)
	}
	return s.halved(b, on)
}

func (s *spreader) halved(b *box, on uint64) []*box {
	at, widest := -1, quantity.Number{}
	for i, x := range b.sides {
		share, ok := x.hi.Sub(x.lo).Div(s.inputs[i].High.Sub(s.inputs[i].Low))
		if ok && on&(1<<i) != 0 && less(widest, share) {
			at, widest = i, share
		}
	}
	if at < 0 {
		return nil
	}
	x := b.sides[at]
	middle := x.lo.Add(x.hi).Mul(quantity.Frac(1, 2))
	if s.inputs[at].Type.Whole {
		middle, _ = middle.RoundDown(quantity.Int(1))
		return []*box{b.with(at, side{x.lo, middle, x.loOpen, false}), b.with(at, side{middle.Add(quantity.Int(1)), x.hi, false, x.hiOpen})}
	}
	return []*box{b.with(at, side{x.lo, middle, x.loOpen, false}), b.with(at, side{middle, x.hi, false, x.hiOpen})}
}

// end is what the search comes to.
func (f *search) end() End {
	e := End{Value: f.signed(f.best), Where: f.s.where(f.where)}
	for _, p := range f.parts {
		if less(f.best, f.top(p.over)) {
			f.cannot(p.over)
		}
	}
	e.Proved = !f.lost && f.found && (f.beyond == nil || !less(f.best, *f.beyond))
	if !e.Proved && !f.lost && f.beyond != nil {
		bound := f.signed(*f.beyond)
		e.Bound = &bound
	}
	return e
}
