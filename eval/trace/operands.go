package trace

import (
	"fmt"
	"slices"
	"strings"

	"squab/eval"
	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
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
		called := t.call(e, sc)
		t.add(n, called)
		if called.Same {
			t.newArguments(n, e, sc)
		}
	case *check.FieldOf:
		t.add(n, t.field(e, sc))
	case *check.If:
		t.branch(n, e, sc)
	case *check.Rounded:
		t.rounding(n, e, sc)
	case *check.Binary:
		t.binary(n, e, sc)
	case *check.ForEach:
		t.loops(n, e, sc)
	default:
		for _, child := range check.Children(e) {
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
		if have.Name == from.Name && from.Same {
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
		if t.once(fmt.Sprintf("local %p %s", e.Cell, t.stackKey(sc)), n) {
			t.fill(n, e.Cell, Worked, sc)
		}
		return n
	}
	n.Same = true // its derivation is the argument's, above
	return n
}

// stackKey tells one call of a rule from another by what its parameters are.
func (t *tracer) stackKey(sc eval.Scope) string {
	var b strings.Builder
	for _, v := range sc.Stack {
		writeKey(&b, v)
	}
	return b.String()
}

// writeKey writes a value exactly.
func writeKey(b *strings.Builder, v check.Value) {
	b.WriteString(v.Num.String() + " " + v.Text() + "|")
	if m := v.Material(); m != nil {
		b.WriteString(m.Name)
	}
	for _, item := range v.Items() {
		writeKey(b, item)
	}
}

// callKey tells calls of one rule apart by their arguments, exactly.
func callKey(call eval.Call) string {
	var b strings.Builder
	fmt.Fprintf(&b, "rule %p ", call.Rule)
	for _, v := range call.Args {
		writeKey(&b, v)
	}
	return b.String()
}

// binary leaves out the side of an and or an or that was not looked at.
func (t *tracer) binary(n *Node, e *check.Binary, sc eval.Scope) {
	t.operands(n, e.X, sc)
	if e.Op == lang.And || e.Op == lang.Or {
		v, _ := sc.Eval(e.X)
		if v.Yes() == (e.Op == lang.Or) {
			return
		}
	}
	t.operands(n, e.Y, sc)
}

func (t *tracer) branch(n *Node, e *check.If, sc eval.Scope) {
	v, _ := sc.Eval(e.Cond)
	if e.Else.Span().IsZero() {
		t.onlyWhen(n, e, v.Yes(), sc)
		return
	}
	taken, word := e.Then, "holds"
	if !v.Yes() {
		taken, word = e.Else, "does not hold"
	}
	n.Notes = append(n.Notes, fmt.Sprintf("%s %s, so %s", t.text(e.Cond.Span()), word, t.text(taken.Span())))
	t.operands(n, e.Cond, sc)
	t.operands(n, taken, sc)
}

// onlyWhen traces a line that is charged on a condition: nothing is written for where it does not hold.
func (t *tracer) onlyWhen(n *Node, e *check.If, holds bool, sc eval.Scope) {
	cond := t.text(t.written(e.Cond, sc).Span())
	t.operands(n, e.Cond, sc)
	if holds {
		n.Notes = append(n.Notes, "charged: "+cond+" holds")
		t.operands(n, e.Then, sc)
		return
	}
	v, _ := sc.Eval(e.Else)
	n.Formula = t.p.Show(v, e.Type())
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
		n.Notes = append(n.Notes, t.lost(e, before, after))
	}
	t.operands(n, e.X, sc)
	t.operands(n, e.Step, sc)
}

