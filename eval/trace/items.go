package trace

import (
	"fmt"
	"strconv"

	"squab/eval"
	"squab/eval/check"
	"squab/lang"
)

// item traces part of a cell's value: an item of a list, a side of a size or a point.
func (t *tracer) item(slot int, name string, path []selector) (*Node, error) {
	s := t.p.Slots[slot]
	v, fault := t.s.Value(slot)
	if fault != nil {
		return t.slot(slot), nil
	}
	if s.Cell.Type.Base == check.OfMaterial {
		return t.fieldOfCell(slot, v.Material(), name, path)
	}
	v, kind, err := pick(v, s.Cell.Type, path)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", s.Name, err)
	}
	n := t.node(name, Worked, v, kind)
	if s.Formula == nil || t.s.Given(slot) != nil {
		n.From = []*Node{t.slot(slot)}
		return n, nil
	}
	n.At, n.Because, n.Source = s.Formula.Source.Span(), s.Formula.Why.Because, s.Formula.Why.Source
	n.Layer = t.layer(n.At)
	t.project(n, s.Formula.Expr, t.s.Scope(s.Home), path)
	return n, nil
}

// fieldOfCell traces a field of the material that a cell holds.
func (t *tracer) fieldOfCell(slot int, m *check.Material, name string, path []selector) (*Node, error) {
	if len(path) > 1 || path[0].field == "" || m.Kind.Field(path[0].field) == nil {
		return nil, t.unknown(name)
	}
	of := t.fieldNode(m, m.Kind.Field(path[0].field).Index)
	n := t.node(name, Worked, of.Value, of.Type)
	n.Formula, n.From = of.Name, []*Node{t.slot(slot), of}
	n.At = t.p.Slots[slot].Cell.At
	n.Layer = t.layer(n.At)
	return n, nil
}

// sideOf is the place of each side of a size and of a point.
var sideOf = map[string]int{"wide": 0, "x": 0, "deep": 1, "y": 1}

// pick follows selectors into a value.
func pick(v check.Value, kind check.Type, path []selector) (check.Value, check.Type, error) {
	for _, sel := range path {
		switch {
		case sel.field != "":
			isSide := kind.Base == check.Size && (sel.field == "wide" || sel.field == "deep") || kind.Base == check.Point && (sel.field == "x" || sel.field == "y")
			if !isSide {
				return v, kind, fmt.Errorf("%s has no %s", kind, sel.field)
			}
			v, kind = v.Item(sideOf[sel.field]), check.LengthType()
		case kind.Base != check.List:
			return v, kind, fmt.Errorf("%s is no list", kind)
		case sel.index > len(v.Items()):
			return v, kind, fmt.Errorf("there is no item %d: the list ends at %d", sel.index, len(v.Items()))
		default:
			v, kind = v.Item(sel.index-1), *kind.Elem
		}
	}
	return v, kind, nil
}

// project goes with the selectors through the formula to the part that gave the item, and traces that.
func (t *tracer) project(n *Node, e check.Expr, sc eval.Scope, path []selector) {
	if n.Formula = t.text(e.Span()); len(path) == 0 {
		t.operands(n, e, sc)
		return
	}
	n.Formula = t.operandText(e) + pathText(path)
	if !t.projectInto(n, e, sc, path) {
		t.operands(n, e, sc)
	}
}

// projectInto goes with the selectors into a formula; false where its item cannot be told apart from the whole.
func (t *tracer) projectInto(n *Node, e check.Expr, sc eval.Scope, path []selector) bool {
	switch e := e.(type) {
	case *check.CellRef:
		cell, inside := t.formulaOf(e, sc)
		if cell == nil {
			return false
		}
		t.project(n, cell.Expr, inside, path)
	case *check.RuleCall:
		t.projectCall(n, e, sc, path)
	case *check.If:
		t.branchTaken(n, e, sc)
		t.operands(n, e.Cond, sc)
		t.project(n, taken(e, sc), sc, path)
	case *check.ForEach:
		return t.projectLoop(n, e, sc, path)
	case *check.ListOf:
		t.project(n, e.Items[path[0].index-1], sc, path[1:])
	case *check.Binary:
		if e.Op != lang.By && e.Op != lang.At {
			return false
		}
		t.project(n, []check.Expr{e.X, e.Y}[sideOf[path[0].field]], sc, path[1:])
	default:
		return false
	}
	return true
}

// formulaOf gives the cell whose formula a reference leads to, and the scope in which that is worked out; nil for one that an order or a caller gives.
func (t *tracer) formulaOf(e *check.CellRef, sc eval.Scope) (*check.Cell, eval.Scope) {
	switch {
	case e.In == check.InRecipe:
		if i := e.At(sc.Home); t.s.Given(i) == nil {
			return t.p.Slots[i].Formula, t.s.Scope(t.p.Slots[i].Home)
		}
	case e.In == check.InRule && e.Cell.Role == check.FormulaCell && e.Cell.Expr != nil:
		return e.Cell, sc
	}
	return nil, sc
}

// pathText writes selectors as they are asked for.
func pathText(path []selector) string {
	s := ""
	for _, sel := range path {
		if sel.field != "" {
			s += "." + sel.field
			continue
		}
		s += "[" + strconv.Itoa(sel.index) + "]"
	}
	return s
}

// projectCall goes into the case that a rule chose.
func (t *tracer) projectCall(n *Node, e *check.RuleCall, sc eval.Scope, path []selector) {
	call := sc.Call(e.Rule, e.Args, e.Span())
	if call.Case == nil {
		t.operands(n, e, sc)
		return
	}
	n.Formula = t.text(e.Span()) + pathText(path)
	inner := t.node(t.callName(e, call)+pathText(path), ByRule, n.Value, n.Type)
	t.argsOf(inner, call)
	t.within(inner, e, call, sc, path)
	n.From = append(n.From, inner)
}

// projectLoop finds the run of the loops that made an item, and traces the body with its variables set.
func (t *tracer) projectLoop(n *Node, e *check.ForEach, sc eval.Scope, path []selector) bool {
	if path[0].index == 0 {
		return false
	}
	inside, ok := sc.Iteration(e, path[0].index)
	if !ok {
		return false
	}
	for _, l := range e.Loops {
		v := inside.Stack[l.Var.Index]
		n.Args = append(n.Args, t.arg(l.Var.Name, v, l.Var.Type))
	}
	n.Notes = append(n.Notes, fmt.Sprintf("item %d of %s", path[0].index, t.text(e.Span())))
	t.project(n, e.Body, inside, path[1:])
	return true
}
