package check

import "squab/eval/quantity"

// edge is one end of an interval. An infinite edge has no value.
type edge struct {
	at       quantity.Number
	open     bool
	infinite bool
}

// interval is a stretch of values, never empty.
type interval struct{ lo, hi edge }

// set is a set of values: intervals apart from each other, rising. A whole set holds whole numbers only, and its finite edges are closed.
type set struct {
	whole bool
	parts []interval
}

func everything(whole bool) set {
	return set{whole, []interval{{edge{infinite: true}, edge{infinite: true}}}}
}

// between makes the set between two edges.
func between(whole bool, lo, hi edge) set {
	s := set{whole: whole}
	s.add(interval{lo, hi})
	return s
}

func exactly(whole bool, n quantity.Number) set { return between(whole, edge{at: n}, edge{at: n}) }

// wholeFrom is the whole numbers from lo to hi.
func wholeFrom(lo, hi int64) set {
	return between(true, edge{at: quantity.Int(lo)}, edge{at: quantity.Int(hi)})
}

func (s set) empty() bool { return len(s.parts) == 0 }

// add puts an interval that lies above all others in, if anything of it is left.
func (s *set) add(iv interval) {
	if iv, ok := s.fit(iv); ok {
		s.parts = append(s.parts, iv)
	}
}

// fit draws an interval in to whole numbers where the set holds only those; false where nothing is left.
func (s set) fit(iv interval) (interval, bool) {
	if s.whole {
		iv.lo = inward(iv.lo, quantity.Number.RoundUp, 1)
		iv.hi = inward(iv.hi, quantity.Number.RoundDown, -1)
	}
	if iv.lo.infinite || iv.hi.infinite {
		return iv, true
	}
	order, _ := iv.lo.at.Cmp(iv.hi.at)
	return iv, order < 0 || order == 0 && !iv.lo.open && !iv.hi.open
}

// inward moves an edge to the nearest whole number inside.
func inward(e edge, round func(quantity.Number, quantity.Number) (quantity.Number, bool), step int64) edge {
	if e.infinite {
		return e
	}
	n, _ := round(e.at, quantity.Int(1))
	if e.open && n.Equal(e.at) {
		n = n.Add(quantity.Int(step))
	}
	return edge{at: n}
}

// laterLow gives the higher of two lower edges.
func laterLow(a, b edge) edge {
	if a.infinite {
		return b
	}
	if b.infinite {
		return a
	}
	order, _ := a.at.Cmp(b.at)
	if order > 0 || order == 0 && a.open {
		return a
	}
	return b
}

// earlierHigh gives the lower of two upper edges; the second result says that a is the lower.
func earlierHigh(a, b edge) (edge, bool) {
	if a.infinite {
		return b, false
	}
	if b.infinite {
		return a, true
	}
	order, _ := a.at.Cmp(b.at)
	if order < 0 || order == 0 && a.open {
		return a, true
	}
	return b, false
}

// and gives what two sets share, in one pass over both.
func (s set) and(t set) set {
	both := set{whole: s.whole || t.whole}
	for i, j := 0, 0; i < len(s.parts) && j < len(t.parts); {
		a, b := s.parts[i], t.parts[j]
		hi, first := earlierHigh(a.hi, b.hi)
		both.add(interval{laterLow(a.lo, b.lo), hi})
		if first {
			i++
		} else {
			j++
		}
	}
	return both
}

// meets reports whether two sets share anything.
func (s set) meets(t set) bool {
	both := set{whole: s.whole || t.whole}
	for i, j := 0, 0; i < len(s.parts) && j < len(t.parts); {
		a, b := s.parts[i], t.parts[j]
		hi, first := earlierHigh(a.hi, b.hi)
		if _, ok := both.fit(interval{laterLow(a.lo, b.lo), hi}); ok {
			return true
		}
		if first {
			i++
		} else {
			j++
		}
	}
	return false
}

// minus gives what of s is not in t.
func (s set) minus(t set) set { return s.and(t.complement()) }

// complement gives the gaps between a set's intervals, over the whole line.
func (s set) complement() set {
	gaps := set{whole: s.whole}
	lo := edge{infinite: true}
	for _, iv := range s.parts {
		if !iv.lo.infinite {
			gaps.add(interval{lo, edge{at: iv.lo.at, open: !iv.lo.open}})
		}
		if iv.hi.infinite {
			return gaps
		}
		lo = edge{at: iv.hi.at, open: !iv.hi.open}
	}
	gaps.add(interval{lo, edge{infinite: true}})
	return gaps
}

// sample gives some value of a set that is not empty: an end where there is one, else something between.
func (s set) sample() quantity.Number {
	iv := s.parts[0]
	one := quantity.Int(1)
	switch {
	case !iv.lo.infinite && !iv.lo.open:
		return iv.lo.at
	case !iv.hi.infinite && !iv.hi.open:
		return iv.hi.at
	case iv.lo.infinite && iv.hi.infinite:
		return quantity.Number{}
	case iv.lo.infinite:
		return iv.hi.at.Sub(one)
	case iv.hi.infinite:
		return iv.lo.at.Add(one)
	}
	return iv.lo.at.Add(iv.hi.at).Mul(quantity.Frac(1, 2))
}

// hull gives the outermost edges of a set that is not empty.
func (s set) hull() (lo, hi edge) { return s.parts[0].lo, s.parts[len(s.parts)-1].hi }

// lessBy gives every difference between a value of s and one of t, as far as their outermost edges tell.
func (s set) lessBy(t set) set {
	if s.empty() || t.empty() {
		return everything(s.whole && t.whole)
	}
	slo, shi := s.hull()
	tlo, thi := t.hull()
	return between(s.whole && t.whole, apart(slo, thi), apart(shi, tlo))
}

func apart(a, b edge) edge {
	if a.infinite || b.infinite {
		return edge{infinite: true}
	}
	return edge{at: a.at.Sub(b.at), open: a.open || b.open}
}
