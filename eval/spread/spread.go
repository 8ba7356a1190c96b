// Package spread tells how far what an order comes to may lie from what it says, when what is given may be out by a tolerance: the exact least and
// greatest of each cut size, purchase and price, and the values of what was given that lead there. A range is proved by working the cells out over whole
// boxes of values at once (interval arithmetic, with the way in which each value moves), and by parting a box where a condition turns; each end
// is then put in and worked out as any order is. What could not be proved is said to be no wider than a bound.
package spread

import (
	"strings"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang/diag"
)

// Input is something given that may be out: an ask of the order, or a field of a material that it takes. Range holds its ends.
type Input struct {
	Name      string
	Sort      string    // "ask" or "field"
	At        diag.Span // of the tolerance
	Type      check.Type
	Given     quantity.Number
	Low, High quantity.Number
	Clipped   bool // the ask's own range ends before the tolerance does

	ask   *check.Cell
	field eval.FieldOf
}

// End is one end of a range. Where gives the inputs that are not as given. Proved says that nothing in the tolerances goes beyond Value;
// else Bound, where it is known, is what nothing goes beyond.
type End struct {
	Value  quantity.Number
	Where  []Setting
	Proved bool
	Bound  *quantity.Number
}

// Setting is an input with a value.
type Setting struct {
	Input *Input
	Value quantity.Number
}

// Range is what one cell or line may come to.
type Range struct {
	Name        string
	Type        check.Type
	Given       quantity.Number
	Least, Most End
}

// Moves reports whether the range is more than one value, or may be.
func (r Range) Moves() bool {
	return less(r.Least.Value, r.Most.Value) || !r.Least.Proved || !r.Most.Proved
}

// Warning is an order that cannot be made somewhere in the tolerances: why, and where.
type Warning struct {
	Problem diag.Diagnostic
	Where   []Setting
	Past    bool // it fails just past Where, where it still can be made
}

// Answer is what the tolerances of an order lead to.
type Answer struct {
	Inputs   []*Input
	Ranges   []Range
	Warnings []Warning
	Unsure   bool // whether each need holds all over was not settled
}

// Question asks for the ranges of one order. What is bought can be proved where the engine lays nothing out, and so reckons by area alone. Given are tolerances for what the book does not state, by name: an ask, or a material and a field with a dot.
type Question struct {
	Engine *eval.Engine
	Order  *check.Order
	Day    int64
	Given  map[string]*check.Tolerance
}

// Answer works the ranges out. The problems tell why the order cannot be made as it is given.
func (q Question) Answer() (Answer, []diag.Diagnostic) {
	s, problems := newSpreader(q)
	if len(problems) > 0 {
		return Answer{}, problems
	}
	a := Answer{Inputs: s.inputs}
	if len(s.inputs) == 0 {
		return a, nil
	}
	s.cells(&a)
	s.lines(&a)
	s.needs(&a)
	return a, nil
}

// spreader is one order with its inputs.
type spreader struct {
	q       Question
	plan    *eval.Plan
	sheet   *eval.Sheet // as the order gives it
	result  *eval.Result
	inputs  []*Input
	tried   map[string]*outcome
	engines map[string]*eval.Engine // by the values of the fields
	ends    []point                 // where the ends of cells were reached: tried where nothing can be proved
}

func newSpreader(q Question) (*spreader, []diag.Diagnostic) {
	r, problems := q.Engine.Work(q.Order, q.Day)
	if len(problems) > 0 {
		return nil, problems
	}
	s := &spreader{q: q, plan: r.Sheet.Plan, sheet: r.Sheet, result: r, tried: map[string]*outcome{}, engines: map[string]*eval.Engine{}}
	s.addAsks()
	s.addFields()
	return s, nil
}

// addAsks takes in the asks that have a tolerance.
func (s *spreader) addAsks() {
	for _, ask := range s.plan.Recipe.Asks {
		v, fault := s.sheet.Value(ask.Index)
		t := check.ToleranceOf(ask, s.q.Order.Given[ask.Index])
		if given := s.q.Given[ask.Name]; given != nil {
			t = given
		}
		if t == nil || fault != nil || ask.Type.Base != check.Quantity {
			continue
		}
		in := &Input{Name: ask.Name, Sort: "ask", At: t.At, Type: ask.Type, Given: v.Num, ask: ask}
		in.Low, in.High = t.Range(v.Num)
		span, _ := s.plan.RangeOf(ask)
		if span.HasFrom && less(in.Low, span.From) {
			in.Low, in.Clipped = span.From, true
		}
		if span.HasTo && less(span.To, in.High) {
			in.High, in.Clipped = span.To, true
		}
		s.add(in)
	}
}

