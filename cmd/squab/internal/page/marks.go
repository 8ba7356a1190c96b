package page

import (
	"squab/eval/check"
	"squab/eval/trace"
)

// marksGroup is some marked pieces at one scale, with their running sizes beside each other.
type marksGroup struct {
	Drawings []Drawing
	Across   sizesTable
	Upward   sizesTable
}

// sizesTable gives the running sizes of several pieces in columns.
type sizesTable struct {
	Caption string
	Pieces  []string
	Rows    []sizesRow
}

// sizesRow is the n-th distinct size of each piece; nil where a piece has fewer.
type sizesRow struct {
	Number int
	Sizes  []*Num
}

func marksOf(r *reasons) []marksGroup {
	pieces := markedPieces(r.result)
	for _, m := range pieces {
		m.explain(r)
	}
	var all []marksGroup
	for _, g := range sideBySide(pieces) {
		all = append(all, g.view(r))
	}
	return all
}

func (g group) view(r *reasons) marksGroup {
	v := marksGroup{Across: sizesTable{Caption: "from the left"}, Upward: sizesTable{Caption: "from the front"}}
	for _, m := range g {
		v.Drawings = append(v.Drawings, m.draw(r, g.scale(), g[0]))
		for i, set := range m.sets {
			name := words(m.piece.Name)
			if i > 0 {
				name += ", " + words(set.Name)
			}
			v.Across.add(name, m.places[i].x)
			v.Upward.add(name, m.places[i].y)
		}
	}
	return v
}

// add puts a column beside those that are there; a row that the column does not reach is left empty in it.
func (t *sizesTable) add(name string, column []place) {
	t.Pieces = append(t.Pieces, name)
	for len(t.Rows) < len(column) {
		t.Rows = append(t.Rows, sizesRow{Number: len(t.Rows) + 1, Sizes: make([]*Num, len(t.Pieces)-1)})
	}
	for n := range t.Rows {
		var num *Num
		if n < len(column) {
			num = &column[n].num
		}
		t.Rows[n].Sizes = append(t.Rows[n].Sizes, num)
	}
}

// instance is a recipe or a part of it, with where its slots begin.
type instance struct {
	recipe *check.Recipe
	prefix string
	base   int
}

// instances lists the recipe and its parts, outermost first, as the order's lines are.
func (r *reasons) instances() []instance {
	var all []instance
	var add func(instance)
	add = func(in instance) {
		all = append(all, in)
		for _, p := range in.recipe.Parts {
			add(instance{p.Recipe, in.prefix + p.Name + ".", in.base + p.Offset})
		}
	}
	add(instance{r.result.Recipe, "", 0})
	return all
}

// holds reports whether a statement's condition holds in an instance.
func (r *reasons) holds(in instance, when *check.Cell) bool {
	if when == nil {
		return true
	}
	v, fault := r.result.Sheet.Value(in.base + when.Index)
	return fault == nil && v.Yes()
}

// formula explains a formula that stands in a text, where no cell holds it.
func (r *reasons) formula(in instance, e check.Expr) Num {
	return r.num(trace.Formula(r.result.Sheet, r.result, in.base, e))
}
