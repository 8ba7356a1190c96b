package verify

import (
	"math/big"
	"slices"

	"squab/stdlib/layout"
)

// Roll reports everything wrong with a roll layout, nil where nothing is.
func Roll(roll layout.Roll, pieces []layout.Piece, result layout.Result) []error {
	r := &report{}
	r.inside(result)
	r.apart(result, roll.Gap)
	r.offcuts(result, roll.Gap, roll.LeastOffcut)
	r.bounds(result, false)
	counts := make([]int, len(pieces))
	for i, p := range pieces {
		counts[i] = p.Count
	}
	r.tally(result, counts, r.panels(roll, pieces, result))
	for _, p := range result.Placed {
		if p.Strips == 0 && p.Item >= 0 && p.Item < len(pieces) {
			r.extent(p, pieces[p.Item])
			r.motif(roll, pieces[p.Item], p, result)
		}
	}
	r.rollTotals(roll, result)
	r.flaws(roll, result)
	r.bias(roll, result)
	r.strips(roll.Bias, result)
	r.whole(result, true, false)
	r.summary(result, 0, ending(result)...)
	r.remnants(roll, result)
	return r.errs
}

// rollTotals checks what is said of the roll as a whole against what lies on it; remnants count for nothing.
func (r *report) rollTotals(roll layout.Roll, result layout.Result) {
	used, covered := int64(0), int64(0)
	for _, p := range result.Placed {
		if p.Sheet == 0 {
			used = max(used, p.Y+p.Deep)
			covered += p.Wide * p.Deep
		}
	}
	if used != result.Used {
		r.say("the pieces reach %d, not the %d stated", used, result.Used)
	}
	if waste := roll.Wide*used - covered; waste != result.Waste {
		r.say("the waste is %d, not the %d stated", waste, result.Waste)
	}
	if roll.Long > 0 && used > roll.Long {
		r.say("%d is used of a roll of %d", used, roll.Long)
	}
}

func (r *report) remnants(roll layout.Roll, result layout.Result) {
	for i, s := range result.Sheets {
		switch {
		case i == 0 && (s.Wide != roll.Wide || s.Deep != result.Used):
			r.say("the roll is %d by %d, not as used", s.Wide, s.Deep)
		case i > 0 && (i > len(roll.Remnants) || s.Wide != roll.Remnants[i-1].Wide || s.Deep != roll.Remnants[i-1].Deep):
			r.say("sheet %d is not the remnant given", i)
		}
	}
}

// ending are the pieces that reach as far along the roll as is used, each once.
func ending(result layout.Result) []string {
	var names []string
	for _, p := range result.Placed {
		if p.Sheet == 0 && p.Y+p.Deep == result.Used && !slices.Contains(names, p.Piece) {
			names = append(names, p.Piece)
		}
	}
	return names
}

// flaws checks that nothing on the roll touches a flaw.
func (r *report) flaws(roll layout.Roll, result layout.Result) {
	for _, f := range roll.Flaws {
		for _, p := range result.Placed {
			if p.Sheet == 0 && near(rect(p), f, 0) {
				r.say("%s lies over a flaw at %d, %d", name(p), f.X, f.Y)
			}
		}
		for _, o := range result.Offcuts {
			if o.Sheet == 0 && near(o.Rect, f, 0) {
				r.say("%s lies over a flaw at %d, %d", o.Name, f.X, f.Y)
			}
		}
	}
}

// panels checks joined pieces and returns how many panels each item has.
func (r *report) panels(roll layout.Roll, pieces []layout.Piece, result layout.Result) map[int]int {
	number := map[int]int{}
	for _, p := range result.Placed {
		number[p.Item] = max(number[p.Item], p.Panel)
	}
	widths := map[part]int64{}
	for _, p := range result.Placed {
		if p.Panel == 0 || p.Item < 0 || p.Item >= len(pieces) {
			continue
		}
		piece := pieces[p.Item]
		if piece.Join.How == layout.JoinNone || p.Deep != piece.Deep || p.Wide > roll.Wide {
			r.say("%s is no panel of a joined piece", name(p))
		}
		widths[part{p.Item, p.Copy, 0}] += p.Wide
		r.sides(piece, p, result)
	}
	for _, key := range inOrder(widths) {
		wide, piece := widths[key], pieces[key.item]
		if seams := 2 * piece.Join.Seam * int64(number[key.item]-1); wide-seams != piece.Wide {
			r.say("item %d copy %d: panels of %d less seams %d do not make %d", key.item, key.copy, wide, seams, piece.Wide)
		}
	}
	return number
}

