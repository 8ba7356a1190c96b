package quantity

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"os"
	"os/exec"
	"strings"
	"testing"
)

type function func(Number) (Number, bool)

// The exact values are those that a set square and half of one give.
func TestAnglesWithExactValues(t *testing.T) {
	for _, test := range []struct {
		name string
		f    function
		x    string
		want string // "" for false
	}{
		{"sin", Sin, "0", "0"}, {"sin", Sin, "30", "1/2"}, {"sin", Sin, "90", "1"}, {"sin", Sin, "150", "1/2"},
		{"sin", Sin, "180", "0"}, {"sin", Sin, "210", "-1/2"}, {"sin", Sin, "270", "-1"}, {"sin", Sin, "-30", "-1/2"},
		{"sin", Sin, "3600000000000000000000000000000030", "1/2"},
		{"cos", Cos, "0", "1"}, {"cos", Cos, "60", "1/2"}, {"cos", Cos, "90", "0"}, {"cos", Cos, "120", "-1/2"},
		{"cos", Cos, "180", "-1"}, {"cos", Cos, "-60", "1/2"}, {"cos", Cos, "300", "1/2"},
		{"tan", Tan, "0", "0"}, {"tan", Tan, "45", "1"}, {"tan", Tan, "135", "-1"}, {"tan", Tan, "-45", "-1"},
		{"tan", Tan, "225", "1"}, {"tan", Tan, "180", "0"}, {"tan", Tan, "90", ""}, {"tan", Tan, "-90", ""}, {"tan", Tan, "270", ""},
		{"asin", Asin, "0", "0"}, {"asin", Asin, "1/2", "30"}, {"asin", Asin, "-1/2", "-30"}, {"asin", Asin, "1", "90"},
		{"asin", Asin, "-1", "-90"}, {"asin", Asin, "9/8", ""}, {"asin", Asin, "-2", ""},
		{"acos", Acos, "0", "90"}, {"acos", Acos, "1/2", "60"}, {"acos", Acos, "-1/2", "120"}, {"acos", Acos, "1", "0"},
		{"acos", Acos, "-1", "180"}, {"acos", Acos, "9/8", ""},
		{"atan", Atan, "0", "0"}, {"atan", Atan, "1", "45"}, {"atan", Atan, "-1", "-45"},
		{"sqrt", Sqrt, "0", "0"}, {"sqrt", Sqrt, "9/4", "3/2"}, {"sqrt", Sqrt, "2500", "50"}, {"sqrt", Sqrt, "-1", ""},
		{"sqrt", Sqrt, "10000000000000000000000000000000000000000", "100000000000000000000"},
	} {
		got, ok := test.f(num(t, test.x))
		if ok != (test.want != "") || ok && got.String() != test.want {
			t.Errorf("%s %s = %s, %t; want %q", test.name, test.x, got, ok, test.want)
		}
	}
}

// TestPiByMachin works pi out anew: pi/4 = 4 arctan 1/5 - arctan 1/239 (John
// Machin, 1706), in whole steps of 10^-90.
func TestPiByMachin(t *testing.T) {
	one := tenTo(90)
	inverseTangent := func(x int64) *big.Int {
		sum, power := new(big.Int), new(big.Int).Div(one, big.NewInt(x))
		for k := int64(0); power.Sign() > 0; k++ {
			term := new(big.Int).Div(power, big.NewInt(2*k+1))
			if k%2 == 1 {
				term.Neg(term)
			}
			sum.Add(sum, term)
			power.Div(power, big.NewInt(x*x))
		}
		return sum
	}
	quarter := inverseTangent(5)
	quarter.Mul(quarter, big.NewInt(4)).Sub(quarter, inverseTangent(239))
	if want := pointed(quarter.Mul(quarter, big.NewInt(4)).String(), 90); !strings.HasPrefix(want, piDigits) {
		t.Errorf("pi is written as %s, Machin's formula gives %s", piDigits, want)
	}
	if low, high := rat(t, piDigits), rat(t, piDigits+"1"); !holds(Pi(), low) || !holds(Pi(), high) {
		t.Error("the bound of pi leaves out its own digits")
	}
}

