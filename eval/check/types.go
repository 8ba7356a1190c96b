package check

import (
	"strings"

	"squab/eval/quantity"
)

// Base says what sort of value a kind has.
type Base uint8

// The sorts of value. Unknown is the kind of a formula in which a problem was already reported.
const (
	Unknown Base = iota
	Quantity
	Text
	YesNo
	Date
	ChoiceWord
	OfMaterial
	Size
	Point
	List
)

// Type is a kind as the checker knows it. For a Quantity, Dim is its dimension and Slack says how many more factors of `each`
// than Dim.Count it may be read with: a count may stand as a plain multiplier, so 3 min * holes is a time and a time per each alone is not.
type Type struct {
	Base   Base
	Dim    quantity.Dimension
	Slack  int8
	Whole  bool // provably a whole number
	Choice *Choice
	Kind   *Kind
	Elem   *Type
}

// The kinds that need no declaration.
var (
	number = Type{Base: Quantity}
	count  = Type{Base: Quantity, Slack: 1, Whole: true}
	text   = Type{Base: Text}
	yesNo  = Type{Base: YesNo}
	date   = Type{Base: Date}
	size   = Type{Base: Size}
	point  = Type{Base: Point}
)

func measure(d quantity.Dimension) Type { return Type{Base: Quantity, Dim: d} }

func listOf(t Type) Type { return Type{Base: List, Elem: &t} }

// Known reports whether no problem was found in what has this kind.
func (t Type) Known() bool { return t.Base != Unknown && (t.Elem == nil || t.Elem.Known()) }

// IsLength reports whether the kind is a length.
func (t Type) IsLength() bool { return t.fits(measure(quantity.LengthDim)) }

// String is the kind as a person writes it.
func (t Type) String() string {
	switch t.Base {
	case Quantity:
		return t.quantityString()
	case Text:
		return "text"
	case YesNo:
		return "yes/no"
	case Date:
		return "date"
	case ChoiceWord:
		return t.Choice.Name
	case OfMaterial:
		return t.Kind.Name
	case Size:
		return "size"
	case Point:
		return "point"
	case List:
		return "list of " + t.Elem.String()
	}
	return "unknown"
}

func (t Type) quantityString() string {
	if t.Dim == (quantity.Dimension{}) && t.Whole {
		return "count"
	}
	d := t.Dim
	if d.Count < 0 && d.Count+t.Slack >= 0 {
		d.Count = 0
	}
	return strings.Replace(d.String(), "per count", "per each", 1)
}

// sameMeasure reports whether two dimensions agree but for counts, and the counts can be read alike.
func sameMeasure(a, b Type) bool {
	x, y := a.Dim, b.Dim
	x.Count, y.Count = 0, 0
	return x == y && a.Dim.Count <= b.Dim.Count+b.Slack && b.Dim.Count <= a.Dim.Count+a.Slack
}

// fits reports whether a value of kind t may stand where want is asked, whole numbers aside.
func (t Type) fits(want Type) bool {
	if t.Base == Unknown || want.Base == Unknown {
		return true
	}
	if t.Base != want.Base {
		return false
	}
	switch t.Base {
	case Quantity:
		return sameMeasure(t, want)
	case ChoiceWord:
		return t.Choice == want.Choice
	case OfMaterial:
		return t.Kind == want.Kind
	case List:
		return t.Elem.fits(*want.Elem)
	}
	return true
}

// wholeFor reports whether t is a whole number wherever want must be one.
func (t Type) wholeFor(want Type) bool {
	if t.Base == List && want.Base == List {
		return t.Elem.wholeFor(*want.Elem)
	}
	return !want.isCount() || t.Whole
}

// loose is the kind without its claim to whole numbers.
func (t Type) loose() Type {
	if t.Base == List {
		return listOf(t.Elem.loose())
	}
	t.Whole = false
	return t
}

// isCount reports whether only whole numbers may stand where t is asked.
func (t Type) isCount() bool { return t.Base == Quantity && t.Whole }

// common is the kind of a value that is one of a or b; the second result is false where they do not agree.
func common(a, b Type) (Type, bool) {
	if a.Base == Unknown {
		return b, true
	}
	if b.Base == Unknown {
		return a, true
	}
	if !a.fits(b) {
		return Type{}, false
	}
	if a.Base != Quantity {
		return a, true
	}
	lo := max(a.Dim.Count, b.Dim.Count)
	hi := min(a.Dim.Count+a.Slack, b.Dim.Count+b.Slack)
	a.Dim.Count, a.Slack, a.Whole = lo, hi-lo, a.Whole && b.Whole
	return a, true
}

// product and quotient give the kind of x*y and x/y; false where an exponent grows out of bounds.
func product(a, b Type) (Type, bool) {
	d, ok := withoutCount(a.Dim).Mul(withoutCount(b.Dim))
	lo := int(a.Dim.Count) + int(b.Dim.Count)
	t, ok2 := withCounts(d, lo, lo+int(a.Slack)+int(b.Slack))
	t.Whole = a.Whole && b.Whole
	return t, ok && ok2
}

func quotient(a, b Type) (Type, bool) {
	d, ok := withoutCount(a.Dim).Div(withoutCount(b.Dim))
	lo := int(a.Dim.Count) - int(b.Dim.Count) - int(b.Slack)
	t, ok2 := withCounts(d, lo, lo+int(a.Slack)+int(b.Slack))
	return t, ok && ok2
}

func withoutCount(d quantity.Dimension) quantity.Dimension {
	d.Count = 0
	return d
}

// mostCounts is how many factors of each, up or down, a formula is read with: every count and whole number in a long chain of formulas would add one.
const mostCounts = 6

func withCounts(d quantity.Dimension, lo, hi int) (Type, bool) {
	lo, hi = max(lo, -mostCounts), min(hi, mostCounts)
	d.Count = int8(lo)
	return Type{Base: Quantity, Dim: d, Slack: int8(hi - lo)}, lo <= hi
}

// LengthType is the kind length.
func LengthType() Type { return measure(quantity.LengthDim) }

// AreaType is the kind area.
func AreaType() Type { return measure(quantity.AreaDim) }

// MoneyType is the kind money.
func MoneyType() Type { return measure(quantity.MoneyDim) }

// TimeType is the kind time.
func TimeType() Type { return measure(quantity.TimeDim) }

// CountType is the kind count.
func CountType() Type { return count }

// TextType is the kind text.
func TextType() Type { return text }
