package layout

import "slices"

// reel cuts pieces one after another from reels, running on where one ends. A reel
// holds no more than its length and a kerf, since the last of its pieces needs none,
// and never less than its length without a join. Tried first are the cheapest reels
// that might hold every length, then those that must; where these cost more than is
// proved, or are not to be had, lengths each cut out of one reel may do better.
func (j *stickJob) reel() {
	need := int64(0)
	for i := range j.c.kinds {
		need += j.c.kinds[i].take * int64(j.c.kinds[i].count)
	}
	if need == 0 {
		return
	}
	bound, seam := j.reelBound(need), j.rule.JoinSeam
	held := j.runOn(j.cheapestReels(need, -j.rule.Kerf)) || j.runOn(j.cheapestReels(max(1, need-j.rule.Kerf-seam), seam))
	if (!held || j.opened() > bound) && !j.cutApart(held) && !held {
		j.refuseAll("there are not enough reels", "allow more reels")
		return
	}
	j.result.SetUps = len(j.result.Sheets)
	j.total(bound, j.opened() <= bound)
	j.result.BoundRests = "the lengths together, without joins"
}

// opened is the cost of the reels used.
func (j *stickJob) opened() int64 {
	cost := int64(0)
	for _, s := range j.result.Sheets {
		cost += j.c.costs[s.Stock]
	}
	return cost
}

// cutApart cuts every length out of one reel, where it can and that costs less than
// what is laid, and reports whether it did.
func (j *stickJob) cutApart(laid bool) bool {
	if j.c.kinds[0].take > slices.Max(j.c.holds) {
		return false
	}
	best, _ := j.c.solve(j.clock)
	if best.uncut > 0 || laid && best.cost >= j.opened() {
		return false
	}
	j.result.Sheets, j.result.Placed = nil, nil
	j.cutSticks(best.uses)
	return true
}

// refuseAll refuses every piece that was not refused by itself.
func (j *stickJob) refuseAll(reason, help string) {
	j.result.Sheets, j.result.Placed = nil, nil
	for _, k := range j.c.kinds {
		for _, ref := range k.refs {
			j.refuse(ref.item, 1, reason, help)
		}
	}
}

// maxReelTable limits the table of reels: steps of the common divisor times reels, of
// every stock.
const maxReelTable = 40_000_000

// maxReels is the most reels of one stock.
const maxReels = 60_000

// noReels is a cost no choice of reels comes to.
const noReels = int64(1) << 59

// cheapestReels picks reels that together, each less seam, hold need; none where the
// limits do not allow it.
func (j *stickJob) cheapestReels(need, seam int64) []int {
	if t := j.tableReels(need, seam); t != nil {
		return t.trace()
	}
	return j.densestReels(need, seam)
}

// reelTable is the least cost to hold each number of steps.
type reelTable struct {
	spans  []int64 // what a reel of each stock holds, in steps
	least  []int64
	counts [][]uint16
}

// tableReels tables the needs up to need of reels each less seam; nil where that is
// too long.
func (j *stickJob) tableReels(need, seam int64) *reelTable {
	unit, shortest := int64(0), noWall
	for _, s := range j.stocks {
		unit, shortest = gcd(unit, s.Long-seam), min(shortest, s.Long-seam)
	}
	steps := ceilDiv(need, unit)
	if steps > maxReelTable/(ceilDiv(need, shortest)*int64(len(j.stocks))) {
		return nil
	}
	t := &reelTable{least: slices.Repeat([]int64{noReels}, int(steps+1))}
	t.least[0] = 0
	for s := range j.stocks {
		t.addStock((j.stocks[s].Long-seam)/unit, j.c.costs[s], j.c.limits[s])
	}
	return t
}

// addStock allows up to limit reels of a stock.
func (t *reelTable) addStock(span, cost int64, limit int) {
	counts := make([]uint16, len(t.least))
	before := slices.Clone(t.least)
	for at := 1; at < len(t.least); at++ {
		for n := 1; n <= min(limit, maxReels); n++ {
			from := max(0, at-n*int(span))
			if c := before[from] + int64(n)*cost; c < t.least[at] {
				t.least[at], counts[at] = c, uint16(n)
			}
			if from == 0 {
				break
			}
		}
	}
	t.spans, t.counts = append(t.spans, span), append(t.counts, counts)
}

