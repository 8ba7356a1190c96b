package quantity

import (
	"cmp"
	"math"
	"math/bits"
)

// Add is a + b.
func (a Number) Add(b Number) Number {
	if a.den|b.den == 0 {
		if sum, ok := add(a.num, b.num); ok {
			return Number{num: sum}
		}
	}
	return a.sum(b)
}

// Sub is a - b.
func (a Number) Sub(b Number) Number {
	if a.den|b.den == 0 {
		if sum, ok := add(a.num, -b.num); ok {
			return Number{num: sum}
		}
	}
	return a.sum(b.Neg())
}

func (a Number) sum(b Number) Number {
	if a.den|b.den >= 0 {
		if sum, ok := a.smallSum(b); ok {
			return sum
		}
	}
	return a.wideSum(b)
}

func (a Number) smallSum(b Number) (Number, bool) {
	if a.den == b.den {
		n, ok := add(a.num, b.num)
		if !ok {
			return Number{}, false
		}
		return reduced(n, a.denominator()), true
	}
	if a.den < b.den {
		a, b = b, a
	}
	if wider, narrower := a.den, b.denominator(); wider&(wider-1)|narrower&(narrower-1) == 0 {
		return a.addDivisor(b.num, wider>>bits.TrailingZeros64(uint64(narrower)))
	}
	return a.unlikeSum(b)
}

// addDivisor adds n·times/a.den, for which the sum is known to stay in lowest
// terms: both denominators are powers of two and a's is the greater, so a's
// numerator is odd and n·times even.
func (a Number) addDivisor(n, times int64) (Number, bool) {
	scaled, fits := mul(n, times)
	sum, ok := add(a.num, scaled)
	return Number{num: sum, den: a.den}, ok && fits
}

// unlikeSum is Knuth's, The Art of Computer Programming vol. 2, 4.5.1: with g
// the common divisor of the denominators, only g can be cancelled from the sum.
func (a Number) unlikeSum(b Number) (Number, bool) {
	ad, bd := a.denominator(), b.denominator()
	g := int64(gcd(uint64(ad), uint64(bd)))
	if g > 1 {
		ad, bd = ad/g, bd/g
	}
	x, ok1 := mul(a.num, bd)
	y, ok2 := mul(b.num, ad)
	n, ok3 := add(x, y)
	if !(ok1 && ok2 && ok3) {
		return Number{}, false
	}
	if g > 1 {
		n, g = cancel(n, g)
	}
	d, ok4 := mul(ad, bd)
	d, ok5 := mul(d, g)
	return lowest(n, d), ok4 && ok5
}

// Mul is a times b.
func (a Number) Mul(b Number) Number {
	if a.den|b.den == 0 && short(a.num) && short(b.num) {
		return Number{num: a.num * b.num}
	}
	if a.den|b.den >= 0 {
		if product, ok := a.smallProduct(b); ok {
			return product
		}
	}
	return a.wideProduct(b)
}

func (a Number) smallProduct(b Number) (Number, bool) {
	an, bd := cancel(a.num, b.denominator())
	bn, ad := cancel(b.num, a.denominator())
	n, ok := mul(an, bn)
	d, fits := mul(ad, bd)
	return lowest(n, d), ok && fits
}

// Div is a divided by b; false when b is 0, or when it may be.
func (a Number) Div(b Number) (Number, bool) {
	inverse, ok := b.inverse()
	if !ok {
		return Number{}, false
	}
	return a.Mul(inverse), true
}

func (a Number) inverse() (Number, bool) {
	switch {
	case a.isWide():
		return a.wideInverse()
	case a.num > 0:
		return lowest(a.denominator(), a.num), true
	case a.num < 0:
		return lowest(-a.denominator(), -a.num), true
	}
	return Number{}, false
}

// Neg is -a.
func (a Number) Neg() Number {
	if a.isWide() {
		return a.wideNeg()
	}
	a.num = -a.num
	return a
}

