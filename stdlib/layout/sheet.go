package layout

import (
	"context"
	"errors"
	"fmt"
	"slices"
)

// LaySheets lays pieces on sheets at the least cost (area where nothing is
// priced). A piece with Turn false keeps to the grain, which runs along Deep.
// Guillotine layouts of many pieces need at most three stages, whatever more is
// allowed. Pieces that cannot be laid are in Result.Unplaced. It reports
// ErrMaterial and ErrTooLarge.
func LaySheets(ctx context.Context, stocks []SheetStock, rule SheetRule, pieces []Piece, effort Effort) (Result, error) {
	if err := errors.Join(checkSheets(stocks, rule), checkCopies(pieces, Piece.copies)); err != nil {
		return Result{}, fmt.Errorf("sheets: %w", err)
	}
	j := &sheetJob{stocks: stocks, rule: rule, pieces: pieces, clock: newClock(ctx, effort)}
	j.result = Result{Form: FormSheet}
	j.gather()
	if j.board.total > 0 {
		best, bound, why := j.board.solve(j.clock)
		j.result.BoundRests = why
		j.assemble(best)
		j.total(nextTotal(j.board.costs(), bound))
	}
	j.finish()
	return j.result, ctx.Err()
}

func checkSheets(stocks []SheetStock, rule SheetRule) error {
	if len(stocks) == 0 || len(stocks) > MaxStocks {
		return fmt.Errorf("%d stocks, not 1 to %d: %w", len(stocks), MaxStocks, ErrMaterial)
	}
	err := checkMeasure("kerf", rule.Kerf, 0)
	if rule.Stages < 0 {
		err = errors.Join(err, fmt.Errorf("%d cutting stages: %w", rule.Stages, ErrMaterial))
	}
	for i, s := range stocks {
		err = errors.Join(err, checkMeasure(fmt.Sprintf("stock %d width", i+1), s.Wide, 1),
			checkMeasure(fmt.Sprintf("stock %d length", i+1), s.Deep, 1), checkPrice(i, s.Price, s.Limit))
	}
	return err
}

// sheetJob is one call of LaySheets under way.
type sheetJob struct {
	stocks []SheetStock
	rule   SheetRule
	pieces []Piece
	board  board
	clock  *clock
	result Result
}

// board is the problem with kerf added on the far sides.
type board struct {
	stocks []boardStock
	kinds  []kind
	total  int
	area   int64
	stages int // of rows laid by a beam, 1 to 3
	most   int // stages allowed, 0 for any number
	free   bool
}

type boardStock struct {
	wide, deep, cost int64
	limit            int
}

func (j *sheetJob) priced() bool {
	return slices.ContainsFunc(j.stocks, func(s SheetStock) bool { return s.Price > 0 })
}

func (j *sheetJob) gather() {
	j.board.free = !j.rule.Guillotine
	j.board.stages, j.board.most = 3, j.rule.Stages
	if j.rule.Guillotine && j.rule.Stages > 0 {
		j.board.stages = min(3, j.rule.Stages)
	}
	for _, s := range j.stocks {
		cost := s.Wide * s.Deep
		if j.priced() {
			cost = s.Price
		}
		j.board.stocks = append(j.board.stocks, boardStock{s.Wide + j.rule.Kerf, s.Deep + j.rule.Kerf, cost, supply(s.Limit)})
	}
	set := kindSet{}
	for i, p := range j.pieces {
		if reason, help := j.problem(p); reason != "" {
			j.refuse(i, p.Count, reason, help)
			continue
		}
		for c := range p.Count {
			set.add(optionsOf(p, j.rule.Kerf, false), copyRef{i, c + 1, 0})
		}
	}
	j.board.kinds = set.kinds
	for _, k := range set.kinds {
		j.board.total += len(k.copies)
		j.board.area += k.area * int64(len(k.copies))
	}
}

