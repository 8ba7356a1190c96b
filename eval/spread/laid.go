package spread

import (
	"slices"

	"squab/eval"
	"squab/eval/check"
)

// unmoved reports whether all over the box what was laid out is as the order gives it: which pieces, their sizes, the material, and the sizes of it that
// could be taken. That no input moves it there is not enough: past where a condition turns it may lie still at something else.
func (w *walk) unmoved(l *eval.Layout) bool {
	if !w.fieldsAsGiven(l.Material) {
		return false
	}
	for _, size := range w.plan.Stock(l.Material).Items("sizes") {
		if !w.fieldsAsGiven(size.Material()) {
			return false
		}
	}
	same := true
	w.each(w.plan.Recipe, 0, func(r *check.Recipe, home int) {
		for _, x := range r.Pieces {
			same = same && (!w.mayBeOf(home, x, l.Material) || w.pieceAsGiven(home, x))
		}
	})
	return same
}

// fieldsAsGiven reports whether a material's fields, but for texts, are as they are in the book.
func (w *walk) fieldsAsGiven(m *check.Material) bool {
	stock := w.plan.Stock(m)
	for i, f := range m.Kind.Fields {
		if v, ok := stock.Field(f.Name); ok && f.Type.Base != check.Text && !same(w.field(m, i), of(v, f.Type, w.inputs())) {
			return false
		}
	}
	return true
}

// mayBeOf reports whether a piece is of a material, as it is given or in the box.
func (w *walk) mayBeOf(home int, x *check.Piece, m *check.Material) bool {
	given, _ := w.sheet.Value(home + x.Material.Index)
	now := w.slot(home + x.Material.Index)
	return given.Material() == m || !now.known || now.words.Material() == m
}

// pieceAsGiven reports whether a piece is cut as often and as large as it is given, or is left out as it is there.
func (w *walk) pieceAsGiven(home int, x *check.Piece) bool {
	if x.When != nil {
		if !w.asGiven(home + x.When.Index) {
			return false
		}
		if w.slot(home+x.When.Index).truth == fails {
			return true
		}
	}
	for _, c := range x.Cells() {
		if !w.asGiven(home + c.Index) {
			return false
		}
	}
	return w.asGiven(home + check.OffIndex)
}

func (w *walk) asGiven(slot int) bool {
	v, fault := w.sheet.Value(slot)
	return fault == nil && same(w.slot(slot), of(v, w.plan.Slots[slot].Cell.Type, w.inputs()))
}

// same reports whether two values are one and the same all over the box.
func same(v, w value) bool {
	switch {
	case v.number != nil && w.number != nil:
		return v.number.isFixed() && v.number.lo.Equal(w.number.lo) && v.number.hi.Equal(w.number.hi)
	case v.isList && w.isList:
		return slices.EqualFunc(v.items, w.items, same)
	case v.known && w.known:
		return v.words.Equal(w.words)
	}
	return v.truth != open && v.truth == w.truth
}
