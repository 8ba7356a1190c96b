package layout

import (
	"fmt"
	"slices"
)

// maxOffcutPieces is the most copies on one sheet for which offcuts are named.
const maxOffcutPieces = 400

// leftOver lists free rectangles of a sheet, largest first, that do not overlap
// one another and are at least least, keeping gap from every copy.
func leftOver(sheet Size, taken []Rect, gap int64, least Size) []Rect {
	if len(taken) > maxOffcutPieces || !sheet.holds(least) {
		return nil
	}
	free := []Rect{{0, 0, sheet.Wide, sheet.Deep}}
	for _, t := range taken {
		free = without(free, Rect{t.X - gap, t.Y - gap, t.Wide + 2*gap, t.Deep + 2*gap}, least)
	}
	var out []Rect
	for len(free) > 0 {
		slices.SortFunc(free, compareRects)
		big := free[0]
		out = append(out, big)
		free = without(free[1:], Rect{big.X - gap, big.Y - gap, big.Wide + 2*gap, big.Deep + 2*gap}, least)
	}
	return out
}

// holds reports whether a size is not nothing, and at least least.
func (s Size) holds(least Size) bool {
	return s.Wide >= max(1, least.Wide) && s.Deep >= max(1, least.Deep)
}

// compareRects puts the largest first, then the nearest.
func compareRects(a, b Rect) int {
	for _, c := range []int{
		compareInt(b.Wide*b.Deep, a.Wide*a.Deep), compareInt(a.Y, b.Y), compareInt(a.X, b.X), compareInt(a.Wide, b.Wide),
	} {
		if c != 0 {
			return c
		}
	}
	return 0
}

// without cuts t out of every free rectangle and keeps the greatest that remain.
func without(free []Rect, t Rect, least Size) []Rect {
	var out []Rect
	for _, f := range free {
		if !f.meets(t) {
			out = append(out, f)
			continue
		}
		for _, part := range f.around(t) {
			if (Size{part.Wide, part.Deep}).holds(least) {
				out = append(out, part)
			}
		}
	}
	return greatest(out)
}

func (r Rect) meets(t Rect) bool {
	return r.X < t.X+t.Wide && t.X < r.X+r.Wide && r.Y < t.Y+t.Deep && t.Y < r.Y+r.Deep
}

func (r Rect) around(t Rect) []Rect {
	return []Rect{
		{r.X, r.Y, t.X - r.X, r.Deep},
		{t.X + t.Wide, r.Y, r.X + r.Wide - t.X - t.Wide, r.Deep},
		{r.X, r.Y, r.Wide, t.Y - r.Y},
		{r.X, t.Y + t.Deep, r.Wide, r.Y + r.Deep - t.Y - t.Deep},
	}
}

// greatest drops rectangles inside others.
func greatest(rects []Rect) []Rect {
	slices.SortFunc(rects, compareRects)
	out := rects[:0:0]
	for _, r := range rects {
		if !slices.ContainsFunc(out, r.inside) {
			out = append(out, r)
		}
	}
	return out
}

func (r Rect) inside(o Rect) bool {
	return r.X >= o.X && r.Y >= o.Y && r.X+r.Wide <= o.X+o.Wide && r.Y+r.Deep <= o.Y+o.Deep
}

// nameOffcuts fills Result.Offcuts for every sheet.
func (r *Result) nameOffcuts(gap int64, least Size, flaws []Rect) {
	r.Offcuts = nil
	taken := r.takenBySheet()
	for i, s := range r.Sheets {
		size := Size{s.Wide, s.Deep}
		on := taken[i]
		if s.Stock == -1 {
			size.Deep = r.Used
			on = append(on, flaws...)
		}
		for _, f := range leftOver(size, on, gap, least) {
			r.Offcuts = append(r.Offcuts, Offcut{Name: fmt.Sprintf("offcut %d", len(r.Offcuts)+1), Sheet: i, Rect: f})
		}
	}
}

func (r *Result) takenBySheet() [][]Rect {
	taken := make([][]Rect, len(r.Sheets))
	for _, p := range r.Placed {
		taken[p.Sheet] = append(taken[p.Sheet], Rect{p.X, p.Y, p.Wide, p.Deep})
	}
	return taken
}

// sortPlaced puts copies in the order of sheet, position along, position across.
func (r *Result) sortPlaced() {
	slices.SortStableFunc(r.Placed, func(a, b Placed) int {
		for _, c := range []int{a.Sheet - b.Sheet, compareInt(a.Y, b.Y), compareInt(a.X, b.X)} {
			if c != 0 {
				return c
			}
		}
		return 0
	})
}
