package quantity

import (
	"encoding/csv"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

const handbook = "NIST Handbook 44, App. C"

// The factors that the tests keep beside their source, so that they need no
// file to check them.
func TestExactFactors(t *testing.T) {
	for _, test := range []struct{ from, to, want, source string }{
		{"in", "mm", "127/5", handbook + ", sec. 4: 25.4 mm"},
		{"ft", "m", "0.3048", handbook},
		{"yd", "m", "0.9144", handbook + " (1959 agreement)"},
		{"mi", "m", "1609.344", handbook},
		{"yd", "in", "36", handbook},
		{"ft", "in", "12", handbook},
		{"mi", "yd", "1760", handbook},
		{"km", "m", "1000", "SI"},
		{"m", "cm", "100", "SI"},
		{"cm", "mm", "10", "SI"},
		{"in2", "cm2", "6.4516", "derived: 2.54²"},
		{"ft2", "m2", "0.09290304", "derived: 0.3048²"},
		{"yd2", "m2", "0.83612736", "derived: 0.9144²"},
		{"yd2", "ft2", "9", "derived"},
		{"in3", "cm3", "16.387064", "derived: 2.54³"},
		{"ft3", "m3", "0.028316846592", "derived: 0.3048³"},
		{"ft3", "in3", "1728", "derived"},
		{"yd3", "m3", "0.764554857984", "derived: 0.9144³"},
		{"m2", "mm2", "1000000", "SI"},
		{"bdft", "in3", "144", handbook},
		{"bdft", "m3", "0.002359737216", "derived: 144 · 0.0254³"},
		{"bdft", "ft3", "1/12", "derived"},
		{"lb", "kg", "0.45359237", handbook},
		{"lb", "oz", "16", handbook},
		{"oz", "g", "28.349523125", handbook},
		{"kg", "g", "1000", "SI"},
		{"gal", "in3", "231", handbook},
		{"gal", "l", "3.785411784", handbook},
		{"gal", "qt", "4", handbook},
		{"qt", "l", "0.946352946", "derived"},
		{"pt", "l", "0.473176473", "derived"},
		{"floz", "ml", "29.5735295625", handbook},
		{"gal", "floz", "128", handbook},
		{"l", "cm3", "1000", "SI"},
		{"l", "ml", "1000", "SI"},
		{"h", "min", "60", "SI"},
		{"min", "s", "60", "SI"},
		{"dozen", "each", "12", "common usage"},
		{"deg", "deg", "1", "definition"},
	} {
		assertFactor(t, new(Units), test.from, test.to, num(t, test.want), test.source)
	}
}

func assertFactor(t *testing.T, units *Units, from, to string, want Number, source string) {
	t.Helper()
	a, ok := units.Lookup(from)
	b, ok2 := units.Lookup(to)
	if !ok || !ok2 || a.Dim != b.Dim {
		t.Errorf("%s in %s: %+v, %+v", from, to, a, b)
		return
	}
	if got, _ := a.Factor.Div(b.Factor); !got.Equal(want) {
		t.Errorf("1 %s = %s %s, but %s %s by %s", from, got, to, want, to, source)
	}
}

// checks finds the folder of outside figures: SQUAB_CHECKS, or shared/checks
// beside the repository or above it.
func checks(t *testing.T) string {
	t.Helper()
	if folder := os.Getenv("SQUAB_CHECKS"); folder != "" {
		return folder
	}
	above, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for above != filepath.Dir(above) {
		above = filepath.Dir(above)
		folder := filepath.Join(above, "shared", "checks")
		if info, err := os.Stat(folder); err == nil && info.IsDir() {
			return folder
		}
	}
	t.Skip("no folder shared/checks above the package: set SQUAB_CHECKS to the folder of outside figures to run this check")
	return ""
}

// inFile is the names of the file of conversions in ours. What the file has
// besides is left to shops, or has no place in a workroom.
var inFile = map[string]string{
	"inch": "in", "foot": "ft", "yard": "yd", "mile": "mi", "mm": "mm", "m": "m", "yd": "yd", "each": "each", "lb": "lb", "kg": "kg", "g": "g",
	"square inch": "in2", "square foot": "ft2", "square yard": "yd2", "cm2": "cm2", "m2": "m2",
	"cubic inch": "in3", "cubic foot": "ft3", "cubic yard": "yd3", "cm3": "cm3", "m3": "m3", "board foot": "bdft",
	"pound avoirdupois": "lb", "ounce avoirdupois": "oz", "L": "l", "mL": "ml",
	"US gallon": "gal", "US quart": "qt", "US pint": "pt", "US fluid ounce": "floz", "dozen": "dozen", "gross": "gross",
	"cord": "cord", "short ton": "short_ton", "long ton": "long_ton", "Imperial gallon": "imperial_gal",
	"button line (US)": "line", "ell (English)": "ell", "nail (cloth)": "nail",
}

var outOfReach = []string{
	"US survey foot", "grain", "US cup", "Imperial fluid ounce", "pound-force", "psi", "lb/ft3", "oz/yd2",
	"oz/linear yd at 54 in", "mil", "denier", "degF", "ligne (French)", "bolt (cotton cloth)",
}

// shopUnits defines the units that a shop adds, each by another route than
// the figure that the file gives for it.
func shopUnits(t *testing.T) *Units {
	t.Helper()
	units := new(Units)
	for _, own := range []struct{ name, of, many string }{
		{"gross", "dozen", "12"}, {"cord", "bdft", "1536"}, {"hundredweight", "lb", "100"}, {"short_ton", "hundredweight", "20"},
		{"stone", "lb", "14"}, {"long_ton", "stone", "160"}, {"imperial_gal", "ml", "4546.09"},
		{"line", "ft", "1/480"}, {"nail", "yd", "1/16"}, {"ell", "nail", "20"},
	} {
		of, ok := units.Lookup(own.of)
		if err := units.Define(own.name, Unit{Dim: of.Dim, Factor: of.Factor.Mul(num(t, own.many))}); err != nil || !ok {
			t.Fatalf("%s: %v", own.name, err)
		}
	}
	return units
}

func TestFileOfConversions(t *testing.T) {
	file, err := os.Open(filepath.Join(checks(t), "conversions.csv"))
	if err != nil {
		t.Skipf("no conversions.csv among the outside figures: %v", err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	number, units, checked := regexp.MustCompile(`^[0-9./]+`), shopUnits(t), 0
	for _, row := range rows[1:] {
		from, to, _ := strings.Cut(row[0], " -> ")
		ours, theirs := inFile[from], inFile[to]
		if from == "button line (US)" || from == "ell (English)" || from == "nail (cloth)" {
			theirs = "in"
		}
		if ours == "" || theirs == "" {
			if !slices.Contains(outOfReach, from) {
				t.Errorf("nothing here checks the row %q", row)
			}
			continue
		}
		checked++
		assertFactor(t, units, ours, theirs, num(t, number.FindString(row[1])), row[3])
	}
	if checked < 25 {
		t.Errorf("only %d rows are checked", checked)
	}
}

// gnuUnits asks the general-purpose program units, which works in floating
// point, so that it agrees to fifteen digits at best.
func gnuUnits(t *testing.T, from, to string) Number {
	t.Helper()
	path, err := exec.LookPath("units")
	if err != nil {
		t.Skip("units is not installed: install the Debian package units to run this check")
	}
	out, err := exec.Command(path, "-t", "-o", "%.17f", from, to).Output()
	if err != nil {
		t.Fatalf("units %s %s: %v", from, to, err)
	}
	return num(t, strings.TrimSpace(string(out)))
}

func TestAgainstUnits(t *testing.T) {
	for _, test := range []struct{ ours, base, theirs, theirBase string }{
		{"ft", "in", "foot", "inch"}, {"yd", "in", "yard", "inch"}, {"mi", "in", "mile", "inch"}, {"m", "in", "m", "inch"},
		{"cm", "in", "cm", "inch"}, {"mm", "in", "mm", "inch"}, {"km", "yd", "km", "yard"}, {"oz", "g", "oz", "g"}, {"lb", "kg", "lb", "kg"},
		{"bdft", "in3", "boardfoot", "inch^3"}, {"floz", "ml", "usfloz", "ml"}, {"gal", "l", "gallon", "liter"}, {"qt", "l", "quart", "liter"},
		{"pt", "l", "pint", "liter"}, {"yd3", "m3", "yd^3", "m^3"}, {"ft2", "cm2", "ft^2", "cm^2"}, {"h", "s", "hour", "s"}, {"dozen", "each", "dozen", "1"},
	} {
		a, _ := new(Units).Lookup(test.ours)
		b, _ := new(Units).Lookup(test.base)
		got, _ := a.Factor.Div(b.Factor)
		want := gnuUnits(t, test.theirs, test.theirBase)
		off := got.Sub(want).Abs()
		if !off.less(want.Mul(num(t, "2/1000000000000000"))) {
			t.Errorf("1 %s = %s %s, units says %s", test.ours, got, test.base, want)
		}
	}
}

// The program units takes the English ell and nail in the inch of before
// 1959, two parts in a million short: a workroom's is 45 in and 2 1/4 in.
func TestEllAndNailAreNotThoseOfUnits(t *testing.T) {
	for _, test := range []struct{ name, inches string }{{"ell", "45"}, {"nail", "9/4"}} {
		assertFactor(t, shopUnits(t), test.name, "in", num(t, test.inches), "historic cloth measure")
		ratio, _ := gnuUnits(t, test.name, "inch").Div(num(t, test.inches))
		short := Int(1).Sub(ratio).Mul(Int(1_000_000))
		if short.less(Int(1)) || Int(3).less(short) {
			t.Errorf("units gives %s of %s %s: the trap that this test notes has changed", ratio, test.inches, test.name)
		}
	}
}

// A button line is 1/40 in, and not the ligne of 2.2558 mm.
func TestButtonLineIsNoLigne(t *testing.T) {
	line, _ := shopUnits(t).Lookup("line")
	if line.Factor.Mul(Int(40)) != Int(1) {
		t.Errorf("a button line is %s in", line.Factor)
	}
	ratio, _ := gnuUnits(t, "ligne", "mm").Div(gnuUnits(t, "buttonline", "mm"))
	if near, _ := ratio.RoundNear(Frac(1, 100)); near != Frac(355, 100) {
		t.Errorf("a ligne is %s button lines", ratio)
	}
}

func TestLookup(t *testing.T) {
	units := shopUnits(t)
	for _, test := range []struct{ name, want string }{
		{"in", "in"}, {`"`, "in"}, {"″", "in"}, {"”", "in"}, {"'", "ft"}, {"′", "ft"}, {"’", "ft"}, {"°", "deg"},
		{"ft²", "ft2"}, {"ft2", "ft2"}, {"cm³", "cm3"}, {"ell2", "ell2"}, {"ell³", "ell3"}, {"short_ton", "short_ton"},
		{"", ""}, {"2", ""}, {"inch", ""}, {"yards", ""}, {"IN", ""}, {"in4", ""}, {"in22", ""}, {"s2", ""}, {"lb3", ""}, {"gross2", ""},
		{`"2`, ""}, {"rad", ""}, {"psi", ""}, {"in ", ""}, {"²", ""}, {"gross", "gross"}, {"\xff", ""},
	} {
		got, ok := units.Lookup(test.name)
		if got.Name != test.want || ok != (test.want != "") {
			t.Errorf("%q is %+v, %t; want %q", test.name, got, ok, test.want)
		}
	}
	if _, ok := (*Units)(nil).Lookup("yd"); !ok {
		t.Error("a nil set of units has no yard")
	}
	if _, ok := new(Units).Lookup("gross"); ok {
		t.Error("one shop's unit is known to another")
	}
}

func TestDefineRefuses(t *testing.T) {
	units := shopUnits(t)
	each := Unit{Dim: CountDim, Factor: Int(144)}
	root, _ := Sqrt(Int(2))
	if err := units.Define("reel2", each); err != nil {
		t.Fatalf("reel2 is the name of no power: %v", err)
	}
	for _, test := range []struct {
		name string
		unit Unit
		want string
	}{
		{"in", each, "defined already"}, {"gross", each, "defined already"}, {"in2", each, "read as"}, {"ell3", each, "read as"},
		{"reel", each, "read as a power"}, {"", each, "letters"}, {"2ply", each, "letters"}, {"a b", each, "letters"}, {"½", each, "letters"},
		{"ft²", each, "letters"}, {"a\x00", each, "letters"}, {strings.Repeat("é", 1000), each, "letters"},
		{"bolt", Unit{Dim: LengthDim}, "more than 0"}, {"bolt", Unit{Dim: LengthDim, Factor: Int(-30)}, "more than 0"},
		{"bolt", Unit{Dim: LengthDim, Factor: root}, "exact"}, {"bolt", Unit{Dim: Dimension{Length: 13}, Factor: Int(1)}, "power past"},
	} {
		err := units.Define(test.name, test.unit)
		if err == nil || !strings.Contains(err.Error(), test.want) || len(err.Error()) > 300 {
			t.Errorf("Define(%.40q): %v, want %q", test.name, err, test.want)
		}
	}
	if err := (*Units)(nil).Define("bolt", each); err == nil {
		t.Error("a unit is added to no set")
	}
	if _, ok := units.Lookup("bolt"); ok {
		t.Error("a refused unit is known")
	}
}

func TestNames(t *testing.T) {
	units := new(Units)
	standardNames := units.Names()
	if !slices.IsSorted(standardNames) || len(standardNames) != len(standard) {
		t.Errorf("the names are %q", standardNames)
	}
	for _, name := range standardNames {
		if got, ok := units.Lookup(name); got.Name != name || !ok {
			t.Errorf("the unit %q is not found under its name", name)
		}
	}
	for _, name := range []string{"zip", "bolt"} {
		if err := units.Define(name, Unit{Factor: Int(1)}); err != nil {
			t.Fatal(err)
		}
	}
	want := append([]string{"bolt", "zip"}, standardNames...)
	slices.Sort(want)
	if diff := cmp.Diff(want, units.Names()); diff != "" {
		t.Errorf("names (-want +got):\n%s", diff)
	}
}

func TestCurrencies(t *testing.T) {
	for _, test := range []struct {
		code string
		want bool
	}{{"USD", true}, {"XXX", true}, {"usd", false}, {"US", false}, {"USDX", false}, {"U1D", false}, {"", false}, {"€€", false}} {
		if got := IsCurrency(test.code); got != test.want {
			t.Errorf("%q is a currency: %t", test.code, got)
		}
	}
	for code, want := range map[string]string{"USD": "$", "GBP": "£", "EUR": "€", "SEK": "SEK ", "JPY": "JPY "} {
		if got := currencySign(code); got != want {
			t.Errorf("%s is shown as %q, not %q", code, got, want)
		}
	}
}
