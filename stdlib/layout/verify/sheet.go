package verify

import (
	"cmp"
	"slices"

	"squab/stdlib/layout"
)

// Sheets reports everything wrong with a sheet layout, nil where nothing is.
func Sheets(stocks []layout.SheetStock, rule layout.SheetRule, pieces []layout.Piece, result layout.Result) []error {
	r := &report{}
	r.inside(result)
	r.apart(result, rule.Kerf)
	r.offcuts(result, rule.Kerf, rule.LeastOffcut)
	r.bounds(result, slices.ContainsFunc(stocks, func(s layout.SheetStock) bool { return s.Price > 0 }))
	counts := make([]int, len(pieces))
	for i, p := range pieces {
		counts[i] = p.Count
	}
	r.tally(result, counts, nil)
	r.strips(nil, result)
	r.whole(result, false, false)
	r.summary(result, 0)
	covered := int64(0)
	for _, p := range result.Placed {
		covered += p.Wide * p.Deep
		if p.Item >= 0 && p.Item < len(pieces) {
			r.extent(p, pieces[p.Item])
		}
	}
	r.sheetTotals(stocks, result, covered)
	if rule.Guillotine {
		r.guillotine(rule, result)
	}
	return r.errs
}

func (r *report) sheetTotals(stocks []layout.SheetStock, result layout.Result, covered int64) {
	area, cost := int64(0), int64(0)
	for i, s := range result.Sheets {
		if s.Stock < 0 || s.Stock >= len(stocks) {
			r.say("sheet %d is of no stock", i)
			continue
		}
		st := stocks[s.Stock]
		if s.Wide != st.Wide || s.Deep != st.Deep || s.Price != st.Price {
			r.say("sheet %d is not as its stock", i)
		}
		area += st.Wide * st.Deep
		cost += st.Price
	}
	r.supply(result, len(stocks), func(stock int) int { return stocks[stock].Limit })
	if area != result.Used || cost != result.Cost || area-covered != result.Waste {
		r.say("area %d, cost %d, waste %d are not as stated (%d, %d, %d)", area, cost, area-covered, result.Used, result.Cost, result.Waste)
	}
}

// guillotine checks that each sheet comes apart by cuts from edge to edge, in no
// more changes of direction than allowed, starting either way.
func (r *report) guillotine(rule layout.SheetRule, result layout.Result) {
	for i, placed := range bySheet(result) {
		var on []layout.Rect
		for _, p := range placed {
			on = append(on, rect(p))
		}
		limit := rule.Stages
		if limit == 0 {
			limit = 2*len(on) + 2
		}
		if !comesApart(on, rule.Kerf, limit, true) && !comesApart(on, rule.Kerf, limit, false) {
			r.say("sheet %d does not come apart by straight cuts in %d stages", i, limit)
		}
	}
}

// comesApart cuts everywhere it can in one direction, then each part in the other.
func comesApart(on []layout.Rect, kerf int64, stages int, across bool) bool {
	if len(on) <= 1 {
		return true
	}
	if stages == 0 {
		return false
	}
	parts := split(on, kerf, across)
	if len(parts) == 1 && !across && len(split(on, kerf, true)) == 1 {
		return false
	}
	for _, p := range parts {
		if !comesApart(p, kerf, stages-1, !across) {
			return false
		}
	}
	return true
}

// split groups rectangles between the cuts of one direction.
func split(on []layout.Rect, kerf int64, across bool) [][]layout.Rect {
	span := func(r layout.Rect) (int64, int64) {
		if across {
			return r.X, r.X + r.Wide
		}
		return r.Y, r.Y + r.Deep
	}
	sorted := slices.Clone(on)
	slices.SortFunc(sorted, func(a, b layout.Rect) int {
		p, _ := span(a)
		q, _ := span(b)
		return cmp.Compare(p, q)
	})
	parts := [][]layout.Rect{{sorted[0]}}
	_, end := span(sorted[0])
	for _, rect := range sorted[1:] {
		from, to := span(rect)
		if from >= end+kerf {
			parts = append(parts, nil)
		}
		last := len(parts) - 1
		parts[last] = append(parts[last], rect)
		end = max(end, to)
	}
	return parts
}
