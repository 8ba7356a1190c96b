package eval

import "squab/eval/check"

// fields gives a material's fields as they are in this plan's time; one that is read while another's formula runs is worked out then.
func (p *Plan) fields(m *check.Material) []check.Value {
	if p.materials[m.Index] == nil {
		p.materials[m.Index] = p.workFields(m)
	}
	return p.materials[m.Index]
}

// workFields works a material's fields out.
func (p *Plan) workFields(m *check.Material) []check.Value {
	w := fieldsWork{plan: p, of: m, frame: p.newFrame(), begun: make([]bool, len(m.Kind.Fields))}
	w.frame.material = make([]check.Value, len(m.Kind.Fields))
	for i := range w.begun {
		w.work(i)
	}
	return w.frame.material
}

// fieldsWork is a material whose fields are being worked out.
type fieldsWork struct {
	plan  *Plan
	of    *check.Material
	frame *frame
	begun []bool
}

// work works a field out, after those that it reads.
func (w *fieldsWork) work(i int) {
	if w.begun[i] {
		return
	}
	w.begun[i] = true
	w.frame.material[i] = w.value(i)
}

func (w *fieldsWork) value(i int) check.Value {
	cell := w.plan.FieldInForce(w.of, i)
	if cell == nil || cell.Expr == nil {
		return poison(newFault("field-missing", w.of.At, "%s has no %s", w.of.Name, w.of.Kind.Fields[i].Name))
	}
	if v, ok := w.plan.engine.WhatIf.field(w.of, i); ok {
		return v
	}
	check.Walk(cell.Expr, func(e check.Expr) bool {
		if ref, ok := e.(*check.CellRef); ok && ref.In == check.InMaterial {
			w.work(ref.Cell.Index)
		}
		return true
	})
	c := compiler{w.plan, 0}
	return w.plan.fieldInRange(w.of, i, w.frame.settle(c.compile(cell.Expr)))
}

func (p *Plan) fieldInRange(m *check.Material, i int, v check.Value) check.Value {
	cell := m.Kind.Fields[i]
	if FaultOf(v) != nil {
		return v
	}
	span := p.spanOf(cell)
	switch {
	case span.fault != nil:
		return poison(span.fault)
	case !span.outside(v.Num):
		return v
	}
	return poison(newFault("field-outside", m.At, "%s of %s must lie %s, and is %s", cell.Name, m.Name, p.program.RangeText(cell), p.Show(v, cell.Type)).note(cell.At, "the field"))
}

// FieldInForce gives the cell that settles a material's field on the plan's day.
func (p *Plan) FieldInForce(m *check.Material, field int) *check.Cell { return m.InForce(field, p.Day) }
