package quantity

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"
)

func cutBound(text string) (value, bound string, ok bool) { return strings.Cut(text, " ± ") }

// edges are the numbers around which int64 arithmetic goes wrong.
var edges = []int64{
	0, 1, -1, 2, -2, 3, 5, 7, 8, 16, 64, 127, 254, 1 << 31, 1<<31 - 1, -1 << 31, 1<<32 + 1,
	1 << 62, -1 << 62, 1<<62 - 1, math.MaxInt64, math.MaxInt64 - 1, math.MinInt64, math.MinInt64 + 1,
	3037000499, 3037000500, -3037000500, 45_359_237,
}

func TestEdgesAgainstMathBig(t *testing.T) {
	var pairs []Number
	for _, n := range edges {
		for _, d := range edges {
			if d != 0 {
				pairs = append(pairs, Frac(n, d))
			}
		}
	}
	random := rand.New(rand.NewPCG(1, 2))
	for range 60_000 {
		assertAgreesWithMathBig(t, pairs[random.IntN(len(pairs))], pairs[random.IntN(len(pairs))])
	}
}

// assertAgreesWithMathBig runs every operation beside math/big.
func assertAgreesWithMathBig(t *testing.T, a, b Number) {
	t.Helper()
	x, y := a.Rat(), b.Rat()
	assertIs(t, fmt.Sprintf("%s + %s", a, b), a.Add(b), new(big.Rat).Add(x, y))
	assertIs(t, fmt.Sprintf("%s - %s", a, b), a.Sub(b), new(big.Rat).Sub(x, y))
	assertIs(t, fmt.Sprintf("%s × %s", a, b), a.Mul(b), new(big.Rat).Mul(x, y))
	assertIs(t, fmt.Sprintf("-(%s)", a), a.Neg(), new(big.Rat).Neg(x))
	assertIs(t, fmt.Sprintf("|%s|", a), a.Abs(), new(big.Rat).Abs(x))
	if order, decided := a.Cmp(b); order != x.Cmp(y) || !decided {
		t.Errorf("%s against %s is %d, %t; want %d", a, b, order, decided, x.Cmp(y))
	}
	quotient, ok := a.Div(b)
	if ok != (y.Sign() != 0) {
		t.Fatalf("%s / %s: ok is %t", a, b, ok)
	}
	if ok {
		assertIs(t, fmt.Sprintf("%s / %s", a, b), quotient, new(big.Rat).Quo(x, y))
		assertMod(t, a, b)
	}
}

func assertMod(t *testing.T, a, b Number) {
	t.Helper()
	rest, ok := a.Mod(b)
	ratio := new(big.Rat).Quo(a.Rat(), b.Rat())
	times := new(big.Rat).SetInt(new(big.Int).Div(ratio.Num(), ratio.Denom()))
	if !ok {
		t.Errorf("%s mod %s is refused", a, b)
	}
	assertIs(t, fmt.Sprintf("%s mod %s", a, b), rest, times.Sub(a.Rat(), times.Mul(times, b.Rat())))
}

func assertIs(t *testing.T, what string, got Number, want *big.Rat) {
	t.Helper()
	if !got.Exact() || got.Rat().Cmp(want) != 0 {
		t.Errorf("%s = %s, want %s", what, got, want.RatString())
	}
	if !got.Equal(FromRat(want)) {
		t.Errorf("%s: %s is not in the form that FromRat gives", what, got)
	}
	if fits := want.Num().IsInt64() && want.Denom().IsInt64() && want.Num().Int64() != math.MinInt64; fits == got.isWide() {
		t.Errorf("%s = %s: on the heap is %t", what, got, got.isWide())
	}
}

// expression is a random tree, worked out here and by math/big.
type expression struct {
	number Number
	truth  *big.Rat
}

func randomExpression(random *rand.Rand, depth int) expression {
	if depth == 0 {
		n, d := random.Int64N(4000)-2000, []int64{1, 2, 4, 8, 16, 32, 3, 5, 7, 127, 254, 100}[random.IntN(12)]
		return expression{Frac(n, d), big.NewRat(n, d)}
	}
	x, y := randomExpression(random, depth-1), randomExpression(random, random.IntN(depth))
	switch random.IntN(5) {
	case 0, 1:
		return expression{x.number.Add(y.number), new(big.Rat).Add(x.truth, y.truth)}
	case 2:
		return expression{x.number.Sub(y.number), new(big.Rat).Sub(x.truth, y.truth)}
	case 3:
		return expression{x.number.Mul(y.number), new(big.Rat).Mul(x.truth, y.truth)}
	}
	quotient, ok := x.number.Div(y.number)
	if !ok {
		return x
	}
	return expression{quotient, new(big.Rat).Quo(x.truth, y.truth)}
}