func (t *tracer) lost(e *check.Rounded, before, after check.Value) string {
	kind := e.Type()
	step := t.stepText(e)
	diff := after.Num.Sub(before.Num)
	sign, _ := diff.Sign()
	switch {
	case sign == 0:
		return fmt.Sprintf("rounded %s %s: nothing lost", e.Way, step)
	case sign > 0:
		return fmt.Sprintf("rounded %s %s: %s, so %s more", e.Way, step, t.fine(before, kind), t.fine(check.Num(diff), kind))
	}
	return fmt.Sprintf("rounded %s %s: %s, so %s less", e.Way, step, t.fine(before, kind), t.fine(check.Num(diff.Neg()), kind))
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
	for _, l := range e.Loops {
		if l.Of != nil {
			t.operands(n, l.Of, sc)
			continue
		}
		t.operands(n, l.From, sc)
		t.operands(n, l.To, sc)
	}
	check.Walk(e.Body, func(x check.Expr) bool {
		switch x := x.(type) {
		case *check.CellRef:
			t.add(n, t.cell(x, sc))
			return false
		case *check.RuleCall, *check.If, *check.Rounded:
			return !readsLoop(x) && t.whole(n, x, sc)
		case *check.FieldOf:
			if !readsLoop(x) {
				t.operands(n, x, sc)
			}
			return false
		}
		return true
	})
}

