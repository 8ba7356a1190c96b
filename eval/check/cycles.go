package check

import (
	"slices"
	"strings"

	"squab/lang/diag"
)

// ring is nodes of which each needs the next and the last the first. It is told unless it shares a node with one that was told before.
type ring[N comparable] struct {
	nodes []N
	told  bool
}

// sorted puts every node after what it needs; next lists what that is, in a fixed order. Where nodes rest on each other it gives the rings, and an order as if the last of each did not need the first.
func sorted[N comparable](nodes []N, next func(N) []N) (ordered []N, rings []ring[N]) {
	s := sorter[N]{next: next, state: map[N]int{}, inRing: map[N]bool{}}
	for _, n := range nodes {
		if s.state[n] == 0 {
			s.visit(n)
		}
	}
	return s.ordered, s.rings
}

// sorter goes through a graph depth first. A node's state is its place on the path, from 1, or closed.
type sorter[N comparable] struct {
	next    func(N) []N
	state   map[N]int
	path    []N
	ordered []N
	rings   []ring[N]
	inRing  map[N]bool
}

const closed = -1

func (s *sorter[N]) visit(n N) {
	s.path = append(s.path, n)
	s.state[n] = len(s.path)
	for _, m := range s.next(n) {
		switch at := s.state[m]; {
		case at == 0:
			s.visit(m)
		case at != closed:
			s.close(s.path[at-1:])
		}
	}
	s.path = s.path[:len(s.path)-1]
	s.state[n] = closed
	s.ordered = append(s.ordered, n)
}

func (s *sorter[N]) close(nodes []N) {
	r := ring[N]{append([]N(nil), nodes...), true}
	for _, n := range nodes {
		r.told = r.told && !s.inRing[n]
	}
	if r.told {
		for _, n := range nodes {
			s.inRing[n] = true
		}
	} else {
		r.nodes = r.nodes[len(r.nodes)-1:]
	}
	s.rings = append(s.rings, r)
}

// mostShown is how many nodes of a ring are shown by name.
const mostShown = 12

// reportRing shows a ring of names that rest on each other, each with its place.
func (c *checker) reportRing(ring []*Cell, name func(*Cell) (string, diag.Span)) *diag.Diagnostic {
	var all []string
	for _, cell := range ring[:min(len(ring), mostShown)] {
		n, _ := name(cell)
		all = append(all, n)
	}
	if len(ring) > mostShown {
		all = append(all, "…")
	}
	first, at := name(ring[0])
	d := c.fail("cycle", at, "%s rests on itself: %s", first, strings.Join(append(all, first), " → "))
	for i, cell := range ring[1:min(len(ring), mostShown)] {
		_, at := name(cell)
		d.Note(at, all[i]+" needs "+all[i+1])
	}
	return d.Fix("give one of them a value that does not need the others")
}

// stretches gives one day out of each stretch of time between the days on which something changes.
func stretches(changes []int64) []int64 {
	slices.Sort(changes)
	days := slices.Compact(changes)
	if len(days) == 0 {
		return []int64{0}
	}
	return append([]int64{days[0] - 1}, days...)
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
	for _, m := range c.p.Materials {
		c.fieldCycles(m)
	}
}

// fieldCycles finds fields of a material that need each other on some day, by what the material gives, an amendment of it, or its kind's defaults.
func (c *checker) fieldCycles(m *Material) {
	rings := m.rings(func(f *Cell) []*Cell {
		needs := fieldsUsed(m.Kind, m.given(f.Index).Expr)
		for _, a := range m.Amends {
			if a.Field == f {
				needs = append(needs, fieldsUsed(m.Kind, a.Cell.Expr)...)
			}
		}
		return needs
	})
	days := stretches(m.days(nil))
	if len(rings) == 0 || len(days)*len(m.Amends) > mostDayWork {
		c.breakFields(m, rings, func(f *Cell) *Cell { return m.given(f.Index) })
		return
	}
	for _, day := range days {
		inForce := func(f *Cell) *Cell { return m.InForce(f.Index, day) }
		c.breakFields(m, m.rings(func(f *Cell) []*Cell { return fieldsUsed(m.Kind, inForce(f).Expr) }), inForce)
	}
}

func (m *Material) rings(needs func(*Cell) []*Cell) []ring[*Cell] {
	_, rings := sorted(m.Kind.Fields, needs)
	return rings
}

func (c *checker) breakFields(m *Material, rings []ring[*Cell], formula func(*Cell) *Cell) {
	for _, ring := range rings {
		if ring.told {
			c.reportRing(ring.nodes, func(f *Cell) (string, diag.Span) { return m.Name + "." + f.Name, formula(f).At })
		}
		m.breakField(ring.nodes[len(ring.nodes)-1])
	}
}

// breakField leaves a field with nothing that needs another.
func (m *Material) breakField(f *Cell) {
	m.Given[f.Index] = &Cell{Name: f.Name, At: f.At, Type: f.Type, Index: f.Index, Expr: bad(f.At)}
	m.Amends = slices.DeleteFunc(m.Amends, func(a *FieldAmend) bool { return a.Field == f })
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
	_, rings := sortSlots(slots)
	for _, ring := range rings {
		if ring.told {
			c.reportSlots(slots, ring.nodes)
		}
		last := &slots[ring.nodes[len(ring.nodes)-1]]
		last.Formula.Expr = bad(last.Cell.At)
	}
}

func (c *checker) reportSlots(slots []Slot, ring []int) {
	var cells []*Cell
	for _, i := range ring {
		cells = append(cells, &Cell{Name: slots[i].Name, At: slots[i].Cell.At})
	}
	c.reportRing(cells, func(cell *Cell) (string, diag.Span) { return cell.Name, cell.At })
}
