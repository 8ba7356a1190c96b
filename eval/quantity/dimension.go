package quantity

import (
	"slices"
	"strconv"
	"strings"
)

// Dimension is what a measure measures, as exponents of the base kinds. Count
// is one of them, so that 12 min per each is no plain time. Dimensions compare
// with ==; the zero value is a plain number.
type Dimension struct{ Length, Mass, Time, Angle, Money, Count int8 }

// The dimensions that have a kind of their own in the language.
var (
	Plain     = Dimension{}
	LengthDim = Dimension{Length: 1}
	AreaDim   = Dimension{Length: 2}
	VolumeDim = Dimension{Length: 3}
	MassDim   = Dimension{Mass: 1}
	TimeDim   = Dimension{Time: 1}
	AngleDim  = Dimension{Angle: 1}
	MoneyDim  = Dimension{Money: 1}
	CountDim  = Dimension{Count: 1}
)

// MaxPower is the greatest exponent, up or down, in a Dimension.
const MaxPower = 12

// base is a base kind; powers lists the exponents in the order of the bases,
// which is the order in which they are read out.
type base int

const (
	money base = iota
	mass
	length
	time
	angular
	count
	bases
)

type powers [bases]int

func (d Dimension) powers() powers {
	return powers{int(d.Money), int(d.Mass), int(d.Length), int(d.Time), int(d.Angle), int(d.Count)}
}

func (p powers) dimension() (Dimension, bool) {
	for _, n := range p {
		if n < -MaxPower || n > MaxPower {
			return Dimension{}, false
		}
	}
	return Dimension{
		Money: int8(p[money]), Mass: int8(p[mass]), Length: int8(p[length]),
		Time: int8(p[time]), Angle: int8(p[angular]), Count: int8(p[count]),
	}, true
}

// plus is p with times · q added; times stays within MaxPower.
func (p powers) plus(q powers, times int) powers {
	for i := range p {
		p[i] += times * q[i]
	}
	return p
}

// Mul is the dimension of a product; false past MaxPower.
func (d Dimension) Mul(e Dimension) (Dimension, bool) {
	return d.powers().plus(e.powers(), 1).dimension()
}

// Div is the dimension of a quotient; false past MaxPower.
func (d Dimension) Div(e Dimension) (Dimension, bool) {
	return d.powers().plus(e.powers(), -1).dimension()
}

// Pow is the dimension of a power; false past MaxPower.
func (d Dimension) Pow(n int) (Dimension, bool) {
	if d == Plain {
		return d, true
	}
	if n < -MaxPower || n > MaxPower {
		return Dimension{}, false
	}
	return powers{}.plus(d.powers(), n).dimension()
}

// split parts d into what is measured and, turned upside down, what it is
// measured per.
func (d Dimension) split() (over, under powers) {
	for kind, n := range d.powers() {
		over[kind], under[kind] = max(n, 0), max(-n, 0)
	}
	return over, under
}

// String reads d out: "length", "area", "money per length", "time per count",
// "mass per volume", "number", "length⁴ per time²".
func (d Dimension) String() string {
	over, under := d.split()
	words := over.words()
	if len(words) == 0 {
		words = []string{"number"}
	}
	return strings.Join(slices.Concat([]string{strings.Join(words, " × ")}, under.words()), " per ")
}

func (p powers) words() []string {
	var words []string
	for kind, n := range p {
		if n > 0 {
			words = append(words, base(kind).word(n))
		}
	}
	return words
}

func (b base) word(power int) string {
	name := [bases]string{"money", "mass", "length", "time", "angle", "count"}[b]
	switch {
	case power == 1:
		return name
	case b == length && power == 2:
		return "area"
	case b == length && power == 3:
		return "volume"
	}
	return name + superscript(power)
}

func superscript(n int) string {
	return strings.NewReplacer("0", "⁰", "1", "¹", "2", "²", "3", "³", "4", "⁴",
		"5", "⁵", "6", "⁶", "7", "⁷", "8", "⁸", "9", "⁹").Replace(strconv.Itoa(n))
}
