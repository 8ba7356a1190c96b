package quantity

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
)

// Unit is a unit of measure. Factor is exact and positive, in base units:
// inch, square inch and so on, pound, minute, degree, one currency unit, each.
type Unit struct {
	Name   string
	Dim    Dimension
	Factor Number
}

// standard is in the order of the names.
//
// The factors between inch and metre, pound and kilogram, and for gallon and
// board foot, are those of NIST Handbook 44, Appendix C, which are exact:
// 1 in = 25.4 mm, 1 lb = 0.453 592 37 kg, 1 gal = 231 in³, 1 board foot =
// 144 in³, 1 l = 1000 cm³.
var standard = [...]Unit{
	{"bdft", VolumeDim, Number{num: 144}},
	{"cm", LengthDim, Number{num: 50, den: 127}},
	{"deg", AngleDim, Number{num: 1}},
	{"dozen", CountDim, Number{num: 12}},
	{"each", CountDim, Number{num: 1}},
	{"floz", VolumeDim, Number{num: 231, den: 128}},
	{"ft", LengthDim, Number{num: 12}},
	{"g", MassDim, Number{num: 100_000, den: 45_359_237}},
	{"gal", VolumeDim, Number{num: 231}},
	{"h", TimeDim, Number{num: 60}},
	{"in", LengthDim, Number{num: 1}},
	{"kg", MassDim, Number{num: 100_000_000, den: 45_359_237}},
	{"km", LengthDim, Number{num: 5_000_000, den: 127}},
	{"l", VolumeDim, Number{num: 125_000_000, den: 2_048_383}},
	{"lb", MassDim, Number{num: 1}},
	{"m", LengthDim, Number{num: 5000, den: 127}},
	{"mi", LengthDim, Number{num: 63_360}},
	{"min", TimeDim, Number{num: 1}},
	{"ml", VolumeDim, Number{num: 125_000, den: 2_048_383}},
	{"mm", LengthDim, Number{num: 5, den: 127}},
	{"oz", MassDim, Number{num: 1, den: 16}},
	{"pt", VolumeDim, Number{num: 231, den: 8}},
	{"qt", VolumeDim, Number{num: 231, den: 4}},
	{"s", TimeDim, Number{num: 1, den: 60}},
	{"yd", LengthDim, Number{num: 36}},
}

// Units is a set of units: the standard ones and the shop's own. The zero
// value, like a nil *Units, holds the standard ones.
type Units struct{ own map[string]Unit }

// Lookup finds a unit by its name: "in", "yd", a unit that the shop defined,
// a mark (' " ′ ″ ’ ” °), or a unit of length squared or cubed ("ft2", "ft²",
// "cm3"). The Name of what it finds has no marks and no raised figures.
func (u *Units) Lookup(name string) (Unit, bool) {
	name = unmarked(name)
	if unit, ok := u.named(name); ok {
		return unit, true
	}
	stem, power := stemAndPower(name)
	unit, ok := u.named(stem)
	if !ok || power == 0 || unit.Dim != LengthDim {
		return Unit{}, false
	}
	factor, ok := Pow(unit.Factor, power)
	return Unit{stem + string(rune('0'+power)), Dimension{Length: int8(power)}, factor}, ok
}

func (u *Units) named(name string) (Unit, bool) {
	at, ok := slices.BinarySearchFunc(standard[:], name, func(unit Unit, name string) int {
		return strings.Compare(unit.Name, name)
	})
	if ok {
		return standard[at], true
	}
	if u == nil {
		return Unit{}, false
	}
	unit, ok := u.own[name]
	return unit, ok
}

// unmarked is the name that a mark stands for.
func unmarked(name string) string {
	switch name {
	case "'", "′", "’":
		return "ft"
	case `"`, "″", "”":
		return "in"
	case "°":
		return "deg"
	}
	return name
}

// stemAndPower parts "ft2" or "ft²" into "ft" and 2; the power is 0 when the
// name ends in none.
func stemAndPower(name string) (stem string, power int) {
	for _, end := range [...]struct {
		mark  string
		power int
	}{{"2", 2}, {"²", 2}, {"3", 3}, {"³", 3}} {
		if stem, ok := strings.CutSuffix(name, end.mark); ok {
			return stem, end.power
		}
	}
	return name, 0
}

// Define adds a unit of the shop's own under a name. It refuses a name that
// is taken, that is not made of letters, digits and _, or that could be read
// as a square or cube of another unit; a Factor that is not exact and above
// 0; and a Dimension with a power past MaxPower.
func (u *Units) Define(name string, unit Unit) error {
	if err := u.refusal(name, unit); err != nil {
		return err
	}
	if u.own == nil {
		u.own = map[string]Unit{}
	}
	unit.Name = name
	u.own[name] = unit
	return nil
}

func (u *Units) refusal(name string, unit Unit) error {
	stem, power := stemAndPower(name)
	_, taken := u.named(name)
	_, stemTaken := u.named(stem)
	_, inRange := unit.Dim.powers().dimension()
	switch {
	case u == nil:
		return fmt.Errorf("unit %.40q: there is no set of units to add it to", name)
	case !isName(name):
		return fmt.Errorf("unit %.40q: the name of a unit is letters, digits and _, and starts with no digit", name)
	case taken:
		return fmt.Errorf("unit %.40q is defined already", name)
	case power > 0 && stemTaken:
		return fmt.Errorf("unit %.40q would be read as %.40q to the power %d", name, stem, power)
	case unit.Factor.middleSign() <= 0 || !unit.Factor.Exact():
		return fmt.Errorf("unit %.40q: its size must be exact and more than 0", name)
	case !inRange:
		return fmt.Errorf("unit %.40q: its dimension has a power past %d", name, MaxPower)
	}
	return u.clash(name)
}

// clash refuses a name of which "name2" or "name3" is a unit already.
func (u *Units) clash(name string) error {
	for _, power := range [...]string{"2", "3"} {
		if _, ok := u.own[name+power]; ok {
			return fmt.Errorf("unit %.40q: %.40q is defined already and would be read as a power of it", name, name+power)
		}
	}
	return nil
}

func isName(s string) bool {
	for i, r := range []byte(s) {
		letter := 'a' <= r|0x20 && r|0x20 <= 'z' || r == '_'
		if !letter && (i == 0 || r < '0' || r > '9') {
			return false
		}
	}
	return s != ""
}

// Names are the names of all units, sorted, without marks and powers.
func (u *Units) Names() []string {
	var names []string
	if u != nil {
		names = slices.AppendSeq(names, maps.Keys(u.own))
	}
	for _, unit := range standard {
		names = append(names, unit.Name)
	}
	slices.SortFunc(names, cmp.Compare)
	return names
}

// IsCurrency reports whether code looks like a code of ISO 4217: three
// capital letters.
func IsCurrency(code string) bool {
	return len(code) == 3 && strings.Trim(code, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") == ""
}

// currencySign is what stands before an amount of money.
func currencySign(code string) string {
	switch code {
	case "USD":
		return "$"
	case "GBP":
		return "£"
	case "EUR":
		return "€"
	}
	return code + " "
}
