package eval

import (
	"fmt"

	"squab/eval/check"
	"squab/eval/quantity"
)

// Reckon says how much of a material's own size pieces take by area alone (by length for sticks), without laying them out: a bound that no layout beats,
// unless there are other sizes to cut from.
func Reckon(s Stock, pieces []Piece) (Layout, error) {
	l := Layout{Material: s.Material, Form: s.Material.Kind.Form}
	var err error
	switch l.Form {
	case check.Roll:
		err = reckonRoll(s, pieces, &l)
	case check.Sheet:
		err = reckonSheets(s, pieces, &l)
	case check.Stick:
		err = reckonSticks(s, pieces, &l)
	default:
		err = fmt.Errorf("pieces cannot be cut from %s, which is a %s", s.Material.Name, l.Form)
	}
	if len(s.Items("sizes")) == 0 {
		l.Bound = l.Used
	}
	return l, err
}

func reckonRoll(s Stock, pieces []Piece, l *Layout) error {
	wide, ok := s.Measure("usable")
	if sign, _ := wide.Sign(); !ok || sign <= 0 {
		return fmt.Errorf("%s has no usable width", s.Material.Name)
	}
	l.Wide = wide
	l.Used, _ = areaOf(pieces).Div(wide)
	return nil
}

func areaOf(pieces []Piece) (area quantity.Number) {
	for _, p := range pieces {
		area = area.Add(p.Wide.Mul(p.Deep).Mul(intNumber(p.Count)))
	}
	return area
}

func reckonSheets(s Stock, pieces []Piece, l *Layout) error {
	wide, ok := s.Measure("wide")
	deep, ok2 := s.Measure("deep")
	sheet := wide.Mul(deep)
	if sign, _ := sheet.Sign(); !ok || !ok2 || sign <= 0 {
		return fmt.Errorf("%s has no size of sheet", s.Material.Name)
	}
	l.Wide = wide
	need := areaOf(pieces)
	sheets, _ := need.Div(sheet)
	return l.whole(sheets, need, sheet)
}

func reckonSticks(s Stock, pieces []Piece, l *Layout) error {
	long, ok := s.Measure("long")
	if sign, _ := long.Sign(); !ok || sign <= 0 {
		return fmt.Errorf("%s has no length of stick", s.Material.Name)
	}
	l.Wide = long
	longest := s.longest(long)
	var need quantity.Number
	for _, p := range pieces {
		if order, _ := p.Wide.Cmp(longest); order > 0 && !s.Yes("joins") {
			return fmt.Errorf("%s is longer than a stick of %s: choose a longer stick, or join it", p.Name, s.Material.Name)
		}
		need = need.Add(p.Wide.Mul(intNumber(p.Count)))
	}
	sticks, _ := need.Div(long)
	return l.whole(sticks, need, long)
}

// longest is the longest of a stick's sizes.
func (s Stock) longest(own quantity.Number) quantity.Number {
	for _, size := range s.Items("sizes") {
		if long, ok := s.Other(size.Material()).Measure("long"); ok && greater(long, own) {
			own = long
		}
	}
	return own
}

func greater(a, b quantity.Number) bool {
	order, _ := a.Cmp(b)
	return order > 0
}

// whole rounds a number of sheets or sticks up, and says what share of them is left over.
func (l *Layout) whole(n, need, one quantity.Number) error {
	used, ok := n.RoundUp(intNumber(1))
	if !ok {
		return fmt.Errorf("%s: the need is known only within its bound", l.Material.Name)
	}
	l.Used = used
	if share, ok := need.Div(one.Mul(used)); ok {
		l.Waste = intNumber(1).Sub(share)
	}
	return nil
}
