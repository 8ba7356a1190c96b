package layout

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
)

// LaySticks cuts lengths from sticks at the least cost (length where nothing is
// priced), then with few set-ups. With StickRule.Join the stocks are reels and a
// piece may run on from one to the next. Pieces that cannot be cut are in
// Result.Unplaced. It reports ErrMaterial and ErrTooLarge.
//
// Where StickRule.Nest is set, pieces mitred alike lie next to one another on a
// stick, every second one turned over, so that each neighbour saves the mitre.
func LaySticks(ctx context.Context, stocks []StickStock, rule StickRule, pieces []StickPiece, effort Effort) (Result, error) {
	if err := errors.Join(checkSticks(stocks, rule), checkCopies(pieces, StickPiece.copies)); err != nil {
		return Result{}, fmt.Errorf("sticks: %w", err)
	}
	j := &stickJob{stocks: stocks, rule: rule, pieces: pieces, clock: newClock(ctx, effort)}
	j.result = Result{Form: FormStick}
	j.gather()
	if rule.Join {
		j.reel()
	} else if len(j.c.kinds) > 0 {
		best, bound := j.c.solve(j.clock)
		j.assemble(best, nextTotal(j.c.costs, bound))
	}
	j.finish()
	return j.result, ctx.Err()
}

func (p StickPiece) copies() int { return p.Count }

func checkSticks(stocks []StickStock, rule StickRule) error {
	if len(stocks) == 0 || len(stocks) > MaxStocks {
		return fmt.Errorf("%d stocks, not 1 to %d: %w", len(stocks), MaxStocks, ErrMaterial)
	}
	err := errors.Join(checkMeasure("kerf", rule.Kerf, 0), checkMeasure("join seam", rule.JoinSeam, 0))
	for i, s := range stocks {
		err = errors.Join(err, checkMeasure(fmt.Sprintf("stock %d length", i+1), s.Long, 1), checkPrice(i, s.Price, s.Limit))
		if rule.Join && rule.JoinSeam >= s.Long {
			err = errors.Join(err, fmt.Errorf("stock %d is no longer than a join: %w", i+1, ErrMaterial))
		}
	}
	return err
}

func checkPrice(i int, price int64, limit int) error {
	if price < 0 || limit < 0 {
		return fmt.Errorf("stock %d has a price or a limit less than zero: %w", i+1, ErrMaterial)
	}
	if price > MaxPrice {
		return fmt.Errorf("stock %d: the price is over %d: %w", i+1, int64(MaxPrice), ErrTooLarge)
	}
	return nil
}

// stickJob is one call of LaySticks under way.
type stickJob struct {
	stocks []StickStock
	rule   StickRule
	pieces []StickPiece
	c      cutting
	clock  *clock
	result Result
}

func (j *stickJob) priced() bool {
	return slices.ContainsFunc(j.stocks, func(s StickStock) bool { return s.Price > 0 })
}

func (j *stickJob) gather() {
	for _, s := range j.stocks {
		cost := s.Long
		if j.priced() {
			cost = s.Price
		}
		j.c.holds = append(j.c.holds, s.Long+j.rule.Kerf)
		j.c.costs = append(j.c.costs, cost)
		j.c.limits = append(j.c.limits, supply(s.Limit))
	}
	j.c.setup = []int64{0}
	longest := slices.MaxFunc(j.stocks, func(a, b StickStock) int { return cmp.Compare(a.Long, b.Long) }).Long
	for i, p := range j.pieces {
		j.gatherPiece(i, p, longest)
	}
	slices.SortStableFunc(j.c.kinds, func(a, b stickKind) int { return cmp.Compare(b.take, a.take) })
}

func (j *stickJob) gatherPiece(i int, p StickPiece, longest int64) {
	reason, help := badPiece(p.Long, 1, p.Count)
	switch {
	case reason != "":
	case p.Mitre < 0 || 2*p.Mitre > p.Long:
		reason, help = "its mitre is less than zero or over half its length", "give how much shorter the short side is at one end"
	case p.Long > longest && !j.rule.Join:
		reason, help = "it is longer than every stick", "use a longer stick, or let it be joined"
	}
	if reason != "" {
		j.refuse(i, p.Count, reason, help)
		return
	}
	k := j.kindOf(p)
	for c := range p.Count {
		k.refs = append(k.refs, copyRef{i, c + 1, 0})
		k.count++
	}
}

func (j *stickJob) refuse(item, count int, reason, help string) {
	p := j.pieces[item]
	j.result.Unplaced = append(j.result.Unplaced, Unplaced{Piece: p.Name, Order: p.Order, Item: item, Count: count, Reason: reason, Help: help})
}

// nests is true where a piece shares its slanted cuts with others mitred alike.
func (j *stickJob) nests(p StickPiece) bool { return j.rule.Nest && p.Mitre > 0 && !j.rule.Join }

