package verify

import (
	"cmp"
	"fmt"
	"slices"

	"squab/stdlib/layout"
)

// Sticks reports everything wrong with a stick or reel layout, nil where nothing is.
func Sticks(stocks []layout.StickStock, rule layout.StickRule, pieces []layout.StickPiece, result layout.Result) []error {
	r := &report{}
	r.bounds(result, slices.ContainsFunc(stocks, func(s layout.StickStock) bool { return s.Price > 0 }))
	counts := make([]int, len(pieces))
	for i, p := range pieces {
		counts[i] = p.Count
	}
	r.tally(result, counts, nil)
	r.strips(nil, result)
	r.whole(result, false, rule.Join)
	r.stickTotals(stocks, pieces, result)
	r.rests(rule, result)
	for i, on := range bySheet(result) {
		r.stick(rule, pieces, result.Sheets[i], on)
	}
	if rule.Join {
		r.parts(rule, pieces, result)
		r.summary(result, len(result.Sheets))
	} else {
		r.summary(result, setUps(rule, result))
	}
	return r.errs
}

// setUps is how many sticks differ from all others in stock or lengths, and in mitres
// where they are nested.
func setUps(rule layout.StickRule, result layout.Result) int {
	different := map[string]bool{}
	for i, on := range bySheet(result) {
		var cuts []string
		for _, p := range on {
			cut := fmt.Sprint(p.Wide)
			if rule.Nest {
				cut += fmt.Sprint(" mitred ", p.Mitre)
			}
			cuts = append(cuts, cut)
		}
		slices.Sort(cuts)
		different[fmt.Sprint(result.Sheets[i].Stock, cuts)] = true
	}
	return len(different)
}

// stickTotals counts a mitred piece at the mean of its two sides.
func (r *report) stickTotals(stocks []layout.StickStock, pieces []layout.StickPiece, result layout.Result) {
	long, cost, covered := int64(0), int64(0), int64(0)
	for i, s := range result.Sheets {
		if s.Stock < 0 || s.Stock >= len(stocks) || s.Wide != stocks[s.Stock].Long || s.Price != stocks[s.Stock].Price {
			r.say("stick %d is not as its stock", i)
			continue
		}
		long += s.Wide
		cost += s.Price
	}
	r.supply(result, len(stocks), func(stock int) int { return stocks[stock].Limit })
	for _, p := range result.Placed {
		covered += p.Wide
		if p.Part == 0 && p.Item >= 0 && p.Item < len(pieces) {
			covered -= pieces[p.Item].Mitre
		}
		if p.Sheet < 0 || p.Sheet >= len(result.Sheets) {
			r.say("%s: there is no such stick", name(p))
		}
	}
	if long != result.Used || cost != result.Cost || long-covered != result.Waste {
		r.say("length %d, cost %d, waste %d are not as stated (%d, %d, %d)", long, cost, long-covered, result.Used, result.Cost, result.Waste)
	}
}

// stick walks along one stick. Neighbours keep a kerf, unless both have the same
// mitre, the second lies the other way up and nesting is allowed: then the long
// sides may overlap by the mitre, less the kerf.
func (r *report) stick(rule layout.StickRule, pieces []layout.StickPiece, s layout.Sheet, on []layout.Placed) {
	slices.SortStableFunc(on, func(a, b layout.Placed) int { return cmp.Compare(a.X, b.X) })
	for i, p := range on {
		if p.X < 0 || p.X > s.Wide-p.Wide {
			r.say("%s lies outside the stick", name(p))
		}
		if p.Item < 0 || p.Item >= len(pieces) {
			continue // the tally tells of it
		}
		r.length(rule, pieces[p.Item], p)
		if i > 0 && p.X < on[i-1].X+on[i-1].Wide+rule.Kerf-nested(rule, on[i-1], p) {
			r.say("%s overlaps %s", name(p), name(on[i-1]))
		}
	}
}

// length checks one piece against what was asked for. A reel's parts are added up elsewhere, and show no mitres.
func (r *report) length(rule layout.StickRule, piece layout.StickPiece, p layout.Placed) {
	if p.Piece != piece.Name || p.Order != piece.Order {
		r.say("%s bears the name of another piece", name(p))
	}
	whole, mitre := p.Wide == piece.Long && p.Part == 0, piece.Mitre
	if !whole {
		mitre = 0
	}
	if !whole && !rule.Join {
		r.say("%s is %d long, not %d", name(p), p.Wide, piece.Long)
	}
	if p.Mitre != mitre {
		r.say("%s has a mitre of %d, not %d", name(p), p.Mitre, mitre)
	}
}

// nested is by how much two neighbours may lie over each other: the slant that they share, the second turned over.
func nested(rule layout.StickRule, p, q layout.Placed) int64 {
	if rule.Nest && !rule.Join && p.Mitre == q.Mitre && p.Turned != q.Turned {
		return p.Mitre
	}
	return 0
}

// rests checks that each offcut is the one rest of its stick, long enough to be named, clear of every piece and its kerf.
func (r *report) rests(rule layout.StickRule, result layout.Result) {
	placed := bySheet(result)
	for i, o := range result.Offcuts {
		if o.Sheet < 0 || o.Sheet >= len(result.Sheets) || o.Wide <= 0 {
			r.say("%s is on no stick", o.Name)
			continue
		}
		if o.Wide < rule.LeastOffcut {
			r.say("%s is %d long, too short to be named", o.Name, o.Wide)
		}
		if slices.ContainsFunc(result.Offcuts[:i], func(q layout.Offcut) bool { return q.Sheet == o.Sheet }) {
			r.say("%s is a second rest of its stick", o.Name)
		}
		if o.X < 0 || o.X > result.Sheets[o.Sheet].Wide-o.Wide {
			r.say("%s lies outside the stick", o.Name)
		}
		for _, p := range placed[o.Sheet] {
			if o.X < p.X+p.Wide+rule.Kerf && p.X < o.X+o.Wide {
				r.say("%s overlaps %s", o.Name, name(p))
			}
		}
	}
}

// follow checks that each part starts where the parts before it end.
func (r *report) follow(result layout.Result) {
	placed := slices.Clone(result.Placed)
	slices.SortStableFunc(placed, func(a, b layout.Placed) int { return cmp.Compare(a.Part, b.Part) })
	reached := map[part]int64{}
	for _, p := range placed {
		key := part{item: p.Item, copy: p.Copy}
		if p.Part != reached[key] {
			r.say("%s starts %d along its piece, not %d", name(p), p.Part, reached[key])
		}
		reached[key] += p.Wide
	}
}

// parts checks that the parts of each piece on reels make it up, a join each.
func (r *report) parts(rule layout.StickRule, pieces []layout.StickPiece, result layout.Result) {
	long, number := map[part]int64{}, map[part]int64{}
	for _, p := range result.Placed {
		if p.Item < 0 || p.Item >= len(pieces) {
			r.say("%s: there is no such piece", name(p))
			continue
		}
		long[part{item: p.Item, copy: p.Copy}] += p.Wide
		number[part{item: p.Item, copy: p.Copy}]++
	}
	r.follow(result)
	for _, key := range inOrder(number) {
		if want := pieces[key.item].Long + (number[key]-1)*rule.JoinSeam; long[key] != want {
			r.say("item %d copy %d: parts of %d do not make %d", key.item, key.copy, long[key], want)
		}
	}
}
