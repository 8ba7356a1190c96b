// Package eval works orders out: a checked Program becomes a Plan of ordered slots for each recipe and span of days, and a Sheet fills a plan for one order.
package eval

import (
	"fmt"
	"sync"

	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang"
)

// Limits bounds the work on one order. The zero value stands for the limits of the language reference.
type Limits struct {
	ListItems int // items of one list
	Steps     int // rules called and loops run for one order
	Bits      int // size of an exact value
}

func (l Limits) orDefault() Limits {
	if l.ListItems == 0 {
		l.ListItems = 10_000
	}
	if l.Steps == 0 {
		l.Steps = 10_000_000
	}
	if l.Bits == 0 {
		l.Bits = 4_096
	}
	return l
}

// Engine makes plans and keeps them. It is safe for use by several goroutines.
type Engine struct {
	Program *check.Program
	Limits  Limits
	Lay     LayFunc // how pieces are laid on their material; nil reckons without laying out
	WhatIf  WhatIf  // values to use in place of the book's

	mu    sync.Mutex
	plans map[planKey]*Plan
	days  map[dayKey]*Plan
}

// planKey says what a plan depends on: the recipe, the span of days between two changes of the rules, and an order with amendments of its own.
type planKey struct {
	recipe *check.Recipe
	epoch  int
	order  *check.Order
}

// dayKey is one day of a plan that holds for longer.
type dayKey struct {
	plan *Plan
	day  int64
}

// Plan is a recipe made ready: its cells and its parts' in slots, in an order in which each follows what it reads, and the price's after them.
type Plan struct {
	Recipe *check.Recipe
	Slots  []check.Slot
	Day    int64

	engine     *Engine
	program    *check.Program
	limits     Limits
	order      *check.Order // whose own amendments are in force
	sequence   []int        // of the recipe's slots
	priceFrom  int          // the price's first slot; len(Slots) where there is no price
	priceOrder []int
	run        []formula
	dependents [][]int
	ranges     []span
	roots      []bool // cells that neither another slot nor a statement reads
	instances  []instance
	rules      map[*check.Rule]*rule
	materials  [][]check.Value // their fields, by place
	loopSize   int
	late       *sync.Mutex // held while a formula is compiled after the plan was made
	quick      *quick
	shared     *Plan // the plan that the days of its span share all but the day with
}

// instance is a recipe or a part of it, laid out.
type instance struct {
	recipe *check.Recipe
	prefix string
	base   int
}

// span is a range, worked out once. Nothing lies in one whose ends cannot be told.
type span struct {
	from, to       quantity.Number
	hasFrom, hasTo bool
	fault          *Fault
}

// holdsAll reports whether a range leaves nothing out.
func (s span) holdsAll() bool { return !s.hasFrom && !s.hasTo && s.fault == nil }

// Plan gives the plan of a recipe for a day and an order (nil where the order has no amendments of its own).
func (e *Engine) Plan(r *check.Recipe, day int64, order *check.Order) *Plan {
	if !e.hasAmends(order) {
		order = nil
	}
	key := planKey{r, e.epoch(day), order}
	e.mu.Lock()
	defer e.mu.Unlock()
	p := e.plans[key]
	if p == nil {
		p = e.newPlan(r, day, order)
	}
	if order != nil {
		return p
	}
	if e.plans == nil {
		e.plans, e.days = map[planKey]*Plan{}, map[dayKey]*Plan{}
	}
	e.plans[key] = p
	return e.onDay(p, day)
}

// onDay gives a plan for another day of the same span; the two share all but the day.
func (e *Engine) onDay(p *Plan, day int64) *Plan {
	if p.Day == day {
		return p
	}
	key := dayKey{p, day}
	if e.days[key] == nil {
		twin := *p
		twin.Day = day
		e.days[key] = &twin
	}
	return e.days[key]
}

// epoch counts the changes of the rules up to a day.
func (e *Engine) epoch(day int64) int {
	n := 0
	for _, d := range e.Program.Epochs {
		if d <= day {
			n++
		}
	}
	return n
}

func (e *Engine) hasAmends(order *check.Order) bool {
	if order == nil {
		return false
	}
	for _, r := range e.Program.Rules {
		for _, a := range r.Amends {
			if a.OrderOnly == order {
				return true
			}
		}
	}
	return false
}

