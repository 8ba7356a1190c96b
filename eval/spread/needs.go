package spread

import (
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang/diag"
)

// needs warns of conditions that fail somewhere in the tolerances, and of orders that cannot be made at an end for another reason.
func (s *spreader) needs(a *Answer) {
	var visit func(r *check.Recipe, home int)
	visit = func(r *check.Recipe, home int) {
		if s.walkOver(s.whole()).some(home) == fails {
			return
		}
		for _, n := range r.Needs {
			s.need(a, n, home)
		}
		for _, part := range r.Parts {
			visit(part.Recipe, home+part.Offset)
		}
	}
	visit(s.plan.Recipe, 0)
	s.otherwise(a)
}

// cannotBeMade reports that an order is refused all over the box: a need fails there, or a piece is to be cut less than no times.
func (w *walk) cannotBeMade() bool {
	refused := false
	w.each(w.plan.Recipe, 0, func(r *check.Recipe, home int) {
		if w.some(home) != holds {
			return
		}
		for _, n := range r.Needs {
			refused = refused || w.slot(home+n.Cond.Index).truth == fails
		}
		for _, x := range r.Pieces {
			certain := x.When == nil || w.slot(home+x.When.Index).truth == holds
			refused = refused || certain && isNegative(w.cell(home, x.Count))
		}
	})
	return refused
}

func isNegative(n *number) bool {
	if n == nil {
		return false
	}
	sign, known := n.hi.Sign()
	return known && (sign < 0 || sign == 0 && n.hiOpen)
}

// need looks along each input alone for where the condition first fails, and then over all of them together.
func (s *spreader) need(a *Answer, n *check.Need, home int) {
	slot := home + n.Cond.Index
	bad, unsure := s.failing(s.whole(), slot)
	if len(bad) == 0 {
		a.Unsure = a.Unsure || unsure
		return
	}
	alone := 0
	for i := range s.inputs {
		parts, _ := s.failing(s.along(i), slot)
		if near, past, ok := nearest(parts, i, s.inputs[i].Given); ok {
			s.warn(a, n, s.with(i, near), s.with(i, parts[0].sides[i].inside(near)), past)
			alone++
		}
	}
	if alone == 0 {
		p := s.pointIn(bad[0])
		s.warn(a, n, p, p, false)
	}
}

// along is the line on which one input alone is not as given.
func (s *spreader) along(i int) *box {
	b := &box{}
	for _, n := range s.given() {
		b.sides = append(b.sides, side{lo: n, hi: n})
	}
	b.sides[i] = side{lo: s.inputs[i].Low, hi: s.inputs[i].High}
	return b
}

func (s *spreader) with(i int, n quantity.Number) point {
	p := s.given()
	p[i] = n
	return p
}

func (s *spreader) pointIn(b *box) point {
	p := s.given()
	for i, x := range b.sides {
		p[i] = x.inside(p[i])
	}
	return p
}

// nearest gives the value of an input, nearest to what is given, at which or past which parts of its line begin; the part comes first then.
func nearest(parts []*box, i int, given quantity.Number) (near quantity.Number, past, ok bool) {
	for n, b := range parts {
		x := b.sides[i]
		at, isOpen := x.lo, x.loOpen
		if less(x.hi, given) {
			at, isOpen = x.hi, x.hiOpen
		}
		if !ok || less(at.Sub(given).Abs(), near.Sub(given).Abs()) || at.Equal(near) && !isOpen {
			near, past, ok = at, isOpen, true
			parts[0], parts[n] = parts[n], parts[0]
		}
	}
	return near, past, ok
}

// failing lists parts of a box all over which a condition fails; unsure where some part is neither so nor free of it.
func (s *spreader) failing(b *box, slot int) (bad []*box, unsure bool) {
	left := []*box{b}
	for n := 0; len(left) > 0; n++ {
		b := left[0]
		left = left[1:]
		w := s.walkOver(b)
		v := w.slot(slot)
		switch v.truth {
		case holds:
			continue
		case fails:
			bad = append(bad, b)
			continue
		}
		parts := s.parted(b, w.cuts, v.on)
		if len(parts) == 0 || n > mostBoxes {
			unsure = true
			continue
		}
		left = append(left, parts...)
	}
	return bad, unsure
}

// warn takes a warning in with the words that the order is refused with there; look is a point at which it is.
func (s *spreader) warn(a *Answer, n *check.Need, at, look point, past bool) {
	for _, d := range s.at(look).refused {
		for _, r := range d.Related {
			if r.At == n.At {
				a.Warnings = append(a.Warnings, Warning{Problem: d, Where: s.where(at), Past: past})
				return
			}
		}
	}
	d := diag.Diagnostic{Code: "need-failed", Message: "a need of the recipe is not met", At: s.q.Order.At, Related: []diag.Related{{At: n.At, Note: "the need"}}}
	a.Warnings = append(a.Warnings, Warning{Problem: d, Where: s.where(at), Past: past})
}

// otherwise warns once of each other reason for which the order was refused at a point that was tried.
func (s *spreader) otherwise(a *Answer) {
	seen := map[string]bool{}
	for _, p := range s.ends {
		o := s.at(p)
		if o.full() != nil {
			continue
		}
		for _, d := range o.refused {
			if d.Code != "need-failed" && !seen[d.Message] {
				seen[d.Message] = true
				a.Warnings = append(a.Warnings, Warning{Problem: d, Where: s.where(p)})
			}
		}
	}
}
