package check

import (
	"strings"

	"squab/lang/diag"
)

// graph is a directed graph whose edges lead from a node to what it needs, in a fixed order.
type graph[N comparable] struct{ next func(N) []N }

// sort puts every node after what it needs, or gives a ring, in which each needs the next and the last the first.
func (g graph[N]) sort(nodes []N) (ordered, ring []N) {
	const (
		open   = 1
		closed = 2
	)
	state := map[N]int{}
	var path []N
	var visit func(n N) bool
	visit = func(n N) bool {
		switch state[n] {
		case closed:
			return true
		case open:
			for i := range path {
				if path[i] == n {
					ring = append([]N(nil), path[i:]...)
				}
			}
			return false
		}
		state[n] = open
		path = append(path, n)
		for _, m := range g.next(n) {
			if !visit(m) {
				return false
			}
		}
		path = path[:len(path)-1]
		state[n] = closed
		ordered = append(ordered, n)
		return true
	}
	for _, n := range nodes {
		if !visit(n) {
			return nil, ring
		}
	}
	return ordered, nil
}

// reportRing shows a ring of names that rest on each other, each with its place.
func (c *checker) reportRing(ring []*Cell, name func(*Cell) (string, diag.Span)) {
	var names []string
	for _, cell := range ring {
		n, _ := name(cell)
		names = append(names, n)
	}
	first, at := name(ring[0])
	d := c.fail("cycle", at, "%s rests on itself: %s", first, strings.Join(append(names, first), " → "))
	for i, cell := range ring[1:] {
		_, at := name(cell)
		d.Note(at, names[i]+" needs "+names[i+1])
	}
	d.Fix("give one of them a value that does not need the others")
}

// findCycles reports rules that rest on themselves, and rings of cells in recipes with their parts.
func (c *checker) findCycles() {
	c.ruleCycles()
	for _, r := range c.p.Recipes {
		c.recipeCycles(r)
	}
	if c.p.Price != nil {
		c.recipeCycles(c.p.Price)
	}
	for _, k := range c.p.Kinds {
		c.fieldCycles(k)
	}
}

// ruleCycles finds rules that call each other in a ring, through amendments and materials' formulas too.
func (c *checker) ruleCycles() {
	g := graph[definition]{next: c.restsOn}
	var nodes []definition
	for _, r := range c.p.Rules {
		nodes = append(nodes, r)
	}
	for _, m := range c.p.Materials {
		nodes = append(nodes, m)
	}
	for range nodes {
		_, ring := g.sort(nodes)
		if ring == nil {
			return
		}
		c.reportRuleRing(ring)
	}
}

// reportRuleRing shows the ring, and takes its rules' bodies out of the program so that nothing runs for ever.
func (c *checker) reportRuleRing(ring []definition) {
	var cells []*Cell
	for _, d := range ring {
		switch d := d.(type) {
		case *Rule:
			cells = append(cells, &Cell{Name: d.Name, At: d.At})
			d.Base = &Body{At: d.At, Cases: []*Case{{At: d.At, Value: bad(d.At)}}}
			d.Amends = nil
		case *Material:
			cells = append(cells, &Cell{Name: d.Name, At: d.At})
		}
	}
	c.reportRing(cells, func(cell *Cell) (string, diag.Span) { return cell.Name, cell.At })
}

// restsOn lists the rules and materials that a definition's formulas name.
func (c *checker) restsOn(d definition) []definition {
	var found []definition
	look := func(e Expr) {
		Walk(e, func(e Expr) bool {
			switch e := e.(type) {
			case *RuleCall:
				found = append(found, e.Rule)
			case *Const:
				if m := e.Value.Material(); m != nil {
					found = append(found, m)
				}
			}
			return true
		})
	}
	switch d := d.(type) {
	case *Rule:
		d.formulas(look)
	case *Material:
		d.formulas(look)
	}
	return found
}

func (r *Rule) formulas(look func(Expr)) {
	for _, p := range r.Params {
		look(p.Expr)
	}
	for _, b := range r.Bodies() {
		for _, l := range b.Locals {
			look(l.Expr)
		}
		for _, k := range b.Cases {
			look(k.When)
			look(k.Value)
		}
	}
}

func (m *Material) formulas(look func(Expr)) {
	for i, f := range m.Kind.Fields {
		if i < len(m.Given) && m.Given[i] != nil {
			look(m.Given[i].Expr)
			continue
		}
		look(f.Expr)
	}
	for _, a := range m.Amends {
		look(a.Cell.Expr)
	}
}

