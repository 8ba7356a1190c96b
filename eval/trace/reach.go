package trace

import (
	"squab/eval"
	"squab/eval/check"
	"squab/lang/diag"
)

// Reach gathers which rules, cases, rows, amendments and recipes some orders and proofs have used. The zero value is ready.
type Reach struct {
	cases   map[*check.Case]bool
	rules   map[*check.Rule]bool
	recipes map[*check.Recipe]bool
	amends  map[*check.Cell]bool
}

// walk is one sheet being gone through. What stands in a rule is gone into once for each set of arguments, a material once.
type walk struct {
	reach *Reach
	sheet *eval.Sheet
	seen  map[string]bool
}

// Add goes through every formula that a filled sheet worked out, and through what a proof expects.
func (r *Reach) Add(s *eval.Sheet) {
	r.ready()
	w := walk{r, s, map[string]bool{}}
	for i, slot := range s.Plan.Slots {
		if given := givenFor(s, i); given != nil {
			w.expr(given, s.Scope(0))
		} else if slot.Formula != nil {
			w.expr(slot.Formula.Expr, s.Scope(slot.Home))
		}
	}
	r.recipe(s.Plan.Recipe)
	if s.Order == nil {
		return
	}
	for _, x := range s.Order.Expects {
		w.expr(x.Left, s.Scope(0))
		w.expr(x.Want, s.Scope(0))
	}
}

func (r *Reach) ready() {
	if r.cases != nil {
		return
	}
	r.cases, r.rules, r.recipes, r.amends = map[*check.Case]bool{}, map[*check.Rule]bool{}, map[*check.Recipe]bool{}, map[*check.Cell]bool{}
}

func (r *Reach) recipe(recipe *check.Recipe) {
	if recipe == nil || r.recipes[recipe] {
		return
	}
	r.recipes[recipe] = true
	for _, p := range recipe.Parts {
		r.recipe(p.Recipe)
	}
}

// once reports whether something has not been gone into yet.
func (w walk) once(key string) bool {
	if w.seen[key] {
		return false
	}
	w.seen[key] = true
	return true
}

// expr goes through a formula as it is worked out: only the lanes taken.
func (w walk) expr(e check.Expr, sc eval.Scope) {
	switch e := e.(type) {
	case nil:
	case *check.Const:
		w.material(e.Value.Material())
	case *check.RuleCall:
		w.call(e, sc)
	case *check.ForEach:
		w.loop(e, sc)
	case *check.CellRef:
		if e.In == check.InRule && e.Cell.Role == check.FormulaCell && w.once(localKey(e.Cell, sc)) {
			w.expr(e.Cell.Expr, sc)
		}
	default:
		for _, child := range looked(e, sc) {
			w.expr(child, sc)
		}
	}
}

// loop goes through a list's formula for each of its items, since rules in it may choose differently.
func (w walk) loop(e *check.ForEach, sc eval.Scope) {
	for _, l := range e.Loops {
		w.expr(l.From, sc)
		w.expr(l.To, sc)
		w.expr(l.Of, sc)
	}
	if !callsRule(e.Body) {
		return
	}
	for inside := range sc.Iterations(e) {
		w.expr(e.Body, inside)
	}
}

func callsRule(e check.Expr) bool {
	found := false
	check.Walk(e, func(x check.Expr) bool {
		switch x := x.(type) {
		case *check.RuleCall, *check.FieldOf:
			found = true
		case *check.Const:
			found = found || x.Value.Material() != nil
		}
		return !found
	})
	return found
}

func (w walk) call(e *check.RuleCall, sc eval.Scope) {
	call := sc.Call(e.Rule, e.Args, e.Span())
	for i := range e.Args {
		w.expr(call.Argument(i, e.Args, sc))
	}
	w.reach.rules[e.Rule] = true
	if !w.once(callKey(call)) {
		return
	}
	for _, k := range []*check.Case{call.Case, call.Above} {
		if k != nil {
			w.reach.cases[k] = true
		}
	}
	for _, x := range lookedIn(call) {
		w.expr(x, call.Scope)
	}
}

// material takes a material in, with the amendments of its fields that hold on the sheet's day.
func (w walk) material(m *check.Material) {
	if m == nil || !w.once("material "+m.Name) {
		return
	}
	for i := range m.Kind.Fields {
		cell := w.sheet.Plan.FieldInForce(m, i)
		w.reach.amends[cell] = true
		w.expr(cell.Expr, eval.Scope{Sheet: w.sheet, Material: m})
	}
}

// Uses reports whether some order or proof has used a rule.
func (r *Reach) Uses(rule *check.Rule) bool { return r.rules[rule] }

// Unreached is something that no order and no proof has used.
type Unreached struct {
	What string // "rule seam", "case of seam", "row of welt_strip", …
	Text string // as written
	At   diag.Span
}

// Unreached lists what of a layer's rules, cases, rows, amendments and recipes nothing has used, in order of declaration.
func (r *Reach) Unreached(p *check.Program, layer diag.Layer) []Unreached {
	r.ready()
	var all []Unreached
	for _, rule := range p.Rules {
		all = append(all, r.unreachedOf(p, rule, layer)...)
	}
	for _, m := range p.Materials {
		for _, a := range m.Amends {
			if a.Layer == layer && !r.amends[a.Cell] {
				all = append(all, Unreached{"amendment of " + m.Name + "'s " + a.Field.Name, p.Files.Text(a.Cell.Source.Span()), a.Cell.At})
			}
		}
	}
	for _, recipe := range p.Recipes {
		if recipe.Layer == layer && !r.recipes[recipe] {
			all = append(all, Unreached{"recipe " + recipe.Name, recipe.Title, recipe.At})
		}
	}
	return all
}

func (r *Reach) unreachedOf(p *check.Program, rule *check.Rule, layer diag.Layer) []Unreached {
	if rule.Layer == layer && !r.rules[rule] {
		return []Unreached{{"rule " + rule.Name, "", rule.At}}
	}
	var all []Unreached
	for _, b := range rule.Bodies() {
		if b.Layer != layer {
			continue
		}
		for _, k := range b.Cases {
			if r.cases[k] {
				continue
			}
			all = append(all, Unreached{partOf(rule, b), p.Files.Text(k.At), k.At})
		}
	}
	return all
}

// partOf says what a case of a body is.
func partOf(r *check.Rule, b *check.Body) string {
	switch {
	case b != r.Base:
		return "amendment of " + r.Name
	case r.IsTable:
		return "row of " + r.Name
	}
	return "case of " + r.Name
}
