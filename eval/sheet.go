package eval

import (
	"squab/eval/check"
	"squab/lang/diag"
)

// Sheet is a plan filled in for one order. Changing one input works out only what rests on it. A Sheet is for one goroutine.
type Sheet struct {
	Plan  *Plan
	Order *check.Order

	f     *frame
	given []*check.Cell // what settled each ask: the order's own cell, or nil for a default
	dirty []bool
}

// NewSheet makes an empty sheet.
func (p *Plan) NewSheet() *Sheet {
	return &Sheet{Plan: p, f: p.newFrame(), given: make([]*check.Cell, p.priceFrom), dirty: make([]bool, len(p.Slots))}
}

// Fill works every cell of the recipe out for an order. What could not be worked out stays in its cells as a fault; Problems tells of them.
func (s *Sheet) Fill(o *check.Order) {
	s.clear(o)
	if s.Plan.Recipe == nil {
		return
	}
	s.fillAsks(o)
	if !s.workQuickly() {
		s.workAll()
	}
}

// clear makes the sheet ready for an order.
func (s *Sheet) clear(o *check.Order) {
	s.Order = o
	s.f.reset()
	clear(s.given)
}

// workAll works every slot of the recipe out.
func (s *Sheet) workAll() {
	for _, i := range s.Plan.sequence {
		s.work(i)
	}
}

// take takes a value for an ask that stands in no order.
func (s *Sheet) take(ask *check.Cell, v check.Value) {
	s.given[ask.Index] = ask
	s.f.slots[ask.Index] = v
}

// fillAsks puts what the order gives into the asks of the recipe.
func (s *Sheet) fillAsks(o *check.Order) {
	for _, ask := range s.Plan.Recipe.Asks {
		if cell := o.Given[ask.Index]; cell != nil {
			s.given[ask.Index] = cell
			s.f.slots[ask.Index] = s.giveValue(cell)
		}
	}
	s.f.slots[check.OffIndex] = s.offOf(o)
	s.f.slots[check.DateIndex] = check.Num(intNumber(s.Plan.Day))
}

// offOf is how many an order makes: one, unless it says more.
func (s *Sheet) offOf(o *check.Order) check.Value {
	if o.Off == nil {
		return check.Num(intNumber(1))
	}
	return s.workGiven(o.Off)
}

func (s *Sheet) giveValue(cell *check.Cell) check.Value { return s.workGiven(cell.Expr) }

// workGiven works out what an order gives; a plain literal needs no work.
func (s *Sheet) workGiven(e check.Expr) check.Value {
	if k, ok := e.(*check.Const); ok {
		return k.Value
	}
	s.Plan.late.Lock()
	defer s.Plan.late.Unlock()
	c := compiler{s.Plan, 0}
	return s.f.settle(c.compile(e))
}

// work works one slot out.
func (s *Sheet) work(i int) {
	f, p := s.f, s.Plan
	slot := &p.Slots[i]
	isAsk := slot.Cell.Role == check.AskCell
	switch {
	case slot.Base == 0 && i <= check.DateIndex:
		return
	case isAsk && i < len(s.given) && s.given[i] != nil:
	case p.run[i] == nil:
		if slot.Base == p.priceFrom && i >= p.priceFrom {
			return // a sum, set from the order's lines
		}
		f.slots[i] = poison(newFault("ask-missing", s.orderAt(), "%s asks for %s, and the order does not give it", p.Recipe.Name, slot.Name).note(slot.Cell.At, "asked here"))
		return
	default:
		f.slots[i] = f.settle(p.run[i])
	}
	if isAsk {
		s.checkAsk(i)
	}
}

func (s *Sheet) orderAt() diag.Span {
	if s.Order == nil {
		return diag.Span{}
	}
	return s.Order.At
}

func (s *Sheet) orderID() string {
	if s.Order == nil {
		return ""
	}
	return s.Order.ID
}

// checkAsk refuses an ask outside its range, and a count that is not a whole number.
func (s *Sheet) checkAsk(i int) {
	slot, v := &s.Plan.Slots[i], s.f.slots[i]
	r := s.Plan.ranges[i]
	switch {
	case r.holdsAll() || FaultOf(v) != nil:
		return
	case r.fault != nil:
		s.f.slots[i] = poison(r.fault)
		return
	case !r.outside(v.Num):
		return
	}
	s.f.slots[i] = poison(newFault("ask-outside", s.askAt(i), "%s must lie %s, and is %s", slot.Name, s.Plan.program.RangeText(slot.Cell), s.Plan.Show(v, slot.Cell.Type)).note(slot.Cell.At, "asked here"))
}

// askAt is where an ask's value was given.
func (s *Sheet) askAt(i int) diag.Span {
	slot := s.Plan.Slots[i]
	switch {
	case i < len(s.given) && s.given[i] != nil:
		return s.given[i].At
	case slot.Outer:
		return slot.Formula.At
	}
	return slot.Cell.At
}

// Set changes one ask of the recipe to a cell's value, and works out again only what rests on it.
func (s *Sheet) Set(cell *check.Cell) {
	i := cell.Index
	s.given[i] = cell
	s.f.slots[i] = s.giveValue(cell)
	s.f.steps = 0
	s.checkAsk(i)
	s.mark(i)
	for _, j := range s.Plan.sequence {
		if s.dirty[j] {
			s.dirty[j] = false
			if j != i {
				s.work(j)
			}
		}
	}
}

// mark notes everything that rests on a slot.
func (s *Sheet) mark(i int) {
	if s.dirty[i] {
		return
	}
	s.dirty[i] = true
	for _, j := range s.Plan.dependents[i] {
		s.mark(j)
	}
}

// Value gives a slot's value; a fault where it could not be worked out.
func (s *Sheet) Value(slot int) (check.Value, *Fault) {
	v := s.f.slots[slot]
	return v, FaultOf(v)
}

// Given tells what settled an ask of the recipe: the order's own cell, or nil.
func (s *Sheet) Given(slot int) *check.Cell {
	if slot < len(s.given) {
		return s.given[slot]
	}
	return nil
}

// at gives the slot of an instance's cell, or -1 for none.
func (in instance) at(cell *check.Cell) int {
	if cell == nil {
		return -1
	}
	return in.base + cell.Index
}

// holds reports whether a statement's condition holds; a fault in it is noted.
func (s *Sheet) holds(in instance, when *check.Cell, faults *faultList) bool {
	if when == nil {
		return true
	}
	v, fault := s.Value(in.at(when))
	faults.add(fault)
	return fault == nil && v.Yes()
}

// faultList collects faults, each once.
type faultList struct{ all []*Fault }

func (l *faultList) add(f *Fault) {
	if f == nil {
		return
	}
	for _, have := range l.all {
		if have == f || have.Code == f.Code && have.At == f.At && have.Message == f.Message {
			return
		}
	}
	l.all = append(l.all, f)
}
