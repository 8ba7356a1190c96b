package layout

import "slices"

// block is a rectangle made of pieces that comes apart by straight cuts.
type block struct {
	wide, deep, value int64
	hope              int64 // value with the most that can lie beside it
	counts            []uint8
	shape             int // of a single piece, else -1
	first, second     *block
	beside            bool // second lies right of first, else beyond it
}

// blocks searches for the most valuable block, most hopeful first.
type blocks struct {
	table   *valueTable
	clock   *clock
	most    []int
	outside []int64 // most value outside a block of extents (i, j)
	open    []*block
	closed  []*block
	known   map[string][]Size
	best    *block
	bound   int64
}

func newBlocks(t *valueTable, c *clock) *blocks {
	b := &blocks{table: t, clock: c, known: map[string][]Size{}, best: &block{shape: -1}}
	b.fillOutside()
	for _, v := range t.items {
		fits := (t.size.Wide / (v.Wide + t.kerf)) * (t.size.Deep / (v.Deep + t.kerf))
		if v.Turn {
			fits = max(fits, t.size.Wide*t.size.Deep/((v.Wide+t.kerf)*(v.Deep+t.kerf)))
		}
		if v.Most > 0 {
			fits = min(fits, int64(v.Most))
		}
		b.most = append(b.most, int(min(fits, 255)))
	}
	return b
}

// fillOutside tables, from the whole sheet down, the most that rectangles beside
// a block, each as long as the block grown so far, can add. The block may first
// take up more than it needs: what lies beside it may be longer.
func (b *blocks) fillOutside() {
	nx, ny := len(b.table.xs), len(b.table.ys)
	b.outside = make([]int64, nx*ny)
	for i := nx - 1; i >= 0; i-- {
		for j := ny - 1; j >= 0; j-- {
			b.outside[i*ny+j] = b.mostOutside(i, j)
		}
	}
}

func (b *blocks) mostOutside(i, j int) int64 {
	t, ny, best := b.table, len(b.table.ys), int64(0)
	if i+1 < len(t.xs) {
		best = b.outside[(i+1)*ny+j]
	}
	if j+1 < ny {
		best = max(best, b.outside[i*ny+j+1])
	}
	for a := 1; a < len(t.xs) && t.xs[i]+t.xs[a] <= t.size.Wide; a++ {
		best = max(best, t.at(a, j)+b.outside[under(t.xs, t.xs[i]+t.xs[a])*ny+j])
	}
	for a := 1; a < ny && t.ys[j]+t.ys[a] <= t.size.Deep; a++ {
		best = max(best, t.at(i, a)+b.outside[i*ny+under(t.ys, t.ys[j]+t.ys[a])])
	}
	return best
}

// search reports whether the best block is proved the most valuable.
func (b *blocks) search() bool {
	b.bound = b.table.at(len(b.table.xs)-1, len(b.table.ys)-1)
	for n, s := range b.table.shapes {
		counts := make([]uint8, len(b.table.items))
		counts[s.item] = 1
		b.offer(&block{wide: s.wide, deep: s.deep, value: b.table.items[s.item].Value, counts: counts, shape: n})
	}
	for len(b.open) > 0 {
		now := b.pop()
		b.bound = max(now.hope, b.best.value)
		if now.hope <= b.best.value {
			return true
		}
		if b.clock.over() || len(b.open) > maxBlocks {
			return false
		}
		b.closed = append(b.closed, now)
		b.clock.work += int64(len(b.closed))
		for _, other := range b.closed {
			b.join(now, other)
		}
	}
	b.bound = b.best.value
	return true
}

// maxBlocks keeps the search within memory.
const maxBlocks = 3_000_000

func (b *blocks) join(p, q *block) {
	if wide := p.wide + q.wide; wide <= b.table.size.Wide {
		b.joined(p, q, wide, max(p.deep, q.deep), true)
	}
	if deep := p.deep + q.deep; deep <= b.table.size.Deep {
		b.joined(p, q, max(p.wide, q.wide), deep, false)
	}
}

func (b *blocks) joined(p, q *block, wide, deep int64, beside bool) {
	for i := range p.counts {
		if int(p.counts[i])+int(q.counts[i]) > b.most[i] {
			return
		}
	}
	value := p.value + q.value
	if value+b.beyond(wide, deep) <= b.best.value {
		return
	}
	counts := slices.Clone(p.counts)
	for i := range counts {
		counts[i] += q.counts[i]
	}
	b.offer(&block{wide: wide, deep: deep, value: value, counts: counts, shape: -1, first: p, second: q, beside: beside})
}

// beyond is the most that can be cut outside a block of these extents.
func (b *blocks) beyond(wide, deep int64) int64 {
	t := b.table
	return b.outside[under(t.xs, wide)*len(t.ys)+under(t.ys, deep)]
}

// offer queues a block unless one of the same pieces is as small.
func (b *blocks) offer(n *block) {
	key := string(n.counts)
	for _, s := range b.known[key] {
		if s.Wide <= n.wide && s.Deep <= n.deep {
			return
		}
	}
	b.known[key] = append(b.known[key], Size{n.wide, n.deep})
	n.hope = n.value + b.beyond(n.wide, n.deep)
	if n.value > b.best.value {
		b.best = n
	}
	if n.hope > b.best.value || n == b.best {
		b.push(n)
	}
}

// before orders the queue: most hopeful, then most valuable.
func (n *block) before(o *block) bool {
	if n.hope != o.hope {
		return n.hope > o.hope
	}
	return n.value > o.value
}

func (b *blocks) push(n *block) {
	b.open = append(b.open, n)
	for at := len(b.open) - 1; at > 0; {
		up := (at - 1) / 2
		if !b.open[at].before(b.open[up]) {
			return
		}
		b.open[at], b.open[up] = b.open[up], b.open[at]
		at = up
	}
}

func (b *blocks) pop() *block {
	top := b.open[0]
	last := len(b.open) - 1
	b.open[0] = b.open[last]
	b.open = b.open[:last]
	for at := 0; ; {
		down := 2*at + 1
		if down >= last {
			return top
		}
		if down+1 < last && b.open[down+1].before(b.open[down]) {
			down++
		}
		if !b.open[down].before(b.open[at]) {
			return top
		}
		b.open[at], b.open[down] = b.open[down], b.open[at]
		at = down
	}
}

func (b *blocks) trace(n *block, x, y int64, out []shapeSpot) []shapeSpot {
	switch {
	case n.shape >= 0:
		return append(out, shapeSpot{n.shape, x, y})
	case n.first == nil:
		return out
	case n.beside:
		return b.trace(n.second, x+n.first.wide, y, b.trace(n.first, x, y, out))
	}
	return b.trace(n.second, x, y+n.first.deep, b.trace(n.first, x, y, out))
}
