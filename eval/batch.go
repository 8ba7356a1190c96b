package eval

import (
	"squab/eval/check"
	"squab/eval/column"
)

// blockOrders is how many orders a batch works out side by side: enough to spread the cost of an operation, few enough for their columns to stay near.
const blockOrders = 256

// Batch works many orders of one plan out, a column of values at a time, exactly. It gives what a Sheet would: where an order or a cell is not
// within what was proven for columns, its value comes from the formulas one by one, and Counts tells how often. A Batch is for one goroutine.
type Batch struct {
	plan    *Plan
	program *column.Program
	judge   column.Judgement
	machine *column.Machine
	sheet   *Sheet
	inputs  []*column.Input // by slot
	needed  []int           // in order: the slots asked for, and those from which the exact path would work them out
	counts  Counts
	in      Orders       // in hand
	stock   column.Stock // for the row in hand
	filled  int          // the order that the sheet is filled for; -1 for none
}

// Counts tells what a batch has worked out so far.
type Counts struct {
	Orders    int64
	Apart     int64 // orders worked out one by one, because a cut list was asked for and they were not known to be sound
	Uncovered int64 // orders with an ask off its grid or out of its range, all of whose values came from the exact path
	Values    int64 // values that came from the exact path, one by one, in other orders
}

// Plus adds what another batch has worked out.
func (c Counts) Plus(d Counts) Counts {
	return Counts{c.Orders + d.Orders, c.Apart + d.Apart, c.Uncovered + d.Uncovered, c.Values + d.Values}
}

// Orders are the values of asks, by the ask's place in the recipe's Asks and then by order. A column that is nil is given by no order.
type Orders struct {
	Count int
	Off   []check.Value // nil for one of each
	Days  []int64       // nil for the plan's own day
	Asks  [][]check.Value
}

// notGiven marks an ask that one order does not give.
var notGiven = &check.Object{}

// NotGiven stands in a column for an ask that the order does not give.
func NotGiven() check.Value { return check.Value{Obj: notGiven} }

// Batch makes a batch that gives the values of some slots; with none named, of every slot of the recipe. It is an error where no order could be worked out by columns.
func (p *Plan) Batch(slots ...int) (*Batch, error) {
	if len(slots) == 0 {
		slots = p.sequence
	}
	return p.batch(column.Judged, slots)
}

func (p *Plan) batch(judge column.Judgement, slots []int) (*Batch, error) {
	b := &Batch{plan: p, sheet: p.NewSheet(), judge: judge}
	program, err := p.columns(judge, func(made *column.Program) []int {
		b.needed = p.neededBy(slots, made)
		return b.needed
	})
	if err != nil {
		return nil, err
	}
	b.program, b.machine = program, program.NewMachine(blockOrders)
	b.inputs = inputsBySlot(p, program)
	return b, nil
}

func inputsBySlot(p *Plan, program *column.Program) []*column.Input {
	inputs := make([]*column.Input, p.priceFrom)
	all := program.Inputs()
	for i := range all {
		inputs[all[i].Slot] = &all[i]
	}
	return inputs
}

// columns makes the program that works the plan's slots out by columns.
func (p *Plan) columns(judge column.Judgement, keep func(*column.Program) []int) (*column.Program, error) {
	p.late.Lock()
	defer p.late.Unlock()
	src := column.Source{
		Slots: p.Slots, Order: p.sequence, Materials: p.program.Materials, Style: p.program.Style,
		MaxItems: p.limits.ListItems, MaxSteps: p.limits.Steps, Judge: judge, Bodies: p.bodiesOf, Keep: keep,
		Range: func(cell *check.Cell) column.Range {
			s := p.spanOf(cell)
			return column.Range{From: s.from, To: s.to, HasFrom: s.hasFrom, HasTo: s.hasTo, Untold: s.fault != nil}
		},
		Field: func(m *check.Material, i int) (check.Value, bool) {
			v := p.materials[m.Index][i]
			return v, FaultOf(v) == nil
		},
	}
	src.Price = column.Price{Recipe: p.program.Price, Base: p.priceFrom, Order: p.priceOrder}
	for i := range p.Slots {
		switch {
		case p.roots[i] && i < p.priceFrom:
			src.Roots = append(src.Roots, i)
		case p.roots[i]:
			src.Price.Roots = append(src.Price.Roots, i)
		}
	}
	for _, in := range p.instances {
		src.Parts = append(src.Parts, column.Instance{Recipe: in.recipe, Base: in.base})
	}
	return column.Compile(src)
}

// neededBy lists, in order, slots and all that the exact path needs to work them out, where a value may have to come from there.
func (p *Plan) neededBy(slots []int, program *column.Program) []int {
	needed := make([]bool, p.priceFrom)
	var need func(i int)
	need = func(i int) {
		if needed[i] {
			return
		}
		needed[i] = true
		if !program.Always(i) {
			for _, j := range p.Slots[i].Needs() {
				need(j)
			}
		}
	}
	for _, i := range slots {
		need(i)
	}
	var all []int
	for _, i := range p.sequence {
		if needed[i] {
			all = append(all, i)
		}
	}
	return all
}

