package stdlib

import (
	"errors"
	"slices"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/stdlib/layout"
)

// Together lays the pieces of several orders in one, material by material, in the order in which the orders name them. A material's measures are
// those of the first order that names it. Where the orders' own layouts of it come cheaper, they stand in its place.
func Together(results []*eval.Result, effort layout.Effort) ([]eval.Layout, error) {
	return TogetherBy(results, Lay(effort))
}

// TogetherBy is Together with a function of one's own for laying pieces.
func TogetherBy(results []*eval.Result, lay eval.LayFunc) ([]eval.Layout, error) {
	var layouts []eval.Layout
	var errs []error
	for _, b := range bundles(results) {
		joint, err := lay(b.stock, b.pieces)
		switch {
		case b.apart() && (err != nil || less(b.cost(b.own...), b.cost(joint))):
			layouts = append(layouts, b.own...)
		case err != nil:
			errs = append(errs, err)
		default:
			layouts = append(layouts, joint)
		}
	}
	return layouts, errors.Join(errs...)
}

// bundle is what several orders cut from one material, and the layouts that each has of it.
type bundle struct {
	stock  eval.Stock
	pieces []eval.Piece
	own    []eval.Layout
	alike  bool // the material is the same for every order
}

func bundles(results []*eval.Result) []*bundle {
	var all []*bundle
	known := map[*check.Material]*bundle{}
	of := func(r *eval.Result, m *check.Material) *bundle {
		stock := r.Sheet.Plan.Stock(m)
		b := known[m]
		if b == nil {
			b = &bundle{stock: stock, alike: true}
			known[m], all = b, append(all, b)
		}
		b.alike = b.alike && sameMeasures(b.stock, stock)
		return b
	}
	for _, r := range results {
		for _, p := range r.Pieces {
			b := of(r, p.Material)
			b.pieces = append(b.pieces, p)
		}
		for _, l := range r.Layouts {
			b := of(r, l.Material)
			b.own = append(b.own, l)
		}
	}
	return all
}

// sameMeasures reports whether a material is laid alike on two days.
func sameMeasures(s, t eval.Stock) bool {
	for _, name := range LaidBy() {
		v, ok := s.Field(name)
		w, ok2 := t.Field(name)
		if ok != ok2 || !v.Equal(w) {
			return false
		}
	}
	return true
}

// apart reports whether the orders' own layouts are laid out and hold side by side: none takes what another rests on, as it would of a remnant, of the last sheets, or of
// the place where a pattern begins.
func (b *bundle) apart() bool {
	j, err := jobOf(b.stock, nil)
	if err != nil || !b.alike || len(b.own) == 0 {
		return false
	}
	isLimited := func(s Size) bool { return s.Limit != 0 }
	isReckoned := func(l eval.Layout) bool { return !l.Laid }
	if slices.ContainsFunc(j.Sizes, isLimited) || slices.ContainsFunc(b.own, isReckoned) {
		return false
	}
	r := j.Roll
	return isZero(r.Long) && isZero(r.Gap) && isZero(r.Repeat.Along) && len(r.Flaws)+len(r.Remnants) == 0
}

// cost is what the materials cost that layouts take, by the prices of the bundle's day.
func (b *bundle) cost(layouts ...eval.Layout) (sum quantity.Number) {
	for i := range layouts {
		for _, t := range layouts[i].Takes() {
			sum = sum.Add(t.Amount.Mul(measureOf(b.stock.Other(t.Material), "price")))
		}
	}
	return sum
}
