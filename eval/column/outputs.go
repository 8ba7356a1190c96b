package column

import (
	"squab/eval/check"
	"squab/eval/quantity"
)

// at is an operand's number for an order.
func (m *Machine) at(x operand, row int) int64 {
	if x.isFixed() {
		return x.b.lo
	}
	return m.columns[m.p.place[x.reg]][row]
}

// Covers reports whether the program covers an order's asks.
func (m *Machine) Covers(row int) bool { return m.columns[m.p.place[m.p.unfit]][row] == 0 }

// Sound reports whether it is proven that nothing refuses an order, layout, buying and price left out.
func (m *Machine) Sound(row int) bool {
	return m.p.judged == "" && m.at(m.p.sound.n, row) != 0
}

// Value gives a kept slot's value for an order that is covered, its objects from stock; false where it must come from the exact path.
func (m *Machine) Value(slot, row int, stock *Stock) (check.Value, bool) {
	s := &m.p.slots[slot]
	if !s.kept || m.at(s.value.taint, row) != 0 {
		return check.Value{}, false
	}
	if s.value.form == measure {
		return check.Num(m.number(&s.value, row)), true
	}
	return m.object(&s.value, row, stock), true
}

// output is a kept slot that every covered order has, as a measure whose divisor is 1: no question need be asked of it.
type output struct {
	slot int
	reg  int32
	unit ratio
}

// outputs sorts the kept slots in their order: those that are plain outputs, and the others.
func (p *Program) outputs() (plain []output, others []int) {
	for _, i := range p.src.Order {
		s := &p.slots[i]
		switch v := &s.value; {
		case s.kept && v.form == measure && !v.n.isFixed() && v.d.is(1) && v.taint.is(0):
			plain = append(plain, output{i, p.place[v.n.reg], v.unit})
		default:
			others = append(others, i)
		}
	}
	return plain, others
}

// Plain gives the values of those slots that every covered order has as plain measures; Others lists the rest.
func (m *Machine) Plain(row int, slots []check.Value) {
	for i := range m.p.plain {
		o := &m.p.plain[i]
		slots[o.slot] = check.Num(o.unit.multiple(m.columns[o.reg][row], 1))
	}
}

// Others lists, in their order, the slots that Plain leaves.
func (m *Machine) Others() []int { return m.p.others }

// number is a measure for an order.
func (m *Machine) number(v *value, row int) quantity.Number {
	return v.unit.multiple(m.at(v.n, row), m.at(v.d, row))
}

// multiple is n / d of a unit.
func (a ratio) multiple(n, d int64) quantity.Number {
	if d == 1 && a.num == 1 {
		return quantity.Frac(n, a.den)
	}
	q, _ := quantity.Int(n).Mul(a.number()).Div(quantity.Int(d))
	return q
}

// object is a value that is more than a number.
func (m *Machine) object(v *value, row int, stock *Stock) check.Value {
	switch v.form {
	case truth:
		return check.Bool(m.at(v.n, row) != 0)
	case material:
		return m.p.materials[m.at(v.n, row)]
	case pair:
		return stock.Pair(m.object(&v.parts[0], row, stock), m.object(&v.parts[1], row, stock))
	case list:
		return m.listed(v.list, row, stock)
	}
	return check.Num(m.number(v, row))
}

// listed gathers the items that a list holds for an order.
func (m *Machine) listed(l *items, row int, stock *Stock) check.Value {
	buffer := &m.lists[l.id]
	n := 0
	for i := range buffer.items {
		present, _ := buffer.item(i)
		n -= int(present[row])
	}
	all := stock.Items(n)[:0]
	for i := range buffer.items {
		if present, columns := buffer.item(i); present[row] != 0 {
			all = append(all, m.listedItem(&l.item, columns, row, stock))
		}
	}
	return stock.Object(all)
}

// listedItem is one item, whose registers stand for its columns.
func (m *Machine) listedItem(v *value, columns [][]int64, row int, stock *Stock) check.Value {
	switch v.form {
	case truth:
		return check.Bool(columns[v.n.reg][row] != 0)
	case material:
		return m.p.materials[columns[v.n.reg][row]]
	case pair:
		return stock.Pair(m.listedItem(&v.parts[0], columns, row, stock), m.listedItem(&v.parts[1], columns, row, stock))
	}
	d := int64(1)
	if !v.d.isFixed() {
		d = columns[v.d.reg][row]
	}
	return check.Num(v.unit.multiple(columns[v.n.reg][row], d))
}