// Abs is a without its sign.
func (a Number) Abs() Number {
	if a.middleSign() < 0 {
		return a.Neg()
	}
	return a
}

// middleSign is the sign of the middle of a.
func (a Number) middleSign() int {
	if a.isWide() {
		return a.wide.value.Sign()
	}
	return cmp.Compare(a.num, 0)
}

// Cmp is -1, 0 or +1 as a is less than, equal to or greater than b. It is
// not decided when a bound leaves room for more than one of the three.
func (a Number) Cmp(b Number) (order int, decided bool) {
	if a.den|b.den < 0 {
		return a.wideCmp(b)
	}
	if a.den == b.den {
		return cmp.Compare(a.num, b.num), true
	}
	return a.unlikeCmp(b), true
}

func (a Number) unlikeCmp(b Number) int {
	ad, bd := a.denominator(), b.denominator()
	if short(a.num) && short(b.num) && short(ad) && short(bd) {
		return cmp.Compare(a.num*bd, b.num*ad)
	}
	if (a.num < 0) != (b.num < 0) {
		return cmp.Compare(a.num, b.num)
	}
	order := cmpProducts(magnitude(a.num), uint64(bd), magnitude(b.num), uint64(ad))
	if a.num < 0 {
		return -order
	}
	return order
}

// cmpProducts compares a·b with c·d.
func cmpProducts(a, b, c, d uint64) int {
	hi, lo := bits.Mul64(a, b)
	hi2, lo2 := bits.Mul64(c, d)
	return cmp.Or(cmp.Compare(hi, hi2), cmp.Compare(lo, lo2))
}

// Equal reports whether a and b have the same value and the same bound.
func (a Number) Equal(b Number) bool {
	if !a.isWide() || !b.isWide() {
		return a == b
	}
	return a.wide.value.Cmp(&b.wide.value) == 0 && a.wide.bound.Cmp(&b.wide.bound) == 0
}

// Sign is -1, 0 or +1; false when the bound leaves it open.
func (a Number) Sign() (int, bool) { return a.Cmp(Number{}) }

// Min is the lesser of a and b; false when their bounds overlap.
func Min(a, b Number) (Number, bool) {
	order, decided := a.Cmp(b)
	if order > 0 {
		a = b
	}
	return a, decided
}

// Max is the greater of a and b; false when their bounds overlap.
func Max(a, b Number) (Number, bool) {
	order, decided := a.Cmp(b)
	if order < 0 {
		a = b
	}
	return a, decided
}

// MaxBits is the most bits, by Number.Bits, to which Pow lets a number grow.
const MaxBits = 1 << 18

// Pow is a multiplied by itself n times, its inverse for a negative n, and 1
// for n of 0. It is false for 0 to a negative power and past MaxBits.
func Pow(a Number, n int) (Number, bool) {
	times := magnitude(int64(n))
	if n < 0 {
		var ok bool
		if a, ok = a.inverse(); !ok {
			return Number{}, false
		}
	}
	power := Int(1)
	for ; times > 0; times >>= 1 {
		if a.Bits() > MaxBits {
			return Number{}, false
		}
		if times&1 == 1 {
			power = power.Mul(a)
		}
		if times > 1 {
			a = a.Mul(a)
		}
	}
	return power, power.Bits() <= MaxBits
}

// add is x + y; false when the sum is no small numerator.
func add(x, y int64) (int64, bool) {
	sum := x + y
	return sum, (x^sum)&(y^sum) >= 0 && sum != math.MinInt64
}

// mul is x · y; false when the product is no small numerator.
func mul(x, y int64) (int64, bool) {
	if short(x) && short(y) {
		return x * y, true
	}
	hi, lo := bits.Mul64(magnitude(x), magnitude(y))
	return x * y, hi == 0 && lo <= math.MaxInt64
}

// short reports whether a product with another short number fits int64.
func short(n int64) bool { return n == int64(int32(n)) }
