package layout

import (
	"math/bits"
	"slices"
)

// The sheet beam fills sheets one after another by cuts in three stages: strips
// across the sheet, rows in a strip, pieces in a row, the last trim of a piece
// not counted. Each level lays one more copy: in the row, in a new row, in a new
// strip or on a new sheet, with either direction cut first.

// sheetNode is a state of the beam.
type sheetNode struct {
	left           []uint16
	cost           int64 // of the sheets opened
	spent          int64 // cost of what is used up or lost so far
	laid           int64
	score          int64
	sheet          int // number of the sheet in hand, from 0; -1 before the first
	stock          int
	across         bool // first cuts run the other way
	strip, stripTo int64
	row, rowTo     int64
	at             int64 // where the next piece in the row starts
	used           []int // sheets opened of each stock
	move           sheetMove
}

type sheetMove struct {
	parent int32
	spot   sheetSpot
	opened bool
	stock  int
}

// place is where a piece goes.
type place int

const (
	inRow place = iota
	newRow
	newStrip
	newSheet
)

type sheetCandidate struct {
	score        int64
	parent       int32
	kind, option int
	place        place
	stock        int
	across       bool
}

type sheetBeam struct {
	b       *board
	width   int
	lean    int64
	most    int64 // cost that must be beaten
	meter   *meter
	shift   uint
	costs   uint
	level   []sheetNode
	pool    []sheetCandidate
	order   ranking
	seen    map[uint64]struct{}
	history [][]sheetMove
}

func newSheetBeam(b *board, width int, lean, most int64, m *meter) *sheetBeam {
	s := &sheetBeam{b: b, width: width, lean: lean, most: most, meter: m, seen: map[uint64]struct{}{}}
	dearest := int64(1)
	for i := range b.stocks {
		dearest = max(dearest, b.stocks[i].cost)
	}
	s.shift = uint(max(0, bits.Len64(uint64(b.area))-30))
	s.costs = uint(max(0, bits.Len64(uint64(dearest))-20))
	return s
}

// run lays as many copies as it can.
func (s *sheetBeam) run() sheetPlan {
	s.level = []sheetNode{{left: s.b.counts(), sheet: -1, used: make([]int, len(s.b.stocks))}}
	for range s.b.total {
		if !s.step() {
			break
		}
	}
	return s.best()
}

// step lays one more copy; false where none can be laid, or the work is spent.
func (s *sheetBeam) step() bool {
	s.pool = s.pool[:0]
	for i := range s.level {
		if s.expand(int32(i)); s.meter.spent() {
			return false
		}
	}
	return s.keep()
}

func (b *board) counts() []uint16 {
	left := make([]uint16, len(b.kinds))
	for i := range b.kinds {
		left[i] = uint16(len(b.kinds[i].copies))
	}
	return left
}

func (s *sheetBeam) expand(parent int32) {
	n := &s.level[parent]
	for k := range n.left {
		if n.left[k] == 0 {
			continue
		}
		for o := range s.b.kinds[k].options {
			s.meter.count(1)
			s.propose(n, sheetCandidate{parent: parent, kind: k, option: o})
		}
	}
}

// propose offers the tightest places for a piece; a new sheet only where the
// sheet in hand has no room for it.
func (s *sheetBeam) propose(n *sheetNode, c sheetCandidate) {
	fits := false
	if n.sheet >= 0 {
		for p := inRow; p <= newStrip; p++ {
			if c.place, c.stock, c.across = p, n.stock, n.across; s.allowed(p) {
				fits = s.push(n, c) || fits
			}
		}
	}
	if fits {
		return
	}
	for stock := range s.b.stocks {
		if n.used[stock] < s.b.stocks[stock].limit {
			c.place, c.stock = newSheet, stock
			c.across = false
			s.push(n, c)
			c.across = true
			s.push(n, c)
		}
	}
}

func (s *sheetBeam) allowed(p place) bool {
	return p == newStrip || p == newRow && s.b.stages >= 2 || p == inRow && s.b.stages >= 3
}

// push adds a candidate where the piece fits and the best cost can still be beaten.
func (s *sheetBeam) push(n *sheetNode, c sheetCandidate) bool {
	next, ok := s.after(n, &c)
	if !ok {
		return false
	}
	s.meter.count(1)
	if next.cost+s.stillNeeded(&next) < s.most {
		c.score = next.score
		s.pool = append(s.pool, c)
	}
	return true
}

// stillNeeded is a cost the copies left need beyond the sheet in hand.
func (s *sheetBeam) stillNeeded(n *sheetNode) int64 {
	if len(s.b.stocks) != 1 {
		return 0
	}
	st := &s.b.stocks[0]
	whole := st.wide * st.deep
	free := whole - (n.strip*s.high(n) + (n.stripTo-n.strip)*n.row + (n.at-n.strip)*(n.rowTo-n.row))
	return ceilDiv(s.b.area-n.laid-free, whole) * st.cost
}

// long is the extent of the sheet in hand across its strips; high is along them.
func (s *sheetBeam) long(n *sheetNode) int64 {
	if n.across {
		return s.b.stocks[n.stock].deep
	}
	return s.b.stocks[n.stock].wide
}

