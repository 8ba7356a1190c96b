package stdlib

import (
	"context"
	"errors"
	"fmt"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/stdlib/layout"
)

// Lay gives the function that lays an order's pieces on their material: cloth by its usable width, repeat, nap and whether it may be railroaded;
// sheets and sticks with their kerf. Lengths that have no common fine grid are laid rounded up to 1/1024 in, never down.
func Lay(effort layout.Effort) eval.LayFunc { return LayUntil(context.Background(), effort) }

// LayUntil is Lay until a context ends; what is being laid then is given up with its error.
func LayUntil(ctx context.Context, effort layout.Effort) eval.LayFunc {
	return func(s eval.Stock, pieces []eval.Piece) (eval.Layout, error) {
		switch s.Material.Kind.Form {
		case check.Roll:
			return layRoll(ctx, s, pieces, effort)
		case check.Sheet:
			return laySheets(ctx, s, pieces, effort)
		case check.Stick:
			return laySticks(ctx, s, pieces, effort)
		}
		return eval.Layout{}, fmt.Errorf("pieces cannot be cut from %s, which is a %s", s.Material.Name, s.Material.Kind.Form)
	}
}

// LaidBy names the fields of a material that a layout reads.
func LaidBy() []string {
	return []string{"usable", "wide", "deep", "long", "kerf", "repeat_along", "repeat_across", "half_drop", "railroads", "nap", "grain"}
}

// Together lays the pieces of several orders in one, material by material, in the order in which the orders name them. A material's measures are
// those of the first order that names it.
func Together(results []*eval.Result, effort layout.Effort) ([]eval.Layout, error) {
	var materials []*check.Material
	pieces := map[*check.Material][]eval.Piece{}
	stock := map[*check.Material]eval.Stock{}
	for _, r := range results {
		for _, p := range r.Pieces {
			if _, known := stock[p.Material]; !known {
				materials = append(materials, p.Material)
				stock[p.Material] = r.Sheet.Plan.Stock(p.Material)
			}
			pieces[p.Material] = append(pieces[p.Material], p)
		}
	}
	lay := Lay(effort)
	var layouts []eval.Layout
	var errs []error
	for _, m := range materials {
		l, err := lay(stock[m], pieces[m])
		if err != nil {
			errs = append(errs, err)
			continue
		}
		layouts = append(layouts, l)
	}
	return layouts, errors.Join(errs...)
}

// grid turns lengths in inches into whole steps of 1/per in.
type grid struct{ per int64 }

// coarsest is the grid where the measures have no common one that is fine enough.
const coarsest = 1024

// gridFor finds the common grid of the measures, so that laying them out is exact; where there is none they are laid a little large.
func gridFor(measures []quantity.Number) grid {
	fractions := make([]layout.Fraction, 0, len(measures))
	for _, m := range measures {
		num, den, ok := small(m)
		if !ok {
			return grid{coarsest}
		}
		fractions = append(fractions, layout.Fraction{Num: num, Den: den})
	}
	per, _, err := layout.Scale(fractions...)
	if err != nil {
		return grid{coarsest}
	}
	return grid{per}
}

func small(n quantity.Number) (num, den int64, ok bool) {
	r := n.Rat()
	return r.Num().Int64(), r.Denom().Int64(), n.Exact() && r.Num().IsInt64() && r.Denom().IsInt64()
}

// up gives a piece's measure in steps, rounded up; down a material's, rounded down.
func (g grid) up(n quantity.Number) int64   { return g.steps(n, quantity.Number.RoundUp) }
func (g grid) down(n quantity.Number) int64 { return g.steps(n, quantity.Number.RoundDown) }

func (g grid) steps(n quantity.Number, round func(a, step quantity.Number) (quantity.Number, bool)) int64 {
	whole, ok := round(n.Mul(quantity.Int(g.per)), quantity.Int(1))
	if !ok {
		return 0
	}
	steps, _ := whole.Int64()
	return steps
}

func (g grid) inches(steps int64) quantity.Number { return quantity.Frac(steps, g.per) }

func (g grid) point(p *eval.Point) *layout.Point {
	if p == nil {
		return nil
	}
	return &layout.Point{X: g.up(p.X), Y: g.up(p.Y)}
}

// sizesOf lists every measure that the grid must hold.
func sizesOf(pieces []eval.Piece, more ...quantity.Number) []quantity.Number {
	all := more
	for _, p := range pieces {
		all = append(all, p.Wide, p.Deep)
		if p.Match != nil {
			all = append(all, p.Match.X, p.Match.Y)
		}
		if p.Join != nil {
			all = append(all, *p.Join)
		}
	}
	return all
}

func measureOf(s eval.Stock, field string) quantity.Number {
	n, _ := s.Measure(field)
	return n
}

func layRoll(ctx context.Context, s eval.Stock, pieces []eval.Piece, effort layout.Effort) (eval.Layout, error) {
	wide, along, across := measureOf(s, "usable"), measureOf(s, "repeat_along"), measureOf(s, "repeat_across")
	half := along.Mul(quantity.Frac(1, 2))
	g := gridFor(sizesOf(pieces, wide, along, across, half))
	roll := layout.Roll{Name: s.Material.Name, Wide: g.down(wide)}
	roll.Repeat = layout.Repeat{Along: g.up(along), Across: g.up(across), HalfDrop: s.Yes("half_drop")}
	var cut []layout.Piece
	for _, p := range pieces {
		cut = append(cut, rollPiece(g, s, p))
	}
	result, err := layout.LayRoll(ctx, roll, cut, effort)
	if err != nil {
		return eval.Layout{}, fmt.Errorf("%s: %w", s.Material.Name, err)
	}
	out := eval.Layout{Used: g.inches(result.Used), Bound: g.inches(result.Bound)}
	return finish(out, g, s, wide, result)
}

