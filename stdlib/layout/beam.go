package layout

import (
	"math/bits"
	"slices"
)

// beam searches level by level, a level being one more copy laid, always at the
// lowest niche of the skyline, and keeps the width best states of each level.
type beam struct {
	strip   *strip
	limit   int64 // no copy may end above it
	width   int
	rough   int64 // what a step of the skyline counts as lost, in hundredths of a mean copy
	lean    int64 // how strongly large copies go first: the less the stronger
	pick    func([]step, int64) niche
	meter   *meter
	budget  int64 // area that may be lost below limit
	shift   uint  // areas are shifted by it before they are scored
	tall    []int // kinds, the longest first
	across  *sums // widths that the copies left can fill
	along   *sums // lengths that the copies left can fill
	level   []node
	next    []node
	pool    []candidate
	order   ranking
	history [][]move
	seen    map[uint64]struct{}
	buffer  [2][]step
	xs      []int64
}

// node is a state: the skyline, copies left of each kind, area lost and laid.
type node struct {
	line       []step
	left       []uint16
	lost, laid int64
	score      int64
	hash       uint64
	move       move
}

// move is a copy laid, and the state it was laid from.
type move struct {
	parent int32
	spot   spot
}

type candidate struct {
	score  int64
	move   move
	raises int
	lost   int64
}

func newBeam(s *strip, limit int64, width int, m *meter) *beam {
	b := &beam{strip: s, limit: limit, width: width, lean: 32, pick: lowest, meter: m, seen: map[uint64]struct{}{}}
	b.budget = s.wide*limit - s.area
	b.shift = uint(max(0, bits.Len64(uint64(s.area))-30))
	b.tall = s.byLength()
	if s.plain() {
		b.across = newSums(s, s.wide, func(o *option) int64 { return o.wide })
		b.along = newSums(s, limit, func(o *option) int64 { return o.deep })
	}
	return b
}

// run returns the best complete plan below the limit and whether there is one. Where
// there is none, the last level is left as it was.
func (b *beam) run() (plan, bool) {
	if b.budget < 0 {
		return plan{}, false
	}
	b.begin()
	for range b.strip.total {
		if b.expand(); b.meter.spent() || !b.keep() {
			return plan{}, false
		}
	}
	return b.best(), true
}

// begin makes a level of nothing laid.
func (b *beam) begin() {
	b.level = append(b.level[:0], node{line: []step{{0, 0}}, left: b.strip.counts()})
}

func (s *strip) counts() []uint16 {
	left := make([]uint16, len(s.kinds))
	for i := range s.kinds {
		left[i] = uint16(len(s.kinds[i].copies))
	}
	return left
}

func (b *beam) expand() {
	b.pool = b.pool[:0]
	for i := range b.level {
		b.expandNode(int32(i))
		if b.meter.spent() {
			return
		}
	}
}

// maxRaises is how many niches may be given up by choice before a copy is laid.
const maxRaises = 2

func (b *beam) expandNode(parent int32) {
	n := &b.level[parent]
	line, lost := n.line, n.lost
	for raises := 0; ; raises++ {
		gap := b.pick(line, b.strip.wide)
		before := len(b.pool)
		b.fill(n, parent, gap, raises, lost)
		fits := len(b.pool) > before
		if fits && raises >= maxRaises || min(gap.left, gap.right) == noWall {
			return
		}
		var waste int64
		line, waste = raise(b.buffer[raises%2][:0], line, gap, b.strip.wide)
		b.buffer[raises%2] = line
		lost += waste
		b.meter.count(1)
		if lost > b.budget {
			return
		}
	}
}

// fill proposes every copy left for a niche.
func (b *beam) fill(n *node, parent int32, gap niche, raises int, lost int64) {
	tight := b.leastWide(n)
	for k := range n.left {
		if n.left[k] == 0 {
			continue
		}
		for oi := range b.strip.kinds[k].options {
			o := &b.strip.kinds[k].options[oi]
			if o.wide <= gap.wide && gap.y+o.deep <= b.limit {
				b.propose(n, o, candidate{move: move{parent, spot{kind: k, option: oi}}, raises: raises, lost: lost}, gap, tight)
			}
		}
	}
}

// leastWide is the width of the narrowest copy left.
func (b *beam) leastWide(n *node) int64 {
	least := noWall
	for k, left := range n.left {
		if left > 0 {
			least = min(least, b.strip.kinds[k].leastWide())
		}
	}
	return least
}

func (k *kind) leastWide() int64 {
	least := noWall
	for i := range k.options {
		least = min(least, k.options[i].wide)
	}
	return least
}

func (b *beam) propose(n *node, o *option, c candidate, gap niche, tight int64) {
	if !o.matched && len(b.strip.flaws.all) == 0 {
		x := gap.x
		if gap.left < gap.right {
			x = gap.x + gap.wide - o.wide
		}
		b.push(n, o, c, gap, x, gap.y, tight)
		return
	}
	for parity := int64(0); parity < b.strip.columns(o); parity++ {
		b.xs = b.strip.starts(b.xs[:0], o, gap.x, gap.x+gap.wide, parity)
		for _, x := range b.xs {
			b.push(n, o, c, gap, x, b.strip.upY(o, x, gap.y, parity), tight)
		}
	}
}

