package trace

import (
	"squab/eval"
	"squab/eval/check"
)

// field traces a material's field: which material, and what settles the field.
func (t *tracer) field(e *check.FieldOf, sc eval.Scope) *Node {
	v, _ := sc.Eval(e.X)
	m := v.Material()
	if m == nil {
		return nil
	}
	n := t.fieldNode(m, e.Field.Index)
	if _, fixed := e.X.(*check.Const); fixed {
		return n
	}
	outer := t.node(t.text(e.Span()), Worked, n.Value, n.Type)
	outer.At, outer.Layer = e.Span(), t.layer(e.Span())
	if !t.once("field "+outer.Name+" of "+m.Name, outer) {
		return outer
	}
	outer.Formula = m.Name + "." + e.Field.Name
	t.operands(outer, e.X, sc)
	outer.From = append(withoutArguments(outer.From), n)
	return outer
}

func (t *tracer) fieldNode(m *check.Material, i int) *Node {
	f := m.Kind.Fields[i]
	v, _ := t.p.Stock(m).Field(f.Name)
	n := t.node(m.Name+"."+f.Name, ByField, v, f.Type)
	if !t.once("field "+n.Name, n) {
		return n
	}
	cell := t.p.FieldInForce(m, i)
	role := ByField
	if cell == f {
		role = Default
	}
	t.fill(n, cell, role, eval.Scope{Sheet: t.s, Material: m})
	t.fieldPassed(n, m, i, cell)
	return n
}

// fieldPassed tells of amendments out of their time, and of what the one in force lies over.
func (t *tracer) fieldPassed(n *Node, m *check.Material, i int, inForce *check.Cell) {
	over := true
	for _, a := range m.Amends {
		switch {
		case a.Field.Index != i:
		case a.Cell == inForce:
			over = false
		case !a.Holds(t.p.Day, t.s.Order) && over:
			n.Passed = append(n.Passed, Passed{Text: t.text(a.Cell.Source.Span()), Why: t.outOfTime(a.Window), At: a.Cell.At, Layer: a.Layer})
		case !a.Holds(t.p.Day, t.s.Order):
			n.Beneath = append(n.Beneath, Under{Text: t.text(a.Cell.Source.Span()), Why: t.outOfTime(a.Window), At: a.Cell.At, Layer: a.Layer})
		default:
			n.Beneath = append(n.Beneath, t.underField(m, a.Cell))
		}
	}
	for _, cell := range []*check.Cell{m.Given[i], m.Kind.Fields[i]} {
		if cell != nil && cell.Expr != nil && cell != inForce && !over {
			n.Beneath = append(n.Beneath, t.underField(m, cell))
		}
	}
}

// underField tells what a field would be by a formula beneath the one in force.
func (t *tracer) underField(m *check.Material, cell *check.Cell) Under {
	v, fault := eval.Scope{Sheet: t.s, Material: m}.Eval(cell.Expr)
	u := Under{Text: t.text(cell.Expr.Span()), At: cell.At, Layer: t.layer(cell.At), Because: cell.Why.Because, Source: cell.Why.Source, Value: v, Type: cell.Type}
	if fault != nil {
		u.Why = "it cannot be worked out: " + fault.Message
		return u
	}
	u.Shown = t.p.Show(v, cell.Type)
	return u
}
