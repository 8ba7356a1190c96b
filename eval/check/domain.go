package check

import (
	"sort"

	"squab/eval/quantity"
)

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

// span makes the set between two edges.
func between(whole bool, lo, hi edge) set {
	s := set{whole: whole}
	if iv, ok := s.fit(interval{lo, hi}); ok {
		s.parts = append(s.parts, iv)
	}
	return s
}

func exactly(whole bool, n quantity.Number) set { return between(whole, edge{at: n}, edge{at: n}) }

func (s set) empty() bool { return len(s.parts) == 0 }

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

// earlierHigh gives the lower of two upper edges.
func earlierHigh(a, b edge) edge {
	if a.infinite {
		return b
	}
	if b.infinite {
		return a
	}
	order, _ := a.at.Cmp(b.at)
	if order < 0 || order == 0 && a.open {
		return a
	}
	return b
}

func (s set) and(t set) set {
	both := set{whole: s.whole || t.whole}
	for _, a := range s.parts {
		for _, b := range t.parts {
			if iv, ok := both.fit(interval{laterLow(a.lo, b.lo), earlierHigh(a.hi, b.hi)}); ok {
				both.parts = append(both.parts, iv)
			}
		}
	}
	return both
}

// minus gives what of s is not in t.
func (s set) minus(t set) set { return s.and(t.complement()) }

// complement gives the gaps between a set's intervals, over the whole line.
func (s set) complement() set {
	gaps := set{whole: s.whole}
	lo := edge{infinite: true}
	for _, iv := range s.parts {
		if !iv.lo.infinite {
			if gap, ok := gaps.fit(interval{lo, edge{at: iv.lo.at, open: !iv.lo.open}}); ok {
				gaps.parts = append(gaps.parts, gap)
			}
		}
		if iv.hi.infinite {
			return gaps
		}
		lo = edge{at: iv.hi.at, open: !iv.hi.open}
	}
	if gap, ok := gaps.fit(interval{lo, edge{infinite: true}}); ok {
		gaps.parts = append(gaps.parts, gap)
	}
	return gaps
}

// or joins two sets.
func (s set) or(t set) set { return s.complement().and(t.complement()).complement() }

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

// box says which values each of some terms may have; a term that is missing may have any of its domain.
type box map[string]set

// terms knows the domain of each term that conditions speak of, and how to write it.
type terms struct {
	domain map[string]set
	sample map[string]Expr
}

func newTerms() *terms { return &terms{map[string]set{}, map[string]Expr{}} }

func (t *terms) of(b box, key string) set {
	if s, ok := b[key]; ok {
		return s
	}
	return t.domain[key]
}

func boxKeys(b box) []string {
	keys := make([]string, 0, len(b))
	for k := range b {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}

// meet gives what two boxes share; false where they are apart.
func (t *terms) meet(a, b box) (box, bool) {
	both := box{}
	for k, s := range a {
		both[k] = s
	}
	for _, k := range boxKeys(b) {
		s := t.of(both, k).and(b[k])
		if s.empty() {
			return nil, false
		}
		both[k] = s
	}
	return both, true
}

// carve takes b out of each of boxes.
func (t *terms) carve(boxes []box, b box) []box {
	var left []box
	for _, a := range boxes {
		left = append(left, t.carveOne(a, b)...)
	}
	return left
}

// carveOne cuts off, term by term, what of a lies outside b; what remains lies inside and goes.
func (t *terms) carveOne(a, b box) []box {
	if _, ok := t.meet(a, b); !ok {
		return []box{a}
	}
	var left []box
	rest := box{}
	for k, s := range a {
		rest[k] = s
	}
	for _, k := range boxKeys(b) {
		have := t.of(rest, k)
		if outside := have.minus(b[k]); !outside.empty() {
			off := box{}
			for key, s := range rest {
				off[key] = s
			}
			off[k] = outside
			left = append(left, off)
		}
		rest[k] = have.and(b[k])
	}
	return left
}
