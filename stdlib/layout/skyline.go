package layout

import "slices"

// step is a level stretch of a skyline, from x to the next step's x.
type step struct{ x, y int64 }

// niche is the lowest, then leftmost, stretch of a skyline between its walls.
type niche struct {
	at          int
	x, wide, y  int64
	left, right int64 // heights of the walls; noWall at the edges
}

const noWall = int64(1) << 62

func lowest(line []step, wide int64) niche {
	at := 0
	for i := range line {
		if line[i].y < line[at].y {
			at = i
		}
	}
	return nicheAt(line, at, wide)
}

func nicheAt(line []step, at int, wide int64) niche {
	n := niche{at: at, x: line[at].x, y: line[at].y, wide: wide - line[at].x, left: noWall, right: noWall}
	if at > 0 {
		n.left = line[at-1].y
	}
	if at+1 < len(line) {
		n.wide, n.right = line[at+1].x-n.x, line[at+1].y
	}
	return n
}

// lift raises [x, x+w), inside one step, to y; the result is appended to out.
func lift(out, line []step, at int, x, w, y, wide int64) []step {
	end := wide
	if at+1 < len(line) {
		end = line[at+1].x
	}
	out = append(out, line[:at]...)
	if x > line[at].x {
		out = joinStep(out, line[at])
	}
	out = joinStep(out, step{x, y})
	if x+w < end {
		out = append(out, step{x + w, line[at].y})
	}
	if at+1 < len(line) {
		out = joinStep(out, line[at+1])
		out = append(out, line[at+2:]...)
	}
	return out
}

func joinStep(line []step, s step) []step {
	if len(line) > 0 && line[len(line)-1].y == s.y {
		return line
	}
	return append(line, s)
}

// raise fills a niche up to its lower wall and reports the area lost.
func raise(out, line []step, n niche, wide int64) ([]step, int64) {
	to := min(n.left, n.right)
	return lift(out, line, n.at, n.x, n.wide, to, wide), (to - n.y) * n.wide
}

// greedySkyline lays copies in the given order of kinds, each at the spot that
// ends lowest, then wastes least.
func (s *strip) greedySkyline(order []int) plan {
	line := []step{{0, 0}}
	spots := make([]spot, 0, s.total)
	for _, k := range order {
		p := s.lowestSpot(line, k)
		spots = append(spots, p)
		line = cover(line, p.x, s.option(p).wide, p.y+s.option(p).deep, s.wide)
	}
	return s.measure(spots)
}

func (s *strip) lowestSpot(line []step, k int) spot {
	best, bestTop := spot{kind: k, y: noWall}, noWall
	var xs []int64
	for oi := range s.kinds[k].options {
		o := &s.kinds[k].options[oi]
		for parity := int64(0); parity < s.columns(o); parity++ {
			xs = s.startsOn(xs[:0], line, o, parity)
			for _, x := range xs {
				y := s.upY(o, x, heightOver(line, x, o.wide), parity)
				if top := y + o.deep; top < bestTop || top == bestTop && x < best.x {
					best, bestTop = spot{k, oi, x, y}, top
				}
			}
		}
	}
	return best
}

// startsOn lists where a copy may start: from each step of the skyline, and just
// right of each flaw.
func (s *strip) startsOn(xs []int64, line []step, o *option, parity int64) []int64 {
	for _, st := range line {
		if x := s.upX(o, st.x, parity); x+o.wide <= s.wide {
			xs = append(xs, x)
		}
	}
	if len(s.flaws.all) > 0 {
		xs = s.starts(xs, o, 0, s.wide, parity)
	}
	return xs
}

// heightOver is the greatest height of the skyline over [x, x+w).
func heightOver(line []step, x, w int64) int64 {
	at, _ := slices.BinarySearchFunc(line, x+1, func(s step, x int64) int { return int(s.x - x) })
	top := int64(0)
	for i := max(at-1, 0); i < len(line) && line[i].x < x+w; i++ {
		top = max(top, line[i].y)
	}
	return top
}

// cover raises [x, x+w), which may span several steps, to y.
func cover(line []step, x, w, y, wide int64) []step {
	out := make([]step, 0, len(line)+2)
	placed := false
	for i, st := range line {
		end := wide
		if i+1 < len(line) {
			end = line[i+1].x
		}
		if st.x < x {
			out = joinStep(out, st)
		}
		if !placed && end > x {
			out = joinStep(out, step{x, y})
			placed = true
		}
		if end > x+w && st.x < end {
			out = joinStep(out, step{max(st.x, min(x+w, end)), st.y})
		}
	}
	return out
}

// narrowest is the narrowest stretch with a higher wall on either side, the
// lowest where several are as narrow.
func narrowest(line []step, wide int64) niche {
	best := niche{wide: noWall}
	for i := range line {
		n := nicheAt(line, i, wide)
		if min(n.left, n.right) > n.y && (n.wide < best.wide || n.wide == best.wide && n.y < best.y) {
			best = n
		}
	}
	return best
}
