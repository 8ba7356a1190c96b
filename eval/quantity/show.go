package quantity

import (
	"strings"
)

// Shown is a measure as a page shows it.
type Shown struct {
	Text  string // "24 5/8 in"; "~24 5/8 in" when Exact is false
	Exact bool   // the text says the exact value
	Left  Number // the exact value less the shown one, in base units
}

// Show is n, in base units of d, as the shop shows it: "24 5/8 in",
// "3 ft 4 5/8 in", "12 1/2 ft2", "2 lb 4 oz", "2 h 15 min", "45 deg",
// "$1,234.50", "$41.50 per yd", "2 1/2". What it leaves out in rounding to
// the step of its unit, it marks. An approximation is never shown as exact.
func (s Style) Show(n Number, d Dimension) Shown {
	over, under := d.split()
	per := s.per(over, under)
	said := s.partsReading(n.middle().Mul(per.Factor), over, under)
	said.value, _ = said.value.Div(per.Factor)
	said.text += per.Name
	return said.shownFor(n)
}

// ShowIn is n in a stated unit, "2 1/4 yd". A unit of another dimension than
// d is not asked for twice: n is then shown as Show does.
func (s Style) ShowIn(n Number, d Dimension, unit Unit) Shown {
	if unit.Dim != d || unit.Factor.middleSign() <= 0 || d == MoneyDim {
		return s.Show(n, d)
	}
	value, _ := n.middle().Div(unit.Factor)
	step := usualStep(unit)
	switch {
	case unit == s.lengthUnit():
		step, _ = s.LengthStep().Div(unit.Factor)
	case !isMetric(unit) && plainFraction(value):
		step = value.Abs()
	}
	return s.measured(n, unit, step).shownFor(n)
}

// reading is a text with the value that it says, in base units.
type reading struct {
	text  string
	value Number
}

func (r reading) shownFor(n Number) Shown {
	left := n.Sub(r.value)
	if n.Equal(r.value) {
		return Shown{r.text, true, left}
	}
	return Shown{"~" + r.text, false, left}
}

// partsReading words what is measured; what it is measured per decides the
// unit.
func (s Style) partsReading(n Number, over, under powers) reading {
	d, ok := over.dimension()
	switch {
	case !ok:
		return inUnit(number, n, s.over(over))
	case under == powers{}:
		return s.reading(n, d)
	case d == CountDim:
		return inUnit(number, n, unit("each"))
	case d == MassDim && !s.metric() && under[length] == 3:
		return inUnit(thousandths, n, unit("lb"))
	case d == MassDim && !s.metric():
		return inUnit(thousandths, n, unit("oz"))
	}
	return s.reading(n, d)
}

// thousandths is how the weight of foam and cloth is quoted.
func thousandths(n Number) reading {
	value, _ := n.RoundNear(Frac(1, 1000))
	return reading{decimal(value), value}
}

// reading words an exact n by the kind of measure it is.
func (s Style) reading(n Number, d Dimension) reading {
	switch d {
	case Plain, CountDim:
		return number(n)
	case LengthDim:
		return s.lengthReading(n)
	case AreaDim, VolumeDim:
		return s.spaceReading(n, d)
	case MassDim:
		return s.massReading(n)
	case TimeDim:
		return compound(n, Frac(1, 60), unit("h"), unit("min"), unit("s"))
	case AngleDim:
		return angleReading(n)
	case MoneyDim:
		return s.moneyReading(n)
	}
	over, _ := d.split()
	return inUnit(number, n, s.over(over))
}

// number shows fractions down to sixty-fourths, finer ones to four decimals.
func number(n Number) reading {
	if plainFraction(n) {
		return reading{fraction(n), n}
	}
	value, _ := n.RoundNear(Frac(1, 10_000))
	return reading{decimal(value), value}
}

// plainFraction reports whether n reads well as a fraction.
func plainFraction(n Number) bool { return !n.isWide() && n.den <= 64 }

// inUnit words n, in base units, as so many of u.
func inUnit(word func(Number) reading, n Number, u Unit) reading {
	many, _ := n.Div(u.Factor)
	r := word(many)
	return reading{r.text + " " + u.Name, r.value.Mul(u.Factor)}
}

// measured is the number of units to the nearest step: decimals for metric
// units, fractions for the others.
func (s Style) measured(n Number, u Unit, step Number) reading {
	return inUnit(func(many Number) reading {
		value, _ := many.middle().RoundNear(step)
		if isMetric(u) {
			return reading{decimal(value), value}
		}
		return reading{fraction(value), value}
	}, n, u)
}

