package trace

import (
	"fmt"
	"slices"
	"strings"

	"squab/eval"
	"squab/eval/check"
)

// call traces a rule: its arguments, the case that gave the value, and what was passed over.
func (t *tracer) call(e *check.RuleCall, sc eval.Scope) *Node {
	call := sc.Call(e.Rule, e.Args, e.Span())
	n := t.node(t.callName(e, call), ByRule, call.Value, e.Rule.Result)
	n.At = e.Rule.At
	if call.Fault != nil {
		n.Fault = call.Fault
		n.Shown = "cannot be worked out: " + call.Fault.Message
	}
	t.argsOf(n, call)
	if !t.once(callKey(call), n) {
		t.newArguments(n, e, call, sc)
		return n
	}
	t.within(n, e, call, sc, nil)
	return n
}

// within traces what a rule's value, or the part of it that a path leads to, came of: its arguments, what was passed over, and the case that gave it.
func (t *tracer) within(n *Node, e *check.RuleCall, call eval.Call, sc eval.Scope, path []selector) {
	t.arguments(n, e, call, sc)
	for _, p := range call.Passed {
		n.Passed = append(n.Passed, t.passed(p, call, n.Args))
	}
	if call.Case != nil {
		t.chosen(n, call, path)
	}
}

// argsOf tells what the rule's parameters are, by the names that the chosen body gives them.
func (t *tracer) argsOf(n *Node, call eval.Call) {
	names := paramNames(call.Rule, call.Body, call.Case)
	for i, p := range call.Rule.Params {
		n.Args = append(n.Args, t.arg(names[i], call.Args[i], p.Type))
	}
}

func (t *tracer) arg(name string, v check.Value, kind check.Type) Arg {
	return Arg{name, v, kind, t.shown(v, kind)}
}

// shown is a value as the page shows it, and a question mark for one that could not be worked out.
func (t *tracer) shown(v check.Value, kind check.Type) string {
	if eval.FaultOf(v) != nil {
		return "?"
	}
	return t.p.Show(v, kind)
}

// arguments traces what the arguments rest on, those left out by their defaults.
func (t *tracer) arguments(n *Node, e *check.RuleCall, call eval.Call, sc eval.Scope) {
	for i := range e.Args {
		a, from := call.Argument(i, e.Args, sc)
		t.operands(n, a, from)
	}
}

// newArguments traces, for a call that stands above with its like, what its own arguments rest on that does not.
func (t *tracer) newArguments(n *Node, e *check.RuleCall, call eval.Call, sc eval.Scope) {
	var own Node
	t.arguments(&own, e, call, sc)
	n.Notes = own.Notes
	n.From = slices.DeleteFunc(own.From, (*Node).saysNothing)
}

// saysNothing reports whether a node only names what stands elsewhere.
func (n *Node) saysNothing() bool { return n.Same && len(n.From)+len(n.Notes) == 0 }

// paramNames gives a rule's parameters the names that a case of an amendment uses for them: it may have its own.
func paramNames(r *check.Rule, body *check.Body, k *check.Case) []string {
	names := make([]string, len(r.Params))
	for i, p := range r.Params {
		names[i] = p.Name
	}
	if k == nil {
		return names
	}
	rename := func(e check.Expr) bool {
		if ref, ok := e.(*check.CellRef); ok && ref.In == check.InRule && ref.Cell.Index < len(names) {
			names[ref.Cell.Index] = ref.Cell.Name
		}
		return true
	}
	check.Walk(k.When, rename)
	check.Walk(k.Value, rename)
	for _, l := range body.Locals {
		check.Walk(l.Expr, rename)
	}
	return names
}

// renamed lists the parameters that a case calls by other names than the chosen one does, with their values.
func (t *tracer) renamed(r *check.Rule, body *check.Body, k *check.Case, args []Arg) []Arg {
	var all []Arg
	for i, name := range paramNames(r, body, k) {
		if i < len(args) && args[i].Name != name {
			arg := args[i]
			arg.Name = name
			all = append(all, arg)
		}
	}
	return all
}

// callName writes a rule with its arguments' values, so that one call is told from another.
func (t *tracer) callName(e *check.RuleCall, call eval.Call) string {
	if len(e.Args) == 0 {
		return e.Rule.Name
	}
	var parts []string
	for i, p := range e.Rule.Params {
		parts = append(parts, t.shown(call.Args[i], p.Type))
	}
	return e.Rule.Name + "(" + strings.Join(parts, ", ") + ")"
}

// chosen tells which case or row gave a rule's value, and traces the part of that to which a path leads.
func (t *tracer) chosen(n *Node, call eval.Call, path []selector) {
	k := call.Case
	n.At, n.Because, n.Source, n.Layer = k.At, k.Why.Because, k.Why.Source, call.Body.Layer
	n.Chosen = t.caseText(call.Rule, k)
	if call.Body != call.Rule.Base {
		n.Beneath = t.beneath(call, n.Args)
	}
	if k.When != nil {
		t.operands(n, k.When, call.Scope)
	}
	t.project(n, k.Value, call.Scope, path)
	if call.Above != nil {
		t.between(n, call)
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
func (t *tracer) beneath(call eval.Call, args []Arg) []Under {
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
			u.Value, u.Shown, u.Args = c.Value, t.p.Show(c.Value, c.Rule.Result), t.renamed(c.Rule, c.Body, c.Case, args)
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
