package check

import (
	"slices"
	"strings"

	"squab/lang/diag"
)

// ruleCycles finds rules that call each other in a ring, through amendments, ranges and materials' formulas too. What an order amends for itself is looked at after,
// order by order.
func (c *checker) ruleCycles() {
	g := ruleGraph{c: c, named: map[Expr][]definition{}, broken: map[definition]bool{}, place: map[definition]int{}}
	for _, r := range c.p.Rules {
		g.nodes = append(g.nodes, r)
	}
	for _, m := range c.p.Materials {
		g.nodes = append(g.nodes, m)
	}
	ordered, rings := sorted(g.nodes, g.next)
	for i, d := range ordered {
		g.place[d] = i
	}
	days := stretches(c.epochs())
	switch {
	case len(rings) == 0:
		g.depths(ordered)
	case !g.affords(days):
		g.breakRings(rings)
	default:
		g.dated = true
		for _, g.day = range days {
			g.onDay()
		}
	}
	g.orderCycles(days)
}

// mostDayWork is how many rules and materials, each on each of the days that differ, are looked at before what names each other on any days at all is called a ring.
const mostDayWork = 5_000_000

// affords reports whether the whole book may be looked at on each of the days.
func (g *ruleGraph) affords(days []int64) bool {
	g.dayWork += len(days) * len(g.nodes)
	return g.dayWork <= mostDayWork
}

// ruleGraph is what rules and materials rest on: by all that is ever in force or, once dated, by what settles their values on one day.
type ruleGraph struct {
	c       *checker
	nodes   []definition
	dated   bool
	day     int64
	dayWork int
	named   map[Expr][]definition
	broken  map[definition]bool
	place   map[definition]int // in an order in which each follows what it rests on, where nothing is dated
}

func (g *ruleGraph) next(d definition) []definition { return g.restsOn(d, nil) }

// onDay finds the rings of the day.
func (g *ruleGraph) onDay() {
	ordered, rings := sorted(g.nodes, g.next)
	g.breakRings(rings)
	g.depths(ordered)
}

func (g *ruleGraph) breakRings(rings []ring[definition]) {
	for _, ring := range rings {
		g.breakRing(ring)
	}
}

// breakRing shows a ring, and takes what closes it out of the program, so that nothing runs for ever.
func (g *ruleGraph) breakRing(ring ring[definition]) {
	if ring.told {
		var cells []*Cell
		for _, d := range ring.nodes {
			cells = append(cells, &Cell{Name: nameOf(d), At: d.Place()})
		}
		d := g.c.reportRing(cells, func(cell *Cell) (string, diag.Span) { return cell.Name, cell.At })
		if g.dated && slices.Contains(g.c.epochs(), g.day) {
			d.Notes = append(d.Notes, "by what is in force on "+DateText(g.day)+", for one")
		}
	}
	last := ring.nodes[len(ring.nodes)-1]
	g.broken[last] = true
	switch d := last.(type) {
	case *Rule:
		d.breakOff()
	case *Material:
		for _, f := range d.Kind.Fields {
			d.Given[f.Index] = &Cell{Name: f.Name, At: d.At, Type: f.Type, Index: f.Index, Expr: bad(d.At)}
		}
		d.Amends = nil
	}
}