// sides checks that a centred join has two equal sides.
func (r *report) sides(piece layout.Piece, p layout.Placed, result layout.Result) {
	if piece.Join.How != layout.JoinCentred || p.Panel != 1 {
		return
	}
	for _, q := range result.Placed {
		if q.Item == p.Item && q.Copy == p.Copy && q.Panel == 3 && q.Wide != p.Wide {
			r.say("%s and panel 3 are not equal", name(p))
		}
	}
}

// start is where a panel begins within its piece, seam allowance included.
func start(piece layout.Piece, p layout.Placed, result layout.Result) int64 {
	at := int64(0)
	for _, q := range result.Placed {
		if q.Item == p.Item && q.Copy == p.Copy && q.Panel > 0 && q.Panel < p.Panel && q.Strips == 0 {
			at += q.Wide - 2*piece.Join.Seam
		}
	}
	return at
}

// motif checks that a copy shows the motif at its match point.
func (r *report) motif(roll layout.Roll, piece layout.Piece, p layout.Placed, result layout.Result) {
	repeat := roll.Repeat
	if repeat.Along == 0 && repeat.Across == 0 || piece.Match == nil && p.Panel == 0 {
		return
	}
	at := repeat.First
	if piece.Match != nil {
		at = *piece.Match
	}
	if p.Panel > 0 {
		at.X -= start(piece, p, result)
	}
	first := repeat.First
	if p.Sheet > 0 && p.Sheet <= len(roll.Remnants) {
		first = roll.Remnants[p.Sheet-1].First
	}
	wide, deep := piece.Wide, piece.Deep
	if p.Turned {
		at = layout.Point{X: deep - at.Y, Y: at.X}
		wide, deep = deep, wide
	}
	if p.Ended {
		at = layout.Point{X: wide - at.X, Y: deep - at.Y}
	}
	if !onMotif(repeat, p.X+at.X-first.X, p.Y+at.Y-first.Y) {
		r.say("%s does not show the motif at its match point", name(p))
	}
}

// onMotif is true where an offset from the first motif is a motif too.
func onMotif(repeat layout.Repeat, x, y int64) bool {
	if repeat.Across > 0 && x%repeat.Across != 0 {
		return false
	}
	if repeat.HalfDrop && repeat.Across > 0 && (x/repeat.Across)%2 != 0 {
		y -= repeat.Along / 2
	}
	return repeat.Along == 0 || y%repeat.Along == 0
}

// bias checks that the rectangles set aside give the strip asked for, measuring
// each strip by the squares of its lengths.
func (r *report) bias(roll layout.Roll, result layout.Result) {
	for i, b := range roll.Bias {
		long, refused := int64(0), false
		for _, p := range result.Placed {
			if p.Strips > 0 && p.Item == i {
				count, gain := stripsOf(b, p.Wide, p.Deep)
				if long += gain; count != p.Strips {
					r.say("%s gives %d strips, not %d", name(p), count, p.Strips)
				}
			}
		}
		for _, u := range result.Unplaced {
			refused = refused || u.Bias && u.Item == i
		}
		if long < b.Long && !refused {
			r.say("bias %s: %d of %d", b.Name, long, b.Long)
		}
	}
}

// strips checks that every rectangle cut into strips is for a bias that was asked for, and bears its name.
func (r *report) strips(asked []layout.Bias, result layout.Result) {
	for _, p := range result.Placed {
		if p.Strips == 0 {
			continue
		}
		if p.Strips < 0 || p.Item < 0 || p.Item >= len(asked) {
			r.say("%s is cut into strips that nobody asked for", name(p))
		} else if p.Piece != asked[p.Item].Name || p.Order != asked[p.Item].Order {
			r.say("%s bears the name of another piece", name(p))
		}
	}
}

// stripsOf adds up the 45° strips of a rectangle: each reaches down as far as
// both its edges stay inside, and loses a seam on the slant.
func stripsOf(b layout.Bias, wide, deep int64) (count, long int64) {
	pitch := slantUp(b.Wide)
	for left := -deep; left < wide; left += pitch {
		top, bottom := max(0, -left), min(deep, wide-left-pitch)
		gain := slantDown(bottom-top) - slantUp(2*b.Seam)
		if bottom-top >= 2*pitch && gain > 0 {
			count, long = count+1, long+gain
		}
	}
	return count, long
}

func slantDown(v int64) int64 {
	twice := big.NewInt(v)
	twice.Mul(twice, twice).Lsh(twice, 1)
	return twice.Sqrt(twice).Int64()
}

func slantUp(v int64) int64 {
	if v <= 0 {
		return 0
	}
	return slantDown(v) + 1
}