func TestRandomExpressionsAgainstMathBig(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	wide := 0
	for range 20_000 {
		e := randomExpression(random, 1+random.IntN(9))
		assertIs(t, "a random expression", e.number, e.truth)
		if e.number.isWide() {
			wide++
		}
	}
	if wide < 1000 {
		t.Errorf("only %d of the expressions grew past int64: the test tests too little", wide)
	}
}

func TestLawsOfArithmetic(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	for range 5000 {
		a := randomExpression(random, random.IntN(5)).number
		b := randomExpression(random, random.IntN(5)).number
		c := randomExpression(random, random.IntN(5)).number
		for law, same := range map[string]bool{
			"a+b = b+a":         a.Add(b).Equal(b.Add(a)),
			"ab = ba":           a.Mul(b).Equal(b.Mul(a)),
			"(a+b)+c = a+(b+c)": a.Add(b).Add(c).Equal(a.Add(b.Add(c))),
			"(ab)c = a(bc)":     a.Mul(b).Mul(c).Equal(a.Mul(b.Mul(c))),
			"a(b+c) = ab+ac":    a.Mul(b.Add(c)).Equal(a.Mul(b).Add(a.Mul(c))),
			"a-b = -(b-a)":      a.Sub(b).Equal(b.Sub(a).Neg()),
			"a-a = 0":           a.Sub(a) == Int(0),
		} {
			if !same {
				t.Errorf("%s fails for a = %s, b = %s, c = %s", law, a, b, c)
			}
		}
	}
}

func TestMinMax(t *testing.T) {
	for _, test := range []struct{ a, b, min, max string }{
		{"1/3", "3/10", "3/10", "1/3"}, {"-5", "-5", "-5", "-5"}, {"-5/8", "1/2", "-5/8", "1/2"},
	} {
		low, ok := Min(num(t, test.a), num(t, test.b))
		high, ok2 := Max(num(t, test.a), num(t, test.b))
		if !low.Equal(num(t, test.min)) || !high.Equal(num(t, test.max)) || !ok || !ok2 {
			t.Errorf("of %s and %s the least is %s and the greatest %s", test.a, test.b, low, high)
		}
	}
}

func TestPow(t *testing.T) {
	for _, test := range []struct {
		base string
		n    int
		want string // "" for false
	}{
		{"3/2", 0, "1"}, {"0", 0, "1"}, {"3/2", 3, "27/8"}, {"3/2", -3, "8/27"}, {"-2/3", 3, "-8/27"},
		{"-1", math.MaxInt, "-1"}, {"1", math.MinInt, "1"}, {"0", 7, "0"}, {"0", -1, ""},
		{"2", 64, "18446744073709551616"}, {"10", -20, "1/100000000000000000000"},
		{"2", MaxBits, ""}, {"3/2", math.MaxInt, ""}, {"3/2", math.MinInt, ""},
	} {
		got, ok := Pow(num(t, test.base), test.n)
		if ok != (test.want != "") || ok && got.String() != test.want {
			t.Errorf("(%s)^%d = %s, %t; want %q", test.base, test.n, got, ok, test.want)
		}
	}
}

// Whatever fits two int64 is worked out without a single allocation.
func TestSmallNumbersStayOffTheHeap(t *testing.T) {
	for _, pair := range operands {
		step := Frac(1, 4)
		if got := testing.AllocsPerRun(100, func() {
			product := pair.a.Add(pair.b).Sub(pair.b).Mul(pair.b).Neg().Abs()
			quotient, _ := product.Div(pair.b)
			rest, _ := quotient.Mod(pair.b)
			rounded, _ := rest.RoundUp(step)
			least, _ := Min(rounded, quotient)
			order, _ := least.Cmp(pair.a)
			sink = Int(int64(order))
		}); got != 0 {
			t.Errorf("%s: %g allocations", pair.name, got)
		}
	}
}

func TestReadingAndWritingStayOffTheHeap(t *testing.T) {
	room := make([]byte, 0, 64)
	for _, text := range []string{"46", "17 1/2", "17-1/2", "3½", "12.5", "-197/8"} {
		if got := testing.AllocsPerRun(100, func() {
			n, err := Parse(text)
			if err == nil {
				room = n.Append(room[:0])
			}
		}); got != 0 {
			t.Errorf("%s: %g allocations", text, got)
		}
	}
}
