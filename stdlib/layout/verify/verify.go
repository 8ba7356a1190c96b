// Package verify checks layouts without any code of the engines that made them;
// it shares only the plain data types. Each check reads the layout as a person
// with a tape would: where each piece lies, and what the material allows there.
package verify

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"squab/stdlib/layout"
)

// report gathers what is wrong.
type report struct{ errs []error }

func (r *report) say(format string, args ...any) {
	r.errs = append(r.errs, fmt.Errorf(format, args...))
}

func name(p layout.Placed) string {
	label := fmt.Sprintf("%s copy %d on sheet %d", p.Piece, p.Copy, p.Sheet)
	if p.Panel > 0 {
		label += fmt.Sprintf(" panel %d", p.Panel)
	}
	return label
}

// inside checks that every placed rectangle lies on its sheet.
func (r *report) inside(result layout.Result) {
	for _, p := range result.Placed {
		if p.Sheet < 0 || p.Sheet >= len(result.Sheets) {
			r.say("%s: there is no such sheet", name(p))
			continue
		}
		s := result.Sheets[p.Sheet]
		if p.X < 0 || p.Y < 0 || p.X > s.Wide-p.Wide || p.Y > s.Deep-p.Deep {
			r.say("%s lies outside the material", name(p))
		}
	}
}

// apart checks that copies on one sheet keep gap between them one way or the other.
func (r *report) apart(result layout.Result, gap int64) {
	placed := slices.Clone(result.Placed)
	slices.SortFunc(placed, func(a, b layout.Placed) int {
		return cmp.Or(cmp.Compare(a.Sheet, b.Sheet), cmp.Compare(a.Y, b.Y))
	})
	for i, p := range placed {
		for _, q := range placed[i+1:] {
			if q.Sheet != p.Sheet || q.Y >= p.Y+p.Deep+gap {
				break
			}
			if near(rect(p), rect(q), gap) {
				r.say("%s and %s overlap or lie closer than %d", name(p), name(q), gap)
			}
		}
	}
}

// bySheet sorts what is placed by the sheet it is on; what is on none is left out.
func bySheet(result layout.Result) [][]layout.Placed {
	on := make([][]layout.Placed, len(result.Sheets))
	for _, p := range result.Placed {
		if p.Sheet >= 0 && p.Sheet < len(on) {
			on[p.Sheet] = append(on[p.Sheet], p)
		}
	}
	return on
}

// offcuts checks that named offcuts are on the material, large enough to be named, and
// keep gap from what is laid and from one another.
func (r *report) offcuts(result layout.Result, gap int64, least layout.Size) {
	placed := bySheet(result)
	for i, o := range result.Offcuts {
		if o.Sheet < 0 || o.Sheet >= len(result.Sheets) || o.Wide <= 0 || o.Deep <= 0 {
			r.say("%s is on no sheet", o.Name)
			continue
		}
		if o.Wide < least.Wide || o.Deep < least.Deep {
			r.say("%s is %d by %d, too small to be named", o.Name, o.Wide, o.Deep)
		}
		s := result.Sheets[o.Sheet]
		if o.X < 0 || o.Y < 0 || o.X > s.Wide-o.Wide || o.Y > s.Deep-o.Deep {
			r.say("%s lies outside the material", o.Name)
		}
		for _, p := range placed[o.Sheet] {
			if near(o.Rect, rect(p), gap) {
				r.say("%s overlaps %s or lies closer than %d", o.Name, name(p), gap)
			}
		}
		for _, q := range result.Offcuts[:i] {
			if q.Sheet == o.Sheet && near(o.Rect, q.Rect, gap) {
				r.say("%s overlaps %s or lies closer than %d", o.Name, q.Name, gap)
			}
		}
	}
}

func rect(p layout.Placed) layout.Rect {
	return layout.Rect{X: p.X, Y: p.Y, Wide: p.Wide, Deep: p.Deep}
}

// near is true where two rectangles overlap, or keep less than gap both ways.
func near(a, b layout.Rect, gap int64) bool {
	return a.X < b.X+b.Wide+gap && b.X < a.X+a.Wide+gap && a.Y < b.Y+b.Deep+gap && b.Y < a.Y+a.Deep+gap
}

type part struct{ item, copy, panel int }

func (p part) compare(q part) int {
	return cmp.Or(cmp.Compare(p.item, q.item), cmp.Compare(p.copy, q.copy), cmp.Compare(p.panel, q.panel))
}

// inOrder gives the parts counted so that faults are told in the same order every time.
func inOrder(counted map[part]int64) []part {
	return slices.SortedFunc(maps.Keys(counted), part.compare)
}