// bc is the general-purpose calculator of the Debian package bc.
func bc(t *testing.T, lines []string) []string {
	t.Helper()
	path, err := exec.LookPath("bc")
	if err != nil {
		t.Skip("bc is not installed: install the Debian package bc to run this check")
	}
	command := exec.Command(path, "-l")
	command.Env = append(os.Environ(), "BC_LINE_LENGTH=0")
	command.Stdin = strings.NewReader("scale=75\np=4*a(1)\n" + strings.Join(lines, "\n") + "\n")
	out, err := command.Output()
	if err != nil {
		t.Fatalf("bc: %v", err)
	}
	results := strings.Fields(string(out))
	if len(results) != len(lines) {
		t.Fatalf("bc gave %d results for %d questions", len(results), len(lines))
	}
	return results
}

// inBC is how each function is asked of bc, which has only s, c, a and sqrt,
// in radians; %[1]s is the argument.
var inBC = []struct {
	name     string
	f        function
	question string
	least    int64 // the arguments, in hundredths
	most     int64
}{
	{"sin", Sin, "s((%[1]s)*p/180)", -72000, 72000},
	{"cos", Cos, "c((%[1]s)*p/180)", -72000, 72000},
	{"tan", Tan, "s((%[1]s)*p/180)/c((%[1]s)*p/180)", -8900, 8900},
	{"asin", Asin, "a((%[1]s)/sqrt(1-(%[1]s)^2))*180/p", -99, 99},
	{"acos", Acos, "90-a((%[1]s)/sqrt(1-(%[1]s)^2))*180/p", -99, 99},
	{"atan", Atan, "a(%[1]s)*180/p", -100000, 100000},
	{"sqrt", Sqrt, "sqrt(%[1]s)", 1, 100000},
}

// What bc works out to 75 decimals lies within the bounds, give or take the
// last places of bc itself.
func TestFunctionsAgainstBC(t *testing.T) {
	random := rand.New(rand.NewPCG(11, 12))
	slack := rat(t, "1e-65")
	for _, test := range inBC {
		var questions []string
		var answers []Number
		for range 60 {
			x := Frac(test.least*7+random.Int64N((test.most-test.least)*7), 700)
			got, ok := test.f(x)
			if !ok {
				t.Fatalf("%s %s is refused", test.name, x)
			}
			questions = append(questions, fmt.Sprintf(test.question, x))
			answers = append(answers, got)
		}
		for i, want := range bc(t, questions) {
			if !holds(answers[i].loosen(FromRat(slack)), rat(t, want)) {
				t.Errorf("%s = %s, bc says %s", questions[i], answers[i], want)
			}
			assertClose(t, questions[i], answers[i])
		}
	}
}

var seriesInBC = []struct {
	name string
	sum  func(Number) Number
	most int64 // of the argument, in thousandths
}{{"s", sineSeries, 786}, {"c", cosineSeries, 786}, {"a", arctangent, 499}}

// The series alone, where nothing but its own bound covers what it cuts off.
func TestSeriesAgainstBC(t *testing.T) {
	random := rand.New(rand.NewPCG(23, 24))
	slack := num(t, "1e-70")
	for _, test := range seriesInBC {
		var questions []string
		var answers []Number
		for range 60 {
			x := Frac(1+random.Int64N(test.most*7), 7000)
			questions = append(questions, fmt.Sprintf("%s(%s)", test.name, x))
			answers = append(answers, test.sum(x))
		}
		for i, want := range bc(t, questions) {
			if !holds(answers[i].loosen(slack), rat(t, want)) {
				t.Errorf("%s = %s, bc says %s", questions[i], answers[i], want)
			}
		}
	}
}

// A series of an approximation covers the series at both of its ends.
func TestSeriesCarryBounds(t *testing.T) {
	low, high := big.NewRat(2, 5), big.NewRat(1, 2)
	for _, test := range seriesInBC {
		got := test.sum(between(low, high))
		for _, end := range []*big.Rat{low, high} {
			if want := test.sum(FromRat(end)); !holds(got, want.lower()) || !holds(got, want.upper()) {
				t.Errorf("%s from 2/5 to 1/2 is %s, which leaves out %s", test.name, got, want)
			}
		}
	}
}

