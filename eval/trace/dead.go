package trace

import (
	"squab/eval/check"
	"squab/lang/diag"
)

// Dead lists the rules of a layer that nothing in the book can read, in order of declaration: no recipe or price, no kind or material, no order or proof,
// and no rule that one of these reads.
func Dead(p *check.Program, layer diag.Layer) []*check.Rule {
	read := map[*check.Rule]bool{}
	var look func(check.Expr)
	look = func(e check.Expr) {
		check.Walk(e, func(x check.Expr) bool {
			if call, ok := x.(*check.RuleCall); ok && !read[call.Rule] {
				read[call.Rule] = true
				for _, inside := range ruleFormulas(call.Rule) {
					look(inside)
				}
			}
			return true
		})
	}
	for _, e := range rootFormulas(p) {
		look(e)
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
		all = append(all, cellFormulas(k.Fields)...)
	}
	for _, m := range p.Materials {
		all = append(all, cellFormulas(m.Given)...)
		for _, a := range m.Amends {
			all = append(all, a.Cell.Expr)
		}
	}
	for _, r := range p.Recipes {
		all = append(all, recipeFormulas(r)...)
	}
	if p.Price != nil {
		all = append(all, recipeFormulas(p.Price)...)
	}
	for _, c := range p.Cautions {
		all = append(all, c.Text)
	}
	for _, orders := range [][]*check.Order{p.Orders, p.Proofs} {
		for _, o := range orders {
			all = append(all, orderFormulas(o)...)
		}
	}
	return all
}

func cellFormulas(cells []*check.Cell) []check.Expr {
	var all []check.Expr
	for _, c := range cells {
		if c != nil {
			all = append(all, c.Expr, c.From, c.To)
		}
	}
	return all
}

func recipeFormulas(r *check.Recipe) []check.Expr {
	all := cellFormulas(r.Cells)
	for _, part := range r.Parts {
		all = append(all, part.Off)
		for _, given := range part.Given {
			all = append(all, given.Expr)
		}
	}
	return all
}

func orderFormulas(o *check.Order) []check.Expr {
	all := []check.Expr{o.Off}
	for _, given := range o.Given {
		all = append(all, given.Expr)
	}
	for _, x := range o.Expects {
		all = append(all, x.Left, x.Want)
	}
	return all
}