func (s Style) lengthReading(n Number) reading {
	u, step := s.lengthUnit(), s.LengthStep()
	if s.Feet && !s.metric() {
		return compound(n, step, unit("ft"), unit("in"))
	}
	step, _ = step.Div(u.Factor)
	return s.measured(n, u, step)
}

// spaceReading shows an area or a volume in the unit that its size asks for:
// a square inch is not some thousandths of a square foot.
func (s Style) spaceReading(n Number, d Dimension) reading {
	large, little := unit(s.imperialOr("ft2", "m2")), unit(s.imperialOr("in2", "cm2"))
	if s.Length == "yd" {
		large = unit("yd2")
	}
	if d == VolumeDim {
		large, little = unit(s.imperialOr("ft3", "m3")), unit(s.imperialOr("in3", "cm3"))
	}
	least := large.Factor
	if s.metric() && d == AreaDim {
		least = least.Mul(Frac(1, 10))
	} else if s.metric() {
		least = least.Mul(Frac(1, 100))
	}
	if n.Abs().less(least) {
		return s.measured(n, little, usualStep(little))
	}
	return s.measured(n, large, usualStep(large))
}

func (s Style) massReading(n Number) reading {
	kg := unit("kg")
	switch {
	case !s.metric():
		return compound(n, Frac(1, 256), unit("lb"), unit("oz"))
	case n.Abs().less(kg.Factor):
		return s.measured(n, unit("g"), usualStep(unit("g")))
	}
	return s.measured(n, kg, usualStep(kg))
}

func angleReading(n Number) reading {
	return inUnit(func(n Number) reading {
		if plainFraction(n) {
			return reading{fraction(n), n}
		}
		value, _ := n.RoundNear(Frac(1, 100))
		return reading{decimal(value), value}
	}, n, unit("deg"))
}

// moneyReading is to the cent: "$1,234.50", "-£4.00".
func (s Style) moneyReading(n Number) reading {
	value, _ := Cents(n)
	var room, digits [48]byte
	b := append(append(room[:0], minus(value)...), currencySign(s.currency())...)
	return reading{string(appendCents(b, value.Abs().Mul(Int(100)).Append(digits[:0]))), value}
}

// appendCents appends a number of cents as units with two decimals, and commas between thousands.
func appendCents(b, cents []byte) []byte {
	for zeros := 3 - len(cents); zeros > 0; zeros-- {
		cents = append([]byte{'0'}, cents...)
	}
	units := cents[:len(cents)-2]
	for i, c := range units {
		if i > 0 && (len(units)-i)%3 == 0 {
			b = append(b, ',')
		}
		b = append(b, c)
	}
	return append(append(b, '.'), cents[len(cents)-2:]...)
}

// compound shows n, to the nearest step, in whole units and a rest in the
// last of them; parts that are 0 are left out. All are in base units.
func compound(n, step Number, units ...Unit) reading {
	value, _ := n.RoundNear(step)
	var parts []string
	rest, last := value.Abs(), units[len(units)-1]
	for _, u := range units[:len(units)-1] {
		many, _ := rest.Div(u.Factor)
		whole, _ := many.whole(floor)
		rest = rest.Sub(whole.Mul(u.Factor))
		if whole != Int(0) {
			parts = append(parts, whole.String()+" "+u.Name)
		}
	}
	if rest != Int(0) || len(parts) == 0 {
		many, _ := rest.Div(last.Factor)
		parts = append(parts, fraction(many)+" "+last.Name)
	}
	return reading{minus(value) + strings.Join(parts, " "), value}
}

func minus(n Number) string {
	if n.middleSign() < 0 {
		return "-"
	}
	return ""
}

// fraction is an exact number as the trade writes it: "4 5/8", "-5/8", "12".
func fraction(n Number) string {
	whole, _ := n.Abs().whole(floor)
	part := n.Abs().Sub(whole)
	switch {
	case part == Int(0):
		return minus(n) + whole.String()
	case whole == Int(0):
		return minus(n) + part.String()
	}
	return minus(n) + whole.String() + " " + part.String()
}

// maxPlaces is how many decimals are tried before a fraction is written.
const maxPlaces = 6

// decimal is an exact number with as many decimals as it needs, or as a
// fraction where decimals would not end.
func decimal(n Number) string {
	scaled := n
	for places := range maxPlaces + 1 {
		if scaled.IsInt() {
			return pointed(scaled.String(), places)
		}
		scaled = scaled.Mul(Int(10))
	}
	return fraction(n)
}

// Fraction is n as the trade writes it, for a text that is no measure:
// "4 5/8". An approximation is written as String writes it.
func (a Number) Fraction() string {
	if !a.Exact() {
		return a.String()
	}
	return fraction(a)
}