// assertClose holds every approximation to 1 in 10^30.
func assertClose(t *testing.T, what string, n Number) {
	t.Helper()
	share := n.Abs().Mul(num(t, "1/1000000000000000000000000000000"))
	if order, ok := n.Within().Cmp(share); !n.Exact() && (order >= 0 || !ok) {
		t.Errorf("%s = %s is within %s only", what, n, n.Within())
	}
}

// Next to 0, a right angle and 1 the values stay just as close, in proportion.
func TestClosenessAtTheCorners(t *testing.T) {
	tiny := "1/1" + strings.Repeat("0", 60)
	near := func(whole int64) Number { return Int(whole).Sub(num(t, tiny)) }
	for _, test := range []struct {
		name string
		f    function
		x    Number
	}{
		{"sin", Sin, num(t, tiny)}, {"sin", Sin, near(180)}, {"cos", Cos, near(90)}, {"tan", Tan, near(90)},
		{"tan", Tan, near(180)}, {"asin", Asin, num(t, tiny)}, {"asin", Asin, near(1)}, {"acos", Acos, near(1)},
		{"acos", Acos, near(-1).Add(num(t, tiny)).Add(num(t, tiny))}, {"atan", Atan, num(t, tiny)},
		{"sqrt", Sqrt, num(t, tiny).Mul(Int(2))}, {"sqrt", Sqrt, num(t, "2"+strings.Repeat("0", 61))},
	} {
		got, ok := test.f(test.x)
		if !ok || got.Exact() {
			t.Errorf("%s %s: %t, exact %t", test.name, test.x, ok, got.Exact())
		}
		assertClose(t, test.name+" "+test.x.String(), got)
	}
}

func TestIdentities(t *testing.T) {
	random := rand.New(rand.NewPCG(13, 14))
	for range 150 {
		x := Frac(random.Int64N(17_999)-9000, 1+random.Int64N(100))
		small, _ := x.Mod(Int(90))
		sin, _ := Sin(x)
		cos, _ := Cos(x)
		assertMaybe(t, "sin² + cos²", sin.Mul(sin).Add(cos.Mul(cos)), Int(1))
		if tan, ok := Tan(x); ok {
			assertMaybe(t, "tan · cos - sin", tan.Mul(cos).Sub(sin), Int(0))
		}
		back, _ := Sin(small)
		back, _ = Asin(back)
		assertMaybe(t, "asin sin", back, small)
		back, _ = Cos(small)
		back, _ = Acos(back)
		assertMaybe(t, "acos cos", back, small)
		back, _ = Tan(small)
		back, _ = Atan(back)
		assertMaybe(t, "atan tan", back, small)
		root, _ := Sqrt(x.Abs())
		assertMaybe(t, "sqrt squared", root.Mul(root), x.Abs())
	}
}

// assertMaybe checks that got may be want, and nothing far from it.
func assertMaybe(t *testing.T, what string, got, want Number) {
	t.Helper()
	order, decided := got.Cmp(want)
	room, _ := got.Within().Cmp(num(t, "1/1000000000000000000000000"))
	if decided && order != 0 || room > 0 {
		t.Errorf("%s = %s, want %s", what, got, want)
	}
}

// A function of an approximation covers the function of all that lies in it.
func TestFunctionsCarryBounds(t *testing.T) {
	random := rand.New(rand.NewPCG(15, 16))
	answered := 0
	for range 400 {
		test := inBC[random.IntN(len(inBC))]
		truth := big.NewRat(test.least*7+random.Int64N((test.most-test.least)*7), 700)
		got, ok := test.f(around(random, truth))
		if !ok {
			continue
		}
		answered++
		want, _ := test.f(FromRat(truth))
		if order, decided := got.Cmp(want); decided && order != 0 {
			t.Errorf("%s of about %s is %s, which leaves out %s", test.name, truth.RatString(), got, want)
		}
		if got.Exact() && !want.Exact() {
			t.Errorf("%s of about %s claims to be exact", test.name, truth.RatString())
		}
	}
	if answered < 200 {
		t.Errorf("only %d of 400 were answered: the test tests too little", answered)
	}
}
