package trace

import (
	"slices"
	"strings"

	"squab/eval/check"
)

// Reached is all in a book that may rest on a target, in order of declaration: what any order could meet, on any date.
type Reached struct {
	Rules   []string // rules that read it, themselves or through others
	Fields  []string // fields of materials, and of kinds by default
	Recipes []ReachedRecipe
}

// ReachedRecipe is a recipe with those of its cells that may rest on a target. Name is "price" for the price block.
type ReachedRecipe struct {
	Name, Title string
	Cells       []string
}

// Reach finds what may rest on a target. laid are the fields that a layout reads of a material.
func (t Target) Reach(p *check.Program, laid []string) Reached {
	g := &graph{p: p, t: t, laid: laid, holds: map[claim]bool{}}
	g.settle()
	var out Reached
	for _, r := range p.Rules {
		if r != t.rule && g.rule(r) {
			out.Rules = append(out.Rules, r.Name)
		}
	}
	for _, m := range p.Materials {
		for _, f := range m.Kind.Fields {
			if (t.material != m || t.field != nil && t.field != f) && g.field(m, f) {
				out.Fields = append(out.Fields, m.Name+"."+f.Name)
			}
		}
	}
	sums := map[string]bool{}
	for _, r := range p.Recipes {
		g.recipe(r, &out, sums)
	}
	if p.Price != nil {
		g.price(&out, sums)
	}
	return out
}

type fieldKey struct {
	material *check.Material
	field    *check.Cell
}

// claim is that a rule or a material's field may rest on the target; of both a rule and a material, that the rule may give the material.
type claim struct {
	rule *check.Rule
	fieldKey
}

// graph is a book gone through for one target.
type graph struct {
	p     *check.Program
	t     Target
	laid  []string
	holds map[claim]bool
	seen  map[claim]bool // in this round
}

// settle goes through the rules and fields, a round at a time until one finds nothing more: amendments of different days may rest on each other.
func (g *graph) settle() {
	for found := -1; found < len(g.holds); {
		found = len(g.holds)
		g.seen = map[claim]bool{}
		for _, r := range g.p.Rules {
			g.rule(r)
		}
		for _, m := range g.p.Materials {
			g.settleMaterial(m)
		}
	}
}

func (g *graph) settleMaterial(m *check.Material) {
	for _, f := range m.Kind.Fields {
		g.field(m, f)
	}
	for _, r := range g.p.Rules {
		if r.Result.Kind == m.Kind {
			g.ruleMayGive(r, m)
		}
	}
}

// finds looks into a claim once a round; one that is being looked into is as the round before left it.
func (g *graph) finds(c claim, look func() bool) bool {
	if !g.holds[c] && !g.seen[c] {
		g.seen[c] = true
		if look() {
			g.holds[c] = true
		}
	}
	return g.holds[c]
}

func (g *graph) rule(r *check.Rule) bool {
	return g.finds(claim{rule: r}, func() bool { return r == g.t.rule || slices.ContainsFunc(r.Formulas(), g.formula) })
}

// formula reports whether a formula may rest on the target, cells of recipes apart.
func (g *graph) formula(e check.Expr) bool {
	found := false
	check.Walk(e, func(x check.Expr) bool {
		switch x := x.(type) {
		case *check.Const:
			found = found || g.isMaterial(x.Value.Material())
		case *check.RuleCall:
			found = found || g.rule(x.Rule)
		case *check.FieldOf:
			found = found || g.anyField(x)
		}
		return !found
	})
	return found
}

func (g *graph) isMaterial(m *check.Material) bool {
	return m != nil && m == g.t.material && g.t.field == nil
}

// anyField reports whether a field of some material that the formula may give touches the target.
func (g *graph) anyField(e *check.FieldOf) bool {
	for _, m := range g.p.Materials {
		if m.Kind == e.X.Type().Kind && g.mayGive(e.X, m) && g.field(m, m.Kind.Fields[e.Field.Index]) {
			return true
		}
	}
	return false
}

// field reports whether a material's field, or an amendment of it, may rest on the target.
func (g *graph) field(m *check.Material, f *check.Cell) bool {
	return g.finds(claim{fieldKey: fieldKey{m, f}}, func() bool {
		if m == g.t.material && (g.t.field == nil || g.t.field == f) {
			return true
		}
		formulas := []check.Expr{givenField(m, f).Expr}
		for _, a := range m.Amends {
			if a.Field == f {
				formulas = append(formulas, a.Cell.Expr)
			}
		}
		return slices.ContainsFunc(formulas, func(e check.Expr) bool { return g.formula(e) || g.reads(m, e) })
	})
}

// reads reports whether a field's formula reads another field of its material that may rest on the target.
func (g *graph) reads(m *check.Material, e check.Expr) bool {
	found := false
	check.Walk(e, func(x check.Expr) bool {
		if ref, ok := x.(*check.CellRef); ok && ref.In == check.InMaterial {
			found = found || g.field(m, m.Kind.Fields[ref.Cell.Index])
		}
		return !found
	})
	return found
}