func (e *Engine) newPlan(r *check.Recipe, day int64, order *check.Order) *Plan {
	p := &Plan{Recipe: r, Day: day, engine: e, program: e.Program, limits: e.Limits.orDefault(), order: order, rules: map[*check.Rule]*rule{}, late: &sync.Mutex{}, quick: &quick{}}
	p.materials = make([][]check.Value, len(e.Program.Materials))
	if r != nil {
		p.Slots = check.Layout(r)
		p.sequence, _ = check.SortSlots(p.Slots)
		p.addInstances(r, "", 0)
	}
	p.priceFrom = len(p.Slots)
	p.addPrice()
	for _, m := range p.program.Materials {
		p.fields(m)
	}
	p.compileSlots()
	p.shared = p
	return p
}

// addInstances lists the recipe and its parts, outermost first.
func (p *Plan) addInstances(r *check.Recipe, prefix string, base int) {
	p.instances = append(p.instances, instance{r, prefix, base})
	p.loopSize = max(p.loopSize, r.LoopSize)
	for _, part := range r.Parts {
		p.addInstances(part.Recipe, prefix+part.Name+".", base+part.Offset)
	}
}

// addPrice puts the price's slots after the recipe's.
func (p *Plan) addPrice() {
	r := p.program.Price
	if r == nil {
		return
	}
	slots := check.Layout(r)
	order, _ := check.SortSlots(slots)
	for _, i := range order {
		p.priceOrder = append(p.priceOrder, i+p.priceFrom)
	}
	for _, s := range slots {
		s.Name, s.Home, s.Base = "price."+s.Name, p.priceFrom, p.priceFrom
		p.Slots = append(p.Slots, s)
	}
	p.loopSize = max(p.loopSize, r.LoopSize)
}

// compileSlots turns each slot's formula into a closure, and notes which slots read which.
func (p *Plan) compileSlots() {
	p.run = make([]formula, len(p.Slots))
	p.ranges = make([]span, len(p.Slots))
	p.dependents = make([][]int, len(p.Slots))
	for i, s := range p.Slots {
		for _, need := range s.Needs() {
			p.dependents[need] = append(p.dependents[need], i)
		}
		if s.Formula != nil {
			c := compiler{p, s.Home}
			p.run[i] = c.compile(s.Formula.Expr)
		}
		p.ranges[i] = p.spanOf(s.Cell)
	}
	p.findRoots()
}

// findRoots finds the cells that nothing reads: no other slot, and no statement, whose condition would guard it.
func (p *Plan) findRoots() {
	p.roots = make([]bool, len(p.Slots))
	for i, s := range p.Slots {
		p.roots[i] = s.Cell.Role == check.FormulaCell && len(p.dependents[i]) == 0
	}
	for _, in := range p.instances {
		p.guard(in)
	}
	if r := p.program.Price; r != nil {
		p.guard(instance{r, "", p.priceFrom})
	}
}

// guard takes the cells that statements read from the roots.
func (p *Plan) guard(in instance) {
	var read []*check.Cell
	for _, x := range in.recipe.Pieces {
		read = append(read, x.Cells()...)
	}
	for _, x := range in.recipe.Marks {
		read = append(read, x.Points, x.Hole)
	}
	for _, x := range in.recipe.Works {
		read = append(read, x.Time, x.Setup, x.Rate)
	}
	for _, x := range in.recipe.Charges {
		read = append(read, x.Value)
	}
	for _, cell := range read {
		if cell != nil {
			p.roots[in.at(cell)] = false
		}
	}
}

// pieceSlots lists the slots that pieces are made of.
func (p *Plan) pieceSlots() []int {
	var all []int
	for _, in := range p.instances {
		all = append(all, in.base+check.OffIndex)
		for _, x := range in.recipe.Pieces {
			for _, cell := range x.Cells() {
				all = append(all, in.at(cell))
			}
		}
	}
	return all
}

// spanOf works a cell's range out.
func (p *Plan) spanOf(cell *check.Cell) span {
	s := span{hasFrom: cell.From != nil, hasTo: cell.To != nil}
	if s.holdsAll() {
		return s
	}
	f := p.newFrame()
	for _, end := range []struct {
		e  check.Expr
		to *quantity.Number
	}{{cell.From, &s.from}, {cell.To, &s.to}} {
		if end.e == nil {
			continue
		}
		v := f.settle(compiler{p, 0}.compile(end.e))
		if fault := FaultOf(v); fault != nil {
			return span{fault: fault.within(cell.At, "in the range of "+cell.Name)}
		}
		*end.to = v.Num
	}
	return s
}

