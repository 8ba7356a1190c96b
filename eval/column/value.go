package column

import "squab/eval/quantity"

// form says how a value stands in columns.
type form uint8

const (
	nothing  form = iota // never there: every order that needs it takes the exact path
	measure              // n / d units
	truth                // a mask
	material             // a place among the materials
	pair                 // a size or a point: two measures
	list
	words // a text, which no column holds; n is bounded by its length
)

// value is what a formula comes to for every order. taint is the mask of the orders for which it is not so.
type value struct {
	form  form
	n, d  operand
	unit  ratio
	parts []value
	list  *items
	taint operand
}

func whole(n operand, unit ratio) value {
	return value{form: measure, n: n, d: fixed(1), unit: unit, taint: no}
}

// text is a text of at most so many bytes.
func text(length int64) value { return value{form: words, n: fixed(length), taint: no} }

func mask(m operand) value { return value{form: truth, n: m, taint: no} }

// never is a value that is there for no order.
func never() value { return value{form: nothing, taint: yes} }

func (v value) tainted(by operand, b *builder) value {
	v.taint = b.or(v.taint, by)
	return v
}

// fixedValue gives a number that is the same for every order; its multiple is 1, -1 or 0.
func (b *builder) fixedValue(n quantity.Number) value {
	r, ok := ratioOf(n)
	switch {
	case !ok:
		b.fail("it is not exact, or too large")
	case r.num > 0:
		return whole(fixed(1), r)
	case r.num < 0:
		return whole(fixed(-1), r.abs())
	}
	return whole(fixed(0), one)
}

// constant gives the ratio that a value is for every order.
func (v value) constant() (ratio, bool) {
	if v.form != measure || !v.n.isFixed() || !v.d.is(1) || !v.taint.is(0) {
		return ratio{}, false
	}
	return v.unit.times(ratio{v.n.b.lo, 1})
}

// alike brings two measures to one unit and, where their divisors differ, to one divisor.
func (b *builder) alike(x, y value) (xn, yn, d operand, unit ratio) {
	unit, kx, ky := b.units(x, y)
	if x.d == y.d {
		return b.scaled(x.n, kx, 0), b.scaled(y.n, ky, 0), x.d, unit
	}
	xn = b.product(b.scaled(x.n, kx, 0), y.d)
	yn = b.product(b.scaled(y.n, ky, 0), x.d)
	return xn, yn, b.product(x.d, y.d), unit
}

// units gives the unit that both are multiples of, and how many of it each one's own unit is.
func (b *builder) units(x, y value) (unit ratio, kx, ky int64) {
	switch {
	case x.n.is(0):
		return y.unit, 1, 1
	case y.n.is(0):
		return x.unit, 1, 1
	}
	unit, ok := common(x.unit, y.unit)
	kx, ok2 := x.unit.steps(unit)
	ky, ok3 := y.unit.steps(unit)
	if !ok || !ok2 || !ok3 {
		b.fail("its unit grows too fine")
		return one, 1, 1
	}
	return unit, kx, ky
}

// add is x + y·sign.
func (b *builder) add(x, y value, sign int64) value {
	unit, kx, ky := b.units(x, y)
	taint := b.or(x.taint, y.taint)
	if x.d == y.d {
		return value{form: measure, n: b.sum(x.n, kx, y.n, ky*sign), d: x.d, unit: unit, taint: taint}
	}
	xn, yn, d, unit := b.alike(x, y)
	return value{form: measure, n: b.sum(xn, 1, yn, sign), d: d, unit: unit, taint: taint}
}

func (b *builder) negate(x value) value {
	x.n = b.scaled(x.n, -1, 0)
	return x
}

// plain moves the multiple of a measure that is the same for every order into its unit.
func (v value) plain() value {
	if v.form != measure || !v.n.isFixed() || v.n.is(0) || !v.d.is(1) {
		return v
	}
	sign := int64(1)
	if v.n.b.lo < 0 {
		sign = -1
	}
	if unit, ok := v.unit.times(ratio{v.n.b.lo * sign, 1}); ok {
		v.n, v.unit = fixed(sign), unit
	}
	return v
}

func (b *builder) times(x, y value) value {
	x, y = x.plain(), y.plain()
	unit, ok := x.unit.times(y.unit)
	if !ok {
		b.fail("its unit grows too fine")
	}
	return value{form: measure, n: b.product(x.n, y.n), d: b.product(x.d, y.d), unit: unit, taint: b.or(x.taint, y.taint)}
}

