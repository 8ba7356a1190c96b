package column

import (
	"squab/eval/check"
	"squab/eval/quantity"
)

// Input is an ask that orders give.
type Input struct {
	Slot  int
	value value
	reg   int32
	given int32 // where an order gives it
	times quantity.Number
	kind  *check.Kind
}

// grids is the unit in which asks of a dimension are taken, in base units, and how many of them an ask without a range may be.
// An order off the grid, or past that, takes the exact path.
var grids = []struct {
	dim  quantity.Dimension
	unit ratio
	most int64
}{
	{quantity.LengthDim, ratio{1, 64}, 64 * 12_000},
	{quantity.Plain, ratio{1, 200}, 200 * 1_000},
	{quantity.AreaDim, ratio{1, 16}, 16 * 144_000},
	{quantity.MassDim, ratio{1, 16}, 16 * 1_000},
	{quantity.TimeDim, ratio{1, 60}, 60 * 10_000},
	{quantity.AngleDim, ratio{1, 60}, 60 * 360},
	{quantity.MoneyDim, ratio{1, 100}, 100 * 100_000},
}

// millimetres is a tenth of a millimetre in inches, for shops that measure so.
var millimetres = ratio{1, 254}

// makeInputs gives every ask of the recipe a column, and one more that says where it is given.
func (c *compiler) makeInputs() {
	for i, s := range c.src.Slots {
		if s.Base != 0 || s.Cell.Role != check.AskCell {
			continue
		}
		in, ok := c.input(i, s.Cell)
		if !ok {
			c.slots[i].why = "no column holds an ask of this kind"
			continue
		}
		c.slots[i] = slot{value: in.value}
		c.inputs = append(c.inputs, in)
	}
}

func (c *compiler) input(i int, cell *check.Cell) (Input, bool) {
	in := Input{Slot: i, reg: c.register(), given: c.register()}
	n := operand{reg: in.reg}
	switch cell.Type.Base {
	case check.Quantity:
		unit, b, ok := c.grid(cell)
		if !ok {
			return in, false
		}
		n.b = b
		in.value = whole(n, unit)
		in.times = ratio{unit.den, unit.num}.number()
	case check.Date:
		n.b = bound{-1_000_000, 1_000_000}
		in.value, in.times = whole(n, one), quantity.Int(1)
	case check.ChoiceWord:
		n.b = bound{0, int64(len(cell.Type.Choice.Words)) - 1}
		in.value, in.times = whole(n, one), quantity.Int(1)
	case check.YesNo:
		n.b = truths
		in.value = mask(n)
	case check.OfMaterial:
		in.kind = cell.Type.Kind
		n.b = c.places(in.kind)
		in.value = value{form: material, n: n, taint: no}
	default:
		return in, false
	}
	return in, in.value.n.b.lo <= in.value.n.b.hi
}

// places bounds the places of a kind's materials.
func (c *compiler) places(k *check.Kind) bound {
	b := bound{0, -1}
	for i, m := range c.src.Materials {
		switch {
		case m.Kind != k:
		case b.hi < 0:
			b = exactly(int64(i))
		default:
			b.hi = int64(i)
		}
	}
	return b
}

// grid gives the unit of an ask and the bound of its multiple.
func (c *compiler) grid(cell *check.Cell) (ratio, bound, bool) {
	unit, b := one, bound{-1_000, 1_000}
	if !cell.Type.Whole {
		found := false
		for _, g := range grids {
			if g.dim == cell.Type.Dim {
				unit, b, found = g.unit, bound{-g.most, g.most}, true
			}
		}
		if !found {
			return unit, b, false
		}
		if style := c.src.Style.Length; cell.Type.IsLength() && (style == "mm" || style == "cm" || style == "m") {
			unit, b = millimetres, bound{-254 * 4_000, 254 * 4_000}
		}
	}
	r := c.src.Range(cell)
	if n, ok := endOf(r.From, unit); r.HasFrom && ok {
		b.lo = n
	}
	if n, ok := endOf(r.To, unit); r.HasTo && ok {
		b.hi = n
	}
	return unit, b, b.lo <= b.hi
}

// endOf is the end of a range in a unit, rounded down; the exact end is held against the value where it is used.
func endOf(end quantity.Number, unit ratio) (int64, bool) {
	const far = 1 << 40
	n, ok := end.Mul(ratio{unit.den, unit.num}.number()).RoundDown(quantity.Int(1))
	if !ok {
		return 0, false
	}
	i, ok := n.Int64()
	return i, ok && -far < i && i < far
}

// givenOperand is where an order gives the ask of a slot.
func (c *compiler) givenOperand(i int) operand {
	for _, in := range c.inputs {
		if in.Slot == i {
			return operand{reg: in.given, b: truths}
		}
	}
	return no
}

// Inputs lists the slots of the asks that the program takes from orders.
func (p *Program) Inputs() []Input { return p.inputs }

// Inputs lists the slots of the asks that the machine's program takes from orders.
func (m *Machine) Inputs() []Input { return m.p.inputs }

// Begin begins a block of orders, at most as many as the machine is wide.
func (m *Machine) Begin(orders int) {
	m.rows = min(orders, m.width)
	clear(m.column(m.p.place[m.p.unfit]))
}

// Give gives an ask's value for an order of the block; false where the program does not cover it, so that the order must take the exact path.
func (m *Machine) Give(in *Input, row int, v check.Value) bool {
	n, ok := in.multiple(m.p, v)
	if !ok {
		m.Withhold(in, row)
		m.columns[m.p.place[m.p.unfit]][row] = -1
		return false
	}
	m.columns[m.p.place[in.reg]][row] = n
	m.columns[m.p.place[in.given]][row] = -1
	return true
}

// Withhold says that an order does not give an ask.
func (m *Machine) Withhold(in *Input, row int) {
	m.columns[m.p.place[in.reg]][row] = in.value.n.b.lo
	m.columns[m.p.place[in.given]][row] = 0
}

// WithholdAll says that no order of the block gives an ask.
func (m *Machine) WithholdAll(in *Input) {
	fill(m.column(m.p.place[in.reg]), in.value.n.b.lo)
	fill(m.column(m.p.place[in.given]), 0)
}

// Refuse marks an order as one that the program does not cover.
func (m *Machine) Refuse(row int) { m.columns[m.p.place[m.p.unfit]][row] = -1 }

// multiple gives how many of the input's unit a value is; false off the grid or out of bounds.
func (in *Input) multiple(p *Program, v check.Value) (int64, bool) {
	switch {
	case v.Obj != nil && v.Obj.Fault != nil:
		return 0, false
	case in.value.form == truth:
		if v.Yes() {
			return -1, true
		}
		return 0, true
	case in.value.form == material:
		m := v.Material()
		if m == nil || m.Kind != in.kind || m.Index >= len(p.src.Materials) || p.src.Materials[m.Index] != m {
			return 0, false
		}
		return int64(m.Index), true
	}
	n, ok := v.Num.Mul(in.times).Int64()
	return n, ok && in.value.n.b.has(n)
}

// Run works the block out.
func (m *Machine) Run() { m.run(m.p.main) }