func (b *beam) push(n *node, o *option, c candidate, gap niche, x, y, tight int64) {
	b.meter.count(1)
	if y+o.deep > b.limit {
		return
	}
	c.move.spot.x, c.move.spot.y = x, y
	c.lost += (y - gap.y) * o.wide
	sure := c.lost
	if rest := gap.wide - o.wide; rest > 0 && rest < tight {
		wall := gap.right
		if gap.left < gap.right {
			wall = gap.left
		}
		sure += rest * (min(wall, y+o.deep) - gap.y)
	}
	if sure > b.budget {
		return
	}
	c.score = b.score(sure, n.laid+b.strip.kinds[c.move.spot.kind].area)
	b.pool = append(b.pool, c)
}

// score favours little lost for what is laid, and large copies first.
func (b *beam) score(lost, laid int64) int64 {
	return ((lost + b.strip.area/b.lean) >> b.shift << 28) / (laid>>b.shift + 1)
}

// keep makes the best candidates into the next level, and reports whether there are any.
func (b *beam) keep() bool {
	clear(b.seen)
	b.next = b.next[:0]
	b.order.rank(len(b.pool), func(i int) int64 { return b.pool[i].score })
	for i := range b.pool {
		if len(b.next) >= b.width*3/2 {
			break
		}
		b.grow(&b.pool[b.order.next(i, 2*b.width).at])
	}
	slices.SortStableFunc(b.next, func(p, q node) int { return compareInt(p.score, q.score) })
	if len(b.next) == 0 {
		return false
	}
	b.next = b.next[:min(len(b.next), b.width)]
	moves := make([]move, len(b.next))
	for i := range b.next {
		moves[i] = b.next[i].move
	}
	b.history = append(b.history, moves)
	b.level, b.next = b.next, b.level
	return true
}

func compareInt(p, q int64) int {
	switch {
	case p < q:
		return -1
	case p > q:
		return 1
	}
	return 0
}

// grow makes a candidate into a state unless it is hopeless or already there.
func (b *beam) grow(c *candidate) {
	from := &b.level[c.move.parent]
	line := from.line
	for i := range c.raises {
		gap := b.pick(line, b.strip.wide)
		line, _ = raise(b.buffer[i%2][:0], line, gap, b.strip.wide)
		b.buffer[i%2] = line
	}
	gap := b.pick(line, b.strip.wide)
	p := c.move.spot
	o := b.strip.option(p)
	n := b.fresh()
	n.line = lift(n.line[:0], line, gap.at, p.x, o.wide, p.y+o.deep, b.strip.wide)
	n.left = append(n.left[:0], from.left...)
	n.left[p.kind]--
	n.lost, n.laid, n.move = c.lost, from.laid+b.strip.kinds[p.kind].area, c.move
	n.hash = n.digest()
	if _, twin := b.seen[n.hash]; twin {
		return
	}
	b.seen[n.hash] = struct{}{}
	sure := n.lost + b.doomed(n)
	b.meter.count(2)
	if sure > b.budget || b.stranded(n) {
		return
	}
	n.score = b.score(sure+int64(len(n.line))*mulDiv(b.strip.area, b.rough, 100*int64(b.strip.total)), n.laid)
	b.next = b.next[:len(b.next)+1]
}

// fresh is the next free node, not yet counted in the level, with its old storage.
func (b *beam) fresh() *node {
	if len(b.next) == cap(b.next) {
		b.next = append(b.next, node{})[:len(b.next)]
	}
	return &b.next[:len(b.next)+1][len(b.next)]
}

func (n *node) digest() uint64 {
	h := uint64(14695981039346656037)
	for _, s := range n.line {
		h = mix(mix(h, uint64(s.x)), uint64(s.y))
	}
	for _, c := range n.left {
		h = mix(h, uint64(c))
	}
	return h
}

func mix(h, v uint64) uint64 {
	h ^= v
	h *= 0x9e3779b97f4a7c15
	return h ^ h>>29
}

// doomed is area that no laying of the copies left can fill below the limit.
func (b *beam) doomed(n *node) int64 {
	if b.across == nil || b.along == nil {
		return 0
	}
	b.across.load(n.left)
	b.along.load(n.left)
	beside, above := int64(0), int64(0)
	for i := range n.line {
		gap := nicheAt(n.line, i, b.strip.wide)
		if wall := min(gap.left, gap.right); wall > gap.y {
			beside += (gap.wide - b.across.below(gap.wide)) * (min(wall, b.limit) - gap.y)
		}
		above += gap.wide * (b.limit - gap.y - b.along.below(b.limit-gap.y))
	}
	return max(beside, above)
}

func (b *beam) best() plan {
	at, top := 0, noWall
	for i := range b.level {
		high := int64(0)
		for _, s := range b.level[i].line {
			high = max(high, s.y)
		}
		if high < top {
			at, top = i, high
		}
	}
	return b.strip.measure(b.trace(len(b.history)-1, at))
}

// trace lists the spots that led to a state.
func (b *beam) trace(level, at int) []spot {
	spots := make([]spot, 0, level+1)
	for l := level; l >= 0; l-- {
		m := b.history[l][at]
		spots = append(spots, m.spot)
		at = int(m.parent)
	}
	slices.Reverse(spots)
	return spots
}

// most returns the state that covers the most area on any level.
func (b *beam) most() ([]spot, int64) {
	b.begin()
	level, at, laid := -1, 0, int64(0)
	for range b.strip.total {
		if b.expand(); b.meter.spent() || !b.keep() {
			break
		}
		for i := range b.level {
			if b.level[i].laid > laid {
				level, at, laid = len(b.history)-1, i, b.level[i].laid
			}
		}
	}
	if level < 0 {
		return nil, 0
	}
	return b.trace(level, at), laid
}
