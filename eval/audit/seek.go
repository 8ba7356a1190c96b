package audit

import (
	"fmt"

	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang"
)

// Target is what a cell must meet: =, <= or >= a value.
type Target struct {
	Op    lang.BinaryOp
	Value quantity.Number
}

// Search says where to look: the ask's values From, From + Step, … up to To. What is nil is the ask's own range, and for the step the least that the
// shop's page shows of a length, one of a count, and 1/100 of the base unit of anything else.
type Search struct {
	From, To, Step *quantity.Number
}

// Stretch is a run of an ask's values that meet the target. Each end is exact; Single is one value.
type Stretch struct {
	From, To quantity.Number
	Single   bool
}

// Found is the answer of a search: every stretch on the grid, and every exact value between two steps of it where the cell crosses its target.
type Found struct {
	Ask       *check.Cell
	Kind      check.Type // of the cell
	Step      quantity.Number
	From, To  quantity.Number
	Stretches []Stretch
	Jumps     []Stretch // where the cell crosses its target without meeting it
	Refused   int       // values of the grid for which the order cannot be made
	Tried     int
	Least     *quantity.Number // of the cell, over the grid
	Most      *quantity.Number
}

// mostTried is how many values of an ask a search looks at.
const mostTried = 100_000

// Seek finds the values of an ask for which a cell meets a target. Between two steps of the grid where the cell crosses its target it is solved exactly,
// by going straight from one to the other and halving where the cell does not run straight; what is found is always put in and worked out before it is given.
// A crossing and recrossing inside one step is not seen: the step is part of the answer.
func (of Question) Seek(target Target, where Search) (Found, error) {
	q, err := newQuestion(of)
	if err != nil {
		return Found{}, err
	}
	a, err := askCalled(q.plan.Recipe, of.Ask)
	if err != nil {
		return Found{}, err
	}
	if q.inRecipe() && !q.plan.RestsOn(q.slot, a.Index) {
		return Found{}, fmt.Errorf("%s does not rest on %s, so no value of it makes a difference", of.Cell, of.Ask)
	}
	s := &seeker{q: q, ask: a, target: target}
	s.found = Found{Ask: a, Kind: q.kind}
	if err := s.grid(where); err != nil {
		return Found{}, err
	}
	s.run()
	return s.found, nil
}

type seeker struct {
	q      *question
	ask    *check.Cell
	target Target
	found  Found
}

// try is one value of the ask and what the cell comes to.
type try struct {
	x, y quantity.Number
	ok   bool // the order can be made
	met  bool
}

// grid settles where to look.
func (s *seeker) grid(where Search) error {
	f := &s.found
	span, ok := s.q.plan.RangeOf(s.ask)
	if where.From != nil {
		span.From, span.HasFrom = *where.From, true
	}
	if where.To != nil {
		span.To, span.HasTo = *where.To, true
	}
	if !ok && (!span.HasFrom || !span.HasTo) {
		return fmt.Errorf("%s has no range to look through: give one, from the least to the most", s.ask.Name)
	}
	f.From, f.To, f.Step = span.From, span.To, s.step(where)
	if sign, _ := f.Step.Sign(); sign <= 0 {
		return fmt.Errorf("the step from one value of %s to the next must be more than nothing", s.ask.Name)
	}
	n, _ := f.To.Sub(f.From).Div(f.Step)
	if order, _ := n.Cmp(quantity.Int(mostTried)); order > 0 {
		return fmt.Errorf("the range of %s holds more than %d steps: give a wider step or a narrower range", s.ask.Name, mostTried)
	}
	if sign, _ := n.Sign(); sign < 0 {
		return fmt.Errorf("the range of %s is empty", s.ask.Name)
	}
	return nil
}

func (s *seeker) step(where Search) quantity.Number {
	if where.Step != nil {
		return *where.Step
	}
	return smallStep(s.q.plan.Program(), s.ask.Type)
}

