package page

import "squab/eval/check"

// reachMap tells what reads each rule: other rules, recipes and materials, by name, in order of declaration.
type reachMap struct {
	rules   map[*check.Rule][]*check.Rule // the rules that read it themselves
	recipes map[*check.Rule][]*check.Recipe
	fields  map[*check.Rule][]string // kinds and materials whose fields read it
	program *check.Program
}

// reachWords is what a rule reaches, as the page says it.
type reachWords struct {
	Rules   []string // that read it themselves
	Recipes []reached
	Fields  []string
}

// reached is a recipe; Through is set where it reads the rule only by way of others.
type reached struct {
	Name, ID string
	Through  bool
}

func reachOf(p *check.Program) *reachMap {
	m := &reachMap{map[*check.Rule][]*check.Rule{}, map[*check.Rule][]*check.Recipe{}, map[*check.Rule][]string{}, p}
	for _, r := range p.Rules {
		for _, read := range rulesIn(ruleFormulas(r)) {
			m.rules[read] = append(m.rules[read], r)
		}
	}
	recipes := p.Recipes
	if p.Price != nil {
		recipes = append(recipes[:len(recipes):len(recipes)], p.Price)
	}
	for _, r := range recipes {
		for _, read := range rulesIn(recipeFormulas(r)) {
			m.recipes[read] = append(m.recipes[read], r)
		}
	}
	for _, k := range p.Kinds {
		for _, read := range rulesIn(cellFormulas(k.Fields)) {
			m.fields[read] = append(m.fields[read], words(k.Name))
		}
	}
	for _, mat := range p.Materials {
		for _, read := range rulesIn(cellFormulas(mat.Given)) {
			m.fields[read] = append(m.fields[read], titleOf(mat))
		}
	}
	return m
}

// rulesIn lists the rules that some formulas read, each once, in the order in which they are read.
func rulesIn(formulas []check.Expr) []*check.Rule {
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

func ruleFormulas(r *check.Rule) []check.Expr {
	all := cellFormulas(r.Params)
	for _, body := range r.Bodies() {
		all = append(all, cellFormulas(body.Locals)...)
		for _, c := range body.Cases {
			all = append(all, c.When, c.Value)
		}
	}
	return all
}

func recipeFormulas(r *check.Recipe) []check.Expr {
	all := cellFormulas(r.Cells)
	for _, part := range r.Parts {
		all = append(all, part.Off)
		for _, ask := range part.Recipe.Asks {
			if given := part.Given[ask.Index]; given != nil {
				all = append(all, given.Expr)
			}
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

// words tells what a rule reaches: the rules that read it, and every recipe that rests on it, by itself or through other rules.
func (m *reachMap) words(r *check.Rule) reachWords {
	var out reachWords
	for _, by := range m.rules[r] {
		out.Rules = append(out.Rules, by.Name)
	}
	direct := map[*check.Recipe]bool{}
	for _, recipe := range m.recipes[r] {
		direct[recipe] = true
	}
	all := m.resting(r)
	for _, recipe := range append(m.program.Recipes[:len(m.program.Recipes):len(m.program.Recipes)], m.program.Price) {
		if recipe != nil && all[recipe] {
			out.Recipes = append(out.Recipes, reachedRecipe(m.program, recipe, !direct[recipe]))
		}
	}
	out.Fields = m.fields[r]
	return out
}

func reachedRecipe(p *check.Program, r *check.Recipe, through bool) reached {
	if r == p.Price {
		return reached{"the price", "price", through}
	}
	return reached{recipeTitle(r), "recipe-" + r.Name, through}
}

// resting gathers the recipes that rest on a rule; rules do not rest on themselves, so this ends.
func (m *reachMap) resting(r *check.Rule) map[*check.Recipe]bool {
	all := map[*check.Recipe]bool{}
	seen := map[*check.Rule]bool{}
	var visit func(*check.Rule)
	visit = func(r *check.Rule) {
		if seen[r] {
			return
		}
		seen[r] = true
		for _, recipe := range m.recipes[r] {
			all[recipe] = true
		}
		for _, by := range m.rules[r] {
			visit(by)
		}
	}
	visit(r)
	m.outward(all)
	return all
}

// outward adds the recipes that have one of these as a part.
func (m *reachMap) outward(all map[*check.Recipe]bool) {
	for grown := true; grown; {
		grown = false
		for _, r := range m.program.Recipes {
			for _, part := range r.Parts {
				if all[part.Recipe] && !all[r] {
					all[r], grown = true, true
				}
			}
		}
	}
}
