package layout

import "slices"

// reel cuts pieces one after another from reels, running on where one ends. The
// reels are chosen at the least cost such that they hold every length, a kerf
// after each but the last, and a join where one reel follows another.
func (j *stickJob) reel() {
	need := int64(0)
	for i := range j.c.kinds {
		need += j.c.kinds[i].take * int64(j.c.kinds[i].count)
	}
	if need == 0 {
		return
	}
	need -= j.rule.Kerf
	chosen, cost, ok := j.cheapestReels(need-j.rule.JoinSeam, j.rule.JoinSeam)
	bound := j.reelBound(need)
	if !ok {
		j.refuseAll("there are not enough reels", "allow more reels")
		return
	}
	j.runOn(chosen)
	j.result.SetUps = len(j.result.Sheets)
	j.total(min(bound, cost), bound >= cost)
	j.result.BoundRests = "the lengths together, without joins"
}

func (j *stickJob) refuseAll(reason, help string) {
	for _, k := range j.c.kinds {
		for _, ref := range k.refs {
			j.refuse(ref.item, 1, reason, help)
		}
	}
}

// maxReelTable limits the table of reels: steps of the common divisor times reels.
const maxReelTable = 40_000_000

// maxReels is the most reels of one stock.
const maxReels = 60_000

// noReels is a cost no choice of reels comes to.
const noReels = int64(1) << 59

// cheapestReels picks reels that together, each less seam, hold need. It fails
// where the limits do not allow it.
func (j *stickJob) cheapestReels(need, seam int64) (chosen []int, cost int64, ok bool) {
	unit := int64(0)
	for _, s := range j.stocks {
		unit = gcd(unit, s.Long-seam)
	}
	steps := ceilDiv(need, unit)
	if steps*ceilDiv(need, j.shortestStock()-seam) > maxReelTable {
		return j.densestReels(need, seam)
	}
	t := &reelTable{least: make([]int64, steps+1)}
	for i := range t.least {
		t.least[i] = noReels
	}
	t.least[0] = 0
	for s := range j.stocks {
		t.addStock((j.stocks[s].Long-seam)/unit, j.c.costs[s], j.c.limits[s])
	}
	return t.trace(j, unit, seam)
}

// reelTable is the least cost to hold each number of steps.
type reelTable struct {
	least  []int64
	counts [][]uint16
}

// addStock allows up to limit reels of a stock.
func (t *reelTable) addStock(steps, cost int64, limit int) {
	counts := make([]uint16, len(t.least))
	before := slices.Clone(t.least)
	for at := 1; at < len(t.least); at++ {
		for n := 1; n <= limit && n <= maxReels; n++ {
			from := max(0, at-n*int(steps))
			if c := before[from] + int64(n)*cost; c < t.least[at] {
				t.least[at], counts[at] = c, uint16(n)
			}
			if from == 0 {
				break
			}
		}
	}
	t.counts = append(t.counts, counts)
}

func (t *reelTable) trace(j *stickJob, unit, seam int64) ([]int, int64, bool) {
	at := len(t.least) - 1
	cost := t.least[at]
	if cost >= noReels {
		return nil, 0, false
	}
	var chosen []int
	for s := len(t.counts) - 1; s >= 0; s-- {
		for n := t.counts[s][at]; n > 0; n-- {
			chosen = append(chosen, s)
			at = max(0, at-int((j.stocks[s].Long-seam)/unit))
		}
	}
	return chosen, cost, true
}

// densestReels is for needs too long to table: the stock cheapest for its length.
func (j *stickJob) densestReels(need, seam int64) ([]int, int64, bool) {
	best := 0
	for s := range j.stocks {
		if cmpProducts(j.c.costs[s], j.stocks[best].Long-seam, j.c.costs[best], j.stocks[s].Long-seam) < 0 {
			best = s
		}
	}
	n := ceilDiv(need, j.stocks[best].Long-seam)
	if n > int64(j.c.limits[best]) {
		return nil, 0, false
	}
	chosen := make([]int, n)
	for i := range chosen {
		chosen[i] = best
	}
	return chosen, n * j.c.costs[best], true
}

// reelBound is a cost no reels that hold need can beat: the length priced at the
// stock cheapest for its length, rounded up to a total that can be.
func (j *stickJob) reelBound(need int64) int64 {
	if need*ceilDiv(need, j.shortestStock()) <= maxReelTable {
		_, cost, ok := j.cheapestReels(need, 0)
		if ok {
			return cost
		}
	}
	return j.c.provenCost([]int64{1}, []int{int(need)}, j.longs())
}

func (j *stickJob) longs() []int64 {
	var out []int64
	for _, s := range j.stocks {
		out = append(out, s.Long)
	}
	return out
}

func (j *stickJob) shortestStock() int64 { return slices.Min(j.longs()) }

// reelEnd is where the next piece starts.
type reelEnd struct {
	reel int
	x    int64
}

// runOn lays the pieces along the chosen reels.
func (j *stickJob) runOn(chosen []int) {
	for _, s := range chosen {
		st := j.stocks[s]
		j.result.Sheets = append(j.result.Sheets, Sheet{Name: st.Name, Stock: s, Wide: st.Long, Price: st.Price})
	}
	at := reelEnd{}
	for _, k := range j.c.kinds {
		for _, ref := range k.refs {
			at = j.runPiece(ref, at)
		}
	}
}

// runPiece lays one piece, in parts where a reel ends. A rest of a reel no longer
// than the join is left, as it would gain nothing.
func (j *stickJob) runPiece(ref copyRef, at reelEnd) reelEnd {
	p := j.pieces[ref.item]
	rest, part := p.Long, int64(0)
	for {
		room := j.result.Sheets[at.reel].Wide - at.x
		if rest > room && room <= j.rule.JoinSeam {
			at = reelEnd{at.reel + 1, 0}
			continue
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
}