func (s *sheetBeam) high(n *sheetNode) int64 {
	if n.across {
		return s.b.stocks[n.stock].wide
	}
	return s.b.stocks[n.stock].deep
}

// start is the state where the candidate's place begins, before it is laid there.
func (s *sheetBeam) start(n *sheetNode, c *sheetCandidate) sheetNode {
	next := *n
	switch c.place {
	case newSheet:
		next.sheet, next.stock, next.across = n.sheet+1, c.stock, c.across
		next.cost += s.b.stocks[c.stock].cost
		next.spent = n.cost
		next.strip, next.stripTo, next.row, next.rowTo, next.at = 0, 0, 0, 0, 0
	case newStrip:
		next.strip, next.row, next.rowTo, next.at = n.stripTo, 0, 0, n.stripTo
	case newRow:
		next.row, next.at = n.rowTo, n.strip
	}
	return next
}

// after is the state with the candidate laid, without its own storage.
func (s *sheetBeam) after(n *sheetNode, c *sheetCandidate) (sheetNode, bool) {
	next := s.start(n, c)
	o := &s.b.kinds[c.kind].options[c.option]
	w, h := o.wide, o.deep
	if next.across {
		w, h = h, w
	}
	next.stripTo = max(next.stripTo, next.at+w)
	next.rowTo = max(next.rowTo, next.row+h)
	x, y := next.at, next.row
	next.at += w
	next.laid += s.b.kinds[c.kind].area
	if next.stripTo > s.long(&next) || next.rowTo > s.high(&next) {
		return next, false
	}
	if next.across {
		x, y = y, x
	}
	next.move = sheetMove{c.parent, sheetSpot{spot{c.kind, c.option, x, y}, next.sheet}, c.place == newSheet, c.stock}
	next.score = s.score(&next)
	return next, true
}

// score is the cost used up for what is laid.
func (s *sheetBeam) score(n *sheetNode) int64 {
	st := &s.b.stocks[n.stock]
	gone := n.strip*s.high(n) + (n.stripTo-n.strip)*n.row + (n.at-n.strip)*(n.rowTo-n.row)
	spent := n.spent>>s.costs<<10 + mulDiv(gone, st.cost>>s.costs<<10, st.wide*st.deep)
	laid := n.laid >> s.shift
	extra := mulDiv(s.b.area/s.lean, st.cost>>s.costs<<10, st.wide*st.deep)
	return mulDiv(spent+extra, 1<<24, laid+1)
}

// mulDiv is a·b/c in 128 bits, for positive values whose quotient fits.
func mulDiv(a, b, c int64) int64 {
	high, low := bits.Mul64(uint64(max(0, a)), uint64(max(0, b)))
	if high >= uint64(c) {
		return noWall
	}
	q, _ := bits.Div64(high, low, uint64(c))
	return int64(min(q, uint64(noWall)))
}

// keep makes the best candidates into the next level; false where there are none.
func (s *sheetBeam) keep() bool {
	s.order.rank(len(s.pool), func(i int) int64 { return s.pool[i].score })
	clear(s.seen)
	var next []sheetNode
	for i := range s.pool {
		if len(next) >= s.width || s.meter.spent() {
			break
		}
		c := &s.pool[s.order.next(i, 2*s.width).at]
		n, _ := s.after(&s.level[c.parent], c)
		if s.own(&n, c) {
			next = append(next, n)
		}
	}
	if len(next) == 0 {
		return false
	}
	moves := make([]sheetMove, len(next))
	for i := range next {
		moves[i] = next[i].move
	}
	s.history = append(s.history, moves)
	s.level = next
	return true
}

// own gives a state its own storage; false where it is a twin.
func (s *sheetBeam) own(n *sheetNode, c *sheetCandidate) bool {
	n.left = slices.Clone(n.left)
	n.left[c.kind]--
	h := uint64(1469598103934665603)
	for _, v := range []int64{int64(n.sheet), int64(n.stock), n.strip, n.stripTo, n.row, n.rowTo, n.at, n.cost} {
		h = mix(h, uint64(v))
	}
	if n.across {
		h = mix(h, 1)
	}
	for _, v := range n.left {
		h = mix(h, uint64(v))
	}
	if _, twin := s.seen[h]; twin {
		return false
	}
	s.seen[h] = struct{}{}
	if c.place == newSheet {
		n.used = slices.Clone(n.used)
		n.used[c.stock]++
	}
	return true
}

func (s *sheetBeam) best() sheetPlan {
	at := 0
	for i := range s.level {
		if s.level[i].cost < s.level[at].cost {
			at = i
		}
	}
	p := sheetPlan{cost: s.level[at].cost}
	for l := len(s.history) - 1; l >= 0; l-- {
		m := s.history[l][at]
		p.spots = append(p.spots, m.spot)
		if m.opened {
			p.sheets = append(p.sheets, m.stock)
		}
		at = int(m.parent)
	}
	slices.Reverse(p.spots)
	slices.Reverse(p.sheets)
	return p
}
