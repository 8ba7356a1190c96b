package eval

import (
	"slices"

	"squab/eval/check"
)

// Beneath tells what lies under the body that gave the call its value, topmost first: what each body in force would have given, with its case (no case
// where it takes none of these values), and each amendment out of its time, in Passed.
func (c Call) Beneath() []Call {
	bodies := c.Rule.Bodies()
	at := slices.Index(bodies, c.Body)
	if at < 0 {
		return nil
	}
	var all []Call
	for _, b := range bodies[at+1:] {
		if under, ok := c.under(b); ok {
			all = append(all, under)
		}
	}
	return all
}

// under works one body out; false for another order's amendment.
func (c Call) under(b *check.Body) (Call, bool) {
	plan := c.Scope.Sheet.Plan
	out := Call{Rule: c.Rule, Args: c.Args, Body: b, Scope: c.Scope}
	out.Scope.Stack = slices.Clone(c.Scope.Stack)
	if w := windowOf(c.Rule, b); w != nil && !w.Holds(plan.Day, plan.order) {
		out.Passed = []Passed{{Body: b, Window: w}}
		return out, w.OrderOnly == nil || w.OrderOnly == plan.order
	}
	plan.late.Lock()
	made := compiler{plan, 0}.body(b)
	plan.late.Unlock()
	f := out.Scope.frame()
	if !out.tryBody(&made, f) {
		out.Case = nil
	}
	return out, true
}

// windowOf gives the time of an amendment's body; nil for the rule's own.
func windowOf(r *check.Rule, b *check.Body) *check.Window {
	for _, a := range r.Amends {
		if a.Body == b {
			return &a.Window
		}
	}
	return nil
}
