package quantity

import (
	"fmt"
	"slices"
	"strings"
)

// Style says how a shop's measures are shown. The zero value shows inches to
// the nearest sixteenth, and dollars.
type Style struct {
	// Length names the unit of length: "in", "ft", "yd", "mm", "cm" or "m"; ""
	// is "in". The metric ones bring square metres, kilograms and so on.
	Length string
	// Step is what a shown length is a multiple of, in that unit; 0 is 1/16 for
	// in, ft and yd, 1 for mm, 1/10 for cm and 1/1000 for m.
	Step Number
	// Feet shows lengths from 12 in up as feet and inches. Step is then in
	// inches unless Length is another unit.
	Feet bool
	// Currency is the code of ISO 4217; "" is "USD".
	Currency string
}

// Validate says what a Style holds that cannot be shown by: the error names
// the field.
func (s Style) Validate() error {
	switch {
	case !slices.Contains([]string{"", "in", "ft", "yd", "mm", "cm", "m"}, s.Length):
		return fmt.Errorf("lengths are shown in in, ft, yd, mm, cm or m, not in %.40q", s.Length)
	case s.Step.middleSign() < 0 || !s.Step.Exact():
		return fmt.Errorf("the step that lengths are shown to must be exact and more than 0, not %s", s.Step)
	case s.Feet && s.metric():
		return fmt.Errorf("feet and inches are not shown in a shop that measures in %s", s.Length)
	case s.Currency != "" && !IsCurrency(s.Currency):
		return fmt.Errorf("a currency is three capital letters, as USD is, not %.40q", s.Currency)
	}
	return nil
}

func (s Style) metric() bool { return strings.HasSuffix(s.Length, "m") }

// imperialOr picks by the shop's measures.
func (s Style) imperialOr(imperial, metric string) string {
	if s.metric() {
		return metric
	}
	return imperial
}

// unit is a standard unit; its names come from this package alone.
func unit(name string) Unit {
	u, _ := (*Units)(nil).Lookup(name)
	return u
}

// lengthUnit falls back to inches for a name that Validate refuses.
func (s Style) lengthUnit() Unit {
	u := unit(s.Length)
	if u.Dim != LengthDim {
		return unit("in")
	}
	return u
}

// LengthStep is the least step of a length that is shown, in inches.
func (s Style) LengthStep() Number {
	u := s.lengthUnit()
	if s.Step.middleSign() > 0 && s.Step.Exact() {
		return s.Step.Mul(u.Factor)
	}
	if s.Feet && !s.metric() {
		return Frac(1, 16)
	}
	return usualStep(u).Mul(u.Factor)
}

// usualStep is what a shown measure is a multiple of when nothing else is
// said, in the unit itself.
func usualStep(u Unit) Number {
	switch {
	case u.Name == "mm" || u.Name == "cm3":
		return Int(1)
	case u.Name == "cm" || u.Name == "g" || u.Name == "cm2":
		return Frac(1, 10)
	case isMetric(u):
		return Frac(1, 1000)
	}
	return Frac(1, 16)
}

func isMetric(u Unit) bool {
	switch stem, _ := stemAndPower(u.Name); stem {
	case "mm", "cm", "m", "km", "g", "kg", "ml", "l":
		return true
	}
	return false
}

func (s Style) currency() string {
	if s.Currency == "" {
		return "USD"
	}
	return s.Currency
}

// rateUnit is the unit that a rate is given per, as a workroom quotes it:
// cloth, labour and price by the yard or metre, anything else by the shop's
// own unit of length; price by the square foot or metre and cloth by weight
// per square yard or metre. Common practice, no source.
func (s Style) rateUnit(over powers, kind base, power int) Unit {
	switch {
	case kind == length && power == 1 && (over[money] > 0 || over[mass] > 0 || over[time] > 0):
		return unit(s.imperialOr("yd", "m"))
	case kind == length && power == 1:
		return s.lengthUnit()
	case kind == length && power == 2 && over[mass] > 0:
		return unit(s.imperialOr("yd2", "m2"))
	case kind == length && power == 2:
		return unit(s.imperialOr("ft2", "m2"))
	case kind == length && power == 3:
		return unit(s.imperialOr("ft3", "m3"))
	case kind == time && power == 1:
		return unit("h")
	}
	return s.exactUnit(kind, power)
}

// exactUnit is the shop's one unit for a base kind to a power.
func (s Style) exactUnit(kind base, power int) Unit {
	u := s.baseUnit(kind)
	if power == 1 {
		return u
	}
	u.Factor, _ = Pow(u.Factor, power)
	u.Name += fmt.Sprint(power)
	return u
}

func (s Style) baseUnit(kind base) Unit {
	switch kind {
	case length:
		return s.lengthUnit()
	case mass:
		return unit(s.imperialOr("lb", "kg"))
	case time:
		return unit("min")
	case angular:
		return unit("deg")
	case money:
		return Unit{s.currency(), MoneyDim, Int(1)}
	}
	return unit("each")
}

// per is the product of the units that a rate is given per; its Name is
// " per yd", or "" when d is no rate.
func (s Style) per(over, under powers) Unit {
	all := Unit{Factor: Int(1)}
	for kind, power := range under {
		if power > 0 {
			u := s.rateUnit(over, base(kind), power)
			all.Name += " per " + u.Name
			all.Factor = all.Factor.Mul(u.Factor)
		}
	}
	return all
}

// over is the product of the shop's units for what is measured; its Name is
// "" for a number.
func (s Style) over(p powers) Unit {
	all := Unit{Factor: Int(1)}
	for kind, power := range p {
		if power > 0 {
			u := s.exactUnit(base(kind), power)
			all.Name = spaced(all.Name, u.Name)
			all.Factor = all.Factor.Mul(u.Factor)
		}
	}
	return all
}

func spaced(before, name string) string {
	if before == "" {
		return name
	}
	return before + " " + name
}

// Exact is a measure for other programs: its value in lowest terms, the
// shop's unit for it ("in", "in2", "USD", "USD per yd", "min per each"; "" for
// a number), and in the same unit the bound of an approximation ("" when
// exact). The value of an approximation is a decimal.
func (s Style) Exact(n Number, d Dimension) (exact, unit, within string) {
	over, under := d.split()
	top, bottom := s.over(over), s.per(over, under)
	scaled, _ := n.Mul(bottom.Factor).Div(top.Factor)
	unit = strings.TrimPrefix(top.Name+bottom.Name, " ")
	if scaled.Exact() {
		return scaled.String(), unit, ""
	}
	exact, within = scaled.decimals()
	return exact, unit, within
}
