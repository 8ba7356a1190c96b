package quantity

import "math/big"

// fixed is a sum of an alternating series in whole steps of 2^-places.
//
// Every term follows from the one before by a product with x², which is under
// 1 and cut short by less than a step, and by cutting short once or twice
// more: so a term is never more than termError steps off, and what is left
// when a term falls to 0 is no more than that either.
type fixed struct {
	places uint
	square *big.Int
	sum    *big.Int
	terms  int64
}

const termError = 4

// newFixed makes room for a series in x, with 0 < x < 1, at valueBits below
// the first bit of x; it also gives x in steps.
func newFixed(x Number) (*fixed, *big.Int) {
	places := valueBits - min(scale(x.value()), 0)
	steps := gridFloor(x.value(), -places)
	f := &fixed{places: uint(places), sum: new(big.Int)}
	f.square = f.times(steps, steps)
	return f, steps
}

func (f *fixed) one() *big.Int { return new(big.Int).Lsh(big.NewInt(1), f.places) }

func (f *fixed) times(a, b *big.Int) *big.Int {
	product := new(big.Int).Mul(a, b)
	return product.Rsh(product, f.places)
}

// add takes the next term, alternately added and taken away.
func (f *fixed) add(term *big.Int) {
	if f.terms%2 == 0 {
		f.sum.Add(f.sum, term)
	} else {
		f.sum.Sub(f.sum, term)
	}
	f.terms++
}

// enclose is the sum with a bound for its terms, for the rest of the series,
// and for x: no series here changes faster than x does.
func (f *fixed) enclose(x Number) Number {
	grid := -int(f.places)
	room := onGrid(big.NewInt(termError*(f.terms+1)+1), grid)
	return settle(onGrid(f.sum, grid), room.Add(room, x.bound()))
}

// sineSeries is x - x³/3! + x⁵/5! …, for x in radians, 0 < x < 1.
func sineSeries(x Number) Number {
	f, first := newFixed(x)
	return f.factorials(first, 1).enclose(x)
}

// cosineSeries is 1 - x²/2! + x⁴/4! …, for x in radians, 0 < x < 1.
func cosineSeries(x Number) Number {
	f, _ := newFixed(x)
	return f.factorials(f.one(), 0).enclose(x)
}

func (f *fixed) factorials(term *big.Int, power int64) *fixed {
	for ; term.Sign() > 0; power += 2 {
		f.add(term)
		term = f.times(term, f.square)
		term.Div(term, big.NewInt((power+1)*(power+2)))
	}
	return f
}

// arctangent is x - x³/3 + x⁵/5 … in radians, for 0 < x < 1/2.
func arctangent(x Number) Number {
	f, odd := newFixed(x)
	for power := int64(1); odd.Sign() > 0; power += 2 {
		f.add(new(big.Int).Div(odd, big.NewInt(power)))
		odd = f.times(odd, f.square)
	}
	return f.enclose(x)
}

// loosen is a with its bound made wider by more.
func (a Number) loosen(more Number) Number {
	room := new(big.Rat).Add(a.bound(), more.value())
	return settle(a.Rat(), room)
}
