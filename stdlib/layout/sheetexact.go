package layout

import (
	"cmp"
	"encoding/binary"
	"slices"
)

// Limits on the search of every way to share copies out over sheets.
const (
	maxShared   = 40
	sharingWork = 6_000_000
)

// sharing searches every way to share copies out over sheets that come to no more
// than a budget. Next comes the copy that has the fewest sheets to go to.
type sharing struct {
	copySet
	board    *board
	meter    *meter
	oracles  []*oracle // of each stock
	measures []measure // the area, and those that say most
	budget   int64
	cost     int64
	left     set
	open     []opened
	used     []int // sheets opened of each stock
	seen     map[string]struct{}
	best     sheetPlan
	found    bool
}

// opened is a sheet of the search, the copies on it, and those that it has room for.
type opened struct {
	stock    int
	on, room set
}

// branch is a copy and the sheet it goes on; a new one where sheet is -1.
type branch struct {
	copy, sheet, stock int
}

// share reports the best plan and whether nothing can beat it.
func (b *board) share(best sheetPlan, bound int64, c *clock) (sheetPlan, bool) {
	if b.total > maxShared {
		return best, false
	}
	m := &meter{ctx: c.ctx, deadline: c.deadline, most: sharingWork}
	if c.most > 0 {
		m.most = min(sharingWork, max(1, (c.most-c.work)/2))
	}
	s := newSharing(b, m)
	for !b.met(best, bound) {
		s.begin(b.budget(best))
		s.search()
		if !s.found {
			break
		}
		best = s.best
	}
	c.work += m.work
	return best, !m.over && b.whole(best)
}

// budget is the most that a better plan may cost: a sheet for each copy where some
// are not laid.
func (b *board) budget(best sheetPlan) int64 {
	if b.whole(best) {
		return best.cost - b.costStep()
	}
	return int64(b.total) * slices.Max(b.costs())
}

// costStep is the common divisor of the costs.
func (b *board) costStep() int64 {
	c := cutting{costs: b.costs()}
	return c.costStep()
}

func newSharing(b *board, m *meter) *sharing {
	s := &sharing{copySet: newCopySet(b.kinds), board: b, meter: m, measures: b.sharpest()}
	for i := range b.stocks {
		s.oracles = append(s.oracles, newOracle(b, i, s.copySet, m))
	}
	return s
}

func (s *sharing) begin(budget int64) {
	s.budget, s.cost, s.found = budget, 0, false
	s.left = 1<<len(s.kind) - 1
	s.open, s.used = nil, make([]int, len(s.board.stocks))
	s.seen = map[string]struct{}{}
}

// search goes on until a plan is found, none is left to try, or the work is spent.
func (s *sharing) search() {
	if s.left == 0 {
		s.take()
		return
	}
	if s.meter.spent() || s.seenBefore() {
		return
	}
	s.findRoom()
	if s.tooLittleRoom() {
		return
	}
	for _, b := range s.branches() {
		if s.try(b); s.found || s.meter.over {
			return
		}
	}
}

func (s *sharing) try(b branch) {
	one := set(1) << b.copy
	s.left &^= one
	if b.sheet < 0 {
		s.onNew(one, b.stock)
	} else {
		s.onOpen(one, b.sheet)
	}
	s.left |= one
}

func (s *sharing) onOpen(one set, sheet int) {
	before := s.open[sheet]
	s.open[sheet].on |= one
	s.search()
	s.open[sheet] = before
}

func (s *sharing) onNew(one set, stock int) {
	cost := s.cost
	s.open = append(s.open, opened{stock: stock, on: one})
	s.used[stock]++
	s.cost += s.board.stocks[stock].cost
	s.search()
	s.cost = cost
	s.used[stock]--
	s.open = s.open[:len(s.open)-1]
}

