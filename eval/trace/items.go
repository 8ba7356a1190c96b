package trace

import (
	"fmt"

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
	n.Formula, n.Layer = t.text(n.At), t.layer(n.At)
	t.project(n, s.Formula.Expr, t.s.Scope(s.Home), path)
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
			return v, kind, fmt.Errorf("the list has %d items", len(v.Items()))
		default:
			v, kind = v.Item(sel.index-1), *kind.Elem
		}
	}
	return v, kind, nil
}

// project goes with the selectors through the formula to the part that gave the item, and traces that.
func (t *tracer) project(n *Node, e check.Expr, sc eval.Scope, path []selector) {
	if len(path) == 0 {
		if t.text(e.Span()) != n.Formula {
			n.Notes = append(n.Notes, "from "+t.text(e.Span()))
		}
		t.operands(n, e, sc)
		return
	}
	switch e := e.(type) {
	case *check.CellRef:
		if e.In == check.InRecipe {
			s := t.p.Slots[e.At(sc.Home)]
			if s.Formula != nil {
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

// projectCall goes into the case that a rule chose; its arguments are traced beside what the item needs.
func (t *tracer) projectCall(n *Node, e *check.RuleCall, sc eval.Scope, path []selector) {
	call := sc.Call(e.Rule, e.Args, e.Span())
	if call.Case == nil {
		t.operands(n, e, sc)
		return
	}
	inner := &Node{Name: e.Rule.Name, Role: ByRule, Value: n.Value, Type: n.Type, Shown: n.Shown, At: call.Case.At, Layer: call.Body.Layer,
		Because: call.Case.Why.Because, Source: call.Case.Why.Source, Formula: t.text(call.Case.Value.Span()), Chosen: t.caseText(e.Rule, call.Case)}
	for i, a := range e.Args {
		if ref, ok := a.(*check.CellRef); ok && ref.In == check.InRecipe && ref.Cell.Name == e.Rule.Params[i].Name {
			t.add(inner, t.cell(ref, sc))
			continue
		}
		arg := t.node(e.Rule.Params[i].Name, Argument, call.Args[i], e.Rule.Params[i].Type)
		arg.At = e.Rule.Params[i].At
		if a != nil {
			arg.At, arg.Formula = a.Span(), t.text(a.Span())
			arg.Layer = t.layer(arg.At)
			t.operands(arg, a, sc)
		}
		inner.From = append(inner.From, arg)
	}
	for _, p := range call.Passed {
		inner.Passed = append(inner.Passed, t.passed(p, call.Scope))
	}
	args := len(inner.From)
	t.project(inner, call.Case.Value, call.Scope, path)
	inner.From = append(inner.From[:args:args], withoutArguments(inner.From[args:])...)
	n.From = append(n.From, inner)
}

func (t *tracer) projectIf(n *Node, e *check.If, sc eval.Scope, path []selector) {
	v, _ := sc.Eval(e.Cond)
	taken := e.Then
	if !v.Yes() {
		taken = e.Else
	}
	t.operands(n, e.Cond, sc)
	t.project(n, taken, sc, path)
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
	var vars []string
	for _, l := range e.Loops {
		vars = append(vars, l.Var.Name+" = "+t.p.Show(inside.Stack[l.Var.Index], l.Var.Type))
	}
	n.Notes = append(n.Notes, "item "+fmt.Sprint(path[0].index)+": "+joinComma(vars))
	t.project(n, e.Body, inside, path[1:])
	return true
}

func joinComma(parts []string) string {
	s := ""
	for i, p := range parts {
		if i > 0 {
			s += ", "
		}
		s += p
	}
	return s
}
