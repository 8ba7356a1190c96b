package quantity

import (
	"math/big"
	"sync"
)

// Sqrt is the square root of a: exact where the root is rational, else within
// a bound of 1 in 2^180. It is false for a below 0, and for an approximation
// that may be.
func Sqrt(a Number) (Number, bool) {
	if !a.Exact() {
		return monotone(a, Sqrt)
	}
	if a.middleSign() < 0 {
		return Number{}, false
	}
	value := a.value()
	top, bottom := new(big.Int).Sqrt(value.Num()), new(big.Int).Sqrt(value.Denom())
	root := new(big.Rat).SetFrac(top, bottom)
	if new(big.Rat).Mul(root, root).Cmp(value) == 0 {
		return shrink(root), true
	}
	grid := scale(value)/2 - valueBits
	steps := gridFloor(value, 2*grid)
	steps.Sqrt(steps)
	lower := onGrid(steps, grid)
	return between(lower, onGrid(steps.Add(steps, big.NewInt(1)), grid)), true
}

// monotone carries an approximation through f, which only rises or only falls
// between the bounds of a, so that the ends enclose all there is between.
func monotone(a Number, f func(Number) (Number, bool)) (Number, bool) {
	low, ok := f(shrink(a.lower()))
	if !ok {
		return Number{}, false
	}
	high, ok := f(shrink(a.upper()))
	if !ok {
		return Number{}, false
	}
	return hull(low, high), true
}

// Pi is the ratio of a circle's girth to its width, within a bound of 1 in
// 2^190.
func Pi() Number { return pi() }

// The first eighty decimals; the tests work them out anew by Machin's formula.
const piDigits = "3.14159265358979323846264338327950288419716939937510582097494459230781640628620899"

var pi = sync.OnceValue(func() Number {
	lower, _ := new(big.Rat).SetString(piDigits)
	last := new(big.Rat).SetFrac(big.NewInt(1), tenTo(80))
	return between(lower, last.Add(last, lower))
})
