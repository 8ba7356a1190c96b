package quantity

import (
	"math/big"
	"math/rand/v2"
	"testing"
)

// around is an approximation that holds truth somewhere inside it, or at one
// of its ends.
func around(random *rand.Rand, truth *big.Rat) Number {
	width := big.NewRat(1+random.Int64N(1000), 1+random.Int64N(1<<uint(2+random.IntN(50))))
	below := new(big.Rat).Mul(width, big.NewRat(random.Int64N(5), 4))
	low := new(big.Rat).Sub(truth, below)
	return between(low, new(big.Rat).Add(low, width.Mul(width, big.NewRat(5, 4))))
}

func holds(n Number, truth *big.Rat) bool {
	return n.lower().Cmp(truth) <= 0 && n.upper().Cmp(truth) >= 0
}

// TestBoundsHoldTheTruth works out random expressions twice: exactly, and with
// leaves that are approximations of the exact ones.
func TestBoundsHoldTheTruth(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 8))
	for range 6000 {
		e := randomApproximation(random, 1+random.IntN(6))
		if !holds(e.number, e.truth) {
			t.Fatalf("%s does not hold %s", e.number, e.truth)
		}
	}
}

func randomApproximation(random *rand.Rand, depth int) expression {
	if depth == 0 {
		e := randomExpression(random, 0)
		if random.IntN(4) > 0 {
			e.number = around(random, e.truth)
		}
		return e
	}
	x, y := randomApproximation(random, depth-1), randomApproximation(random, random.IntN(depth))
	switch random.IntN(6) {
	case 0:
		return expression{x.number.Add(y.number), new(big.Rat).Add(x.truth, y.truth)}
	case 1:
		return expression{x.number.Sub(y.number), new(big.Rat).Sub(x.truth, y.truth)}
	case 2, 3:
		return expression{x.number.Mul(y.number), new(big.Rat).Mul(x.truth, y.truth)}
	case 4:
		return expression{x.number.Abs(), new(big.Rat).Abs(x.truth)}
	}
	quotient, ok := x.number.Div(y.number)
	if !ok {
		return x
	}
	return expression{quotient, new(big.Rat).Quo(x.truth, y.truth)}
}

// A comparison or rounding that an approximation decides is the one that the
// truth gives.
func TestDecisionsAreTrue(t *testing.T) {
	random := rand.New(rand.NewPCG(9, 10))
	decided := 0
	for range 6000 {
		x, y := randomApproximation(random, 2), randomApproximation(random, 1)
		step := Frac(1+random.Int64N(20), 1+random.Int64N(20))
		if order, ok := x.number.Cmp(y.number); ok && order != x.truth.Cmp(y.truth) {
			t.Fatalf("%s against %s is decided as %d", x.number, y.number, order)
		}
		for _, way := range []toward{floor, ceiling, nearest} {
			got, ok := x.number.toMultiple(step, way)
			want, _ := FromRat(x.truth).toMultiple(step, way)
			if ok && !got.Equal(want) {
				t.Fatalf("%s to %s by %d is %s, want %s", x.number, step, way, got, want)
			}
			if ok && !x.number.Exact() {
				decided++
			}
		}
		rest, ok := x.number.Mod(step)
		if want, _ := FromRat(x.truth).Mod(step); ok && !holds(rest, want.Rat()) {
			t.Fatalf("%s mod %s is %s, want %s", x.number, step, rest, want)
		}
	}
	if decided < 500 {
		t.Errorf("only %d roundings of approximations were decided: the test tests too little", decided)
	}
}

// fromTo is an approximation with exactly these ends, which no rounding has
// moved outward.
func fromTo(low, high int64) Number {
	return Number{den: inWide, wide: &wide{value: *big.NewRat(low+high, 2), bound: *big.NewRat(high-low, 2)}}
}

func TestUndecidedIsSaid(t *testing.T) {
	unsure := between(big.NewRat(-1, 8), big.NewRat(1, 8))
	one := between(big.NewRat(7, 8), big.NewRat(9, 8))
	half := Frac(1, 2)
	decided := func(_ Number, ok bool) bool { return ok }
	sign := func(_ int, ok bool) bool { return ok }
	for what, got := range map[string]bool{
		"sign":                   sign(unsure.Sign()),
		"order of overlapping":   sign(one.Cmp(Int(1))),
		"order of touching ends": sign(fromTo(1, 2).Cmp(fromTo(2, 3))),
		"order of an end":        sign(fromTo(1, 2).Cmp(Int(2))),
		"order of itself":        sign(one.Cmp(one)),
		"least of overlapping":   decided(Min(one, Int(1))),
		"division by what may 0": decided(Int(1).Div(unsure)),
		"division from 0":        decided(Int(1).Div(fromTo(0, 1))),
		"division up to 0":       decided(Int(1).Div(fromTo(-1, 0))),
		"rounding over a step":   decided(one.RoundUp(half)),
		"rounding over a tie":    decided(one.RoundNear(Frac(2, 1))),
		"rounding to a guess":    decided(Int(3).RoundUp(one)),
		"what is left":           decided(one.Mod(half)),
		"root of what may be <0": decided(Sqrt(unsure)),
		"tangent over its pole":  decided(Tan(between(big.NewRat(89, 1), big.NewRat(91, 1)))),
		"tangent at its pole":    decided(Tan(fromTo(90, 91))),
		"tangent up to its pole": decided(Tan(fromTo(89, 90))),
		"sine past 1":            decided(Asin(one)),
		"cosine past 1":          decided(Acos(one)),
	} {
		if got {
			t.Errorf("%s: decided", what)
		}
	}
}

func TestCertainDespiteTheBound(t *testing.T) {
	one := between(big.NewRat(7, 8), big.NewRat(9, 8))
	if got := one.Mul(Int(0)); got != Int(0) {
		t.Errorf("0 times anything is %s", got)
	}
	if order, ok := one.Cmp(Int(2)); order != -1 || !ok {
		t.Errorf("about 1 against 2 is %d, %t", order, ok)
	}
	if got, ok := one.RoundNear(Int(1)); got != Int(1) || !ok {
		t.Errorf("about 1 to the nearest whole is %s, %t", got, ok)
	}
	root, _ := Sqrt(Int(2))
	if got, ok := root.RoundUp(Frac(1, 16)); got != Frac(23, 16) || !ok {
		t.Errorf("the root of 2 rounded up to 1/16 is %s, %t", got, ok)
	}
}

// A long sum stays inside the bound and does not grow without end.
func TestApproximationsStaySmall(t *testing.T) {
	root, _ := Sqrt(Int(2))
	sum, product := root, root
	for range 2000 {
		sum = sum.Add(root).Sub(Frac(1, 3))
		product, _ = product.Mul(root).Div(Frac(1414, 1000))
	}
	for name, n := range map[string]Number{"sum": sum, "product": product} {
		if n.Bits() > 1000 {
			t.Errorf("the %s takes %d bits", name, n.Bits())
		}
		if order, ok := n.Within().Cmp(n.Abs().Mul(num(t, "1/1000000000000000000000000000000"))); order >= 0 || !ok {
			t.Errorf("the %s is known no closer than %s", name, n.Within())
		}
	}
}
