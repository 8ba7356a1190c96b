package quantity

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write the golden files anew")

var (
	inches = Style{}
	feet   = Style{Feet: true}
	millis = Style{Length: "mm", Currency: "EUR"}
	metres = Style{Length: "m", Currency: "GBP"}

	perLength = Dimension{Money: 1, Length: -1}
	perEach   = Dimension{Time: 1, Count: -1}
	density   = Dimension{Mass: 1, Length: -3}
)

// in is so many of a standard unit in base units.
func in(t testing.TB, many, name string) Number {
	t.Helper()
	u, ok := new(Units).Lookup(name)
	if !ok {
		t.Fatalf("no unit %s", name)
	}
	return num(t, many).Mul(u.Factor)
}

func TestShow(t *testing.T) {
	for _, test := range []struct {
		style Style
		n     Number
		dim   Dimension
		want  string
	}{
		{inches, num(t, "197/8"), LengthDim, "24 5/8 in"},
		{inches, num(t, "-37/8"), LengthDim, "-4 5/8 in"},
		{inches, num(t, "1/2"), LengthDim, "1/2 in"},
		{inches, num(t, "46"), LengthDim, "46 in"},
		{inches, Int(0), LengthDim, "0 in"},
		{inches, num(t, "73/3"), LengthDim, "~24 5/16 in"},
		{inches, num(t, "1/100"), LengthDim, "~0 in"},
		{inches, num(t, "-1/32"), LengthDim, "~-1/16 in"},
		{inches, in(t, "117", "mm"), LengthDim, "~4 5/8 in"},
		{Style{Step: Frac(1, 32)}, num(t, "1/32"), LengthDim, "1/32 in"},
		{Style{Step: Frac(1, 8)}, num(t, "9/16"), LengthDim, "~5/8 in"},
		{feet, num(t, "197/8"), LengthDim, "2 ft 5/8 in"},
		{feet, num(t, "325/8"), LengthDim, "3 ft 4 5/8 in"},
		{feet, num(t, "-325/8"), LengthDim, "-3 ft 4 5/8 in"},
		{feet, num(t, "12"), LengthDim, "1 ft"},
		{feet, num(t, "95/8"), LengthDim, "11 7/8 in"},
		{feet, num(t, "11.999"), LengthDim, "~1 ft"},
		{Style{Length: "ft"}, num(t, "30"), LengthDim, "2 1/2 ft"},
		{Style{Length: "yd"}, num(t, "81"), LengthDim, "2 1/4 yd"},
		{millis, in(t, "117", "mm"), LengthDim, "117 mm"},
		{millis, num(t, "1"), LengthDim, "~25 mm"},
		{Style{Length: "mm", Step: Frac(1, 10)}, num(t, "1"), LengthDim, "25.4 mm"},
		{Style{Length: "cm"}, num(t, "5"), LengthDim, "12.7 cm"},
		{metres, in(t, "1.5", "m"), LengthDim, "1.5 m"},
		{metres, num(t, "1"), LengthDim, "~0.025 m"},

		{inches, in(t, "25/2", "ft2"), AreaDim, "12 1/2 ft2"},
		{inches, num(t, "45/2"), AreaDim, "22 1/2 in2"},
		{Style{Length: "yd"}, in(t, "25/2", "yd2"), AreaDim, "12 1/2 yd2"},
		{millis, in(t, "1.25", "m2"), AreaDim, "1.25 m2"},
		{millis, in(t, "160", "cm2"), AreaDim, "160 cm2"},
		{inches, in(t, "5/4", "ft3"), VolumeDim, "1 1/4 ft3"},
		{inches, in(t, "1/4", "bdft"), VolumeDim, "36 in3"},
		{millis, in(t, "0.02", "m3"), VolumeDim, "0.02 m3"},
		{millis, in(t, "500", "ml"), VolumeDim, "500 cm3"},

		{inches, num(t, "9/4"), MassDim, "2 lb 4 oz"},
		{inches, in(t, "9/2", "oz"), MassDim, "4 1/2 oz"},
		{inches, Int(3), MassDim, "3 lb"},
		{inches, Int(0), MassDim, "0 oz"},
		{millis, in(t, "1.25", "kg"), MassDim, "1.25 kg"},
		{millis, in(t, "450", "g"), MassDim, "450 g"},
		{inches, Int(135), TimeDim, "2 h 15 min"},
		{inches, num(t, "3/4"), TimeDim, "45 s"},
		{inches, num(t, "21/2"), TimeDim, "10 min 30 s"},
		{inches, num(t, "121/2"), TimeDim, "1 h 30 s"},
		{inches, num(t, "-135"), TimeDim, "-2 h 15 min"},
		{inches, num(t, "1/7"), TimeDim, "~9 s"},
		{inches, Int(45), AngleDim, "45 deg"},
		{inches, num(t, "45/2"), AngleDim, "22 1/2 deg"},
		{inches, num(t, "33.6901"), AngleDim, "~33.69 deg"},

		{inches, num(t, "1234.5"), MoneyDim, "$1,234.50"},
		{inches, Int(0), MoneyDim, "$0.00"},
		{inches, num(t, "0.05"), MoneyDim, "$0.05"},
		{inches, num(t, "-0.01"), MoneyDim, "-$0.01"},
		{inches, num(t, "999.99"), MoneyDim, "$999.99"},
		{inches, num(t, "1000"), MoneyDim, "$1,000.00"},
		{inches, num(t, "-1234567.89"), MoneyDim, "-$1,234,567.89"},
		{inches, num(t, "999.99"), MoneyDim, "$999.99"},
		{inches, num(t, "1234567.89"), MoneyDim, "$1,234,567.89"},
		{inches, num(t, "-4.5"), MoneyDim, "-$4.50"},
		{inches, num(t, "1/3"), MoneyDim, "~$0.33"},
		{metres, Int(12), MoneyDim, "£12.00"},
		{millis, num(t, "8.20"), MoneyDim, "€8.20"},
		{Style{Currency: "CHF"}, num(t, "1234.5"), MoneyDim, "CHF 1,234.50"},

		{inches, num(t, "41.50").Mul(Frac(1, 36)), perLength, "$41.50 per yd"},
		{inches, Int(1), perLength, "$36.00 per yd"},
		{millis, num(t, "8.20").Mul(Frac(127, 5000)), perLength, "€8.20 per m"},
		{inches, Int(12), perEach, "12 min per each"},
		{inches, num(t, "1.8").Mul(Frac(1, 1728)), density, "1.8 lb per ft3"},
		{inches, num(t, "12").Mul(Frac(1, 16*36*36)), Dimension{Mass: 1, Length: -2}, "12 oz per yd2"},
		{millis, num(t, "30").Mul(in(t, "1", "kg")).Mul(num(t, "0.016387064")).Mul(Frac(1, 1000)), density, "30 kg per m3"},
		{inches, Int(8), Dimension{Length: -1}, "8 per in"},
		{inches, Int(3), Dimension{Count: 1, Length: -1}, "3 each per in"},
		{inches, num(t, "36/60"), Dimension{Money: 1, Time: -1}, "$36.00 per h"},
		{inches, Int(5), Dimension{Length: 4}, "5 in4"},
		{inches, num(t, "5/2"), Dimension{Mass: 1, Length: 1}, "2 1/2 lb in"},

		{inches, num(t, "5/2"), Plain, "2 1/2"},
		{inches, num(t, "1/64"), Plain, "1/64"},
		{inches, num(t, "1/80"), Plain, "0.0125"},
		{inches, num(t, "1/81"), Plain, "~0.0123"},
		{inches, num(t, "-5/2"), Plain, "-2 1/2"},
		{inches, Int(24), CountDim, "24"},
		{inches, num(t, "123456789012345678901234567890"), Plain, "123456789012345678901234567890"},
	} {
		shown := test.style.Show(test.n, test.dim)
		if shown.Text != test.want || shown.Exact == strings.HasPrefix(test.want, "~") {
			t.Errorf("%s, a %s, is shown as %q, exact %t; want %q", test.n, test.dim, shown.Text, shown.Exact, test.want)
		}
		if shown.Exact != (shown.Left == Int(0)) {
			t.Errorf("%q leaves %s", shown.Text, shown.Left)
		}
	}
}