// cost is the least that all steps cost, noReels where no choice holds them.
func (t *reelTable) cost() int64 { return t.least[len(t.least)-1] }

// trace is a choice of reels that comes to the cost.
func (t *reelTable) trace() []int {
	if t.cost() >= noReels {
		return nil
	}
	var chosen []int
	at := len(t.least) - 1
	for s := len(t.counts) - 1; s >= 0; s-- {
		n := int(t.counts[s][at])
		chosen = append(chosen, slices.Repeat([]int{s}, n)...)
		at = max(0, at-n*int(t.spans[s]))
	}
	return chosen
}

// densestReels is for needs too long to table: the stocks cheapest for their length first.
func (j *stickJob) densestReels(need, seam int64) []int {
	order := make([]int, len(j.stocks))
	for s := range order {
		order[s] = s
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmpProducts(j.c.costs[a], j.stocks[b].Long-seam, j.c.costs[b], j.stocks[a].Long-seam)
	})
	var chosen []int
	for _, s := range order {
		n := min(ceilDiv(need, j.stocks[s].Long-seam), int64(j.c.limits[s]))
		chosen = append(chosen, slices.Repeat([]int{s}, int(n))...)
		need -= n * (j.stocks[s].Long - seam)
	}
	if need > 0 {
		return nil
	}
	return chosen
}

// reelBound is a cost no reels that hold need, a kerf more than their length each, can
// beat; where it is too long to table, the length priced at the stock cheapest for it.
func (j *stickJob) reelBound(need int64) int64 {
	if t := j.tableReels(need, -j.rule.Kerf); t != nil && t.cost() < noReels {
		return t.cost()
	}
	return j.c.provenCost([]int64{1}, []int{int(need)}, j.c.holds)
}

// reelEnd is where the next piece starts.
type reelEnd struct {
	reel int
	x    int64
}

// runOn lays the pieces along the chosen reels, and opens no more of them than it
// needs. It reports whether they hold every piece.
func (j *stickJob) runOn(chosen []int) bool {
	j.result.Sheets, j.result.Placed = nil, nil
	for _, s := range chosen {
		st := j.stocks[s]
		j.result.Sheets = append(j.result.Sheets, Sheet{Name: st.Name, Stock: s, Wide: st.Long, Price: st.Price})
	}
	at := reelEnd{}
	for _, k := range j.c.kinds {
		for _, ref := range k.refs {
			if at = j.runPiece(ref, at); at.reel >= len(chosen) {
				return false
			}
		}
	}
	j.result.Sheets = j.result.Sheets[:at.reel+1]
	return true
}

// runPiece lays one piece, in parts where a reel ends, and gives where it ends, past
// the last reel where they hold no more. A rest of a reel no longer than the join is
// left, as it would gain nothing.
func (j *stickJob) runPiece(ref copyRef, at reelEnd) reelEnd {
	p := j.pieces[ref.item]
	rest, part := p.Long, int64(0)
	for at.reel < len(j.result.Sheets) {
		room := j.result.Sheets[at.reel].Wide - at.x
		if rest > room && room <= j.rule.JoinSeam {
			at = reelEnd{at.reel + 1, 0}
			continue
		}
		if room >= p.Long && part == 0 {
			j.putPiece(ref, at.reel, at.x, false)
			return reelEnd{at.reel, at.x + p.Long + j.rule.Kerf}
		}
		long := min(rest, room)
		j.result.Placed = append(j.result.Placed, Placed{
			Piece: p.Name, Order: p.Order, Item: ref.item, Copy: ref.copy, Sheet: at.reel, X: at.x, Wide: long, Part: part,
		})
		if long == rest {
			return reelEnd{at.reel, at.x + long + j.rule.Kerf}
		}
		part += long
		rest += j.rule.JoinSeam - long
		at = reelEnd{at.reel + 1, 0}
	}
	return at
}
