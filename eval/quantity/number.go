package quantity

import (
	"math"
	"math/big"
	"math/bits"
)

// Number is an exact rational, or an approximation that carries a proven
// bound: the true value lies within Within of Rat. The zero value is 0. A
// Number never changes, and an exact Number whose parts fit int64 lives
// entirely in the value, off the heap.
type Number struct {
	num  int64 // any but math.MinInt64, so that every small number has a negative
	den  int64 // 0 for a whole number, 2 or more in lowest terms, inWide when wide holds the value
	wide *wide
}

// inWide stands in den so that one test of the sign of a.den|b.den tells
// whether two numbers are both small.
const inWide = -1

// wide holds what does not fit a pair of int64. A zero bound means exact.
type wide struct{ value, bound big.Rat }

// Int is the whole number n.
func Int(n int64) Number {
	if n == math.MinInt64 {
		return shrink(new(big.Rat).SetInt64(n))
	}
	return Number{num: n}
}

// Frac is n/d in lowest terms. There is no n/0: Frac gives 0 for it, so a
// caller with a divisor from outside asks Div, which refuses it.
func Frac(n, d int64) Number {
	if d == 0 {
		return Number{}
	}
	if n == math.MinInt64 || d == math.MinInt64 {
		return shrink(big.NewRat(n, d))
	}
	if d < 0 {
		n, d = -n, -d
	}
	return reduced(n, d)
}

// FromRat is the exact value of r, which is copied. FromRat(nil) is 0.
func FromRat(r *big.Rat) Number {
	if r == nil {
		return Number{}
	}
	return shrink(new(big.Rat).Set(r))
}

// shrink takes r over and leaves the heap when the value fits.
func shrink(r *big.Rat) Number {
	if r.Num().IsInt64() && r.Denom().IsInt64() && r.Num().Int64() != math.MinInt64 {
		return lowest(r.Num().Int64(), r.Denom().Int64())
	}
	return Number{den: inWide, wide: &wide{value: *r}}
}

// lowest makes the small number n/d, which is already in lowest terms.
func lowest(n, d int64) Number {
	if d == 1 {
		d = 0
	}
	return Number{num: n, den: d}
}

// reduced makes the small number n/d for d of 1 or more.
func reduced(n, d int64) Number {
	n, d = cancel(n, d)
	return lowest(n, d)
}

// cancel divides n and d by their greatest common divisor; d is 1 or more.
func cancel(n, d int64) (int64, int64) {
	if d&(d-1) != 0 {
		return cancelOdd(n, d)
	}
	shift := bits.TrailingZeros64(uint64(n|d)) & 63
	return n >> shift, d >> shift
}

// cancelOdd is cancel for a d that is no power of two.
func cancelOdd(n, d int64) (int64, int64) {
	if g := int64(gcd(magnitude(n), uint64(d))); g > 1 {
		return n / g, d / g
	}
	return n, d
}

// gcd is the greatest common divisor of u and v, of which v is not 0. One
// remainder brings the two together; halving and subtracting does the rest,
// which costs a quarter of dividing all the way down.
func gcd(u, v uint64) uint64 {
	if v == 1 {
		return 1
	}
	u %= v
	if u == 0 {
		return v
	}
	shift := bits.TrailingZeros64(u | v)
	u >>= bits.TrailingZeros64(u)
	v >>= bits.TrailingZeros64(v)
	for u != v {
		if u > v {
			u, v = v, u
		}
		v -= u
		v >>= bits.TrailingZeros64(v)
	}
	return u << shift
}

func magnitude(n int64) uint64 {
	if n < 0 {
		return -uint64(n)
	}
	return uint64(n)
}

// denominator is the denominator of a small number.
func (a Number) denominator() int64 { return max(a.den, 1) }

func (a Number) isWide() bool { return a.den < 0 }

// value is the middle of a, to be read only.
func (a Number) value() *big.Rat {
	if a.isWide() {
		return &a.wide.value
	}
	return new(big.Rat).SetFrac64(a.num, a.denominator())
}

// bound is how far the true value may lie from value, to be read only.
func (a Number) bound() *big.Rat {
	if a.isWide() {
		return &a.wide.bound
	}
	return new(big.Rat)
}

// lower and upper are the ends between which the true value lies.
func (a Number) lower() *big.Rat { return new(big.Rat).Sub(a.value(), a.bound()) }
func (a Number) upper() *big.Rat { return new(big.Rat).Add(a.value(), a.bound()) }

// Exact reports whether a is its value and not an approximation of it.
func (a Number) Exact() bool { return !a.isWide() || a.wide.bound.Sign() == 0 }

// Within is the most by which the true value may differ from Rat: 0 when a
// is exact.
func (a Number) Within() Number {
	if a.Exact() {
		return Number{}
	}
	return FromRat(&a.wide.bound)
}

// Rat is a copy of the value of a, the middle of its bounds.
func (a Number) Rat() *big.Rat { return new(big.Rat).Set(a.value()) }

// middle is the exact number in the middle of the bounds of a.
func (a Number) middle() Number {
	if a.Exact() {
		return a
	}
	return FromRat(&a.wide.value)
}

// IsInt reports whether a is exact and whole.
func (a Number) IsInt() bool {
	if a.isWide() {
		return a.Exact() && a.wide.value.IsInt()
	}
	return a.den == 0
}

// Int64 is a as an int64; false when a is not whole, not exact, or too big.
func (a Number) Int64() (int64, bool) {
	switch {
	case a.den == 0:
		return a.num, true
	case a.isWide() && a.IsInt() && a.wide.value.Num().IsInt64():
		return a.wide.value.Num().Int64(), true
	}
	return 0, false
}

// Small reports whether numerator and denominator fit int64, so that Bits is at most 127 and the value is exact.
func (a Number) Small() bool { return !a.isWide() }

// Bits is the length in bits of numerator and denominator together, by which
// a caller can keep a budget.
func (a Number) Bits() int {
	if a.isWide() {
		return a.wide.value.Num().BitLen() + a.wide.value.Denom().BitLen()
	}
	return bits.Len64(magnitude(a.num)) + bits.Len64(uint64(a.denominator()))
}

// Hash is the same for numbers that are ==.
func (a Number) Hash() uint64 { return uint64(a.num)*31 ^ uint64(a.den) }