func TestShowIn(t *testing.T) {
	bolt := Unit{"bolt", LengthDim, Int(30 * 36)}
	for _, test := range []struct {
		style Style
		n     Number
		dim   Dimension
		unit  Unit
		want  string
	}{
		{inches, Int(81), LengthDim, unit("yd"), "2 1/4 yd"},
		{inches, num(t, "82.8"), LengthDim, unit("yd"), "2 3/10 yd"},
		{inches, num(t, "36/127"), LengthDim, unit("yd"), "~0 yd"},
		{inches, num(t, "73/3"), LengthDim, unit("in"), "~24 5/16 in"},
		{inches, Int(0), LengthDim, unit("yd"), "0 yd"},
		{inches, num(t, "-81"), LengthDim, unit("yd"), "-2 1/4 yd"},
		{inches, Int(1), LengthDim, unit("mm"), "~25 mm"},
		{inches, Int(1), LengthDim, unit("cm"), "~2.5 cm"},
		{inches, Int(540), LengthDim, bolt, "1/2 bolt"},
		{millis, in(t, "1.25", "m"), LengthDim, unit("m"), "1.25 m"},
		{millis, in(t, "12.6", "mm"), LengthDim, unit("mm"), "~13 mm"},
		{inches, Int(135), TimeDim, unit("h"), "2 1/4 h"},
		{inches, num(t, "25/2"), TimeDim, unit("min"), "12 1/2 min"},
		{inches, Int(36), CountDim, unit("dozen"), "3 dozen"},
		{inches, num(t, "9/4"), MassDim, unit("oz"), "36 oz"},
		{inches, num(t, "1/3"), MoneyDim, Unit{"USD", MoneyDim, Int(1)}, "~$0.33"},
		{inches, Int(81), LengthDim, unit("lb"), "81 in"},
		{inches, Int(81), LengthDim, Unit{Dim: LengthDim}, "81 in"},
	} {
		if got := test.style.ShowIn(test.n, test.dim, test.unit); got.Text != test.want {
			t.Errorf("%s in %s is shown as %q, want %q", test.n, test.unit.Name, got.Text, test.want)
		}
	}
}