// mayGive reports whether a formula may give a material: an ask may give any of its kind.
func (g *graph) mayGive(e check.Expr, m *check.Material) bool {
	switch e := e.(type) {
	case *check.Const:
		return e.Value.Material() == m
	case *check.If:
		return g.mayGive(e.Then, m) || g.mayGive(e.Else, m)
	case *check.RuleCall:
		return g.ruleMayGive(e.Rule, m)
	}
	return e.Type().Kind == m.Kind
}

func (g *graph) ruleMayGive(r *check.Rule, m *check.Material) bool {
	return g.finds(claim{r, fieldKey{material: m}}, func() bool {
		return slices.ContainsFunc(r.Bodies(), func(b *check.Body) bool {
			return slices.ContainsFunc(b.Cases, func(k *check.Case) bool { return g.mayGive(k.Value, m) })
		})
	})
}

// recipe takes a recipe's cells in that may rest on the target, and notes which sums of the price they lead to.
func (g *graph) recipe(r *check.Recipe, out *Reached, sums map[string]bool) {
	slots := check.Layout(r)
	touched := g.slots(slots, func(i int) bool { return slots[i].Cell == g.t.cell })
	g.sums(r, 0, slots, touched, sums)
	addRecipe(out, r.Name, r.Title, slots, touched)
}

// slots finds which slots may rest on the target, each after what it reads.
func (g *graph) slots(slots []check.Slot, seed func(int) bool) []bool {
	order, _ := check.SortSlots(slots)
	touched := make([]bool, len(slots))
	for _, i := range order {
		s := slots[i]
		touched[i] = seed(i) || s.Cell.Role == check.AskCell && g.mayTake(s.Cell)
		if s.Formula != nil {
			touched[i] = touched[i] || g.formula(s.Formula.Expr)
		}
		for _, need := range s.Needs() {
			touched[i] = touched[i] || touched[need]
		}
	}
	return touched
}

// mayTake reports whether an ask may be given the target.
func (g *graph) mayTake(ask *check.Cell) bool {
	return ask.Type.Base == check.OfMaterial && g.t.material != nil && g.t.field == nil && ask.Type.Kind == g.t.material.Kind
}

// sums notes which sums of the price a recipe's statements, and those of its parts, lead the target to.
func (g *graph) sums(r *check.Recipe, home int, slots []check.Slot, touched []bool, sums map[string]bool) {
	for _, x := range statements(r, g.laid) {
		if x.anyOf(home, func(slot int) bool { return touched[slot] }) || x.material != nil && g.bought(slots[home+x.material.Index], x.fields) {
			sums[x.sum] = true
		}
	}
	for _, part := range r.Parts {
		g.sums(part.Recipe, home+part.Offset, slots, touched, sums)
	}
}

// bought reports whether one of some fields, of a material that a slot may hold, rests on the target.
func (g *graph) bought(s check.Slot, fields []string) bool {
	for _, m := range g.p.Materials {
		if m.Kind != s.Cell.Type.Kind || s.Formula != nil && s.Cell.Role != check.AskCell && !g.mayGive(s.Formula.Expr, m) {
			continue
		}
		for _, name := range fields {
			if f := m.Kind.Field(name); f != nil && g.field(m, f) {
				return true
			}
		}
	}
	return false
}

func (g *graph) price(out *Reached, sums map[string]bool) {
	slots := check.Layout(g.p.Price)
	touched := g.slots(slots, func(i int) bool { return slots[i].Cell == g.t.cell || sums[slots[i].Name] })
	addRecipe(out, "price", "", slots, touched)
}

func addRecipe(out *Reached, name, title string, slots []check.Slot, touched []bool) {
	r := ReachedRecipe{Name: name, Title: title}
	for i, s := range slots {
		if touched[i] {
			r.Cells = appendOnce(r.Cells, shownName(s))
		}
	}
	if len(r.Cells) > 0 {
		out.Recipes = append(out.Recipes, r)
	}
}

// shownName is a slot's name; one that has none to ask for is called by the statement that it stands in.
func shownName(s check.Slot) string {
	if s.Cell.Role != check.HiddenCell {
		return s.Name
	}
	front := strings.TrimSuffix(s.Name, s.Cell.Name)
	switch name := s.Cell.Name; {
	case strings.HasPrefix(name, "need"):
		return front + "(needs)"
	case strings.HasPrefix(name, "step"), strings.HasPrefix(name, "caution"):
		return front + "(steps)"
	case strings.HasPrefix(name, "use "):
		return front + "use of " + strings.TrimPrefix(strings.TrimSuffix(strings.TrimPrefix(name, "use "), " when"), "of ")
	}
	statement, _, _ := strings.Cut(s.Cell.Name, " ")
	return front + statement
}

func appendOnce(all []string, name string) []string {
	if slices.Contains(all, name) {
		return all
	}
	return append(all, name)
}