// Bodies lists a rule's layers, the topmost amendment first and its base last.
func (r *Rule) Bodies() []*Body {
	var all []*Body
	for _, a := range r.Amends {
		all = append(all, a.Body)
	}
	if r.Base != nil {
		all = append(all, r.Base)
	}
	return all
}

// fieldCycles finds fields of a kind whose defaults need each other; a material may break such a ring, so it is looked for in each material.
func (c *checker) fieldCycles(k *Kind) {
	for _, m := range c.p.Materials {
		if m.Kind != k {
			continue
		}
		formula := func(f *Cell) Expr {
			if g := m.Given[f.Index]; g != nil {
				return g.Expr
			}
			return f.Expr
		}
		g := graph[*Cell]{next: func(f *Cell) []*Cell { return fieldsUsed(k, formula(f)) }}
		if _, ring := g.sort(k.Fields); ring != nil {
			c.reportRing(ring, func(cell *Cell) (string, diag.Span) { return m.Name + "." + cell.Name, cell.At })
			for _, f := range ring {
				m.Given[f.Index] = &Cell{Name: f.Name, At: f.At, Type: f.Type, Index: f.Index, Expr: bad(f.At)}
			}
		}
	}
}

func fieldsUsed(k *Kind, e Expr) []*Cell {
	var used []*Cell
	Walk(e, func(e Expr) bool {
		if ref, ok := e.(*CellRef); ok && ref.In == InMaterial {
			used = append(used, k.Fields[ref.Cell.Index])
		}
		return true
	})
	return used
}

// recipeCycles finds rings of cells in a recipe with all its parts laid out.
func (c *checker) recipeCycles(r *Recipe) {
	slots := Layout(r)
	if _, ring := SortSlots(slots); ring != nil {
		var cells []*Cell
		for _, i := range ring {
			cells = append(cells, &Cell{Name: slots[i].Name, At: slots[i].Cell.At})
		}
		c.reportRing(cells, func(cell *Cell) (string, diag.Span) { return cell.Name, cell.At })
		for _, i := range ring {
			slots[i].Cell.Expr = bad(slots[i].Cell.At)
		}
	}
}

// Slot is a place for a cell's value in a recipe laid out with its parts. Formula is worked out in the instance that begins at Home: an ask of a part is given in the outer recipe.
type Slot struct {
	Name    string
	Cell    *Cell
	Formula *Cell // the cell whose formula holds; nil for an ask that the order must give
	Home    int   // the first slot of the instance in which Formula's references are looked up
	Base    int   // the first slot of the instance that the cell belongs to
	Outer   bool  // an ask of a part, given by the recipe around it
}

// Layout lays a recipe's cells and those of its parts out in slots.
func Layout(r *Recipe) []Slot {
	return layout(nil, r, "", 0, nil, 0)
}

func layout(slots []Slot, r *Recipe, prefix string, base int, given map[int]*Cell, home int) []Slot {
	for _, cell := range r.Cells {
		s := Slot{Name: prefix + cell.Name, Cell: cell, Home: base, Base: base}
		switch g := given[cell.Index]; {
		case g != nil:
			s.Formula, s.Home, s.Outer = g, home, true
		case cell.Expr != nil:
			s.Formula = cell
		}
		slots = append(slots, s)
	}
	for _, p := range r.Parts {
		slots = layout(slots, p.Recipe, prefix+p.Name+".", base+p.Offset, p.Given, base)
	}
	return slots
}

// At is the slot that a reference leads to from the instance that begins at home.
func (ref *CellRef) At(home int) int {
	for _, p := range ref.Path {
		home += p.Offset
	}
	return home + ref.Cell.Index
}

// Needs lists the slots that a slot's formula reads.
func (s Slot) Needs() []int {
	if s.Formula == nil {
		return nil
	}
	var needs []int
	Walk(s.Formula.Expr, func(e Expr) bool {
		if ref, ok := e.(*CellRef); ok && ref.In == InRecipe {
			needs = append(needs, ref.At(s.Home))
		}
		return true
	})
	return needs
}

// SortSlots puts slots in an order in which each follows what it reads, or gives a ring.
func SortSlots(slots []Slot) (order, ring []int) {
	g := graph[int]{next: func(i int) []int { return slots[i].Needs() }}
	all := make([]int, len(slots))
	for i := range all {
		all[i] = i
	}
	return g.sort(all)
}
