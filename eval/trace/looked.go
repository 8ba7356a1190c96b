package trace

import (
	"fmt"
	"strings"

	"squab/eval"
	"squab/eval/check"
	"squab/lang"
)

// givenFor is the formula that an order gives for a cell of its recipe, an ask or how many are made; nil where it gives none.
func givenFor(s *eval.Sheet, slot int) check.Expr {
	if given := s.Given(slot); given != nil {
		return given.Expr
	}
	if slot == check.OffIndex && s.Plan.Recipe != nil && s.Order != nil {
		return s.Order.Off
	}
	return nil
}

// looked lists the formulas straight inside one that were looked at when it was worked out: of an if the branch taken, of an and or an or the right side
// only where the left did not settle it.
func looked(e check.Expr, sc eval.Scope) []check.Expr {
	switch e := e.(type) {
	case *check.If:
		return []check.Expr{e.Cond, taken(e, sc)}
	case *check.Binary:
		if settled(e, sc) {
			return []check.Expr{e.X}
		}
	}
	return check.Children(e)
}

// taken is the branch that an if took.
func taken(e *check.If, sc eval.Scope) check.Expr {
	if v, _ := sc.Eval(e.Cond); v.Yes() {
		return e.Then
	}
	return e.Else
}

// settled reports whether the left side of an and or an or gave its value.
func settled(e *check.Binary, sc eval.Scope) bool {
	if e.Op != lang.And && e.Op != lang.Or {
		return false
	}
	v, _ := sc.Eval(e.X)
	return v.Yes() == (e.Op == lang.Or)
}

// lookedIn lists the formulas that a rule looked at in its own scope: the conditions of the cases passed over, that of the case chosen, and its value.
func lookedIn(call eval.Call) []check.Expr {
	var all []check.Expr
	for _, p := range call.Passed {
		if p.Case != nil {
			all = append(all, p.Case.When)
		}
	}
	for _, k := range []*check.Case{call.Case, call.Above} {
		if k != nil {
			all = append(all, k.When, k.Value)
		}
	}
	return all
}

// varies reports whether what a formula looks at may be other cells for one item of a list than for the next.
func varies(e check.Expr) bool {
	found := false
	check.Walk(e, func(x check.Expr) bool {
		switch x := x.(type) {
		case *check.RuleCall, *check.FieldOf, *check.If, *check.ForEach:
			found = true
		case *check.Binary:
			found = found || x.Op == lang.And || x.Op == lang.Or
		}
		return !found
	})
	return found
}

// callKey tells calls of one rule apart by their arguments, exactly.
func callKey(call eval.Call) string {
	return fmt.Sprintf("rule %p %s", call.Rule, valuesKey(call.Args))
}

// localKey tells a rule's own cell in one call from the same in another by what the rule's parameters and cells are.
func localKey(cell *check.Cell, sc eval.Scope) string {
	return fmt.Sprintf("local %p %s", cell, valuesKey(sc.Stack))
}

func valuesKey(values []check.Value) string {
	var b strings.Builder
	for _, v := range values {
		b.WriteString(v.Key() + " ")
	}
	return b.String()
}