// seenBefore is true where the same sets are on sheets already searched.
func (s *sharing) seenBefore() bool {
	sets := make([]opened, len(s.open))
	for i, o := range s.open {
		sets[i] = opened{stock: o.stock, on: s.plain(o.on)}
	}
	slices.SortFunc(sets, func(a, b opened) int {
		return cmp.Or(cmp.Compare(a.stock, b.stock), cmp.Compare(a.on, b.on))
	})
	key := make([]byte, 0, 12*len(sets))
	for _, o := range sets {
		key = binary.LittleEndian.AppendUint64(appendNumber(key, o.stock), uint64(o.on))
	}
	_, seen := s.seen[string(key)]
	s.seen[string(key)] = struct{}{}
	return seen
}

// firsts is one copy of each kind that is left.
func (s *sharing) firsts() set {
	out := set(0)
	for _, all := range s.ranges {
		rest := all & s.left
		out |= rest & -rest
	}
	return out
}

// findRoom finds the copies left that each open sheet still has room for.
func (s *sharing) findRoom() {
	for rest := s.firsts(); rest != 0; rest &= rest - 1 {
		one := rest & -rest
		all := s.ranges[s.kind[one.first()]] & s.left
		for i := range s.open {
			o := &s.open[i]
			if o.room &^= all; s.oracles[o.stock].fits(o.on | one) {
				o.room |= all
			}
		}
	}
	for i := range s.open {
		s.open[i].room &= s.left
	}
}

// tooLittleRoom is true where by some measure the copies left come to more than
// the open sheets can take of them and the rest of the budget can buy.
func (s *sharing) tooLittleRoom() bool {
	for i := range s.measures {
		m := &s.measures[i]
		need := s.total(m, s.left)
		for _, o := range s.open {
			need -= min(m.whole[o.stock]-s.total(m, o.on), s.total(m, o.room))
		}
		if need > s.bought(m) {
			return true
		}
	}
	return false
}

// total is the measure of a set.
func (s *sharing) total(m *measure, of set) int64 {
	total := int64(0)
	for rest := of; rest != 0; rest &= rest - 1 {
		total += m.kind[s.kind[rest.first()]]
	}
	return total
}

// bought is the most measure that the rest of the budget can buy.
func (s *sharing) bought(m *measure) int64 {
	rest, most := s.budget-s.cost, int64(0)
	for i, st := range s.board.stocks {
		switch {
		case st.cost > rest:
		case len(s.board.stocks) == 1:
			return rest / st.cost * m.whole[i]
		case st.cost == 0:
			return noWall
		default:
			most = max(most, mulDiv(rest, m.whole[i], st.cost))
		}
	}
	return most
}

// branches are the sheets that the copy with the fewest of them can go to. A sheet
// that can take all the copies it has room for takes the first of them at once.
func (s *sharing) branches() []branch {
	for i, o := range s.open {
		if o.room != 0 && s.oracles[o.stock].fits(o.on|o.room) {
			return []branch{{copy: o.room.first(), sheet: i}}
		}
	}
	var least []branch
	for rest := s.firsts(); rest != 0; rest &= rest - 1 {
		if now := s.branchesOf(rest.first()); least == nil || len(now) < len(least) {
			least = now
		}
		if len(least) == 0 {
			return nil
		}
	}
	return least
}

func (s *sharing) branchesOf(copy int) []branch {
	out := make([]branch, 0, len(s.open)+len(s.oracles))
	for i, o := range s.open {
		if o.room>>copy&1 == 1 {
			out = append(out, branch{copy: copy, sheet: i})
		}
	}
	for i := range s.oracles {
		st := &s.board.stocks[i]
		if s.cost+st.cost <= s.budget && s.used[i] < st.limit && s.oracles[i].fits(1<<copy) {
			out = append(out, branch{copy, -1, i})
		}
	}
	return out
}

// take makes the open sheets the best plan.
func (s *sharing) take() {
	s.found = true
	s.best = sheetPlan{cost: s.cost}
	for i, o := range s.open {
		s.best.sheets = append(s.best.sheets, o.stock)
		for _, sp := range s.oracles[o.stock].lay(o.on) {
			s.best.spots = append(s.best.spots, sheetSpot{sp, i})
		}
	}
}
