package stdlib

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/stdlib/layout"
	"squab/stdlib/layout/verify"
)

// LayJob is pieces and the one material that they are cut from, in exact inches. The zero value lays nothing.
type LayJob struct {
	Material *check.Material // what the layout is of
	Form     check.Form
	Roll     Roll
	Sizes    []Size // of sheet or stick, one at least
	Rule     CutRule
	Pieces   []Cut
	Bias     []Bias
	// Exact refuses measures that have no fine grid in common. Where it is false they are laid a little large, never small.
	Exact bool
}

// Extent is a width and a depth. A zero one is no limit.
type Extent struct{ Wide, Deep quantity.Number }

// Roll is roll goods. Wide is what can be used of the width, Long what there is of it; zero for as much as is wanted.
type Roll struct {
	Wide, Long, Gap quantity.Number
	Repeat          eval.Repeat
	Flaws           []eval.Area
	Remnants        []Extent
}

// Size is a sheet or stick on sale; Deep is zero for a stick. No size need have a price. Limit 0 is as many as are wanted.
type Size struct {
	Name       string
	Material   *check.Material
	Wide, Deep quantity.Number
	Price      quantity.Number
	Limit      int
}

// CutRule says how material is cut. Stages 0 is any number.
type CutRule struct {
	Kerf, JoinSeam quantity.Number
	Guillotine     bool
	Stages         int
	Nest, Join     bool
	Least          Extent // of an offcut worth its name
}

// Cut is a piece to be cut Count times; Wide is the length of a stick's. Join, where it is given, is the seam of its panels.
type Cut struct {
	Name, Order     string
	Wide, Deep      quantity.Number
	Count           int
	Turn, EndForEnd bool
	Match           *eval.Point
	Join            *quantity.Number
	SideBySide      bool
	Mitre           quantity.Number
}

// Bias is a need of strip cut at 45 degrees, joined with a seam on each end.
type Bias struct {
	Name, Order      string
	Wide, Long, Seam quantity.Number
}

// Laid is what came of a LayJob.
type Laid struct {
	eval.Layout
	Unplaced []layout.Unplaced

	result layout.Result
	grid   grid
	verify func() []error
}

// Check reports a material that its own measures forbid.
func (j *LayJob) Check() error {
	r := j.Roll
	switch {
	case j.Form == check.Roll && !less(quantity.Number{}, r.Wide):
		return errors.New("no width of it can be used")
	case r.Repeat.HalfDrop && (isZero(r.Repeat.Along) || isZero(r.Repeat.Across)):
		return errors.New("a half drop needs the repeat both along and across")
	case j.Form == check.Roll && less(r.Wide, r.Repeat.Across):
		return errors.New("the repeat across is wider than the cloth: leave it out, or use wider cloth")
	case slices.ContainsFunc(j.Sizes, func(s Size) bool { return less(quantity.Int(mostSteps), s.Price) }):
		return errors.New("its price is too large to compare")
	case j.Rule.Stages > 0 && !j.Rule.Guillotine:
		return errors.New("stages count cuts from edge to edge: they need guillotine too")
	}
	return nil
}

func isZero(n quantity.Number) bool {
	sign, _ := n.Sign()
	return sign == 0
}

func less(a, b quantity.Number) bool {
	order, _ := a.Cmp(b)
	return order < 0
}

// Lay lays the job's pieces out. The error says that the measures or the material make no sense; pieces that cannot be laid are no error.
func (j *LayJob) Lay(ctx context.Context, effort layout.Effort) (Laid, error) {
	if err := j.Check(); err != nil {
		return Laid{}, err
	}
	g, err := j.gridFor()
	if err != nil {
		return Laid{}, err
	}
	l := Laid{grid: g}
	switch j.Form {
	case check.Roll:
		roll, pieces := j.rollGoods(g)
		l.result, err = layout.LayRoll(ctx, roll, pieces, effort)
		l.verify = func() []error { return verify.Roll(roll, pieces, l.result) }
	case check.Sheet:
		stocks, rule, pieces := j.sheets(g), j.sheetRule(g), j.flat(g)
		l.result, err = layout.LaySheets(ctx, stocks, rule, pieces, effort)
		l.verify = func() []error { return verify.Sheets(stocks, rule, pieces, l.result) }
	case check.Stick:
		stocks, rule, pieces := j.sticks(g), j.stickRule(g), j.long(g)
		l.result, err = layout.LaySticks(ctx, stocks, rule, pieces, effort)
		l.verify = func() []error { return verify.Sticks(stocks, rule, pieces, l.result) }
	default:
		return Laid{}, fmt.Errorf("pieces cannot be cut from a %s", j.Form)
	}
	if err != nil {
		return Laid{}, err
	}
	l.Unplaced = l.result.Unplaced
	l.Layout = j.layout(g, l.result)
	return l, nil
}