// outside reports whether n lies outside the range.
func (s span) outside(n quantity.Number) bool {
	if s.hasFrom {
		if order, _ := n.Cmp(s.from); order < 0 {
			return true
		}
	}
	if s.hasTo {
		if order, _ := n.Cmp(s.to); order > 0 {
			return true
		}
	}
	return false
}

// Slot finds a slot by its dotted name, or -1.
func (p *Plan) Slot(name string) int {
	for i, s := range p.Slots {
		if s.Name == name && s.Cell.Role != check.HiddenCell {
			return i
		}
	}
	return -1
}

// Show writes a value as the shop's page shows it.
func (p *Plan) Show(v check.Value, t check.Type) string { return Show(p.program, v, t) }

// Show writes a value of a kind as the shop's page shows it.
func Show(program *check.Program, v check.Value, t check.Type) string {
	switch t.Base {
	case check.Quantity:
		return program.Style.Show(v.Num, t.ShownDim()).Text
	case check.Text:
		return v.Text()
	case check.YesNo:
		if v.Yes() {
			return "yes"
		}
		return "no"
	case check.Date:
		day, _ := v.Num.Int64()
		return check.DateText(day)
	case check.ChoiceWord:
		if i, ok := v.Num.Int64(); ok && i >= 0 && int(i) < len(t.Choice.Words) {
			return t.Choice.Words[i]
		}
	case check.OfMaterial:
		if m := v.Material(); m != nil {
			return m.Name
		}
	case check.Size, check.Point, check.List:
		return showItems(program, v, t)
	}
	return "?"
}

func showItems(program *check.Program, v check.Value, t check.Type) string {
	length := check.LengthType()
	switch t.Base {
	case check.Size:
		return fmt.Sprintf("%s by %s", Show(program, v.Item(0), length), Show(program, v.Item(1), length))
	case check.Point:
		return fmt.Sprintf("%s at %s", Show(program, v.Item(0), length), Show(program, v.Item(1), length))
	}
	s := ""
	for i, item := range v.Items() {
		if i > 0 {
			s += ", "
		}
		s += Show(program, item, *t.Elem)
	}
	return "[" + s + "]"
}

// Program is the checked book that the plan belongs to.
func (p *Plan) Program() *check.Program { return p.program }

// PriceSlot is the slot of a cell of the price block.
func (p *Plan) PriceSlot(cell *check.Cell) int { return p.priceFrom + cell.Index }

// PriceFrom is the first slot of the price: those before it are the recipe's, its parts' included.
func (p *Plan) PriceFrom() int { return p.priceFrom }

// ShowAmount writes an amount of what a line buys, in the unit in which its price or what it is sold by is written.
func (p *Plan) ShowAmount(l BuyLine, n quantity.Number) string {
	if unit, ok := p.unitOf(l.Material); ok && unit.Dim == l.Type.ShownDim() {
		return p.program.Style.ShowIn(n, l.Type.ShownDim(), unit).Text
	}
	return p.Show(check.Num(n), l.Type)
}

// unitOf finds the unit after `per` in a material's price, else the unit of what it is sold by.
func (p *Plan) unitOf(m *check.Material) (quantity.Unit, bool) {
	if price := p.literalOf(m, "price"); price != nil && price.Per != nil {
		return p.program.Units.Lookup(price.Per.Text)
	}
	if sold := p.literalOf(m, "sold"); sold != nil && len(sold.Parts) == 1 {
		return p.program.Units.Lookup(sold.Parts[0].Unit.Text)
	}
	return quantity.Unit{}, false
}

func (p *Plan) literalOf(m *check.Material, field string) *lang.Measure {
	f := m.Kind.Field(field)
	if f == nil {
		return nil
	}
	lit, _ := p.FieldInForce(m, f.Index).Source.(*lang.Measure)
	return lit
}

// UseSlots lists the slots of what a sheet's order uses of a material.
func (p *Plan) UseSlots(m *check.Material, s *Sheet) []int {
	var slots []int
	for _, in := range p.instances {
		for _, u := range in.recipe.Uses {
			v, fault := s.Value(in.at(u.Material))
			if fault == nil && v.Material() == m && s.holds(in, u.When, &faultList{}) {
				slots = append(slots, in.at(u.Need))
			}
		}
	}
	return slots
}