func TestApproximationsAreMarked(t *testing.T) {
	root, _ := Sqrt(Int(2))
	slant, _ := Atan(Frac(2, 3))
	near := between(num(t, "1.999").Rat(), num(t, "2.001").Rat())
	for _, test := range []struct {
		n    Number
		dim  Dimension
		want string
	}{
		{root.Mul(Int(17)), LengthDim, "~24 1/16 in"}, {slant, AngleDim, "~33.69 deg"}, {root, MoneyDim, "~$1.41"},
		{near, LengthDim, "~2 in"}, {near, CountDim, "~2"}, {root, Plain, "~1.4142"}, {root, TimeDim, "~1 min 25 s"},
	} {
		shown := inches.Show(test.n, test.dim)
		if shown.Text != test.want || shown.Exact || shown.Left.Exact() {
			t.Errorf("about %s is shown as %+v, want %q", test.n, shown, test.want)
		}
	}
}

// A shown length is a literal of the trade: read again, and with what was
// left out added, it is the length.
func TestShownAndLeftMakeTheWhole(t *testing.T) {
	random := rand.New(rand.NewPCG(19, 20))
	for range 3000 {
		n := randomExpression(random, random.IntN(4)).number
		for _, style := range []Style{inches, millis, metres, {Step: Frac(1, 10)}, {Length: "cm", Step: Frac(1, 4)}} {
			shown := style.Show(n, LengthDim)
			text, name, _ := cutLast(strings.TrimPrefix(shown.Text, "~"))
			value, err := Parse(text)
			if err != nil {
				t.Fatalf("%q: %v", shown.Text, err)
			}
			if got := value.Mul(unit(name).Factor).Add(shown.Left); !got.Equal(n) {
				t.Fatalf("%s is shown as %q and leaves %s", n, shown.Text, shown.Left)
			}
			if step := style.LengthStep(); step.less(shown.Left.Abs().Mul(Int(2))) {
				t.Fatalf("%s is shown as %q: more than half a step of %s off", n, shown.Text, step)
			}
		}
	}
}

func cutLast(text string) (before, after string, ok bool) {
	i := strings.LastIndexByte(text, ' ')
	return text[:max(i, 0)], text[i+1:], i >= 0
}

