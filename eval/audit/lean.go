package audit

import (
	"fmt"
	"slices"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/eval/trace"
	"squab/lang/diag"
)

// Lean is how far a cell moves for one small step of something that it rests on.
type Lean struct {
	Name     string
	Sort     string // "ask", "rule" or "material"
	At       diag.Span
	Step     quantity.Number // of StepType, or with Share of whatever a rule gives
	StepType check.Type
	Share    bool
	Up       *quantity.Number // how far the cell moves for one step up; nil where it cannot be worked out there
	Down     *quantity.Number
}

// most is the larger of the two moves, whichever way.
func (l Lean) most() quantity.Number {
	var m quantity.Number
	for _, n := range []*quantity.Number{l.Up, l.Down} {
		if n != nil && less(m, n.Abs()) {
			m = n.Abs()
		}
	}
	return m
}

// Leans ranks what a cell rests on by how far the cell moves for one step: a length by the least step that the shop's page shows, a count by one,
// anything else, and with Share a length too, by a hundredth of itself. What does not move it is left out. The kind is the cell's.
func (of Question) Leans() ([]Lean, check.Type, error) {
	of.Engine = &eval.Engine{Program: of.Engine.Program, Limits: of.Engine.Limits, Lay: remembered(of.Engine.Lay)}
	q, err := newQuestion(of)
	if err != nil {
		return nil, check.Type{}, err
	}
	l := leaner{q: q, of: of}
	if l.base, err = q.value(); err != nil {
		return nil, check.Type{}, fmt.Errorf("%s cannot be worked out as order %s stands: %w", of.Cell, of.Order.ID, err)
	}
	l.asks()
	l.rules()
	l.fields()
	slices.SortStableFunc(l.found, func(a, b Lean) int {
		order, _ := b.most().Cmp(a.most())
		return order
	})
	return l.found, q.kind, nil
}

type leaner struct {
	q     *question
	of    Question
	base  quantity.Number
	found []Lean
}

// take keeps a lean that moves the cell.
func (l *leaner) take(lean Lean) {
	if sign, _ := lean.most().Sign(); sign > 0 {
		l.found = append(l.found, lean)
	}
}

// step is one step of something that now has a value.
func (l *leaner) step(t check.Type, now quantity.Number) quantity.Number {
	if t.Whole || t.IsLength() && !l.of.Share {
		return smallStep(l.q.plan.Program(), t)
	}
	return now.Mul(quantity.Frac(1, 100)).Abs()
}

func (l *leaner) moved(y quantity.Number, err error) *quantity.Number {
	if err != nil {
		return nil
	}
	d := y.Sub(l.base)
	return &d
}

func (l *leaner) asks() {
	for _, a := range l.q.plan.Recipe.Asks {
		now, ok := l.q.current(a)
		if a.Type.Base != check.Quantity || !ok {
			continue
		}
		step := l.step(a.Type, now)
		lean := Lean{Name: a.Name, Sort: "ask", At: a.At, Step: step, StepType: a.Type}
		lean.Up = l.moved(l.q.with(a, now.Add(step)))
		lean.Down = l.moved(l.q.with(a, now.Sub(step)))
		l.q.sheet.Fill(l.of.Order) // not only the ask as it was: others' defaults may rest on it
		l.take(lean)
	}
}

// rules moves each rule that the order uses and that gives a measure.
func (l *leaner) rules() {
	var reach trace.Reach
	reach.Add(l.q.sheet)
	for _, r := range l.q.plan.Program().Rules {
		if r.Result.Base != check.Quantity || !reach.Uses(r) {
			continue
		}
		step, share := l.ruleStep(r)
		lean := Lean{Name: r.Name, Sort: "rule", At: r.At, Step: step, StepType: r.Result, Share: share}
		lean.Up = l.instead(eval.WhatIf{Rules: map[*check.Rule]eval.Move{r: {By: step, Share: share}}})
		lean.Down = l.instead(eval.WhatIf{Rules: map[*check.Rule]eval.Move{r: {By: step.Neg(), Share: share}}})
		l.take(lean)
	}
}

// ruleStep is one step of a rule: a share of each value that it gives, where it gives neither a length nor a count, and may give several.
func (l *leaner) ruleStep(r *check.Rule) (step quantity.Number, share bool) {
	if r.Result.Whole || r.Result.IsLength() && !l.of.Share {
		return smallStep(l.q.plan.Program(), r.Result), false
	}
	return quantity.Frac(1, 100), true
}

// fields moves each measure of each material that the order takes.
func (l *leaner) fields() {
	for _, m := range l.materials() {
		for i, f := range m.Kind.Fields {
			v, ok := l.q.plan.Stock(m).Measure(f.Name)
			if sign, _ := v.Sign(); f.Type.Base != check.Quantity || !ok || sign == 0 { // nothing there, as no repeat, is no small measure
				continue
			}
			step := l.step(f.Type, v)
			key := eval.FieldOf{Material: m, Field: i}
			lean := Lean{Name: m.Name + "." + f.Name, Sort: "material", At: m.At, Step: step, StepType: f.Type}
			lean.Up = l.instead(eval.WhatIf{Fields: map[eval.FieldOf]check.Value{key: check.Num(v.Add(step))}})
			lean.Down = l.instead(eval.WhatIf{Fields: map[eval.FieldOf]check.Value{key: check.Num(v.Sub(step))}})
			l.take(lean)
		}
	}
}

// materials lists those that the order's cells hold.
func (l *leaner) materials() []*check.Material {
	var all []*check.Material
	for i, s := range l.q.plan.Slots {
		if s.Cell.Type.Base != check.OfMaterial {
			continue
		}
		v, fault := l.q.sheet.Value(i)
		if m := v.Material(); fault == nil && m != nil && !slices.Contains(all, m) {
			all = append(all, m)
		}
	}
	return all
}

// instead works the cell out with some values in place of the book's.
func (l *leaner) instead(w eval.WhatIf) *quantity.Number {
	of := l.of
	of.Engine = &eval.Engine{Program: of.Engine.Program, Limits: of.Engine.Limits, Lay: of.Engine.Lay, WhatIf: w}
	q, err := newQuestion(of)
	if err != nil {
		return nil
	}
	return l.moved(q.value())
}
