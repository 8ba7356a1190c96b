package column

import "math/bits"

// runOne runs a block of operations for a single order: what the kernels do, without a column to go through.
func (m *Machine) runOne(b *block) {
	r := m.all
	for i := range b.code {
		in := &b.code[i]
		switch in.op {
		case opScale:
			r[in.dst] = r[in.x]*in.k + in.m
		case opSum:
			r[in.dst] = r[in.x]*in.k + r[in.y]*in.m
		case opAdd:
			r[in.dst] = r[in.x] + r[in.y]
		case opSub:
			r[in.dst] = r[in.x] - r[in.y]
		case opMul:
			r[in.dst] = r[in.x] * r[in.y]
		case opLessThan:
			r[in.dst] = (r[in.x] - in.k) >> 63
		case opAnd:
			r[in.dst] = r[in.x] & r[in.y]
		case opPick:
			r[in.dst] = r[in.y] ^ (r[in.x]^r[in.y])&r[in.z]
		case opShift:
			r[in.dst] = (r[in.x]*in.k + in.m) >> (uint(in.shift) & 63)
		case opDivide:
			high, _ := bits.Mul64(uint64(r[in.x]*in.k+in.m), in.magic)
			r[in.dst] = int64(high>>(uint(in.shift)&63)) + in.off
		default:
			m.runRare(in)
		}
	}
}

// runRare runs what is too rare to stand among those above, where each case costs every order alone.
func (m *Machine) runRare(in *instr) {
	r := m.all
	switch in.op {
	case opEqual:
		r[in.dst] = isZero(r[in.x] - r[in.y])
	case opEqualTo:
		r[in.dst] = isZero(r[in.x] - in.k)
	case opMin:
		r[in.dst] = min(r[in.x], r[in.y])
	case opMax:
		r[in.dst] = max(r[in.x], r[in.y])
	case opGather:
		r[in.dst] = in.table.values[r[in.x]-in.k]
	case opNot:
		r[in.dst] = ^r[in.x]
	case opLess:
		r[in.dst] = (r[in.x] - r[in.y]) >> 63
	case opOr:
		r[in.dst] = r[in.x] | r[in.y]
	default:
		m.other(in)
	}
}

// other runs an operation that is a loop, or has a kernel alone.
func (m *Machine) other(in *instr) {
	switch in.op {
	case opLoop:
		m.count(in.loop)
	case opEach:
		m.each(in.loop, int(in.k))
	default:
		kernels[in.op](m, in)
	}
}