// supply is the most of a stock that can be had; no limit is one over all copies.
func supply(limit int) int {
	if limit == 0 {
		return MaxCopies + 1
	}
	return limit
}

func (j *sheetJob) refuse(item, count int, reason, help string) {
	p := j.pieces[item]
	j.result.Unplaced = append(j.result.Unplaced, Unplaced{Piece: p.Name, Order: p.Order, Item: item, Count: count, Reason: reason, Help: help})
}

// problem says why a piece fits no sheet and what would help.
func (j *sheetJob) problem(p Piece) (reason, help string) {
	if reason, help = badPiece(p.Wide, p.Deep, p.Count); reason != "" {
		return reason, help
	}
	fits := func(w, d int64) bool {
		return slices.ContainsFunc(j.stocks, func(s SheetStock) bool { return w <= s.Wide && d <= s.Deep })
	}
	switch {
	case fits(p.Wide, p.Deep), p.Turn && fits(p.Deep, p.Wide):
		return "", ""
	case fits(p.Deep, p.Wide):
		return "it is larger than every sheet along the grain", "let it be turned across the grain, or use a larger sheet"
	}
	return "it is larger than every sheet", "use a larger sheet, or make it up from parts"
}

// sheetSpot is a copy on a numbered sheet.
type sheetSpot struct {
	spot
	sheet int
}

// sheetPlan is a set of sheets, by stock, and the copies on them.
type sheetPlan struct {
	sheets []int
	spots  []sheetSpot
	cost   int64
}

func (a sheetPlan) better(b sheetPlan) bool {
	if len(a.spots) != len(b.spots) {
		return len(a.spots) > len(b.spots)
	}
	return a.cost < b.cost
}

func (j *sheetJob) assemble(p sheetPlan) {
	for _, s := range p.sheets {
		st := j.stocks[s]
		j.result.Sheets = append(j.result.Sheets, Sheet{Name: st.Name, Stock: s, Wide: st.Wide, Deep: st.Deep, Price: st.Price})
	}
	next := make([]int, len(j.board.kinds))
	for _, sp := range p.spots {
		k := &j.board.kinds[sp.kind]
		ref, o := k.copies[next[sp.kind]], k.options[sp.option]
		next[sp.kind]++
		q := j.pieces[ref.item]
		j.result.Placed = append(j.result.Placed, Placed{
			Piece: q.Name, Order: q.Order, Item: ref.item, Copy: ref.copy, Sheet: sp.sheet,
			X: sp.x, Y: sp.y, Wide: o.wide - j.rule.Kerf, Deep: o.deep - j.rule.Kerf, Turned: o.turned,
		})
	}
	for k := range j.board.kinds {
		for _, ref := range j.board.kinds[k].copies[next[k]:] {
			j.refuse(ref.item, 1, "there are not enough sheets", "allow more sheets")
		}
	}
}

// total adds up areas and costs and says whether the bound is met.
func (j *sheetJob) total(bound int64) {
	r := &j.result
	area := int64(0)
	for _, s := range r.Sheets {
		r.Used += s.Wide * s.Deep
		r.Cost += s.Price
	}
	for _, p := range r.Placed {
		area += p.Wide * p.Deep
	}
	r.Waste = r.Used - area
	if j.priced() {
		r.CostBound, r.Bound = min(bound, r.Cost), area
		r.Proved = r.Cost == r.CostBound && len(r.Unplaced) == 0
		if r.Proved && len(j.stocks) == 1 {
			r.Bound = r.Used
		}
		return
	}
	r.Bound = min(bound, r.Used)
	r.Proved = r.Used == r.Bound && len(r.Unplaced) == 0
}

func (j *sheetJob) finish() {
	r := &j.result
	r.gatherUnplaced()
	r.sortPlaced()
	r.nameOffcuts(j.rule.Kerf, j.rule.LeastOffcut, nil)
	if len(r.Placed) == 0 {
		r.Proved = len(r.Unplaced) == 0
	}
	r.Work = j.clock.work
}
