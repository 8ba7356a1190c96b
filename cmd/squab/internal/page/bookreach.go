package page

import (
	"slices"

	"squab/eval/check"
	"squab/eval/trace"
)

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

// reached is a recipe; Through is set where it reads the rule only by way of other rules, or of a part.
type reached struct {
	Name, ID string
	Through  bool
}

func reachOf(p *check.Program) *reachMap {
	m := &reachMap{map[*check.Rule][]*check.Rule{}, map[*check.Rule][]*check.Recipe{}, map[*check.Rule][]string{}, p}
	for _, r := range p.Rules {
		for _, read := range trace.RulesIn(r.Formulas()) {
			m.rules[read] = append(m.rules[read], r)
		}
	}
	for _, r := range m.recipesAndPrice() {
		for _, read := range trace.RulesIn(r.Formulas()) {
			m.recipes[read] = append(m.recipes[read], r)
		}
	}
	for _, k := range p.Kinds {
		for _, read := range trace.RulesIn(k.Formulas()) {
			m.fields[read] = append(m.fields[read], words(k.Name))
		}
	}
	for _, mat := range p.Materials {
		for _, read := range trace.RulesIn(mat.Formulas()) {
			m.fields[read] = append(m.fields[read], titleOf(mat))
		}
	}
	return m
}

func (m *reachMap) recipesAndPrice() []*check.Recipe {
	all := slices.Clone(m.program.Recipes)
	if m.program.Price != nil {
		all = append(all, m.program.Price)
	}
	return all
}

// words tells what a rule reaches: the rules that read it, and every recipe that rests on it, by itself or by way of other rules or of a part.
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
	for _, recipe := range m.recipesAndPrice() {
		if all[recipe] {
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
