package verify

import "squab/stdlib/layout"

// BestCut reports everything wrong with a cut of one sheet, nil where nothing is.
func BestCut(size layout.Size, kerf int64, items []layout.Valued, cut layout.Cut) []error {
	r := &report{}
	sheet := layout.Result{Placed: cut.Placed, Sheets: []layout.Sheet{{Wide: size.Wide, Deep: size.Deep}}}
	r.inside(sheet)
	r.apart(sheet, kerf)
	r.guillotine(layout.SheetRule{Kerf: kerf}, sheet)
	value, counts := int64(0), make([]int, len(items))
	for _, p := range cut.Placed {
		if p.Item < 0 || p.Item >= len(items) {
			r.say("%s: there is no such item", name(p))
			continue
		}
		v := items[p.Item]
		if counts[p.Item]++; p.Copy != counts[p.Item] {
			r.say("%s is copy %d", name(p), counts[p.Item])
		}
		value += v.Value
		r.extent(p, layout.Piece{Name: v.Name, Wide: v.Wide, Deep: v.Deep, Turn: v.Turn})
	}
	for i, n := range counts {
		if items[i].Most > 0 && n > items[i].Most {
			r.say("%s is cut %d times, at most %d wanted", items[i].Name, n, items[i].Most)
		}
	}
	if value != cut.Value || cut.Bound < cut.Value || cut.Proved && cut.Bound != cut.Value {
		r.say("worth %d, stated %d with a bound of %d", value, cut.Value, cut.Bound)
	}
	return r.errs
}