// Unproven lists the slots asked for that no column holds, and why; a text is one of them.
func (b *Batch) Unproven() map[int]string {
	all := map[int]string{}
	for _, i := range b.needed {
		switch {
		case b.program.Why(i) != "":
			all[i] = b.program.Why(i)
		case !b.program.HasValue(i):
			all[i] = "no column holds it"
		}
	}
	return all
}

// Unjudged says why no row is ever Sound; "" where rows can be.
func (b *Batch) Unjudged() string { return b.program.Unjudged() }

// Counts tells what was worked out so far.
func (b *Batch) Counts() Counts { return b.counts }

// Row is one order of a batch, to be read before the next.
type Row struct {
	b   *Batch
	row int
	at  int // its place among the orders in hand
}

// Run works the orders out, and calls each for one after the other.
func (b *Batch) Run(in Orders, each func(i int, r Row)) {
	b.in = in
	for from := 0; from < in.Count; from += blockOrders {
		n := min(blockOrders, in.Count-from)
		b.give(from, n)
		b.machine.Run()
		b.counts.Orders += int64(n)
		for row := range n {
			each(from+row, b.row(from+row, row))
		}
	}
}

// give puts the asks of a block into the machine.
func (b *Batch) give(from, n int) {
	b.machine.Begin(n)
	b.giveColumn(check.OffIndex, b.in.Off, from, n)
	date := b.inputs[check.DateIndex]
	for row := range n {
		b.machine.Give(date, row, check.Num(intNumber(b.dayOf(from+row))))
	}
	for k, ask := range b.plan.Recipe.Asks {
		var values []check.Value
		if k < len(b.in.Asks) {
			values = b.in.Asks[k]
		}
		b.giveColumn(ask.Index, values, from, n)
	}
}

func (b *Batch) dayOf(at int) int64 {
	if b.in.Days == nil {
		return b.plan.Day
	}
	return b.in.Days[at]
}

func (b *Batch) giveColumn(slot int, values []check.Value, from, n int) {
	input := b.inputs[slot]
	if input == nil {
		return
	}
	if values == nil {
		b.machine.WithholdAll(input)
		return
	}
	for row, v := range values[from : from+n] {
		if v.Obj == notGiven {
			b.machine.Withhold(input, row)
			continue
		}
		b.machine.Give(input, row, v)
	}
}

func (b *Batch) row(at, row int) Row {
	b.stock.Reset()
	b.filled = -1
	if !b.machine.Covers(row) {
		b.counts.Uncovered++
	}
	return Row{b, row, at}
}

// Value gives the value of a slot that the batch was made for, or why it could not be worked out. A list, a size or a point is good until the next row.
func (r Row) Value(slot int) (check.Value, *Fault) {
	b := r.b
	if b.machine.Covers(r.row) {
		if v, ok := b.machine.Value(slot, r.row, &b.stock); ok {
			return v, nil
		}
	}
	if b.filled != r.at {
		r.fillOwn()
		b.filled = r.at
	}
	return b.sheet.Value(slot)
}

// Sound reports whether it is proven that nothing refuses the order, its layout, buying and price left out. Where it is not, Engine.Finish says what the order comes to.
func (r Row) Sound() bool { return r.b.machine.Sound(r.row) }

// fillOwn works what columns do not hold of the order out in the batch's own sheet.
func (r Row) fillOwn() {
	b, s := r.b, r.b.sheet
	s.clear(nil)
	for k, ask := range b.plan.Recipe.Asks {
		if k < len(b.in.Asks) && b.in.Asks[k] != nil && b.in.Asks[k][r.at].Obj != notGiven {
			s.take(ask, b.in.Asks[k][r.at])
		}
	}
	s.f.slots[check.OffIndex] = check.Num(intNumber(1))
	if b.in.Off != nil {
		s.f.slots[check.OffIndex] = b.in.Off[r.at]
	}
	s.f.slots[check.DateIndex] = check.Num(intNumber(b.dayOf(r.at)))
	r.workInto(s)
}

// fill fills a sheet for the order that the row is of.
func (r Row) fill(s *Sheet, o *check.Order) {
	s.clear(o)
	s.fillAsks(o)
	r.workInto(s)
}

// fillSound fills a sheet, for an order that is sound, with those values that the batch was made for; the other cells are left as they are.
func (r Row) fillSound(s *Sheet, o *check.Order) {
	s.clear(o)
	for _, i := range r.b.needed {
		s.f.slots[i], _ = r.b.machine.Value(i, r.row, &s.f.stock) // what is not there is not read
	}
}

// workInto gives a sheet, whose asks are given, what columns hold, and works the rest out.
func (r Row) workInto(s *Sheet) {
	b := r.b
	if !b.machine.Covers(r.row) {
		s.workAll()
		return
	}
	for _, i := range b.needed {
		v, ok := b.machine.Value(i, r.row, &s.f.stock)
		if ok {
			s.f.slots[i] = v
			continue
		}
		s.work(i)
		if !b.program.IsText(i) {
			b.counts.Values++
		}
	}
}
