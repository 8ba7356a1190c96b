package spread

import (
	"squab/eval/check"
	"squab/eval/quantity"
)

// truth is what is known of a condition.
type truth uint8

// A condition holds, does not, or does for some values of the inputs and not for others.
const (
	open truth = iota
	holds
	fails
)

func truthOf(yes bool) truth {
	if yes {
		return holds
	}
	return fails
}

func (t truth) not() truth {
	switch t {
	case holds:
		return fails
	case fails:
		return holds
	}
	return open
}

// value is what a formula can give over a box. A value of which nothing is known is the zero value.
type value struct {
	number *number     // of a measure
	words  check.Value // of a word, a material, a text, a date
	known  bool        // words is set
	truth  truth       // of a condition
	on     uint64      // the inputs on which an open condition rests
	items  []value     // of a size, a point, a list
	isList bool
	never  bool // no value at all: no case takes what it is given, which a run refuses
}

// of takes a value over that no input moves.
func of(v check.Value, t check.Type, inputs int) value {
	switch t.Base {
	case check.Quantity, check.Date:
		return value{number: fixed(v.Num, inputs)}
	case check.YesNo:
		return value{truth: truthOf(v.Yes())}
	case check.Size, check.Point, check.List:
		out := value{isList: true}
		inner := check.LengthType()
		if t.Elem != nil {
			inner = *t.Elem
		}
		for _, item := range v.Items() {
			out.items = append(out.items, of(item, inner, inputs))
		}
		return out
	}
	return value{words: v, known: true}
}

// union holds what either of two values may be, where which of them it is rests on some inputs.
func (v value) union(w value, on uint64) value {
	switch {
	case v.never:
		return w
	case w.never:
		return v
	case v.number != nil && w.number != nil:
		return value{number: v.number.union(w.number, on)}
	case v.known && w.known && v.words.Equal(w.words):
		return v
	case v.isList && w.isList && len(v.items) == len(w.items):
		out := value{isList: true}
		for i := range v.items {
			out.items = append(out.items, v.items[i].union(w.items[i], on))
		}
		return out
	case isTruth(v) && isTruth(w):
		if v.truth == w.truth && v.truth != open {
			return v
		}
		return value{on: v.on | w.on | on}
	}
	return value{}
}

func isTruth(v value) bool { return v.truth != open || v.on != 0 }

// whole is a number that is the same whole number over the box.
func (v value) whole() (int64, bool) {
	if v.number == nil {
		return 0, false
	}
	n, ok := v.number.constant()
	if !ok {
		return 0, false
	}
	return n.Int64()
}

// box is a range for each input.
type box struct{ sides []side }

// side is the range of one input. An end that is open is not taken.
type side struct {
	lo, hi         quantity.Number
	loOpen, hiOpen bool
}

// with gives the box with one side replaced.
func (b *box) with(i int, s side) *box {
	out := &box{append([]side(nil), b.sides...)}
	out.sides[i] = s
	return out
}

// drawnIn is a side drawn in to whole numbers; empty where it holds none, or was so before.
func (s side) drawnIn(empty bool) (side, bool) {
	one := quantity.Int(1)
	lo, _ := s.lo.RoundUp(one)
	hi, _ := s.hi.RoundDown(one)
	if s.loOpen && lo.Equal(s.lo) {
		lo = lo.Add(one)
	}
	if s.hiOpen && hi.Equal(s.hi) {
		hi = hi.Sub(one)
	}
	return side{lo: lo, hi: hi}, empty || less(hi, lo)
}

// inside gives a value itself where it is taken, else one that is.
func (s side) inside(n quantity.Number) quantity.Number {
	over := less(s.lo, n) || !s.loOpen && s.lo.Equal(n)
	under := less(n, s.hi) || !s.hiOpen && s.hi.Equal(n)
	switch {
	case over && under:
		return n
	case s.loOpen || s.hiOpen:
		return s.lo.Add(s.hi).Mul(quantity.Frac(1, 2))
	}
	return s.lo
}
