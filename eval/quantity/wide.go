package quantity

import "math/big"

const (
	// valueBits is how many leading bits an approximation keeps: 57 digits,
	// so that a long sum still has the thirty that are asked of it.
	valueBits = 192
	// boundBits is how many leading bits a bound keeps; a bound only ever
	// needs to be safe, not fine.
	boundBits = 32
)

func (a Number) wideSum(b Number) Number {
	return settle(new(big.Rat).Add(a.value(), b.value()), new(big.Rat).Add(a.bound(), b.bound()))
}

func (a Number) wideNeg() Number {
	opposite := &wide{bound: a.wide.bound}
	opposite.value.Neg(&a.wide.value)
	return Number{den: inWide, wide: opposite}
}

// wideProduct uses |xy - vw| ≤ |v|·dw + |w|·dv + dv·dw for x within dv of v
// and y within dw of w.
func (a Number) wideProduct(b Number) Number {
	product := new(big.Rat).Mul(a.value(), b.value())
	if a.Exact() && b.Exact() {
		return shrink(product)
	}
	bound := new(big.Rat).Mul(new(big.Rat).Abs(a.value()), b.bound())
	reach := new(big.Rat).Add(new(big.Rat).Abs(b.value()), b.bound())
	return settle(product, bound.Add(bound, reach.Mul(reach, a.bound())))
}

func (a Number) wideInverse() (Number, bool) {
	if a.Exact() {
		return shrink(new(big.Rat).Inv(&a.wide.value)), true
	}
	lower, upper := a.lower(), a.upper()
	if lower.Sign()*upper.Sign() <= 0 {
		return Number{}, false
	}
	return between(upper.Inv(upper), lower.Inv(lower)), true
}

func (a Number) wideCmp(b Number) (order int, decided bool) {
	apart := new(big.Rat).Sub(a.value(), b.value())
	room := new(big.Rat).Add(a.bound(), b.bound())
	if room.Sign() > 0 && new(big.Rat).Abs(apart).Cmp(room) <= 0 {
		return 0, false
	}
	return apart.Sign(), true
}

// between is the number known to lie from lower to upper.
func between(lower, upper *big.Rat) Number {
	half := big.NewRat(1, 2)
	middle := new(big.Rat).Add(lower, upper)
	reach := new(big.Rat).Sub(upper, lower)
	return settle(middle.Mul(middle, half), reach.Mul(reach, half))
}

// hull is the number known to lie in a, in b or between them.
func hull(a, b Number) Number {
	lower, upper := a.lower(), a.upper()
	if l := b.lower(); l.Cmp(lower) < 0 {
		lower = l
	}
	if u := b.upper(); u.Cmp(upper) > 0 {
		upper = u
	}
	return between(lower, upper)
}

// settle takes value over and makes a number of it. An exact value is kept
// whole; an approximation moves to a grid of powers of two, and its bound
// grows by as much as that could have moved it.
func settle(value, bound *big.Rat) Number {
	if bound.Sign() == 0 {
		return shrink(value)
	}
	grid := scale(bound) - boundBits
	if value.Sign() != 0 {
		grid = max(grid, scale(value)-valueBits)
	}
	wider := new(big.Rat).Add(bound, onGrid(big.NewInt(1), grid))
	w := &wide{value: *onGrid(gridFloor(value, grid), grid)}
	grid = scale(wider) - boundBits
	steps := gridFloor(wider, grid)
	w.bound = *onGrid(steps.Add(steps, big.NewInt(1)), grid)
	return Number{den: inWide, wide: w}
}

// scale is a power of two near r, within a factor of two.
func scale(r *big.Rat) int { return r.Num().BitLen() - r.Denom().BitLen() }

// gridFloor is the greatest whole number of steps of 2^grid in r.
func gridFloor(r *big.Rat, grid int) *big.Int {
	if grid <= 0 {
		n := new(big.Int).Lsh(r.Num(), uint(-grid))
		return n.Div(n, r.Denom())
	}
	d := new(big.Int).Lsh(r.Denom(), uint(grid))
	return d.Div(r.Num(), d)
}

// onGrid is steps · 2^grid.
func onGrid(steps *big.Int, grid int) *big.Rat {
	if grid >= 0 {
		return new(big.Rat).SetInt(new(big.Int).Lsh(steps, uint(grid)))
	}
	return new(big.Rat).SetFrac(steps, new(big.Int).Lsh(big.NewInt(1), uint(-grid)))
}
