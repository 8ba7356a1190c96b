package layout

// lowerBound is a length, with the far gap, that no laying can beat, and what it
// rests on.
func (s *strip) lowerBound() (int64, string) {
	best, why := ceilDiv(s.area, s.wide), "the area of the pieces over the usable width"
	if tall := s.tallest(); tall > best {
		best, why = tall, "the longest piece"
	}
	if stacked := s.stackBound(); stacked > best {
		best, why = stacked, "pieces too wide to lie beside one another"
	}
	for _, d := range s.duals() {
		if b := s.dualBound(d); b > best {
			best, why = b, "the area of the pieces with wide ones counted at full width"
		}
	}
	return best, why
}

func ceilDiv(a, b int64) int64 {
	if a <= 0 {
		return 0
	}
	return (a + b - 1) / b
}

func (s *strip) tallest() int64 {
	best := int64(0)
	for k := range s.kinds {
		least := noWall
		for i := range s.kinds[k].options {
			o := &s.kinds[k].options[i]
			if s.canLie(o) {
				least = min(least, o.deep)
			}
		}
		best = max(best, least)
	}
	return best
}

// maxStripDuals is how many functions of the widths are tried.
const maxStripDuals = 200

// duals are the functions of the widths.
func (s *strip) duals() []dual {
	var widths []int64
	for _, o := range s.options() {
		widths = append(widths, o.wide)
	}
	return duals(widths, s.wide, maxStripDuals)
}

// options are every way in which any copy may lie.
func (s *strip) options() []*option {
	var out []*option
	for k := range s.kinds {
		for i := range s.kinds[k].options {
			out = append(out, &s.kinds[k].options[i])
		}
	}
	return out
}

// dualBound is the area of the copies with widths counted by a function.
func (s *strip) dualBound(d dual) int64 {
	area := int64(0)
	for k := range s.kinds {
		least := noWall
		for _, o := range s.kinds[k].options {
			least = min(least, d.of(o.wide)*o.deep)
		}
		area += least * int64(len(s.kinds[k].copies))
	}
	return ceilDiv(area, d.whole)
}

// stackBound adds up copies no two of which can lie beside one another. Where
// they show the same motif, each but the last takes whole repeats.
func (s *strip) stackBound() int64 {
	stack := s.incompatible()
	total, saved := int64(0), int64(0)
	for _, k := range stack {
		deep, pitch := s.shortest(k)
		total += pitch * int64(len(s.kinds[k].copies))
		saved = max(saved, pitch-deep)
	}
	if !s.sameMotif(stack) {
		total, saved = 0, 0
		for _, k := range stack {
			deep, _ := s.shortest(k)
			total += deep * int64(len(s.kinds[k].copies))
		}
	}
	return total - saved
}

// shortest is the least length of a kind and that length in whole repeats.
func (s *strip) shortest(k int) (deep, pitch int64) {
	deep, pitch = noWall, noWall
	for i := range s.kinds[k].options {
		o := &s.kinds[k].options[i]
		if !s.canLie(o) {
			continue
		}
		deep = min(deep, o.deep)
		whole := o.deep
		if o.matched && s.repeat.Along > 0 {
			whole = ceilDiv(o.deep, s.motifStep()) * s.motifStep()
		}
		pitch = min(pitch, whole)
	}
	return deep, pitch
}

// motifStep is the least distance along between equal motifs anywhere across.
func (s *strip) motifStep() int64 {
	if s.repeat.HalfDrop {
		return s.repeat.Along / 2
	}
	return s.repeat.Along
}

func (s *strip) sameMotif(ks []int) bool {
	if len(ks) == 0 || s.repeat.Along == 0 {
		return false
	}
	for _, k := range ks {
		for i := range s.kinds[k].options {
			o := &s.kinds[k].options[i]
			first := &s.kinds[ks[0]].options[0]
			if !o.matched || (o.match.Y-first.match.Y)%s.motifStep() != 0 {
				return false
			}
		}
	}
	return true
}

// maxStacked is the most kinds that are tried against one another.
const maxStacked = 400

// incompatible picks kinds, largest first, no two copies of which fit side by side.
func (s *strip) incompatible() []int {
	var stack []int
	order := s.byArea()
	for _, k := range order[:min(len(order), maxStacked)] {
		alone := !s.beside(k, k)
		for _, other := range stack {
			alone = alone && !s.beside(k, other)
		}
		if alone {
			stack = append(stack, k)
		}
	}
	return stack
}

// beside is true where some copy of a can lie left or right of one of b.
func (s *strip) beside(a, b int) bool {
	for i := range s.kinds[a].options {
		for j := range s.kinds[b].options {
			p, q := &s.kinds[a].options[i], &s.kinds[b].options[j]
			if s.leftOf(p, q) || s.leftOf(q, p) {
				return true
			}
		}
	}
	return false
}

func (s *strip) leftOf(p, q *option) bool {
	for pp := int64(0); pp < s.columns(p); pp++ {
		for qp := int64(0); qp < s.columns(q); qp++ {
			if s.upX(q, s.upX(p, 0, pp)+p.wide, qp)+q.wide <= s.wide {
				return true
			}
		}
	}
	return false
}