// rollPiece turns a piece so that the dimension that runs along the roll is its depth. Nap forbids turning, whatever the piece allows (common practice, no source).
func rollPiece(g grid, s eval.Stock, p eval.Piece) layout.Piece {
	cut := layout.Piece{Name: p.Name, Order: p.Order, Wide: g.up(p.Wide), Deep: g.up(p.Deep), Count: int(p.Count)}
	cut.Match = g.point(p.Match)
	if p.Up == "wide" {
		cut.Wide, cut.Deep = cut.Deep, cut.Wide
		if cut.Match != nil {
			cut.Match.X, cut.Match.Y = cut.Match.Y, cut.Match.X
		}
	}
	cut.Turn = (p.Turn || s.Yes("railroads")) && !s.Yes("nap")
	cut.EndForEnd = !s.Yes("nap")
	if p.Join != nil {
		cut.Join = layout.Join{How: layout.JoinCentred, Seam: g.up(*p.Join)}
	}
	return cut
}

func laySheets(ctx context.Context, s eval.Stock, pieces []eval.Piece, effort layout.Effort) (eval.Layout, error) {
	wide, deep, kerf := measureOf(s, "wide"), measureOf(s, "deep"), measureOf(s, "kerf")
	g := gridFor(sizesOf(pieces, wide, deep, kerf))
	var cut []layout.Piece
	for _, p := range pieces {
		cut = append(cut, layout.Piece{Name: p.Name, Order: p.Order, Wide: g.up(p.Wide), Deep: g.up(p.Deep), Count: int(p.Count), Turn: !s.Yes("grain") || p.Turn})
	}
	stock := []layout.SheetStock{{Name: s.Material.Name, Wide: g.down(wide), Deep: g.down(deep), Price: 1}}
	result, err := layout.LaySheets(ctx, stock, layout.SheetRule{Kerf: g.up(kerf), Guillotine: true}, cut, effort)
	if err != nil {
		return eval.Layout{}, fmt.Errorf("%s: %w", s.Material.Name, err)
	}
	out := eval.Layout{Used: quantity.Int(result.Cost), Bound: quantity.Int(result.CostBound)}
	return finish(out, g, s, wide, result)
}

func laySticks(ctx context.Context, s eval.Stock, pieces []eval.Piece, effort layout.Effort) (eval.Layout, error) {
	long, kerf := measureOf(s, "long"), measureOf(s, "kerf")
	g := gridFor(sizesOf(pieces, long, kerf))
	var cut []layout.StickPiece
	for _, p := range pieces {
		cut = append(cut, layout.StickPiece{Name: p.Name, Order: p.Order, Long: g.up(p.Wide), Count: int(p.Count)})
	}
	stock := []layout.StickStock{{Name: s.Material.Name, Long: g.down(long), Price: 1}}
	result, err := layout.LaySticks(ctx, stock, layout.StickRule{Kerf: g.up(kerf)}, cut, effort)
	if err != nil {
		return eval.Layout{}, fmt.Errorf("%s: %w", s.Material.Name, err)
	}
	out := eval.Layout{Used: quantity.Int(result.Cost), Bound: quantity.Int(result.CostBound)}
	return finish(out, g, s, long, result)
}

// finish fills in what every form has: where each copy lies, and the share of what is used that no piece covers.
func finish(out eval.Layout, g grid, s eval.Stock, wide quantity.Number, result layout.Result) (eval.Layout, error) {
	if err := unplaced(s, result.Unplaced); err != nil {
		return eval.Layout{}, err
	}
	out.Material, out.Form, out.Wide, out.Laid, out.Proved = s.Material, s.Material.Kind.Form, wide, true, result.Proved
	total := int64(0)
	for _, sheet := range result.Sheets {
		total += sheet.Wide * max(sheet.Deep, 1)
	}
	if out.Form == check.Roll {
		total = result.Wide * result.Used
	}
	if total > 0 {
		out.Waste = quantity.Frac(result.Waste, total)
	}
	for _, p := range result.Placed {
		out.Placed = append(out.Placed, placed(g, out.Form, p))
	}
	return out, nil
}

func placed(g grid, form check.Form, p layout.Placed) eval.Placed {
	lies := eval.Placed{Piece: p.Piece, Order: p.Order, Copy: p.Copy, Panel: p.Panel, Sheet: p.Sheet + 1, Turned: p.Turned,
		X: g.inches(p.X), Y: g.inches(p.Y), Wide: g.inches(p.Wide), Deep: g.inches(p.Deep)}
	if form == check.Roll {
		lies.Sheet = 0
	}
	return lies
}

// unplaced says which pieces cannot be laid, and what would let them.
func unplaced(s eval.Stock, all []layout.Unplaced) error {
	var errs []error
	for _, u := range all {
		errs = append(errs, fmt.Errorf("%s cannot be cut from %s: %s: %s", u.Piece, s.Material.Name, u.Reason, u.Help))
	}
	return errors.Join(errs...)
}