// smallStep is the least step of a kind that a workroom measures: what the shop's page shows of a length, one of a count, 1/100 of the base unit of
// anything else.
func smallStep(p *check.Program, t check.Type) quantity.Number {
	switch {
	case t.Whole:
		return quantity.Int(1)
	case t.IsLength():
		return p.Style.LengthStep()
	}
	return quantity.Frac(1, 100)
}

func (s *seeker) at(x quantity.Number) try {
	s.found.Tried++
	y, err := s.q.with(s.ask, x)
	t := try{x: x, y: y, ok: err == nil}
	if t.ok {
		order, decided := y.Cmp(s.target.Value)
		t.met = decided && s.holds(order)
	}
	return t
}

func (s *seeker) holds(order int) bool {
	switch s.target.Op {
	case lang.Le:
		return order <= 0
	case lang.Ge:
		return order >= 0
	}
	return order == 0
}

// run goes along the grid.
func (s *seeker) run() {
	var last try
	for x, first := s.found.From, true; ; first = false {
		if order, _ := x.Cmp(s.found.To); order > 0 {
			if first {
				return
			}
			break
		}
		t := s.at(x)
		s.note(t)
		s.between(last, t, first)
		if t.met {
			s.extend(t.x)
		}
		last = t
		x = x.Add(s.found.Step)
	}
}

func (s *seeker) note(t try) {
	if !t.ok {
		s.found.Refused++
		return
	}
	if s.found.Least == nil || less(t.y, *s.found.Least) {
		y := t.y
		s.found.Least = &y
	}
	if s.found.Most == nil || less(*s.found.Most, t.y) {
		y := t.y
		s.found.Most = &y
	}
}

func less(a, b quantity.Number) bool {
	order, decided := a.Cmp(b)
	return decided && order < 0
}

// extend takes a value into the last stretch if that ends one step below, or begins another.
func (s *seeker) extend(x quantity.Number) {
	if n := len(s.found.Stretches); n > 0 {
		last := &s.found.Stretches[n-1]
		if !less(last.To.Add(s.found.Step), x) {
			last.To, last.Single = x, false
			return
		}
	}
	s.found.Stretches = append(s.found.Stretches, Stretch{x, x, true})
}

// between solves for a crossing between two steps of the grid.
func (s *seeker) between(a, b try, first bool) {
	if first || !a.ok || !b.ok || s.ask.Type.Whole {
		return
	}
	below, above := s.side(a), s.side(b)
	if below*above >= 0 {
		return
	}
	if exact, found := s.solve(a, b, 48); found {
		s.meet(exact, b.met)
		return
	}
	if s.target.Op == lang.Eq {
		s.found.Jumps = append(s.found.Jumps, Stretch{From: a.x, To: b.x})
	}
}

// side tells on which side of the target a value lies.
func (s *seeker) side(t try) int {
	order, _ := t.y.Cmp(s.target.Value)
	return order
}

// solve finds where the cell is exactly at its target between two values on either side of it.
func (s *seeker) solve(a, b try, depth int) (quantity.Number, bool) {
	rise, ok := s.target.Value.Sub(a.y).Div(b.y.Sub(a.y))
	if !ok || depth == 0 {
		return quantity.Number{}, false
	}
	x := a.x.Add(b.x.Sub(a.x).Mul(rise))
	t := s.at(x)
	if t.ok && t.y.Exact() && s.side(t) == 0 {
		return x, true
	}
	mid := s.at(a.x.Add(b.x).Mul(quantity.Frac(1, 2)))
	switch {
	case !mid.ok:
		return quantity.Number{}, false
	case s.side(mid) == 0:
		return mid.x, mid.y.Exact()
	case s.side(a)*s.side(mid) < 0:
		return s.solve(a, mid, depth-1)
	}
	return s.solve(mid, b, depth-1)
}

// meet takes an exact crossing in: on its own, or as the exact end of the stretch that it bounds.
func (s *seeker) meet(x quantity.Number, opens bool) {
	n := len(s.found.Stretches)
	if s.target.Op != lang.Eq && !opens && n > 0 {
		s.found.Stretches[n-1].To, s.found.Stretches[n-1].Single = x, false
		return
	}
	s.found.Stretches = append(s.found.Stretches, Stretch{x, x, true})
}
