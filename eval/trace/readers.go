package trace

import (
	"squab/eval/check"
	"squab/lang/diag"
)

// RulesIn lists the rules that some formulas call, each once, in the order in which they are called.
func RulesIn(formulas []check.Expr) []*check.Rule {
	var all []*check.Rule
	seen := map[*check.Rule]bool{}
	for _, e := range formulas {
		check.Walk(e, func(x check.Expr) bool {
			if call, ok := x.(*check.RuleCall); ok && !seen[call.Rule] {
				seen[call.Rule] = true
				all = append(all, call.Rule)
			}
			return true
		})
	}
	return all
}

// Dead lists the rules of a layer that nothing in the book can read, in order of declaration: no recipe or price, no kind or material, no order or proof,
// and no rule that one of these reads.
func Dead(p *check.Program, layer diag.Layer) []*check.Rule {
	read := map[*check.Rule]bool{}
	for next := RulesIn(rootFormulas(p)); len(next) > 0; {
		r := next[0]
		next = next[1:]
		if !read[r] {
			read[r] = true
			next = append(next, RulesIn(r.Formulas())...)
		}
	}
	var dead []*check.Rule
	for _, r := range p.Rules {
		if r.Layer == layer && !read[r] {
			dead = append(dead, r)
		}
	}
	return dead
}

// rootFormulas lists every formula of a book that stands in no rule.
func rootFormulas(p *check.Program) []check.Expr {
	var all []check.Expr
	for _, k := range p.Kinds {
		all = append(all, k.Formulas()...)
	}
	for _, m := range p.Materials {
		all = append(all, m.Formulas()...)
	}
	for _, r := range p.Recipes {
		all = append(all, r.Formulas()...)
	}
	if p.Price != nil {
		all = append(all, p.Price.Formulas()...)
	}
	for _, c := range p.Cautions {
		all = append(all, c.Text)
	}
	for _, o := range append(p.Orders[:len(p.Orders):len(p.Orders)], p.Proofs...) {
		all = append(all, o.Formulas()...)
	}
	return all
}
