package layout

import "slices"

// maxExact is the most copies that the search of every way to lie takes on.
const maxExact = 12

// exactWork limits the search of every way to lie.
const exactWork = 1_500_000

// envelope searches every packing: copies are laid in an order in which none
// lies left of or below an earlier one, each in a corner of the staircase over
// those laid (Martello, Pisinger and Vigo 2000, from memory).
type envelope struct {
	strip *strip
	bound int64
	meter *meter
	left  []int
	laid  []spot
	rest  int64 // area of the copies left
	best  plan
}

// exact reports the best plan and whether nothing can beat it.
func (s *strip) exact(best plan, bound int64, c *clock) (plan, bool) {
	if len(s.flaws.all) > 0 {
		return best, false
	}
	work := int64(exactWork)
	if c.most > 0 {
		work = min(work, max(1, (c.most-c.work)/2))
	}
	m := &meter{ctx: c.ctx, deadline: c.deadline, most: work}
	e := &envelope{strip: s, bound: bound, meter: m, best: best, rest: s.area}
	for k := range s.kinds {
		e.left = append(e.left, len(s.kinds[k].copies))
	}
	e.search()
	c.work += m.work
	return e.best, !m.over
}

func (e *envelope) search() {
	if e.meter.spent() || e.best.top <= e.bound {
		return
	}
	if len(e.laid) == e.strip.total {
		if p := e.strip.measure(slices.Clone(e.laid)); p.top < e.best.top {
			e.best = p
		}
		return
	}
	corners, under := e.corners()
	if under+e.rest > e.strip.wide*(e.best.top-1) {
		return
	}
	for k, n := range e.left {
		if n > 0 {
			e.lay(k, corners)
		}
	}
}

func (e *envelope) lay(k int, corners []Point) {
	for oi := range e.strip.kinds[k].options {
		o := &e.strip.kinds[k].options[oi]
		for _, at := range e.spots(o, corners) {
			e.meter.count(1)
			if at.x+o.wide > e.strip.wide || at.y+o.deep >= e.best.top {
				continue
			}
			at.kind, at.option = k, oi
			e.descend(at)
		}
	}
}

func (e *envelope) descend(at spot) {
	area := e.strip.kinds[at.kind].area
	e.laid = append(e.laid, at)
	e.left[at.kind]--
	e.rest -= area
	e.search()
	e.rest += area
	e.left[at.kind]++
	e.laid = e.laid[:len(e.laid)-1]
}

// corners lists the corners of the staircase from the bottom right to the top
// left, and the area under it.
func (e *envelope) corners() (corners []Point, under int64) {
	spots := slices.Clone(e.laid)
	top := func(p spot) int64 { return p.y + e.strip.option(p).deep }
	slices.SortStableFunc(spots, func(a, b spot) int { return compareInt(top(b), top(a)) })
	right, above := int64(0), int64(0)
	if len(spots) > 0 {
		above = top(spots[0])
	}
	corners = append(corners, Point{0, above})
	for i, p := range spots {
		if end := p.x + e.strip.option(p).wide; end > right {
			under += (end - right) * top(p)
			right = end
		}
		if i+1 == len(spots) || top(spots[i+1]) < top(p) {
			low := int64(0)
			if i+1 < len(spots) {
				low = top(spots[i+1])
			}
			corners = append(corners, Point{right, low})
		}
	}
	return corners, under
}

// spots are the least places on the motif at or beyond each corner.
func (e *envelope) spots(o *option, corners []Point) []spot {
	out := make([]spot, 0, len(corners))
	for parity := int64(0); parity < e.strip.columns(o); parity++ {
		for _, c := range corners {
			x := e.strip.upX(o, c.X, parity)
			at := spot{x: x, y: e.strip.upY(o, x, stairAt(corners, x), parity)}
			if !slices.Contains(out, at) {
				out = append(out, at)
			}
		}
	}
	return out
}

// stairAt is the height of the staircase at x.
func stairAt(corners []Point, x int64) int64 {
	high := corners[0].Y
	for _, c := range corners {
		if c.X <= x {
			high = min(high, c.Y)
		}
	}
	return high
}
