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

// pick follows selectors into a value.
func pick(v check.Value, kind check.Type, path []selector) (check.Value, check.Type, error) {
	for _, sel := range path {
		switch {
		case sel.field != "":
			i, ok := map[string]int{"wide": 0, "x": 0, "deep": 1, "y": 1}[sel.field]
			isPair := kind.Base == check.Size && (sel.field == "wide" || sel.field == "deep") || kind.Base == check.Point && (sel.field == "x" || sel.field == "y")
			if !ok || !isPair {
				return v, kind, fmt.Errorf("%s has no %s", kind, sel.field)
			}
			v, kind = v.Item(i), check.LengthType()
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
	switch e := e.(type) {
	case *check.CellRef:
		if e.In == check.InRecipe {
			i := e.At(sc.Home)
			if s := t.p.Slots[i]; s.Formula != nil && t.s.Given(i) == nil {
				t.project(n, s.Formula.Expr, t.s.Scope(s.Home), path)
				return
			}
		}
		if e.In == check.InRule && e.Cell.Role == check.FormulaCell && e.Cell.Expr != nil {
			t.project(n, e.Cell.Expr, sc, path)
			return
		}
	case *check.RuleCall:
		t.projectCall(n, e, sc, path)
		return
	case *check.If:
		t.projectIf(n, e, sc, path)
		return
	case *check.ForEach:
		if t.projectLoop(n, e, sc, path) {
			return
		}
	case *check.ListOf:
		t.project(n, e.Items[path[0].index-1], sc, path[1:])
		return
	case *check.Binary:
		if (e.Op == lang.By || e.Op == lang.At) && path[0].field != "" {
			side := e.X
			if path[0].field == "deep" || path[0].field == "y" {
				side = e.Y
			}
			t.project(n, side, sc, path[1:])
			return
		}
	}
	t.operands(n, e, sc)
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
	inner := &Node{Name: t.callName(e, call) + pathText(path), Role: ByRule, Value: n.Value, Type: n.Type, Shown: n.Shown, At: call.Case.At, Layer: call.Body.Layer,
		Because: call.Case.Why.Because, Source: call.Case.Why.Source, Chosen: t.caseText(e.Rule, call.Case)}
	t.argsOf(inner, call)
	t.arguments(inner, e, call, sc)
	for _, p := range call.Passed {
		inner.Passed = append(inner.Passed, t.passed(p, call, inner.Args))
	}
	t.project(inner, call.Case.Value, call.Scope, path)
	inner.From = withoutArguments(inner.From)
	n.From = append(n.From, inner)
}

func (t *tracer) projectIf(n *Node, e *check.If, sc eval.Scope, path []selector) {
	t.operands(n, e.Cond, sc)
	t.project(n, taken(e, sc), sc, path)
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
