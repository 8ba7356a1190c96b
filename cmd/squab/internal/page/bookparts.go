package page

import (
	"strings"

	"squab/eval/check"
)

// materialKind is a kind with its materials.
type materialKind struct {
	Name, Title, Form string
	Materials         []bookMaterial
}

// bookMaterial is a material with the fields that it gives, and amendments of them.
type bookMaterial struct {
	ID, Title, Name, Place string
	Fields                 []bookField
	Search                 string
}

type bookField struct {
	Name, When      string
	Value           []linked
	Tolerance       string // the material's own, else its kind's
	Because, Source string
	Replaces        bool // it stands over the line beneath
}

// materials lists the kinds that have materials.
func (b *bookBuilder) materials() []materialKind {
	var all []materialKind
	for _, k := range b.program.Kinds {
		kind := materialKind{Name: words(k.Name), Title: k.Title, Form: string(k.Form)}
		for _, m := range b.program.Materials {
			if m.Kind == k {
				kind.Materials = append(kind.Materials, b.material(m))
			}
		}
		if len(kind.Materials) > 0 {
			all = append(all, kind)
		}
	}
	return all
}

func (b *bookBuilder) material(m *check.Material) bookMaterial {
	out := bookMaterial{ID: "material-" + m.Name, Title: titleOf(m), Name: m.Name, Place: placeText(b.program.Files, m.At)}
	for i, f := range m.Kind.Fields {
		for _, a := range m.Amends {
			if a.Field.Index == i {
				out.Fields = append(out.Fields, bookField{words(f.Name), windowWords(&a.Window), b.formula(a.Cell), b.tolerance(m.Tolerance(a.Cell)), a.Cell.Why.Because, a.Cell.Why.Source, true})
			}
		}
		if i < len(m.Given) && m.Given[i] != nil {
			g := m.Given[i]
			out.Fields = append(out.Fields, bookField{Name: words(f.Name), Value: b.formula(g), Tolerance: b.tolerance(m.Tolerance(g)), Because: g.Why.Because, Source: g.Why.Source})
		}
	}
	out.Search = strings.ToLower(out.Title + " " + m.Name + " " + m.Kind.Name)
	return out
}

// bookRecipe is a recipe as a maker reads it.
type bookRecipe struct {
	ID, Title, Name, Place string
	Asks                   []bookParam
	Needs                  []bookLine
	Cells                  []bookLine
	Pieces                 []bookPiece
	Works                  []bookLine
	Steps                  []string
	Search                 string
}

type bookPiece struct {
	Name             string
	From, Wide, Deep []linked
	When             []linked
	Because          string
}

func (b *bookBuilder) recipes() []bookRecipe {
	var all []bookRecipe
	for _, r := range b.program.Recipes {
		all = append(all, b.recipe(r))
	}
	return all
}

func (b *bookBuilder) recipe(r *check.Recipe) bookRecipe {
	out := bookRecipe{ID: "recipe-" + r.Name, Title: recipeTitle(r), Name: r.Name, Place: placeText(b.program.Files, r.At), Asks: b.params(r.Asks)}
	for _, n := range r.Needs {
		out.Needs = append(out.Needs, bookLine{Value: b.formula(n.Cond), When: b.formula(n.Else)})
	}
	for _, c := range writtenCells(r) {
		out.Cells = append(out.Cells, bookLine{Name: c.Name, Value: b.formula(c), Because: c.Why.Because, Source: c.Why.Source})
	}
	for _, p := range r.Pieces {
		out.Pieces = append(out.Pieces, bookPiece{words(p.Name), b.formula(p.Material), b.formula(p.Wide), b.formula(p.Deep), b.formula(p.When), p.Wide.Why.Because})
	}
	for _, w := range r.Works {
		out.Works = append(out.Works, bookLine{Name: words(w.Name), Value: b.formula(w.Time), When: b.formula(w.When), Because: w.Time.Why.Because})
	}
	for _, s := range r.Steps {
		if s.Text != nil {
			out.Steps = append(out.Steps, b.said(s.Text.Expr))
		}
	}
	out.Search = strings.ToLower(out.Title + " " + r.Name + " " + strings.Join(out.Steps, " "))
	return out
}

// writtenCells lists the cells that a recipe's book shows by themselves: those of its own lines, the holes of marks, and how pieces lie at the edge; the
// sizes of pieces stand in their table.
func writtenCells(r *check.Recipe) []*check.Cell {
	shown := map[*check.Cell]bool{}
	for _, m := range r.Marks {
		shown[m.Hole] = true
	}
	for _, p := range r.Pieces {
		for _, cell := range p.AtEdge() {
			shown[cell] = true
		}
	}
	var all []*check.Cell
	for _, c := range r.Cells {
		if c.Role == check.FormulaCell && c.Source != nil && (shown[c] || !strings.Contains(c.Name, ".")) {
			all = append(all, c)
		}
	}
	return all
}

// price lists the price block's lines.
func (b *bookBuilder) price() []bookLine {
	if b.program.Price == nil {
		return nil
	}
	charged := map[*check.Cell]*check.Charge{}
	for _, c := range b.program.Price.Charges {
		charged[c.Value] = c
	}
	var all []bookLine
	for _, cell := range b.program.Price.Cells {
		if cell.Role != check.FormulaCell || cell.Source == nil {
			continue
		}
		line := bookLine{Name: words(cell.Name), Value: b.formula(cell), Because: cell.Why.Because, Source: cell.Why.Source}
		if c := charged[cell]; c != nil {
			line.IsCharge, line.When = true, b.formula(c.When)
		}
		all = append(all, line)
	}
	return all
}