// breakOff leaves a rule with nothing that rests on anything.
func (r *Rule) breakOff() {
	for _, p := range r.Params {
		p.From, p.To = nil, nil
		if p.Expr != nil {
			p.Expr = bad(p.At)
		}
	}
	r.Base, r.Amends = badBody(r.At), nil
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

// depths reports rules that rest on each other in too long a row.
func (g *ruleGraph) depths(ordered []definition) {
	deep := map[definition]int{}
	for _, d := range ordered {
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
func (g *ruleGraph) orderCycles(days []int64) {
	own := map[*Order][]definition{}
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
		g.orderCycle(o, own[o], days)
	}
}

// orderCycle looks at every day, since an order may be worked out as on another day than its own.
func (g *ruleGraph) orderCycle(o *Order, rules []definition, days []int64) {
	rests := func(d definition) []definition { return g.restsOn(d, o) }
	if !g.dated {
		_, rings := sorted(rules, rests)
		if len(rings) == 0 {
			return
		}
		if !g.affords(days) {
			g.blameOrder(o, rings)
			return
		}
		g.dated = true
		defer func() { g.dated = false }()
	}
	for _, g.day = range days {
		_, rings := sorted(rules, rests)
		g.blameOrder(o, rings)
	}
}

func (g *ruleGraph) leadsOn(r *Rule, a *Amendment) bool {
	if g.dated {
		return true
	}
	for _, need := range g.bodyNeeds(a.Body) {
		if g.place[need] >= g.place[r] {
			return true
		}
	}
	return false
}

// blameOrder reports each ring at an amendment of the order that is in it, and takes that out.
func (g *ruleGraph) blameOrder(o *Order, rings []ring[definition]) {
	for _, ring := range rings {
		r, a := amendedIn(ring.nodes, o)
		if a == nil {
			continue
		}
		a.Body = badBody(a.Window.At)
		if ring.told {
			g.c.fail("cycle", a.Window.At, "with this amendment %s rests on itself: %s", r.Name, circle(ring.nodes)).Note(r.At, "the rule").Fix("give it a value that does not need the others")
		}
	}
}

// amendedIn finds the first rule of a ring that an order amends.
func amendedIn(nodes []definition, o *Order) (*Rule, *Amendment) {
	for _, d := range nodes {
		r, ok := d.(*Rule)
		if !ok {
			continue
		}
		for _, a := range r.Amends {
			if a.OrderOnly == o {
				return r, a
			}
		}
	}
	return nil, nil
}

func circle(nodes []definition) string {
	var names []string
	for _, d := range nodes {
		names = append(names, nameOf(d))
	}
	return strings.Join(append(names, names[0]), " → ")
}

// restsOn lists the rules and materials that a definition's formulas name, each once; for a rule with an order's own amendments, and only that order's.
func (g *ruleGraph) restsOn(d definition, o *Order) []definition {
	if g.broken[d] {
		return nil
	}
	found := needList{seen: map[definition]bool{}}
	look := func(e Expr) { found.add(g.namedIn(e)...) }
	switch d := d.(type) {
	case *Rule:
		for _, p := range d.Params {
			look(p.Expr)
			look(p.From)
			look(p.To)
		}
		for _, b := range g.layers(d, o) {
			b.formulas(look)
		}
	case *Material:
		g.fields(d, look)
	}
	return found.all
}

func (g *ruleGraph) bodyNeeds(b *Body) []definition {
	found := needList{seen: map[definition]bool{}}
	b.formulas(func(e Expr) { found.add(g.namedIn(e)...) })
	return found.all
}

// layers lists the bodies that may give a rule its value, leaving out the amendments of other orders than o.
func (g *ruleGraph) layers(r *Rule, o *Order) []*Body {
	var all []*Body
	for _, a := range r.Amends {
		if a.OrderOnly != nil && a.OrderOnly != o || g.dated && !a.Holds(g.day, o) {
			continue
		}
		all = append(all, a.Body)
		if g.dated && a.Body.takesAll() {
			return all
		}
	}
	if r.Base != nil {
		all = append(all, r.Base)
	}
	return all
}

// takesAll reports whether a body leaves no values to those beneath it.
func (b *Body) takesAll() bool {
	return b.Hit != Interpolated && len(b.Cases) > 0 && b.Cases[len(b.Cases)-1].When == nil
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

// fields looks at the formulas that give a material its fields, and at the fields' ranges.
func (g *ruleGraph) fields(m *Material, look func(Expr)) {
	for _, f := range m.Kind.Fields {
		look(f.From)
		look(f.To)
		if g.dated {
			look(m.InForce(f.Index, g.day).Expr)
			continue
		}
		look(m.given(f.Index).Expr)
	}
	if g.dated {
		return
	}
	for _, a := range m.Amends {
		look(a.Cell.Expr)
	}
}

// namedIn lists the rules and materials that a formula names.
func (g *ruleGraph) namedIn(e Expr) []definition {
	if e == nil {
		return nil
	}
	if all, known := g.named[e]; known {
		return all
	}
	var all []definition
	Walk(e, func(e Expr) bool {
		switch e := e.(type) {
		case *RuleCall:
			all = append(all, e.Rule)
		case *Const:
			if m := e.Value.Material(); m != nil {
				all = append(all, m)
			}
		}
		return true
	})
	g.named[e] = all
	return all
}

type needList struct {
	all  []definition
	seen map[definition]bool
}

func (l *needList) add(all ...definition) {
	for _, d := range all {
		if !l.seen[d] {
			l.seen[d] = true
			l.all = append(l.all, d)
		}
	}
}