// kindOf is the kind of a piece. A nested mitre takes a class whose set-up is the
// mitre, since only the first of a run takes its whole length.
func (j *stickJob) kindOf(p StickPiece) *stickKind {
	take, class := p.Long+j.rule.Kerf, 0
	if j.nests(p) {
		take -= p.Mitre
		class = slices.Index(j.c.setup, p.Mitre)
		if class < 0 {
			class = len(j.c.setup)
			j.c.setup = append(j.c.setup, p.Mitre)
		}
	}
	for i := range j.c.kinds {
		if j.c.kinds[i].take == take && j.c.kinds[i].class == class {
			return &j.c.kinds[i]
		}
	}
	j.c.kinds = append(j.c.kinds, stickKind{take: take, class: class})
	return &j.c.kinds[len(j.c.kinds)-1]
}

func (j *stickJob) assemble(best cuts, bound int64) {
	next := j.cutSticks(best.uses)
	for k := range j.c.kinds {
		for _, ref := range j.c.kinds[k].refs[next[k]:] {
			j.refuse(ref.item, 1, "there are not enough sticks", "allow more sticks")
		}
	}
	j.result.SetUps = len(best.uses)
	j.total(bound, best.uncut == 0 && best.cost <= bound)
	j.result.BoundRests = "prices of pieces that no way of cutting a stick can beat"
}

// cutSticks cuts every pattern as often as it is used, and gives how many copies of
// each kind are cut.
func (j *stickJob) cutSticks(uses []use) []int {
	next := make([]int, len(j.c.kinds))
	for _, u := range uses {
		for range u.times {
			j.cutStick(u.pattern, next)
		}
	}
	return next
}

// cutStick lays a pattern along a new stick, class by class.
func (j *stickJob) cutStick(p pattern, next []int) {
	s := j.stocks[p.stock]
	sheet := len(j.result.Sheets)
	j.result.Sheets = append(j.result.Sheets, Sheet{Name: s.Name, Stock: p.stock, Wide: s.Long, Price: s.Price})
	entries := slices.Clone(p.entries)
	slices.SortStableFunc(entries, func(a, b entry) int { return j.c.kinds[a.kind].class - j.c.kinds[b.kind].class })
	x, class, turned := int64(0), -1, false
	for _, e := range entries {
		kind := &j.c.kinds[e.kind]
		for range e.count {
			ref := kind.refs[next[e.kind]]
			next[e.kind]++
			if nested := kind.class > 0 && kind.class == class; nested {
				x -= j.c.setup[class]
				turned = !turned
			} else {
				turned = false
			}
			class = kind.class
			j.putPiece(ref, sheet, x, turned)
			x += j.pieces[ref.item].Long + j.rule.Kerf
		}
	}
}

func (j *stickJob) putPiece(ref copyRef, sheet int, x int64, turned bool) {
	p := j.pieces[ref.item]
	j.result.Placed = append(j.result.Placed, Placed{
		Piece: p.Name, Order: p.Order, Item: ref.item, Copy: ref.copy, Sheet: sheet, X: x, Wide: p.Long, Turned: turned, Mitre: p.Mitre,
	})
}

// total adds up the sticks used. The proven cost is a length where nothing is priced.
func (j *stickJob) total(bound int64, proved bool) {
	r := &j.result
	for _, s := range r.Sheets {
		r.Used += s.Wide
		r.Cost += s.Price
	}
	r.Proved = proved
	if !j.priced() {
		r.Bound = min(bound, r.Used)
		return
	}
	r.CostBound, r.Bound = min(bound, r.Cost), j.leastLength()
	if r.Proved && len(j.stocks) == 1 {
		r.Bound = r.Used
	}
}

// leastLength is what the pieces take up on no matter how many sticks: a shared cut
// is counted once, but for one piece of each mitre.
func (j *stickJob) leastLength() int64 {
	long, met := int64(0), map[int64]bool{}
	for _, placed := range j.result.Placed {
		p := j.pieces[placed.Item]
		if placed.Part > 0 {
			continue
		}
		long += p.Long
		if j.nests(p) && met[p.Mitre] {
			long -= p.Mitre
		}
		met[p.Mitre] = true
	}
	return long
}

func (j *stickJob) finish() {
	r := &j.result
	r.gatherUnplaced()
	r.Waste = r.Used
	for _, p := range r.Placed {
		r.Waste -= p.Wide
		if p.Part == 0 {
			r.Waste += j.pieces[p.Item].Mitre
		}
	}
	r.Proved = (r.Proved || len(r.Placed) == 0) && len(r.Unplaced) == 0
	j.nameEnds()
	r.Work = j.clock.work
}

// nameEnds names the rest of each stick.
func (j *stickJob) nameEnds() {
	r := &j.result
	ends := make([]int64, len(r.Sheets))
	for _, p := range r.Placed {
		ends[p.Sheet] = max(ends[p.Sheet], p.X+p.Wide+j.rule.Kerf)
	}
	for i, s := range r.Sheets {
		if rest := s.Wide - ends[i]; rest >= max(1, j.rule.LeastOffcut) {
			r.Offcuts = append(r.Offcuts, Offcut{Name: fmt.Sprintf("offcut %d", len(r.Offcuts)+1), Sheet: i, Rect: Rect{X: ends[i], Wide: rest}})
		}
	}
}
