package column

import (
	"math/big"
	"math/rand/v2"
	"testing"

	"squab/eval/quantity"
)

func rat(a ratio) *big.Rat { return big.NewRat(a.num, a.den) }

// someRatio makes a ratio of small parts, not 0.
func someRatio(r *rand.Rand) ratio {
	a, _ := ratioOf(quantity.Frac(1+r.Int64N(5000), 1+r.Int64N(700)))
	if r.IntN(2) == 0 {
		a.num = -a.num
	}
	return a
}

func TestRatiosAreRationals(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 20_000 {
		a, b := someRatio(r), someRatio(r)
		if p, ok := a.times(b); !ok || rat(p).Cmp(new(big.Rat).Mul(rat(a), rat(b))) != 0 || p.den < 1 {
			t.Fatalf("%v times %v = %v, %v", a, b, p, ok)
		}
		if q, ok := a.over(b); !ok || rat(q).Cmp(new(big.Rat).Quo(rat(a), rat(b))) != 0 || q.den < 1 {
			t.Fatalf("%v over %v = %v, %v", a, b, q, ok)
		}
	}
}

// The common unit goes into both a whole number of times, and those two numbers have no divisor in common, so that no coarser unit would do.
func TestCommonUnitIsTheCoarsest(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 20_000 {
		a, b := someRatio(r).abs(), someRatio(r).abs()
		unit, ok := common(a, b)
		x, ok2 := a.steps(unit)
		y, ok3 := b.steps(unit)
		if !ok || !ok2 || !ok3 || gcd(x, y) != 1 {
			t.Fatalf("common(%v, %v) = %v, which goes %d and %d times", a, b, unit, x, y)
		}
	}
}

func TestStepsWantAWholeNumber(t *testing.T) {
	if n, ok := (ratio{5, 8}).steps(ratio{1, 16}); n != 10 || !ok {
		t.Errorf("5/8 is %d sixteenths, %v", n, ok)
	}
	if n, ok := (ratio{1, 3}).steps(ratio{1, 16}); ok {
		t.Errorf("a third is %d sixteenths", n)
	}
}

func TestRatioOfRefuses(t *testing.T) {
	root, _ := quantity.Sqrt(quantity.Int(2))
	large, _ := quantity.Pow(quantity.Int(10), 30)
	for _, n := range []quantity.Number{root, large} {
		if a, ok := ratioOf(n); ok {
			t.Errorf("%s became %v", n, a)
		}
	}
}

func TestProductsPastMostAreRefused(t *testing.T) {
	for _, tt := range []struct {
		x, y int64
		ok   bool
	}{{1 << 30, 1 << 31, true}, {-1 << 30, 1 << 31, true}, {1 << 31, 1 << 31, false}, {1<<61 + 1, 1, false}, {-1 << 63, 1, false}, {-1 << 63, -1, false}, {0, -1 << 63, true}} {
		if n, ok := mul(tt.x, tt.y); ok != tt.ok || ok && n != tt.x*tt.y {
			t.Errorf("mul(%d, %d) = %d, %v", tt.x, tt.y, n, ok)
		}
	}
}

// A bound of a product or a sum holds every product and sum, and its ends are met.
func TestBoundsHoldAndAreMet(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 3))
	for range 3000 {
		a, b := someBound(r, 8), someBound(r, 8)
		product, _ := a.times(b)
		sum, _ := a.plus(b)
		products, sums := bound{1 << 62, -1 << 62}, bound{1 << 62, -1 << 62}
		for x := a.lo; x <= a.hi; x++ {
			for y := b.lo; y <= b.hi; y++ {
				products, sums = products.and(exactly(x*y)), sums.and(exactly(x+y))
			}
		}
		if product != products || sum != sums {
			t.Fatalf("%v and %v: products %v want %v, sums %v want %v", a, b, product, products, sum, sums)
		}
	}
}

func someBound(r *rand.Rand, reach int64) bound {
	x, y := r.Int64N(2*reach+1)-reach, r.Int64N(2*reach+1)-reach
	return bound{min(x, y), max(x, y)}
}

func TestFloorDiv(t *testing.T) {
	for x := int64(-20); x <= 20; x++ {
		for y := int64(-6); y <= 6; y++ {
			if y == 0 {
				continue
			}
			want := new(big.Int)
			q := big.NewRat(x, y)
			want.Div(q.Num(), q.Denom())
			if got := floorDiv(x, y); got != want.Int64() {
				t.Errorf("floorDiv(%d, %d) = %d, want %s", x, y, got, want)
			}
		}
	}
}