// few is how many values a divisor may have for its quotients to be looked up, and finest how fine their common unit may be.
const (
	few    = 64
	finest = 30_000
)

func (b *builder) over(x, y value) value {
	y = y.plain()
	unit, ok := x.unit.over(y.unit)
	if !ok {
		b.fail("its unit grows too fine")
	}
	taint := b.or(x.taint, y.taint)
	if y.n.is(0) {
		return never()
	}
	if y.n.isFixed() && y.d.is(1) && (y.n.b.lo == 1 || y.n.b.lo == -1) {
		return value{form: measure, n: b.scaled(x.n, y.n.b.lo, 0), d: x.d, unit: unit, taint: taint}
	}
	if inverse, finer, ok := b.lookUp(y); ok {
		unit, ok = unit.over(ratio{finer, 1})
		if !ok {
			b.fail("its unit grows too fine")
		}
		taint = b.or(taint, b.equal(y.n, fixed(0)))
		return value{form: measure, n: b.product(x.n, inverse), d: x.d, unit: unit, taint: taint}
	}
	d, zero := b.notZero(y.n)
	n := b.product(b.signed(x.n, d), y.d)
	size := b.abs(d)
	size.b.lo = max(size.b.lo, 1)
	return value{form: measure, n: n, d: b.product(x.d, size), unit: unit, taint: b.or(taint, zero)}
}

// lookUp gives 1 / y in units of 1 / finer, where y has so few values that all of them have one such unit.
func (b *builder) lookUp(y value) (inverse operand, finer int64, ok bool) {
	lo, hi := y.n.b.lo, y.n.b.hi
	if !y.d.is(1) || hi-lo >= few {
		return inverse, 0, false
	}
	finer = 1
	for n := lo; n <= hi; n++ {
		if n == 0 {
			continue
		}
		if finer = finer / gcd(finer, n) * max(n, -n); finer > finest {
			return inverse, 0, false
		}
	}
	values := make([]int64, 0, hi-lo+1)
	for n := lo; n <= hi; n++ {
		if n == 0 {
			values = append(values, 0)
			continue
		}
		values = append(values, finer/n)
	}
	return b.gather(y.n, values), finer, true
}

// smaller is the truth of x < y, equals that of x = y.
func (b *builder) smaller(x, y value) value {
	xn, yn, _, _ := b.alike(x, y)
	return mask(b.less(xn, yn)).tainted(b.or(x.taint, y.taint), b)
}

func (b *builder) equals(x, y value) value {
	xn, yn, _, _ := b.alike(x, y)
	return mask(b.equal(xn, yn)).tainted(b.or(x.taint, y.taint), b)
}

func (b *builder) opposite(x value) value {
	x.n = b.not(x.n)
	return x
}

// extremeOf is the lesser or the greater of two measures.
func (b *builder) extremeOf(x, y value, greater bool) value {
	xn, yn, d, unit := b.alike(x, y)
	n := b.lesser(xn, yn)
	if greater {
		n = b.greater(xn, yn)
	}
	return value{form: measure, n: n, d: d, unit: unit, taint: b.or(x.taint, y.taint)}
}

// choose is x for the orders of a condition and y for the others; what taints the one not chosen does not matter.
func (b *builder) choose(cond, x, y value) value {
	switch {
	case cond.n.is(-1):
		return x.tainted(cond.taint, b)
	case cond.n.is(0):
		return y.tainted(cond.taint, b)
	}
	taint := b.or(cond.taint, b.pick(cond.n, x.taint, y.taint))
	out := b.chosen(cond.n, x, y)
	out.taint = taint
	return out
}

func (b *builder) chosen(cond operand, x, y value) value {
	switch {
	case x.form == nothing:
		return y
	case y.form == nothing:
		return x
	case x.form != y.form:
		b.fail("its lanes hold values of two forms")
		return x
	}
	switch x.form {
	case measure:
		unit, kx, ky := b.units(x, y)
		n := b.pick(cond, b.scaled(x.n, kx, 0), b.scaled(y.n, ky, 0))
		return value{form: measure, n: n, d: b.pick(cond, x.d, y.d), unit: unit}
	case pair:
		out := value{form: pair}
		for i := range x.parts {
			out.parts = append(out.parts, b.chosen(cond, x.parts[i], y.parts[i]))
		}
		return out
	case list:
		return value{form: list, list: b.mergeLists(cond, x.list, y.list)}
	case words:
		return text(max(x.n.b.hi, y.n.b.hi))
	}
	x.n = b.pick(cond, x.n, y.n)
	return x
}
