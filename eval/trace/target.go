package trace

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"squab/eval/check"
	"squab/lang/diag"
)

// Target is what of a book a reach is asked of. Sort is "rule", "table", "row", "case", "material", "field", "ask" or "cell".
type Target struct {
	Name string
	Sort string
	At   diag.Span

	rule     *check.Rule
	row      *check.Case
	material *check.Material
	field    *check.Cell // of the material's kind; nil for the whole material
	cell     *check.Cell
}

var rowOf = regexp.MustCompile(`^(\w+)\[(\d+)\]$`)

// FindTarget finds what a name means: a rule, table or material, a row or case of one counted from 1 as it is declared ("strip_wide[2]"), a material's
// field ("harbour_tweed.price"), a recipe's ask or other cell ("window_pad.wide"). The error names what is near.
func FindTarget(p *check.Program, name string) (Target, error) {
	if m := rowOf.FindStringSubmatch(name); m != nil {
		return findRow(p, name, m[1], m[2])
	}
	if r := p.Rule(name); r != nil {
		return Target{Name: name, Sort: sortOf(r), At: r.At, rule: r}, nil
	}
	if m := p.Material(name); m != nil {
		return Target{Name: name, Sort: "material", At: m.At, material: m}, nil
	}
	front, rest, _ := strings.Cut(name, ".")
	if t, ok := ofRecipe(p, name, front, rest); ok {
		return t, nil
	}
	if m := p.Material(front); m != nil && m.Kind.Field(rest) != nil {
		f := m.Kind.Field(rest)
		return Target{Name: name, Sort: "field", At: givenField(m, f).At, material: m, field: f}, nil
	}
	return Target{}, noTarget(p, name, front)
}

func sortOf(r *check.Rule) string {
	if r.IsTable {
		return "table"
	}
	return "rule"
}

func findRow(p *check.Program, name, table, row string) (Target, error) {
	r := p.Rule(table)
	switch {
	case r == nil && p.Material(table) == nil:
		return Target{}, noTarget(p, table, table)
	case r == nil || r.Base == nil:
		return Target{}, fmt.Errorf("%s has no rows and no cases that could be counted; ask for %s", table, table)
	}
	sort := "case"
	if r.IsTable {
		sort = "row"
	}
	n, err := strconv.Atoi(row)
	if err != nil || n < 1 || n > len(r.Base.Cases) {
		return Target{}, fmt.Errorf("%s has no %s %s: they are counted from 1 to %d", table, sort, row, len(r.Base.Cases))
	}
	k := r.Base.Cases[n-1]
	return Target{Name: name, Sort: sort, At: k.At, rule: r, row: k}, nil
}

func ofRecipe(p *check.Program, name, front, rest string) (Target, bool) {
	r := p.Recipe(front)
	if front == "price" {
		r = p.Price
	}
	if r == nil || r.Cell(rest) == nil {
		return Target{}, false
	}
	cell := r.Cell(rest)
	t := Target{Name: name, Sort: "cell", At: cell.At, cell: cell}
	if slices.Contains(r.Asks, cell) {
		t.Sort = "ask"
	}
	return t, true
}

// givenField is where a material's field is settled, amendments apart.
func givenField(m *check.Material, f *check.Cell) *check.Cell {
	if given := m.Given[f.Index]; given != nil {
		return given
	}
	return f
}

func noTarget(p *check.Program, name, front string) error {
	if r := p.Recipe(name); r != nil && len(r.Asks) > 0 {
		return fmt.Errorf("%s is a recipe: ask for one of its asks or cells, as %s.%s", name, name, r.Asks[0].Name)
	}
	if near := check.Nearest(name, targetNames(p, front)); near != "" {
		return fmt.Errorf("the book has no %s; did you mean %s?", name, near)
	}
	return fmt.Errorf("the book has no rule, table, material or recipe's ask called %s", name)
}

// targetNames lists what a reach can be asked of; of recipes and materials whole names only, and what is in the one that a dotted name begins with.
func targetNames(p *check.Program, front string) []string {
	var all []string
	for _, r := range p.Rules {
		all = append(all, r.Name)
	}
	for _, m := range p.Materials {
		all = append(all, m.Name)
		if nearly(m.Name, front) {
			all = append(all, fieldNames(m.Name, m.Kind)...)
		}
	}
	for _, r := range p.Recipes {
		if nearly(r.Name, front) {
			all = append(all, cellNames(r.Name, r)...)
		}
	}
	if p.Price != nil && nearly("price", front) {
		all = append(all, cellNames("price", p.Price)...)
	}
	return all
}

func cellNames(front string, r *check.Recipe) []string {
	var all []string
	for _, cell := range r.Cells {
		if cell.Role != check.HiddenCell {
			all = append(all, front+"."+cell.Name)
		}
	}
	return all
}

func nearly(name, asked string) bool {
	return name == asked || check.Nearest(asked, []string{name}) != ""
}