func TestExact(t *testing.T) {
	for _, test := range []struct {
		style       Style
		n           Number
		dim         Dimension
		exact, unit string
	}{
		{inches, num(t, "197/8"), LengthDim, "197/8", "in"},
		{feet, num(t, "197/8"), LengthDim, "197/8", "in"},
		{millis, num(t, "197/8"), LengthDim, "25019/40", "mm"},
		{metres, Int(1), LengthDim, "127/5000", "m"},
		{inches, num(t, "45/2"), AreaDim, "45/2", "in2"},
		{Style{Length: "yd"}, Int(1296), AreaDim, "1", "yd2"},
		{inches, Int(144), VolumeDim, "144", "in3"},
		{inches, num(t, "5/2"), Plain, "5/2", ""},
		{inches, Int(24), CountDim, "24", "each"},
		{inches, num(t, "1234.5"), MoneyDim, "2469/2", "USD"},
		{millis, num(t, "8.2"), MoneyDim, "41/5", "EUR"},
		{inches, num(t, "41.5").Mul(Frac(1, 36)), perLength, "83/2", "USD per yd"},
		{inches, Int(12), perEach, "12", "min per each"},
		{inches, num(t, "135"), TimeDim, "135", "min"},
		{inches, Int(45), AngleDim, "45", "deg"},
		{inches, num(t, "9/4"), MassDim, "9/4", "lb"},
		{millis, in(t, "9/4", "kg"), MassDim, "9/4", "kg"},
		{inches, Int(8), Dimension{Length: -1}, "8", "per in"},
	} {
		exact, unit, within := test.style.Exact(test.n, test.dim)
		if exact != test.exact || unit != test.unit || within != "" {
			t.Errorf("%s, a %s, is %q %q ± %q; want %q %q", test.n, test.dim, exact, unit, within, test.exact, test.unit)
		}
	}
	root, _ := Sqrt(Int(2))
	exact, name, within := millis.Exact(root, LengthDim)
	want := root.Mul(Frac(127, 5))
	if name != "mm" || !strings.HasPrefix(exact, "35.92102448") {
		t.Errorf("the root of 2 in is %s %s", exact, name)
	}
	assertWrittenBoundHolds(t, exact+" ± "+within, want.lower(), want.upper())
}

func TestStyleValidates(t *testing.T) {
	root, _ := Sqrt(Int(2))
	for _, test := range []struct {
		style Style
		want  string // "" for a good one
	}{
		{Style{}, ""}, {feet, ""}, {millis, ""}, {Style{Length: "yd", Step: Frac(1, 4)}, ""},
		{Style{Length: "furlong"}, "furlong"}, {Style{Step: Int(-1)}, "step"}, {Style{Step: root}, "step"},
		{Style{Length: "mm", Feet: true}, "feet"}, {Style{Currency: "dollars"}, "three capital letters"},
	} {
		err := test.style.Validate()
		if (err == nil) != (test.want == "") || err != nil && !strings.Contains(err.Error(), test.want) {
			t.Errorf("%+v: %v, want %q", test.style, err, test.want)
		}
	}
	if got := (Style{Length: "furlong"}).Show(Int(5), LengthDim).Text; got != "5 in" {
		t.Errorf("an unknown unit of length shows 5 in as %q", got)
	}
}

// TestShowGolden shows a few figures in every style and dimension.
func TestShowGolden(t *testing.T) {
	var page strings.Builder
	for _, style := range []Style{inches, feet, {Length: "ft"}, {Length: "yd"}, millis, {Length: "cm"}, metres} {
		for _, dim := range []Dimension{
			Plain, CountDim, LengthDim, AreaDim, VolumeDim, MassDim, TimeDim, AngleDim, MoneyDim, perLength, perEach, density,
			{Mass: 1, Length: -2}, {Mass: 1, Length: -1}, {Money: 1, Length: -2}, {Money: 1, Mass: -1}, {Money: 1, Time: -1},
			{Time: 1, Length: -1}, {Time: 1, Length: -2}, {Length: 1, Count: -1}, {Length: 2, Count: -1}, {Length: -2}, {Length: 4, Time: -2},
		} {
			fmt.Fprintf(&page, "%s feet=%t %s:\n", style.lengthUnit().Name, style.Feet, dim)
			for _, n := range []string{"0", "1", "-5/16", "2000/3"} {
				exact, name, _ := style.Exact(num(t, n), dim)
				line := fmt.Sprintf("\t%-28s | %s %s", style.Show(num(t, n), dim).Text, exact, name)
				page.WriteString(strings.TrimRight(line, " ") + "\n")
			}
		}
	}
	path := filepath.Join("testdata", "show.golden")
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(page.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), page.String()); diff != "" {
		t.Errorf("shown (-want +got), -update writes it anew:\n%s", diff)
	}
}
