package trace

import (
	"fmt"
	"slices"

	"squab/eval"
	"squab/eval/check"
)

// operands hangs on n what the formula rests on, in the order in which it is written, and notes the roundings and branches on the way.
func (t *tracer) operands(n *Node, e check.Expr, sc eval.Scope) {
	switch e := e.(type) {
	case nil, *check.Const:
	case *check.CellRef:
		if inner := t.written(e, sc); inner != e {
			t.operands(n, inner, sc)
			return
		}
		t.add(n, t.cell(e, sc))
	case *check.RuleCall:
		t.add(n, t.call(e, sc))
	case *check.FieldOf:
		t.add(n, t.field(e, sc))
	case *check.If:
		t.branch(n, e, sc)
	case *check.Rounded:
		t.rounding(n, e, sc)
	case *check.ForEach:
		t.loops(n, e, sc)
	default:
		for _, child := range looked(e, sc) {
			t.operands(n, child, sc)
		}
	}
}

// add hangs a node on another, each derivation once.
func (t *tracer) add(n, from *Node) {
	if from == nil {
		return
	}
	for _, have := range n.From {
		if have.Name == from.Name && from.saysNothing() {
			return
		}
	}
	n.From = append(n.From, from)
}

// cell traces a cell that a formula reads.
func (t *tracer) cell(e *check.CellRef, sc eval.Scope) *Node {
	switch e.In {
	case check.InRecipe:
		return t.slot(e.At(sc.Home))
	case check.InPrice:
		return t.slot(t.p.PriceSlot(e.Cell))
	case check.InMaterial:
		return t.fieldNode(sc.Material, e.Cell.Index)
	case check.InLoop:
		return nil
	}
	v, _ := sc.Eval(e)
	n := t.node(e.Cell.Name, Argument, v, e.Type())
	n.At = e.Cell.At
	if e.Cell.Role == check.FormulaCell && e.Cell.Expr != nil {
		if t.once(localKey(e.Cell, sc), n) {
			t.fill(n, e.Cell, Worked, sc)
			t.parameters(n, e.Cell.Expr, sc)
		}
		return n
	}
	n.Same = true // its derivation is the argument's, above
	return n
}

// parameters tells what the rule's parameters are that the formula of a rule's own cell reads.
func (t *tracer) parameters(n *Node, e check.Expr, sc eval.Scope) {
	ref, ok := e.(*check.CellRef)
	if ok && ref.In == check.InRule && ref.Cell.Role != check.FormulaCell {
		v, _ := sc.Eval(ref)
		if !slices.ContainsFunc(n.Args, func(a Arg) bool { return a.Name == ref.Cell.Name }) {
			n.Args = append(n.Args, t.arg(ref.Cell.Name, v, ref.Type()))
		}
		return
	}
	for _, child := range check.Children(e) {
		t.parameters(n, child, sc)
	}
}

func (t *tracer) branch(n *Node, e *check.If, sc eval.Scope) {
	if e.Else.Span().IsZero() {
		t.onlyWhen(n, e, sc)
		return
	}
	t.branchTaken(n, e, sc)
	t.operands(n, e.Cond, sc)
	t.operands(n, taken(e, sc), sc)
}

// branchTaken notes which branch an if took, and why.
func (t *tracer) branchTaken(n *Node, e *check.If, sc eval.Scope) {
	then, word := taken(e, sc), "holds"
	if then != e.Then {
		word = "does not hold"
	}
	n.Notes = append(n.Notes, fmt.Sprintf("%s %s, so %s", t.text(e.Cond.Span()), word, t.text(then.Span())))
}

// onlyWhen traces a line that is charged on a condition: nothing is written for where it does not hold.
func (t *tracer) onlyWhen(n *Node, e *check.If, sc eval.Scope) {
	cond := t.text(t.written(e.Cond, sc).Span())
	t.operands(n, e.Cond, sc)
	if taken(e, sc) == e.Then {
		n.Notes = append(n.Notes, "charged: "+cond+" holds")
		t.operands(n, e.Then, sc)
		return
	}
	v, _ := sc.Eval(e.Else)
	n.Formula = t.shown(v, e.Type())
	n.Notes = append(n.Notes, "not charged: "+cond+" does not hold")
}

// written gives the formula of a cell that has no name of its own, such as a condition.
func (t *tracer) written(e check.Expr, sc eval.Scope) check.Expr {
	ref, ok := e.(*check.CellRef)
	if !ok || ref.In != check.InRecipe || ref.Cell.Role != check.HiddenCell {
		return e
	}
	if s := t.p.Slots[ref.At(sc.Home)]; s.Formula != nil {
		return s.Formula.Expr
	}
	return e
}

// rounding notes what a rounding added or took off.
func (t *tracer) rounding(n *Node, e *check.Rounded, sc eval.Scope) {
	before, fault := sc.Eval(e.X)
	after, fault2 := sc.Eval(e)
	if fault == nil && fault2 == nil && !(e.Implied() && before.Equal(after)) {
		n.Notes = append(n.Notes, t.lost(fmt.Sprintf("rounded %s %s", e.Way, t.stepText(e)), before, after, e.Type()))
	}
	t.operands(n, e.X, sc)
	t.operands(n, e.Step, sc)
}

// lost tells what a rounding, told as "rounded up to 1/4 in", came from and what it added or took off.
func (t *tracer) lost(rounding string, before, after check.Value, kind check.Type) string {
	diff := after.Num.Sub(before.Num)
	more := "more"
	switch sign, _ := diff.Sign(); {
	case sign == 0:
		return rounding + ": nothing lost"
	case sign < 0:
		diff, more = diff.Neg(), "less"
	}
	return fmt.Sprintf("%s: %s, so %s %s", rounding, t.fine(before, kind), t.fine(check.Num(diff), kind), more)
}

// stepText is the step of a rounding as it is written; a charge's cent is not written.
func (t *tracer) stepText(e *check.Rounded) string {
	if e.Implied() {
		return "the cent"
	}
	return t.text(e.Step.Span())
}

// loops traces what a list rests on apart from its own variables.
func (t *tracer) loops(n *Node, e *check.ForEach, sc eval.Scope) {
	for _, inside := range check.Children(e) {
		check.Walk(inside, func(x check.Expr) bool {
			switch x := x.(type) {
			case *check.CellRef:
				t.add(n, t.cell(x, sc))
				return false
			case *check.RuleCall, *check.If, *check.Rounded, *check.FieldOf:
				if readsLoop(x) {
					return true // each item has its own; what it reads besides is the same for all
				}
				t.operands(n, x, sc)
				return false
			}
			return true
		})
	}
}

// readsLoop reports whether a formula reads the variable of a for each.
func readsLoop(e check.Expr) bool {
	found := false
	check.Walk(e, func(x check.Expr) bool {
		if ref, ok := x.(*check.CellRef); ok && ref.In == check.InLoop {
			found = true
		}
		return !found
	})
	return found
}