// Verify checks the layout again with code that shares none with what made it: inside the material, no overlap, kerf, turning, repeat, every
// copy once, cuts from edge to edge, and what it takes and costs added up anew. It gives what is wrong; nothing where all is well.
func (l *Laid) Verify() []error {
	errs := l.verify()
	if len(errs) > 0 {
		errs = append(errs, fmt.Errorf("lengths are told in steps of 1/%d in", l.grid.per))
	}
	return errs
}

// Sketch draws the layout in text, so many columns wide; show writes a length.
func (l *Laid) Sketch(show func(quantity.Number) string, columns int) string {
	return l.result.Sketch(func(steps int64) string { return show(l.grid.inches(steps)) }, columns)
}

// SVG draws the layout to scale; show writes a length.
func (l *Laid) SVG(show func(quantity.Number) string) string {
	return l.result.SVG(func(steps int64) string { return show(l.grid.inches(steps)) })
}

// grid turns lengths in inches into whole steps of 1/per in. While per is 0 it only gathers them.
type grid struct {
	per  int64
	seen *[]quantity.Number
}

// coarsest is the grid where the measures have no common one that is fine enough.
const coarsest = 1024

// gridFor finds the steps in which every measure of the job is whole, so that laying them out is exact.
func (j *LayJob) gridFor() (grid, error) {
	var seen []quantity.Number
	gather := grid{seen: &seen}
	switch j.Form {
	case check.Roll:
		j.rollGoods(gather)
	case check.Sheet:
		j.sheets(gather)
		j.sheetRule(gather)
		j.flat(gather)
	case check.Stick:
		j.sticks(gather)
		j.stickRule(gather)
		j.long(gather)
	}
	per, err := commonStep(seen)
	if err != nil && !j.Exact {
		per, err = coarsest, nil
	}
	for _, m := range seen {
		if far := quantity.Frac(mostSteps, max(per, 1)); less(far, m) {
			return grid{}, fmt.Errorf("a length of %s in is too long to lay out", m)
		}
	}
	return grid{per: per}, err
}

// mostSteps is how many steps of the grid a length may be: a thousand miles of the finest.
const mostSteps = 1 << 40

func commonStep(measures []quantity.Number) (int64, error) {
	fractions := make([]layout.Fraction, 0, len(measures))
	for _, m := range measures {
		r := m.Rat()
		if !m.Exact() || !r.Num().IsInt64() || !r.Denom().IsInt64() {
			return 0, fmt.Errorf("the length %s is too fine to lay out", m)
		}
		fractions = append(fractions, layout.Fraction{Num: r.Num().Int64(), Den: r.Denom().Int64()})
	}
	per, _, err := layout.Scale(fractions...)
	if errors.Is(err, layout.ErrTooFine) {
		return 0, fmt.Errorf("the lengths have no step in common that is coarse enough: give them in one unit, or rounded")
	}
	return per, err
}

// up gives a length in steps, rounded up; down rounded down, as what there is of a material must be. A length that is known only so nearly is taken
// for the most, or the least, that it can be.
func (g grid) up(n quantity.Number) int64 {
	return g.steps(n, n.Within(), quantity.Number.RoundUp)
}

func (g grid) down(n quantity.Number) int64 {
	return g.steps(n, n.Within().Neg(), quantity.Number.RoundDown)
}

func (g grid) steps(n, off quantity.Number, round func(a, step quantity.Number) (quantity.Number, bool)) int64 {
	if g.per == 0 {
		*g.seen = append(*g.seen, n)
		return 0
	}
	if !n.Exact() {
		n = nearly(n, off)
	}
	whole, _ := round(n.Mul(quantity.Int(g.per)), quantity.Int(1)) // exact, so it is decided
	steps, _ := whole.Int64()                                      // no more than mostSteps
	return steps
}

// nearly is the exact number that lies so far off the middle of what n can be.
func nearly(n, off quantity.Number) quantity.Number { return quantity.FromRat(n.Rat()).Add(off) }

func (g grid) inches(steps int64) quantity.Number { return quantity.Frac(steps, g.per) }

func (g grid) point(p *eval.Point) *layout.Point {
	if p == nil {
		return nil
	}
	return &layout.Point{X: g.up(p.X), Y: g.up(p.Y)}
}

func (g grid) extent(e Extent) layout.Size {
	return layout.Size{Wide: g.up(e.Wide), Deep: g.up(e.Deep)}
}