func (t *tracer) whole(n *Node, e check.Expr, sc eval.Scope) bool {
	t.operands(n, e, sc)
	return false
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

// call traces a rule: its arguments, the case that gave the value, and what was passed over.
func (t *tracer) call(e *check.RuleCall, sc eval.Scope) *Node {
	call := sc.Call(e.Rule, e.Args, e.Span())
	n := t.node(t.callName(e, call), ByRule, call.Value, e.Rule.Result)
	n.At = e.Rule.At
	if call.Fault != nil {
		n.Fault = call.Fault
		n.Shown = "cannot be worked out: " + call.Fault.Message
	}
	t.named(n, call)
	if !t.once(callKey(call), n) {
		return n
	}
	t.arguments(n, e, sc)
	for _, p := range call.Passed {
		n.Passed = append(n.Passed, t.passed(p, call.Scope))
	}
	if call.Case != nil {
		t.chosen(n, call)
	}
	return n
}

// named tells what the rule's parameters are, by the names that the chosen body gives them.
func (t *tracer) named(n *Node, call eval.Call) {
	names := paramNames(call)
	for i, p := range call.Rule.Params {
		n.Args = append(n.Args, Arg{names[i], call.Args[i], p.Type, t.p.Show(call.Args[i], p.Type)})
	}
}

// arguments traces what the arguments rest on; one that is left out is the parameter's default.
func (t *tracer) arguments(n *Node, e *check.RuleCall, sc eval.Scope) {
	for i, a := range e.Args {
		if a != nil && a != e.Rule.Params[i].Expr {
			t.operands(n, a, sc)
		}
	}
}

// newArguments traces, for a call that stands above with its like, those of its own arguments that do not.
func (t *tracer) newArguments(n *Node, e *check.RuleCall, sc eval.Scope) {
	var rest Node
	t.arguments(&rest, e, sc)
	for _, from := range rest.From {
		if !from.Same {
			t.add(n, from)
		}
	}
}

// paramNames gives a rule's parameters the names that the chosen amendment uses for them: it may have its own.
func paramNames(call eval.Call) []string {
	names := make([]string, len(call.Rule.Params))
	for i, p := range call.Rule.Params {
		names[i] = p.Name
	}
	if call.Case == nil {
		return names
	}
	rename := func(e check.Expr) bool {
		if ref, ok := e.(*check.CellRef); ok && ref.In == check.InRule && ref.Cell.Index < len(names) {
			names[ref.Cell.Index] = ref.Cell.Name
		}
		return true
	}
	check.Walk(call.Case.When, rename)
	check.Walk(call.Case.Value, rename)
	for _, l := range call.Body.Locals {
		check.Walk(l.Expr, rename)
	}
	return names
}

// callName writes a rule with its arguments' values, so that one call is told from another.
func (t *tracer) callName(e *check.RuleCall, call eval.Call) string {
	if len(e.Args) == 0 {
		return e.Rule.Name
	}
	var parts []string
	for i, p := range e.Rule.Params {
		parts = append(parts, t.p.Show(call.Args[i], p.Type))
	}
	return e.Rule.Name + "(" + strings.Join(parts, ", ") + ")"
}

// chosen tells which case or row gave a rule's value.
func (t *tracer) chosen(n *Node, call eval.Call) {
	k := call.Case
	n.At, n.Because, n.Source, n.Layer = k.At, k.Why.Because, k.Why.Source, t.layer(k.At)
	if call.Body != nil {
		n.Layer = call.Body.Layer
	}
	n.Formula = t.text(k.Value.Span())
	n.Chosen = t.caseText(call.Rule, k)
	if call.Above != nil {
		t.between(n, call)
	}
	if call.Body != call.Rule.Base {
		n.Beneath = t.beneath(call)
	}
	if k.When != nil {
		t.operands(n, k.When, call.Scope)
	}
	t.operands(n, k.Value, call.Scope)
	if call.Above != nil {
		t.operands(n, call.Above.Value, call.Scope)
	}
	n.From = withoutArguments(n.From)
}

// withoutArguments drops bare mentions of parameters: their values stand in the rule's own name.
func withoutArguments(all []*Node) []*Node {
	var kept []*Node
	for _, n := range all {
		if n.Role != Argument {
			kept = append(kept, n)
		}
	}
	return kept
}

// between writes the straight run from one row of an interpolated table to the next.
func (t *tracer) between(n *Node, call eval.Call) {
	k, above := call.Case, call.Above
	x := call.Args[call.Body.Axis].Num
	along, _ := x.Sub(k.Knot).Div(above.Knot.Sub(k.Knot))
	low, high := t.operandText(k.Value), t.operandText(above.Value)
	n.Formula = fmt.Sprintf("%s + (%s - %s) * %s", low, high, low, along)
	n.Notes = append(n.Notes, fmt.Sprintf("between the rows at %s and %s, %s of the way", t.knot(call, k), t.knot(call, above), along))
}

// operandText writes a formula so that it can stand beside an operation.
func (t *tracer) operandText(e check.Expr) string {
	text := t.text(e.Span())
	switch e.(type) {
	case *check.Const, *check.CellRef, *check.RuleCall, *check.FuncCall, *check.FieldOf, *check.ItemOf, *check.ListOf:
		return text
	}
	return "(" + text + ")"
}

// beneath tells what each layer under the chosen amendment would have given.
func (t *tracer) beneath(call eval.Call) []Under {
	var all []Under
	for _, c := range call.Beneath() {
		u := Under{At: c.Body.At, Layer: c.Body.Layer, Type: c.Rule.Result, Text: t.bodyText(c.Body)}
		switch {
		case len(c.Passed) > 0 && c.Passed[0].Window != nil:
			u.Why = t.outOfTime(*c.Passed[0].Window)
			u.At = c.Passed[0].Window.At
		case c.Fault != nil:
			u.Why = "it cannot be worked out: " + c.Fault.Message
		case c.Case == nil:
			u.Why = "no case of it takes these values"
		default:
			u.Text, u.At, u.Because, u.Source = t.text(c.Case.Value.Span()), c.Case.At, c.Case.Why.Because, c.Case.Why.Source
			u.Value, u.Shown = c.Value, t.p.Show(c.Value, c.Rule.Result)
		}
		all = append(all, u)
	}
	return all
}

// bodyText writes a body of one formula; one of several cases is named by its place.
func (t *tracer) bodyText(b *check.Body) string {
	if len(b.Cases) == 1 && b.Cases[0].When == nil {
		return t.text(b.Cases[0].Value.Span())
	}
	return "the amendment at " + t.place(b.At)
}

func (t *tracer) knot(call eval.Call, k *check.Case) string {
	return t.p.Show(check.Num(k.Knot), call.Rule.Params[call.Body.Axis].Type)
}

// caseText says what a case or row asks.
func (t *tracer) caseText(r *check.Rule, k *check.Case) string {
	if len(k.Tests) > 0 {
		var parts []string
		for _, test := range k.Tests {
			if test.Text != "any" {
				parts = append(parts, test.Param.Name+" "+strings.Join(strings.Fields(test.Text), " "))
			}
		}
		if len(parts) == 0 {
			parts = []string{"any"}
		}
		return rowName(r, k) + " for " + strings.Join(parts, ", ")
	}
	if k.When != nil {
		return "when " + t.text(k.When.Span())
	}
	return ""
}

// rowName counts a row as --set does: from 1, in the table itself; a row that an amendment puts before those is not counted.
func rowName(r *check.Rule, k *check.Case) string {
	if r != nil && r.Base != nil {
		if i := slices.Index(r.Base.Cases, k); i >= 0 {
			return fmt.Sprintf("row %d,", i+1)
		}
	}
	return "the row"
}

// passed says why a case, row or amendment did not take these values.
func (t *tracer) passed(p eval.Passed, sc eval.Scope) Passed {
	if p.Window != nil {
		return Passed{Text: t.bodyText(p.Body), Why: t.outOfTime(*p.Window), At: p.Window.At, Layer: p.Window.Layer}
	}
	out := Passed{Text: t.text(p.Case.Value.Span()), At: p.Case.At, Layer: p.Body.Layer}
	if len(p.Case.Tests) > 0 {
		out.Text = t.text(p.Case.Value.Span()) + " (" + t.caseText(nil, p.Case) + ")"
		for _, test := range p.Case.Tests {
			if test.Cond == nil {
				continue
			}
			if v, _ := sc.Eval(test.Cond); !v.Yes() {
				value, _ := sc.Eval(paramOf(test))
				out.Why = fmt.Sprintf("%s is %s", test.Param.Name, t.p.Show(value, test.Param.Type))
				return out
			}
		}
		return out
	}
	out.Text += " when " + t.text(p.Case.When.Span())
	out.Why = t.whyNot(p.Case.When, sc)
	return out
}

// paramOf finds the reference to the parameter inside a row's test.
func paramOf(test check.RowTest) check.Expr {
	var ref check.Expr
	check.Walk(test.Cond, func(e check.Expr) bool {
		if r, ok := e.(*check.CellRef); ok && ref == nil {
			ref = r
		}
		return ref == nil
	})
	return ref
}

func (t *tracer) outOfTime(w check.Window) string {
	day := check.DateText(t.p.Day)
	if w.HasFrom && t.p.Day < w.From {
		return "it holds from " + check.DateText(w.From) + ", and the order is of " + day
	}
	return "it held until " + check.DateText(w.Until) + ", and the order is of " + day
}

func (t *tracer) place(at diag.Span) string {
	p := t.files.Place(at.Start)
	return fmt.Sprintf("%s:%d", p.File, p.Line)
}

// whyNot says which part of a condition failed, with the values.
func (t *tracer) whyNot(e check.Expr, sc eval.Scope) string {
	b, ok := e.(*check.Binary)
	if !ok {
		return t.notSo(e, sc)
	}
	switch b.Op {
	case lang.And:
		if v, _ := sc.Eval(b.X); !v.Yes() {
			return t.whyNot(b.X, sc)
		}
		return t.whyNot(b.Y, sc)
	case lang.Or:
		return t.whyNot(b.X, sc) + ", and " + t.whyNot(b.Y, sc)
	case lang.Is, lang.IsNot:
		v, _ := sc.Eval(b.X)
		if b.Op == lang.IsNot {
			return fmt.Sprintf("%s is %s", t.text(b.X.Span()), t.p.Show(v, b.X.Type()))
		}
		return fmt.Sprintf("%s is %s, not %s", t.text(b.X.Span()), t.p.Show(v, b.X.Type()), t.text(b.Y.Span()))
	}
	return t.sides(b, sc)
}

func (t *tracer) notSo(e check.Expr, sc eval.Scope) string {
	if u, ok := e.(*check.Unary); ok && u.Op == check.Not {
		return t.text(u.X.Span()) + " holds"
	}
	return t.text(e.Span()) + " is no"
}

// sides tells the values of the sides of a comparison that are not themselves written out.
func (t *tracer) sides(b *check.Binary, sc eval.Scope) string {
	var parts []string
	for _, side := range []check.Expr{b.X, b.Y} {
		if _, fixed := side.(*check.Const); fixed {
			continue
		}
		v, _ := sc.Eval(side)
		parts = append(parts, fmt.Sprintf("%s is %s", t.text(side.Span()), t.p.Show(v, side.Type())))
	}
	return strings.Join(parts, ", ")
}

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
