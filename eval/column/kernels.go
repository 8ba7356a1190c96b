package column

import "math/bits"

// op names an operation on columns.
type op uint8

// The operations. d, x, y, z are columns; k, m and the rest stand in the operation.
const (
	opScale    op = iota // d = x·k + m
	opSum                // d = x·k + y·m
	opAdd                // d = x + y
	opSub                // d = x - y
	opMul                // d = x · y
	opLess               // d = x < y
	opLessThan           // d = x < k
	opEqual              // d = x is y
	opEqualTo            // d = x is k
	opNot                // d = not x
	opAnd                // d = x and y
	opOr                 // d = x or y
	opPick               // d = x where z, else y
	opMin                // d = the lesser
	opMax                // d = the greater
	opAbs                // d = x without its sign
	opSigned             // d = x, turned where y < 0
	opGather             // d = table[x - k]
	opShift              // d = (x·k + m) / 2^shift, rounded down
	opDivide             // d = (x·k + m) / q + off, rounded down, by a reciprocal
	opFloor              // d = x / y, rounded down
	opMod                // d = x - y·floor(x/y)
	opZero               // d = 0, to gather truths into
	opGatherOr           // d = d or (x and y)
	opEmpty              // list k has no items
	opAppend             // the columns of loop become an item of list k where x
	opExtend             // the items of list m become items of list k where x
	opLoop               // runs loop
	opEach               // runs loop over list k
	opCount              // d = how many items list k has
	opFold               // d = column m of list k, folded in the way of shift; the place asked for is x
)

// kernel runs one operation for the orders in hand.
type kernel func(*Machine, *instr)

var kernels = [...]kernel{
	opScale: scale, opSum: sum, opAdd: add, opSub: sub, opMul: multiply, opLess: less, opLessThan: lessThan, opEqual: equal, opEqualTo: equalTo,
	opNot: not, opAnd: and, opOr: or, opPick: pick, opMin: lesser, opMax: greater, opAbs: abs, opSigned: signed, opGather: gather,
	opShift: shift, opDivide: divide, opFloor: floor, opMod: mod, opZero: zero, opGatherOr: gatherOr,
	opEmpty: empty, opAppend: appendItem, opExtend: extend, opCount: countItems, opFold: foldList,
}

func (m *Machine) column(reg int32) []int64 { return m.columns[reg][:m.rows] }

// one gives the columns of an operation on one, two those of an operation on two; equal lengths spare the tests of each place.
func (m *Machine) one(in *instr) (d, x []int64) {
	d = m.column(in.dst)
	return d, m.column(in.x)[:len(d)]
}

func (m *Machine) two(in *instr) (d, x, y []int64) {
	d = m.column(in.dst)
	return d, m.column(in.x)[:len(d)], m.column(in.y)[:len(d)]
}

func scale(m *Machine, in *instr) {
	d, x := m.one(in)
	k, c := in.k, in.m
	for i := range d {
		d[i] = x[i]*k + c
	}
}

func sum(m *Machine, in *instr) {
	d, x, y := m.two(in)
	k, c := in.k, in.m
	for i := range d {
		d[i] = x[i]*k + y[i]*c
	}
}

func add(m *Machine, in *instr) {
	d, x, y := m.two(in)
	for i := range d {
		d[i] = x[i] + y[i]
	}
}

func sub(m *Machine, in *instr) {
	d, x, y := m.two(in)
	for i := range d {
		d[i] = x[i] - y[i]
	}
}

func multiply(m *Machine, in *instr) {
	d, x, y := m.two(in)
	for i := range d {
		d[i] = x[i] * y[i]
	}
}

// less shifts the sign of the difference, which never overflows, into every bit.
func less(m *Machine, in *instr) {
	d, x, y := m.two(in)
	for i := range d {
		d[i] = (x[i] - y[i]) >> 63
	}
}

func lessThan(m *Machine, in *instr) {
	d, x := m.one(in)
	for i := range d {
		d[i] = (x[i] - in.k) >> 63
	}
}

// isZero is all bits set where n is 0: only then has neither n nor -n its sign set.
func isZero(n int64) int64 { return ^((n | -n) >> 63) }

func equal(m *Machine, in *instr) {
	d, x, y := m.two(in)
	for i := range d {
		d[i] = isZero(x[i] - y[i])
	}
}

func equalTo(m *Machine, in *instr) {
	d, x := m.one(in)
	k := in.k
	for i := range d {
		d[i] = isZero(x[i] - k)
	}
}

func not(m *Machine, in *instr) {
	d, x := m.one(in)
	for i := range d {
		d[i] = ^x[i]
	}
}

func and(m *Machine, in *instr) {
	d, x, y := m.two(in)
	for i := range d {
		d[i] = x[i] & y[i]
	}
}

func or(m *Machine, in *instr) {
	d, x, y := m.two(in)
	for i := range d {
		d[i] = x[i] | y[i]
	}
}

func pick(m *Machine, in *instr) {
	d, x, y := m.two(in)
	mask := m.column(in.z)[:len(d)]
	for i := range d {
		d[i] = y[i] ^ (x[i]^y[i])&mask[i]
	}
}

func lesser(m *Machine, in *instr) {
	d, x, y := m.two(in)
	for i := range d {
		d[i] = min(x[i], y[i])
	}
}

func greater(m *Machine, in *instr) {
	d, x, y := m.two(in)
	for i := range d {
		d[i] = max(x[i], y[i])
	}
}

func abs(m *Machine, in *instr) {
	d, x := m.one(in)
	for i := range d {
		s := x[i] >> 63
		d[i] = (x[i] ^ s) - s
	}
}

func signed(m *Machine, in *instr) {
	d, x, y := m.two(in)
	for i := range d {
		s := y[i] >> 63
		d[i] = (x[i] ^ s) - s
	}
}

func gather(m *Machine, in *instr) {
	d, x := m.one(in)
	values, from := in.table.values, in.k
	for i := range d {
		d[i] = values[x[i]-from]
	}
}

func shift(m *Machine, in *instr) {
	d, x := m.one(in)
	k, c, s := in.k, in.m, uint(in.shift)&63
	for i := range d {
		d[i] = (x[i]*k + c) >> s
	}
}

func divide(m *Machine, in *instr) {
	d, x := m.one(in)
	k, c, s, off, magic := in.k, in.m, uint(in.shift)&63, in.off, in.magic
	for i := range d {
		high, _ := bits.Mul64(uint64(x[i]*k+c), magic)
		d[i] = int64(high>>s) + off
	}
}

func floor(m *Machine, in *instr) {
	d, x, y := m.two(in)
	for i := range d {
		d[i] = floorDiv(x[i], y[i])
	}
}

func mod(m *Machine, in *instr) {
	d, x, y := m.two(in)
	for i := range d {
		d[i] = x[i] - y[i]*floorDiv(x[i], y[i])
	}
}

func zero(m *Machine, in *instr) { clear(m.column(in.dst)) }

func gatherOr(m *Machine, in *instr) {
	d, x, y := m.two(in)
	for i := range d {
		d[i] |= x[i] & y[i]
	}
}
