package check

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

// SortSlots puts slots in an order in which each follows what it reads. The checker has broken every ring.
func SortSlots(slots []Slot) (order, ring []int) {
	order, rings := sortSlots(slots)
	if len(rings) > 0 {
		return nil, rings[0].nodes
	}
	return order, nil
}

func sortSlots(slots []Slot) ([]int, []ring[int]) {
	all := make([]int, len(slots))
	for i := range all {
		all[i] = i
	}
	return sorted(all, func(i int) []int { return slots[i].Needs() })
}
