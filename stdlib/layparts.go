package stdlib

import (
	"squab/eval/quantity"
	"squab/stdlib/layout"
)

// rollGoods gives the roll and the pieces in steps.
func (j *LayJob) rollGoods(g grid) (layout.Roll, []layout.Piece) {
	r := j.Roll
	rep := r.Repeat
	roll := layout.Roll{Name: j.Material.Name, Wide: g.down(r.Wide), Long: g.down(r.Long), Gap: g.up(r.Gap), LeastOffcut: g.extent(j.Rule.Least)}
	roll.Repeat = layout.Repeat{Along: g.up(rep.Along), Across: g.up(rep.Across), HalfDrop: rep.HalfDrop, First: *g.point(&rep.First)}
	if rep.HalfDrop {
		roll.Repeat.Along = 2 * g.up(rep.Along.Mul(quantity.Frac(1, 2)))
	}
	for _, f := range r.Flaws {
		roll.Flaws = append(roll.Flaws, layout.Rect{X: g.down(f.X), Y: g.down(f.Y), Wide: g.up(f.Wide), Deep: g.up(f.Deep)})
	}
	for _, m := range r.Remnants {
		roll.Remnants = append(roll.Remnants, layout.Remnant{Wide: g.down(m.Wide), Deep: g.down(m.Deep), First: roll.Repeat.First})
	}
	for _, b := range j.Bias {
		roll.Bias = append(roll.Bias, layout.Bias{Name: b.Name, Order: b.Order, Wide: g.up(b.Wide), Long: g.up(b.Long), Seam: g.up(b.Seam)})
	}
	return roll, j.flat(g)
}

func (j *LayJob) flat(g grid) []layout.Piece {
	all := make([]layout.Piece, len(j.Pieces))
	for i, p := range j.Pieces {
		all[i] = layout.Piece{Name: p.Name, Order: p.Order, Wide: g.up(p.Wide), Deep: g.up(p.Deep), Count: p.Count,
			Turn: p.Turn, EndForEnd: p.EndForEnd, Match: g.point(p.Match), Join: p.join(g)}
	}
	return all
}

func (p Cut) join(g grid) layout.Join {
	switch {
	case p.Join == nil:
		return layout.Join{}
	case p.SideBySide:
		return layout.Join{How: layout.JoinSideBySide, Seam: g.up(*p.Join)}
	}
	return layout.Join{How: layout.JoinCentred, Seam: g.up(*p.Join)}
}

// long gives a stick's pieces in steps. A mitre is rounded down, as it is length that neighbours may share.
func (j *LayJob) long(g grid) []layout.StickPiece {
	all := make([]layout.StickPiece, len(j.Pieces))
	for i, p := range j.Pieces {
		all[i] = layout.StickPiece{Name: p.Name, Order: p.Order, Long: g.up(p.Wide), Count: p.Count, Mitre: g.down(p.Mitre)}
	}
	return all
}

func (j *LayJob) sheetRule(g grid) layout.SheetRule {
	return layout.SheetRule{Kerf: g.up(j.Rule.Kerf), Guillotine: j.Rule.Guillotine, Stages: j.Rule.Stages, LeastOffcut: g.extent(j.Rule.Least)}
}

func (j *LayJob) stickRule(g grid) layout.StickRule {
	return layout.StickRule{Kerf: g.up(j.Rule.Kerf), Nest: j.Rule.Nest, Join: j.Rule.Join, JoinSeam: g.up(j.Rule.JoinSeam), LeastOffcut: g.up(j.Rule.Least.Wide)}
}

func (j *LayJob) sheets(g grid) []layout.SheetStock {
	coins, _ := j.coins()
	all := make([]layout.SheetStock, len(j.Sizes))
	for i, s := range j.Sizes {
		all[i] = layout.SheetStock{Name: s.Name, Wide: g.down(s.Wide), Deep: g.down(s.Deep), Price: coins[i], Limit: s.Limit}
	}
	return all
}

func (j *LayJob) sticks(g grid) []layout.StickStock {
	coins, _ := j.coins()
	all := make([]layout.StickStock, len(j.Sizes))
	for i, s := range j.Sizes {
		all[i] = layout.StickStock{Name: s.Name, Long: g.down(s.Wide), Price: coins[i], Limit: s.Limit}
	}
	return all
}

// cent is the coin of prices that have no coin in common.
const cent = 100

// coins gives each size's price in whole coins, per of them to a unit of money. A single size costs one, so that what is kept least is how many
// are cut; where no size has a price all are zero, and the material is kept least.
func (j *LayJob) coins() (coins []int64, per int64) {
	coins = make([]int64, len(j.Sizes))
	if len(j.Sizes) == 1 {
		coins[0] = 1
		return coins, 1
	}
	fractions := make([]layout.Fraction, len(j.Sizes))
	for i, s := range j.Sizes {
		r := s.Price.Rat()
		if !s.Price.Exact() || !r.Num().IsInt64() || !r.Denom().IsInt64() {
			return j.cents()
		}
		fractions[i] = layout.Fraction{Num: r.Num().Int64(), Den: r.Denom().Int64()}
	}
	per, coins, err := layout.Scale(fractions...)
	if err != nil {
		return j.cents()
	}
	return coins, per
}

// cents rounds prices up to the cent.
func (j *LayJob) cents() ([]int64, int64) {
	coins := make([]int64, len(j.Sizes))
	for i, s := range j.Sizes {
		whole, _ := nearly(s.Price, s.Price.Within()).Mul(quantity.Int(cent)).RoundUp(quantity.Int(1)) // exact, so it is decided
		coins[i], _ = whole.Int64()
	}
	return coins, cent
}
