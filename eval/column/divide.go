package column

import "math/bits"

// floor is the greatest whole number not above (x·k + m) / q, for a q above 0.
func (b *builder) floor(x operand, k, m, q int64) operand {
	if k == 0 || x.isFixed() {
		product, ok := x.b.scaled(k)
		if top, ok2 := product.plus(exactly(m)); ok && ok2 {
			return fixed(floorDiv(top.lo, q))
		}
	}
	if g := gcd(k, q); m%g == 0 {
		k, m, q = k/g, m/g, q/g
	}
	product, ok := x.b.scaled(k)
	top, ok2 := product.plus(exactly(m))
	if !ok || !ok2 || q == 1 {
		return b.scaled(x, k, m)
	}
	result := bound{floorDiv(top.lo, q), floorDiv(top.hi, q)}
	in := instr{op: opShift, x: x.reg, k: k, m: m, shift: int64(bits.TrailingZeros64(uint64(q)))}
	if q&(q-1) != 0 {
		in.op = opDivide
		in.off = floorDiv(top.lo, q)
		in.m -= in.off * q
		in.magic, in.shift = reciprocal(q)
	}
	return b.emit(in, true, result, x)
}

// reciprocal gives a multiplier and a shift with which the high half of n·multiplier, shifted, is n / q for every n from 0
// below 2^63: Granlund and Montgomery, Division by Invariant Integers using Multiplication, 1994, theorem 4.2, with N = 63.
func reciprocal(q int64) (multiplier uint64, shift int64) {
	shift = int64(bits.Len64(uint64(q - 1)))
	multiplier, _ = bits.Div64(1<<(shift-1), 0, uint64(q))
	return multiplier + 1, shift - 1
}

// floorOver is the greatest whole number not above x / y, for a y that is never 0.
func (b *builder) floorOver(x, y operand) operand {
	if y.isFixed() && y.b.lo > 0 {
		return b.floor(x, 1, 0, y.b.lo)
	}
	return b.emit(instr{op: opFloor, x: b.load(x), y: b.load(y)}, true, quotients(x.b, y.b), x, y)
}

// quotients bounds x / y rounded down.
func quotients(x, y bound) bound {
	if y.has(0) {
		m := int64(max(magnitude(x.lo), magnitude(x.hi)))
		return bound{-m, m}
	}
	out := exactly(floorDiv(x.lo, y.lo))
	for _, n := range [2]int64{x.lo, x.hi} {
		for _, d := range [2]int64{y.lo, y.hi} {
			out = out.and(exactly(floorDiv(n, d)))
		}
	}
	return out
}

// remainder is x - y·floor(x/y), for a y that is never 0; it has the sign of y.
func (b *builder) remainder(x, y operand) operand {
	result := bound{min(0, y.b.lo+1), max(0, y.b.hi-1)}
	return b.emit(instr{op: opMod, x: b.load(x), y: b.load(y)}, true, result, x, y)
}

// notZero is x with 1 in the place of 0, and the truth of where it was 0.
func (b *builder) notZero(x operand) (operand, operand) {
	zero := b.equal(x, fixed(0))
	return b.pick(zero, fixed(1), x), zero
}

// positive is x with 1 in the place of what is not above 0, and the truth of where that was.
func (b *builder) positive(x operand) (operand, operand) {
	low := b.less(x, fixed(1))
	out := b.pick(low, fixed(1), x)
	out.b = bound{max(out.b.lo, 1), max(out.b.hi, 1)}
	return out, low
}
