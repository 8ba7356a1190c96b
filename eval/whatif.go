package eval

import (
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang/diag"
)

// WhatIf gives values to use in place of what the book's rules and materials say. The zero value changes nothing.
type WhatIf struct {
	Rules  map[*check.Rule]Move // whatever a rule is given, and whichever case it chooses
	Fields map[FieldOf]check.Value
}

// Move is what is added to each value that a rule gives: a measure of the rule's kind, or a share of the value.
type Move struct {
	By    quantity.Number
	Share bool
}

// FieldOf is a material's field, by its place in the kind.
type FieldOf struct {
	Material *check.Material
	Field    int
}

func (w WhatIf) field(m *check.Material, field int) (check.Value, bool) {
	v, ok := w.Fields[FieldOf{m, field}]
	return v, ok
}

// bodiesOf lists what gives a rule its value, topmost first: the bodies in force, each moved where that is asked.
func (p *Plan) bodiesOf(r *check.Rule) []*check.Body {
	all := p.InForce(r)
	m, ok := p.engine.WhatIf.Rules[r]
	if !ok {
		return all
	}
	moved := make([]*check.Body, len(all))
	for i, b := range all {
		moved[i] = m.body(b)
	}
	return moved
}

// body is a body whose every case gives a value moved.
func (m Move) body(b *check.Body) *check.Body {
	moved := *b
	moved.Cases = make([]*check.Case, len(b.Cases))
	for i, k := range b.Cases {
		other := *k
		other.Value = check.Moved(k.Value, m.By, m.Share)
		moved.Cases[i] = &other
	}
	return &moved
}

// Refused tells why a filled sheet's order cannot be made, as far as its asks and needs go: what is made of it is not looked at.
func (s *Sheet) Refused() []diag.Diagnostic {
	b := resultBuilder{s: s, plan: s.Plan, r: &Result{}}
	b.needs()
	problems := b.problems
	for _, f := range b.faults.all {
		problems = append(problems, f.Diagnostic())
	}
	return problems
}

// RestsOn reports whether a slot's value is worked out from another's, at any distance.
func (p *Plan) RestsOn(slot, on int) bool {
	seen := make([]bool, len(p.Slots))
	var look func(i int) bool
	look = func(i int) bool {
		if i == slot {
			return true
		}
		if seen[i] {
			return false
		}
		seen[i] = true
		for _, j := range p.dependents[i] {
			if look(j) {
				return true
			}
		}
		return false
	}
	return look(on)
}

// Range is a range of values; an end that is open has no value.
type Range struct {
	From, To       quantity.Number
	HasFrom, HasTo bool
}

// RangeOf gives an ask's range as the recipe states it; false where either end is open.
func (p *Plan) RangeOf(ask *check.Cell) (Range, bool) {
	s := p.spanOf(ask)
	return Range{s.from, s.to, s.hasFrom, s.hasTo}, s.hasFrom && s.hasTo
}