// addFields takes in the fields that have a tolerance, of the materials that the order takes.
func (s *spreader) addFields() {
	for _, m := range s.materials() {
		for i, f := range m.Kind.Fields {
			v, ok := s.plan.Stock(m).Field(f.Name)
			t := m.Tolerance(s.plan.FieldInForce(m, i))
			if given := s.q.Given[m.Name+"."+f.Name]; given != nil {
				t = given
			}
			if t == nil || !ok || f.Type.Base != check.Quantity {
				continue
			}
			in := &Input{Name: m.Name + "." + f.Name, Sort: "field", At: t.At, Type: f.Type, Given: v.Num, field: eval.FieldOf{Material: m, Field: i}}
			in.Low, in.High = t.Range(v.Num)
			s.add(in)
		}
	}
}

// mostInputs is how many inputs are looked at; an order that has more is told so by its later ones being left out.
const mostInputs = 64

func (s *spreader) add(in *Input) {
	if in.Type.Whole {
		whole, _ := side{lo: in.Low, hi: in.High}.drawnIn(false)
		in.Low, in.High = whole.lo, whole.hi
	}
	if less(in.Low, in.High) && len(s.inputs) < mostInputs && in.Low.Exact() && in.High.Exact() {
		s.inputs = append(s.inputs, in)
	}
}

// materials lists those that the order's cells hold, and those that its lines buy.
func (s *spreader) materials() []*check.Material {
	var all []*check.Material
	seen := map[*check.Material]bool{}
	take := func(m *check.Material) {
		if m != nil && !seen[m] {
			seen[m] = true
			all = append(all, m)
		}
	}
	for i := range s.plan.Slots {
		if v, fault := s.sheet.Value(i); fault == nil {
			take(v.Material())
		}
	}
	for _, l := range s.result.Buy {
		take(l.Material)
	}
	return all
}

// point is a value for each input.
type point []quantity.Number

func (p point) key() string {
	var b strings.Builder
	for _, n := range p {
		b.WriteString(n.String() + " ")
	}
	return b.String()
}

// given is the point that the order itself gives.
func (s *spreader) given() point {
	p := make(point, len(s.inputs))
	for i, in := range s.inputs {
		p[i] = in.Given
	}
	return p
}

// where lists the inputs of a point that are not as given.
func (s *spreader) where(p point) []Setting {
	var all []Setting
	for i, in := range s.inputs {
		if !p[i].Equal(in.Given) {
			all = append(all, Setting{in, p[i]})
		}
	}
	return all
}

// outcome is an order worked out at a point.
type outcome struct {
	sheet    *eval.Sheet
	refused  []diag.Diagnostic
	result   *eval.Result // made when it is first asked for
	finished bool
	engine   *eval.Engine
}

// at works the order out at a point, as any order is.
func (s *spreader) at(p point) *outcome {
	key := p.key()
	if o := s.tried[key]; o != nil {
		return o
	}
	o := &outcome{engine: s.engine(p)}
	o.sheet = o.engine.Plan(s.plan.Recipe, s.plan.Day, s.q.Order).NewSheet()
	order := s.order(p)
	o.sheet.Fill(&order)
	o.refused = o.sheet.Refused()
	s.tried[key] = o
	return o
}

// engine gives an engine in which the fields are as at a point.
func (s *spreader) engine(p point) *eval.Engine {
	fields := map[eval.FieldOf]check.Value{}
	key := ""
	for i, in := range s.inputs {
		if in.ask == nil {
			fields[in.field] = check.Num(p[i])
			key += p[i].String() + " "
		}
	}
	if s.engines[key] == nil {
		e := s.q.Engine
		s.engines[key] = &eval.Engine{Program: e.Program, Limits: e.Limits, Lay: e.Lay, WhatIf: eval.WhatIf{Fields: fields}}
	}
	return s.engines[key]
}

// order gives the order as it would be at a point.
func (s *spreader) order(p point) check.Order {
	order := *s.q.Order
	order.Given = map[int]*check.Cell{}
	for i, cell := range s.q.Order.Given {
		order.Given[i] = cell
	}
	for i, in := range s.inputs {
		if in.ask == nil {
			continue
		}
		given := &check.Cell{Name: in.Name, At: in.ask.At, Type: in.ask.Type, Index: in.ask.Index, Expr: check.Literal(check.Num(p[i]), in.ask.Type, diag.Span{})}
		if was := order.Given[in.ask.Index]; was != nil {
			given.At = was.At
		}
		order.Given[in.ask.Index] = given
	}
	return order
}

// slot gives a cell of the order at a point.
func (s *spreader) slot(p point, slot int) (quantity.Number, bool) {
	v, fault := s.at(p).sheet.Value(slot)
	return v.Num, fault == nil
}

// full gives all that the order comes to at a point; nil where it cannot be made.
func (o *outcome) full() *eval.Result {
	if !o.finished {
		o.finished = true
		o.result, o.refused = o.engine.Finish(o.sheet)
	}
	return o.result
}
