package quantity

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// rat reads "p/q" for the tables of the tests, by the standard library and
// not by the code under test.
func rat(t testing.TB, text string) *big.Rat {
	t.Helper()
	r, ok := new(big.Rat).SetString(text)
	if !ok {
		t.Fatalf("the test's own number %q is malformed", text)
	}
	return r
}

func num(t testing.TB, text string) Number {
	t.Helper()
	return FromRat(rat(t, text))
}

func TestFracIsInLowestTerms(t *testing.T) {
	const most, least = math.MaxInt64, math.MinInt64
	for _, test := range []struct {
		n, d int64
		want string
	}{
		{0, 5, "0"}, {4, 8, "1/2"}, {-4, 8, "-1/2"}, {4, -8, "-1/2"}, {-4, -8, "1/2"},
		{197, 8, "197/8"}, {48, 16, "3"}, {30, 12, "5/2"}, {7, 7, "1"}, {35, 21, "5/3"},
		{most, most, "1"}, {most, 1, "9223372036854775807"},
		{least, 1, "-9223372036854775808"}, {least, -1, "9223372036854775808"},
		{1, least, "-1/9223372036854775808"}, {least, least, "1"}, {least, 2, "-4611686018427387904"},
		{1, 0, "0"},
	} {
		if got := Frac(test.n, test.d).String(); got != test.want {
			t.Errorf("Frac(%d, %d) = %s, want %s", test.n, test.d, got, test.want)
		}
	}
}

func TestZeroValueIsZero(t *testing.T) {
	var zero Number
	if zero != Int(0) || zero != Frac(0, 7) || zero != FromRat(nil) || zero != FromRat(new(big.Rat)) {
		t.Error("0 has more than one form")
	}
	if got := zero.Add(Int(3)).String(); got != "3" {
		t.Errorf("0 + 3 = %s", got)
	}
	if sign, ok := zero.Sign(); sign != 0 || !ok || !zero.IsInt() || !zero.Exact() {
		t.Error("the zero value is not an exact whole 0")
	}
}

// Small numbers serve as keys, so one value has one form, however it came about.
func TestSmallNumbersCompareWithEquals(t *testing.T) {
	huge, _ := Pow(Int(10), 40)
	back, _ := Frac(5, 8).Mul(huge).Div(huge)
	for name, got := range map[string]Number{
		"fraction": Frac(10, 16), "sum": Frac(1, 2).Add(Frac(1, 8)), "rat": FromRat(big.NewRat(5, 8)),
		"difference": Int(1).Sub(Frac(3, 8)), "through the heap": back,
	} {
		if got != Frac(5, 8) {
			t.Errorf("5/8 by %s is %#v", name, got)
		}
	}
}

func TestAccessors(t *testing.T) {
	type facts struct {
		IsInt, Exact, Fits bool
		Int64              int64
		Bits               int
	}
	root, _ := Sqrt(Int(2))
	for _, test := range []struct {
		n    Number
		want facts
	}{
		{Int(0), facts{true, true, true, 0, 1}},
		{Int(-46), facts{true, true, true, -46, 7}},
		{Frac(197, 8), facts{false, true, false, 0, 12}},
		{Int(math.MinInt64), facts{true, true, true, math.MinInt64, 65}},
		{Int(math.MaxInt64).Add(Int(1)), facts{true, true, false, 0, 65}},
		{root, facts{false, false, false, 0, root.Bits()}},
	} {
		whole, fits := test.n.Int64()
		got := facts{test.n.IsInt(), test.n.Exact(), fits, whole, test.n.Bits()}
		if diff := cmp.Diff(test.want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", test.n, diff)
		}
	}
}

// What a caller does to a Rat that went in or came out stays outside.
func TestNumbersDoNotShareTheirRat(t *testing.T) {
	in, _ := new(big.Rat).SetString("123456789012345678901234567891/2")
	n := FromRat(in)
	in.SetInt64(1)
	n.Rat().SetInt64(2)
	if got := n.String(); got != "123456789012345678901234567891/2" {
		t.Errorf("the number became %s", got)
	}
	root, _ := Sqrt(Int(3))
	before := root.String()
	root.Rat().SetInt64(2)
	root.Neg().Add(root).Mul(root)
	if root.String() != before {
		t.Errorf("the root of 3 became %s", root)
	}
}

func TestApproximationAsText(t *testing.T) {
	for _, test := range []struct{ low, high, want string }{
		{"1/2", "3/4", "0.6 ± 0.2"},
		{"14142/10000", "14143/10000", "1.41415 ± 0.00005"},
		{"-3", "-1", "-2 ± 1"},
		{"0", "1/1000", "0.0005 ± 0.0005"},
		{"100000", "200000", "150000 ± 50000"},
	} {
		got := between(rat(t, test.low), rat(t, test.high)).String()
		assertWrittenBoundHolds(t, got, rat(t, test.low), rat(t, test.high))
		if len(got) > len(test.want)+3 {
			t.Errorf("from %s to %s reads %s, want about %s", test.low, test.high, got, test.want)
		}
	}
}

func TestWrittenBoundCoversTheBound(t *testing.T) {
	random := rand.New(rand.NewPCG(21, 22))
	for range 3000 {
		n := around(random, big.NewRat(random.Int64N(2_000_000)-1_000_000, 1+random.Int64N(1000)))
		assertWrittenBoundHolds(t, n.String(), n.lower(), n.upper())
	}
}

// assertWrittenBoundHolds checks that "v ± w" covers all from low to high.
func assertWrittenBoundHolds(t *testing.T, text string, low, high *big.Rat) {
	t.Helper()
	value, bound, ok := cutBound(text)
	if !ok {
		t.Fatalf("%q has no bound", text)
	}
	v, w := rat(t, value), rat(t, bound)
	if new(big.Rat).Sub(v, w).Cmp(low) > 0 || new(big.Rat).Add(v, w).Cmp(high) < 0 {
		t.Errorf("%s leaves out a part of %s to %s", text, low, high)
	}
}

func TestSmallNumbersFitInt64(t *testing.T) {
	huge, _ := Pow(Int(3), 50)
	root, _ := Sqrt(Int(2))
	for _, n := range []struct {
		number Number
		want   bool
	}{{Number{}, true}, {Frac(-5, 8), true}, {huge, false}, {root, false}} {
		if got := n.number.Small(); got != n.want || got && n.number.Bits() > 127 {
			t.Errorf("%s: small is %v, %d bits", n.number, got, n.number.Bits())
		}
	}
}
