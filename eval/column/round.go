package column

import "squab/lang"

// rounded is the multiple of step that the way of rounding leads to from x.
func (b *builder) rounded(x, step value, way lang.RoundWay) value {
	s, ok := step.constant()
	if !ok {
		return b.roundedToWhatVaries(x, step, way)
	}
	if s.num <= 0 {
		return never()
	}
	ratio, ok := x.unit.over(s)
	if !ok {
		b.fail("its unit grows too fine")
		return never()
	}
	var n operand
	switch {
	case !x.d.is(1):
		n = b.quotient(b.scaled(x.n, ratio.num, 0), b.scaled(x.d, ratio.den, 0), way)
	case way == lang.RoundUp:
		n = b.floor(x.n, ratio.num, ratio.den-1, ratio.den)
	case way == lang.RoundDown:
		n = b.floor(x.n, ratio.num, 0, ratio.den)
	default:
		n = b.signed(b.floor(b.abs(x.n), ratio.num, ratio.den/2, ratio.den), x.n)
	}
	return whole(n, s).tainted(x.taint, b)
}

func (b *builder) roundedToWhatVaries(x, step value, way lang.RoundWay) value {
	xn, sn, _, unit := b.alike(x, step)
	if step.n.b.hi <= 0 {
		return never()
	}
	divisor, low := b.positive(sn)
	times := b.quotient(xn, divisor, way)
	out := value{form: measure, n: b.product(times, step.n), d: step.d, unit: step.unit}
	if unit == (ratio{}) {
		b.fail("its unit grows too fine")
	}
	out.taint = b.or(b.or(x.taint, step.taint), low)
	return out
}

// quotient makes x / y whole in a way of rounding, for a y above 0.
func (b *builder) quotient(x, y operand, way lang.RoundWay) operand {
	switch way {
	case lang.RoundDown:
		return b.floorOver(x, y)
	case lang.RoundUp:
		return b.scaled(b.floorOver(b.scaled(x, -1, 0), y), -1, 0)
	}
	half := b.sum(b.abs(x), 2, y, 1)
	return b.signed(b.floorOver(half, b.scaled(y, 2, 0)), x)
}

// modulo is what is left of x after taking y out a whole number of times.
func (b *builder) modulo(x, y value) value {
	xn, yn, d, unit := b.alike(x, y)
	if y.n.is(0) {
		return never()
	}
	divisor, zero := b.notZero(yn)
	taint := b.or(b.or(x.taint, y.taint), zero)
	return value{form: measure, n: b.remainder(xn, divisor), d: d, unit: unit, taint: taint}
}
