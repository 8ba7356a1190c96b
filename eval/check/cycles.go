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

// ruleCycles finds rules that call each other in a ring, through amendments and materials' formulas too. What an order amends for itself is looked at after, order by order.
func (c *checker) ruleCycles() {
	g := ruleGraph{c: c, needs: map[definition][]definition{}, place: map[definition]int{}}
	var nodes []definition
	for _, r := range c.p.Rules {
		nodes = append(nodes, r)
	}
	for _, m := range c.p.Materials {
		nodes = append(nodes, m)
	}
	ordered, rings := sorted(nodes, g.next)
	for _, ring := range rings {
		g.breakRing(ring)
	}
	g.depths(ordered)
	g.orderCycles()
}

// ruleGraph is what rules and materials rest on.
type ruleGraph struct {
	c     *checker
	needs map[definition][]definition
	place map[definition]int // in an order in which each follows what it rests on
}

func (g *ruleGraph) next(d definition) []definition {
	needs, known := g.needs[d]
	if !known {
		needs = restsOn(d, nil)
		g.needs[d] = needs
	}
	return needs
}

// breakRing shows a ring, and takes what closes it out of the program, so that nothing runs for ever.
func (g *ruleGraph) breakRing(ring ring[definition]) {
	if ring.told {
		var cells []*Cell
		for _, d := range ring.nodes {
			cells = append(cells, &Cell{Name: nameOf(d), At: d.Place()})
		}
		g.c.reportRing(cells, func(cell *Cell) (string, diag.Span) { return cell.Name, cell.At })
	}
	last := ring.nodes[len(ring.nodes)-1]
	g.needs[last] = nil
	switch d := last.(type) {
	case *Rule:
		d.Base = badBody(d.At)
		d.Amends = nil
	case *Material:
		for _, f := range d.Kind.Fields {
			d.Given[f.Index] = &Cell{Name: f.Name, At: d.At, Type: f.Type, Index: f.Index, Expr: bad(d.At)}
		}
		d.Amends = nil
	}
}

func badBody(at diag.Span) *Body {
	return &Body{At: at, Cases: []*Case{{At: at, Value: bad(at)}}}
}

func nameOf(d definition) string {
	switch d := d.(type) {
	case *Rule:
		return d.Name
	case *Material:
		return d.Name
	}
	return ""
}

// deepestRules is how many rules may rest on each other in a row.
const deepestRules = 10_000

// depths notes where each rule stands in the order, and reports rules that rest on each other in too long a row.
func (g *ruleGraph) depths(ordered []definition) {
	deep := map[definition]int{}
	for i, d := range ordered {
		g.place[d] = i
		for _, need := range g.next(d) {
			deep[d] = max(deep[d], deep[need]+1)
		}
		if deep[d] > deepestRules {
			g.c.fail("formula-too-deep", d.Place(), "%s rests on more than %d rules in a row", nameOf(d), deepestRules).Fix("join some of them into one rule")
			deep[d] = 0
			g.breakRing(ring[definition]{nodes: []definition{d}})
		}
	}
}

// orderCycles finds rings that only an order's own amendments close. An amendment that rests on what comes before its rule closes none.
func (g *ruleGraph) orderCycles() {
	own := map[*Order][]*Rule{}
	var orders []*Order
	for _, r := range g.c.p.Rules {
		for _, a := range r.Amends {
			if o := a.OrderOnly; o != nil && g.leadsOn(r, a) {
				if own[o] == nil {
					orders = append(orders, o)
				}
				own[o] = append(own[o], r)
			}
		}
	}
	for _, o := range orders {
		g.orderCycle(o, own[o])
	}
}

func (g *ruleGraph) leadsOn(r *Rule, a *Amendment) bool {
	for _, need := range bodyNeeds(a.Body) {
		if g.place[need] >= g.place[r] {
			return true
		}
	}
	return false
}

