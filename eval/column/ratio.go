package column

import (
	"math"
	"math/bits"

	"squab/eval/quantity"
)

// ratio is a rational of small parts in lowest terms; den is 1 or more.
type ratio struct{ num, den int64 }

var one = ratio{1, 1}

// ratioOf gives a number as a ratio; false where it is not exact or its parts are not small.
func ratioOf(n quantity.Number) (ratio, bool) {
	if !n.Exact() {
		return ratio{}, false
	}
	r := n.Rat()
	if !r.Num().IsInt64() || !r.Denom().IsInt64() || r.Num().Int64() == math.MinInt64 {
		return ratio{}, false
	}
	return ratio{r.Num().Int64(), r.Denom().Int64()}, true
}

func (a ratio) number() quantity.Number { return quantity.Frac(a.num, a.den) }

func (a ratio) times(b ratio) (ratio, bool) {
	g, h := gcd(a.num, b.den), gcd(b.num, a.den)
	n, ok := mul(a.num/g, b.num/h)
	d, ok2 := mul(a.den/h, b.den/g)
	return ratio{n, d}, ok && ok2
}

// over is a / b, for a b that is not 0.
func (a ratio) over(b ratio) (ratio, bool) {
	if b.num < 0 {
		b.num, b.den = -b.num, -b.den
	}
	inverse := ratio{b.den, b.num}
	if inverse.num < 0 {
		a.num, inverse.num = -a.num, -inverse.num
	}
	return a.times(inverse)
}

// common is the greatest unit of which both a and b, which are above 0, are whole multiples: the common divisor of the
// numerators over the common multiple of the denominators.
func common(a, b ratio) (ratio, bool) {
	d, ok := mul(a.den/gcd(a.den, b.den), b.den)
	return ratio{gcd(a.num, b.num), d}, ok
}

// steps is how many of a unit make a; false where that is no whole number.
func (a ratio) steps(unit ratio) (int64, bool) {
	n, ok := a.over(unit)
	return n.num, ok && n.den == 1
}

func (a ratio) abs() ratio {
	if a.num < 0 {
		a.num = -a.num
	}
	return a
}

// gcd is the greatest common divisor of x and y without their signs, and 1 where both are 0.
func gcd(x, y int64) int64 {
	for y != 0 {
		x, y = y, x%y
	}
	if x < 0 {
		x = -x
	}
	return max(x, 1)
}

// most is how large a multiple may be: the sum and the difference of two fit int64 with room to spare.
const most = 1 << 61

// mul is x · y; false where that is past most.
func mul(x, y int64) (int64, bool) {
	hi, lo := bits.Mul64(magnitude(x), magnitude(y))
	return x * y, hi == 0 && lo <= most
}

func magnitude(n int64) uint64 {
	if n < 0 {
		return -uint64(n)
	}
	return uint64(n)
}

// bound holds every value that a column may have, from lo to hi.
type bound struct{ lo, hi int64 }

var truths = bound{-1, 0}

func exactly(n int64) bound { return bound{n, n} }

func (b bound) scaled(k int64) (bound, bool) { return b.times(exactly(k)) }

func (b bound) times(c bound) (bound, bool) {
	out := bound{math.MaxInt64, math.MinInt64}
	fits := true
	for _, x := range [2]int64{b.lo, b.hi} {
		for _, y := range [2]int64{c.lo, c.hi} {
			n, ok := mul(x, y)
			out, fits = out.and(exactly(n)), fits && ok
		}
	}
	return out, fits
}

func (b bound) plus(c bound) (bound, bool) {
	sum := bound{b.lo + c.lo, b.hi + c.hi}
	return sum, sum.lo >= -most && sum.hi <= most
}

// and is what holds the values of both.
func (b bound) and(c bound) bound { return bound{min(b.lo, c.lo), max(b.hi, c.hi)} }

// within is what both hold, where they meet.
func (b bound) within(c bound) bound { return bound{max(b.lo, c.lo), min(b.hi, c.hi)} }

func (b bound) has(n int64) bool { return b.lo <= n && n <= b.hi }

func floorDiv(x, y int64) int64 {
	q := x / y
	if x%y != 0 && (x < 0) != (y < 0) {
		q--
	}
	return q
}