// tally checks that every copy is placed once or refused. panels tells how many
// panels a copy must have; 0 stands for an unjoined piece.
func (r *report) tally(result layout.Result, counts []int, panels map[int]int) {
	seen := map[part]int64{}
	laid := make([]int, len(counts))
	for _, p := range result.Placed {
		if p.Strips > 0 || p.Part > 0 {
			continue
		}
		if p.Item < 0 || p.Item >= len(counts) || p.Copy < 1 || p.Copy > counts[p.Item] {
			r.say("%s: there is no such copy", name(p))
			continue
		}
		key := part{p.Item, p.Copy, p.Panel}
		if seen[key]++; seen[key] > 1 {
			r.say("%s is placed more than once", name(p))
		}
		if p.Panel <= 1 {
			laid[p.Item]++
		}
	}
	r.balance(result, counts, laid)
	for _, key := range inOrder(seen) {
		for n := 1; n <= panels[key.item]; n++ {
			if seen[part{key.item, key.copy, n}] != 1 {
				r.say("item %d copy %d lacks panel %d", key.item, key.copy, n)
			}
		}
	}
}

// whole checks that nothing passes for a panel or for a reel's part where the
// material has none: either would be let off its size or its count.
func (r *report) whole(result layout.Result, panels, parts bool) {
	for _, p := range result.Placed {
		if p.Panel != 0 && !panels || p.Part != 0 && !parts {
			r.say("%s is called a part of a piece, and must be whole", name(p))
		}
	}
}

// summary checks what is told of a layout beside its measures: how many set-ups it
// takes, and which pieces set its length.
func (r *report) summary(result layout.Result, setUps int, ends ...string) {
	if result.SetUps != setUps {
		r.say("there are %d set-ups, not %d", setUps, result.SetUps)
	}
	if !slices.Equal(result.SetBy, ends) {
		r.say("the length is set by %q, not by %q", ends, result.SetBy)
	}
}

// balance checks that as many of each piece are laid or refused as are wanted.
func (r *report) balance(result layout.Result, counts, laid []int) {
	refused := make([]int, len(counts))
	for _, u := range result.Unplaced {
		if !u.Bias && u.Item >= 0 && u.Item < len(counts) {
			refused[u.Item] += max(0, u.Count)
		}
	}
	for i, n := range counts {
		if laid[i]+refused[i] != max(0, n) {
			r.say("item %d: %d wanted, %d laid and %d refused", i, n, laid[i], refused[i])
		}
	}
}

// extent checks that a copy has the size of its piece as it lies.
func (r *report) extent(p layout.Placed, piece layout.Piece) {
	wide, deep := piece.Wide, piece.Deep
	if p.Turned {
		wide, deep = deep, wide
		if !piece.Turn {
			r.say("%s is turned, which it may not be", name(p))
		}
	}
	if p.Ended && !piece.EndForEnd {
		r.say("%s is turned end for end, which it may not be", name(p))
	}
	if p.Panel == 0 && (p.Wide != wide || p.Deep != deep) {
		r.say("%s is %d by %d, not %d by %d", name(p), p.Wide, p.Deep, wide, deep)
	}
	if p.Piece != piece.Name || p.Order != piece.Order {
		r.say("%s bears the name of another piece", name(p))
	}
}

// supply checks that no more of any stock are opened than its limit, 0 for none.
func (r *report) supply(result layout.Result, stocks int, limit func(stock int) int) {
	opened := make([]int, stocks)
	for _, s := range result.Sheets {
		if s.Stock >= 0 && s.Stock < stocks {
			opened[s.Stock]++
		}
	}
	for i, n := range opened {
		if most := limit(i); most > 0 && n > most {
			r.say("stock %d: %d opened, only %d to be had", i, n, most)
		}
	}
}

func (r *report) bounds(result layout.Result, priced bool) {
	if result.Bound > result.Used {
		r.say("the bound %d is over the %d used", result.Bound, result.Used)
	}
	if result.CostBound > result.Cost {
		r.say("the proven cost %d is over the cost %d", result.CostBound, result.Cost)
	}
	if result.Proved && !meetsBound(result, priced) {
		r.say("proved, though %d is used of a bound of %d, and it costs %d of %d proven", result.Used, result.Bound, result.Cost, result.CostBound)
	}
}

// meetsBound reports whether what was made least is: the cost where there are prices, else what is used.
func meetsBound(result layout.Result, priced bool) bool {
	if priced {
		return result.Cost == result.CostBound
	}
	return result.Used == result.Bound
}
