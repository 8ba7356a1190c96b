package check

import (
	"squab/eval/quantity"
	"squab/lang"
	"squab/lang/diag"
)

// Tolerance is how far a true value may lie over and under one that is given.
type Tolerance struct {
	At       diag.Span
	Up, Down Leeway
}

// Leeway is one side of a tolerance: a measure of the value's kind, in base units, or a share of the value.
type Leeway struct {
	Num   quantity.Number
	Share bool
}

// Range gives the least and the greatest true value of one that is given.
func (t *Tolerance) Range(v quantity.Number) (least, greatest quantity.Number) {
	return v.Sub(t.Down.of(v)), v.Add(t.Up.of(v))
}

func (l Leeway) of(v quantity.Number) quantity.Number {
	if l.Share {
		return v.Abs().Mul(l.Num)
	}
	return l.Num
}

// tolerance checks what is stated of a cell of a kind; nil where nothing is, or it was found wrong.
func (c *checker) tolerance(t *lang.Tolerance, kind Type) *Tolerance {
	if t == nil || !kind.Known() {
		return nil
	}
	if kind.Base != Quantity {
		c.fail("tolerance-of-words", t.At, "%s has no over and under, so no tolerance", article(kind)).Fix("leave out tolerance")
		return nil
	}
	up, ok := c.leeway(t.Up, kind)
	down := up
	if t.Down != t.Up {
		var right bool
		down, right = c.leeway(t.Down, kind)
		ok = ok && right
	}
	if !ok {
		return nil
	}
	return &Tolerance{t.At, up, down}
}

// leeway checks one side: a percentage is a share of the value, whatever its kind.
func (c *checker) leeway(m *lang.Measure, kind Type) (Leeway, bool) {
	share := m.Percent && m.Per == nil
	want := kind.loose()
	if share {
		want = measure(quantity.Plain)
	}
	k, ok := fold(c.alone(m, global(), want, "a tolerance")).(*Const)
	if !ok {
		return Leeway{}, false
	}
	if _, whole := k.Value.Num.Int64(); kind.Whole && !share && !whole {
		c.fail("tolerance-of-count", m.At, "a count is out by whole ones, and this is %s", c.shown(k.Value.Num, kind)).Fix("write: tolerance 1")
		return Leeway{}, false
	}
	if share && less(quantity.Int(1), k.Value.Num) {
		c.fail("tolerance-too-wide", m.At, "a tolerance of more than the value itself").Fix("write at most 100%")
		return Leeway{}, false
	}
	return Leeway{k.Value.Num, share}, true
}

// ToleranceOf gives what holds of what is given for an ask: the order's own tolerance, else the ask's.
func ToleranceOf(ask, given *Cell) *Tolerance {
	if given != nil && given.Tolerance != nil {
		return given.Tolerance
	}
	return ask.Tolerance
}

// Tolerance gives what holds of a field as cell settles it: what stands beside it, else what the material states, else its kind.
func (m *Material) Tolerance(cell *Cell) *Tolerance {
	for _, c := range []*Cell{cell, m.Given[cell.Index]} {
		if c != nil && c.Tolerance != nil {
			return c.Tolerance
		}
	}
	return m.Kind.Fields[cell.Index].Tolerance
}

// CheckTolerance checks a tolerance that is given from outside the book's own files.
func (p *Program) CheckTolerance(t *lang.Tolerance, kind Type, problems *diag.List) *Tolerance {
	return p.checker(problems).tolerance(t, kind)
}
