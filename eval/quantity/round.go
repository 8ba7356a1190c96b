package quantity

import "math/big"

// RoundUp is the least multiple of step that is not below a. Like RoundDown
// and RoundNear it gives an exact number, even for an approximation, and is
// false when step is not an exact number above 0 or when the bound of a
// leaves more than one answer.
func (a Number) RoundUp(step Number) (Number, bool) { return a.toMultiple(step, ceiling) }

// RoundDown is the greatest multiple of step that is not above a.
func (a Number) RoundDown(step Number) (Number, bool) { return a.toMultiple(step, floor) }

// RoundNear is the multiple of step nearest to a; a tie goes away from zero.
func (a Number) RoundNear(step Number) (Number, bool) { return a.toMultiple(step, nearest) }

// Cents is n to the nearest hundredth, ties away from zero; false when the
// bound of n leaves more than one answer.
func Cents(n Number) (Number, bool) { return n.RoundNear(Number{num: 1, den: 100}) }

// Mod is what is left of a after taking out b a whole number of times,
// a - b·floor(a/b), so it has the sign of b. It is false when b is or may be
// 0, or when a bound leaves the number of times open.
func (a Number) Mod(b Number) (Number, bool) {
	ratio, ok := a.Div(b)
	if !ok {
		return Number{}, false
	}
	times, ok := ratio.whole(floor)
	if !ok {
		return Number{}, false
	}
	return a.Sub(b.Mul(times)), true
}

// toward is a way to make a number whole. All of them keep order, so an
// approximation is decided when both of its ends agree.
type toward int

const (
	floor toward = iota
	ceiling
	nearest
)

func (a Number) toMultiple(step Number, way toward) (Number, bool) {
	if step.middleSign() <= 0 || !step.Exact() {
		return Number{}, false
	}
	ratio, _ := a.Div(step)
	times, ok := ratio.whole(way)
	return times.Mul(step), ok
}

func (a Number) whole(way toward) (Number, bool) {
	if !a.isWide() {
		return Number{num: way.small(a.num, a.denominator())}, true
	}
	low, high := way.big(a.lower()), way.big(a.upper())
	return shrink(new(big.Rat).SetInt(low)), low.Cmp(high) == 0
}

func (way toward) small(n, d int64) int64 {
	quotient, rest := n/d, n%d
	switch {
	case way == floor && rest < 0:
		return quotient - 1
	case way == ceiling && rest > 0:
		return quotient + 1
	case way == nearest && rest >= d-rest:
		return quotient + 1
	case way == nearest && -rest >= d+rest:
		return quotient - 1
	}
	return quotient
}

func (way toward) big(r *big.Rat) *big.Int {
	switch {
	case way == floor:
		return new(big.Int).Div(r.Num(), r.Denom())
	case way == ceiling:
		return new(big.Int).Neg(floor.big(new(big.Rat).Neg(r)))
	case r.Sign() < 0:
		return new(big.Int).Neg(nearest.big(new(big.Rat).Neg(r)))
	}
	return floor.big(new(big.Rat).Add(r, big.NewRat(1, 2)))
}