func (g *ruleGraph) orderCycle(o *Order, rules []*Rule) {
	var nodes []definition
	for _, r := range rules {
		nodes = append(nodes, r)
	}
	_, rings := sorted(nodes, func(d definition) []definition {
		if r, ok := d.(*Rule); ok && r.amendedBy(o) {
			return restsOn(d, o)
		}
		return g.next(d)
	})
	for _, ring := range rings {
		g.blameOrder(o, ring.nodes)
	}
}

// blameOrder reports a ring at the amendments of the order that are in it, and takes them out.
func (g *ruleGraph) blameOrder(o *Order, ring []definition) {
	var names []string
	for _, d := range ring {
		names = append(names, nameOf(d))
	}
	names = append(names, nameOf(ring[0]))
	for _, d := range ring {
		r, ok := d.(*Rule)
		if !ok || !r.amendedBy(o) {
			continue
		}
		for _, a := range r.Amends {
			if a.OrderOnly == o {
				g.c.fail("cycle", a.Window.At, "with this amendment %s rests on itself: %s", r.Name, strings.Join(names, " → ")).Note(r.At, "the rule").Fix("give it a value that does not need the others")
				a.Body = badBody(a.Window.At)
				return
			}
		}
	}
}

func (r *Rule) amendedBy(o *Order) bool {
	return slices.ContainsFunc(r.Amends, func(a *Amendment) bool { return a.OrderOnly == o })
}

// restsOn lists the rules and materials that a definition's formulas name, each once; for a rule with an order's own amendments, and only that order's.
func restsOn(d definition, o *Order) []definition {
	found := needList{seen: map[definition]bool{}}
	switch d := d.(type) {
	case *Rule:
		d.formulas(o, found.look)
	case *Material:
		d.formulas(found.look)
	}
	return found.all
}

func bodyNeeds(b *Body) []definition {
	found := needList{seen: map[definition]bool{}}
	b.formulas(found.look)
	return found.all
}

type needList struct {
	all  []definition
	seen map[definition]bool
}

func (l *needList) look(e Expr) {
	Walk(e, func(e Expr) bool {
		switch e := e.(type) {
		case *RuleCall:
			l.add(e.Rule)
		case *Const:
			if m := e.Value.Material(); m != nil {
				l.add(m)
			}
		}
		return true
	})
}

func (l *needList) add(d definition) {
	if !l.seen[d] {
		l.seen[d] = true
		l.all = append(l.all, d)
	}
}

// formulas looks at every formula of a rule, leaving out the amendments of other orders than o.
func (r *Rule) formulas(o *Order, look func(Expr)) {
	for _, p := range r.Params {
		look(p.Expr)
	}
	for _, a := range r.Amends {
		if a.OrderOnly == nil || a.OrderOnly == o {
			a.Body.formulas(look)
		}
	}
	if r.Base != nil {
		r.Base.formulas(look)
	}
}

func (b *Body) formulas(look func(Expr)) {
	for _, l := range b.Locals {
		look(l.Expr)
	}
	for _, k := range b.Cases {
		look(k.When)
		look(k.Value)
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

// fieldCycles finds fields of a material that need each other, by what it gives or by its kind's defaults.
func (c *checker) fieldCycles(m *Material) {
	formula := func(f *Cell) Expr {
		if g := m.Given[f.Index]; g != nil {
			return g.Expr
		}
		return f.Expr
	}
	_, rings := sorted(m.Kind.Fields, func(f *Cell) []*Cell { return fieldsUsed(m.Kind, formula(f)) })
	for _, ring := range rings {
		if ring.told {
			c.reportRing(ring.nodes, func(cell *Cell) (string, diag.Span) { return m.Name + "." + cell.Name, cell.At })
		}
		last := ring.nodes[len(ring.nodes)-1]
		m.Given[last.Index] = &Cell{Name: last.Name, At: last.At, Type: last.Type, Index: last.Index, Expr: bad(last.At)}
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
