package layout

import "slices"

// leastDeep is the least length of a kind however it lies.
func (k *kind) leastDeep() int64 {
	least := noWall
	for i := range k.options {
		least = min(least, k.options[i].deep)
	}
	return least
}

// byLength lists the kinds, the longest first.
func (s *strip) byLength() []int { return s.sorted((*kind).leastDeep) }

// byArea lists the kinds, the largest first.
func (s *strip) byArea() []int { return s.sorted(func(k *kind) int64 { return k.area }) }

// sorted lists the kinds by decreasing key.
func (s *strip) sorted(key func(*kind) int64) []int {
	order := make([]int, len(s.kinds))
	for k := range order {
		order[k] = k
	}
	slices.SortStableFunc(order, func(a, b int) int { return compareInt(key(&s.kinds[b]), key(&s.kinds[a])) })
	return order
}

// stranded is true where some copy left finds no place below the limit any more,
// or copies too long to lie beyond one another find too little width.
func (b *beam) stranded(n *node) bool {
	top, need := highest(n.line), int64(0)
	for _, k := range b.tall {
		if n.left[k] == 0 {
			continue
		}
		kind := &b.strip.kinds[k]
		deep := kind.leastDeep()
		if deep <= b.limit-top {
			return false
		}
		widest, all := widthBelow(n.line, b.limit-deep, b.strip.wide)
		if widest < kind.leastWide() {
			return true
		}
		if need += kind.leastWide() * int64(n.left[k]); deep*2 > b.limit && need > all {
			return true
		}
	}
	return false
}

func highest(line []step) int64 {
	top := int64(0)
	for _, s := range line {
		top = max(top, s.y)
	}
	return top
}

// widthBelow is the widest stretch of a skyline no higher than high, and all such
// width together.
func widthBelow(line []step, high, wide int64) (widest, all int64) {
	run := int64(0)
	for i, s := range line {
		end := wide
		if i+1 < len(line) {
			end = line[i+1].x
		}
		if s.y > high {
			run = 0
			continue
		}
		run += end - s.x
		widest, all = max(widest, run), all+end-s.x
	}
	return widest, all
}

// mostFinished is how many states of a level are finished past the limit.
const mostFinished = 8

// finished lays the copies left of the best states of the last level wherever they end
// lowest, past the limit. It makes a plan of a search that found none below it.
func (b *beam) finished() plan {
	var best plan
	for i := range b.level[:min(len(b.level), mostFinished)] {
		if p := b.finish(i); best.spots == nil || p.top < best.top {
			best = p
		}
	}
	return best
}

func (b *beam) finish(at int) plan {
	s, line, spots := b.strip, b.level[at].line, b.trace(len(b.history)-1, at)
	for _, k := range s.byArea() {
		for range b.level[at].left[k] {
			p := s.lowestSpot(line, k)
			spots = append(spots, p)
			line = cover(line, p.x, s.option(p).wide, p.y+s.option(p).deep, s.wide)
			b.meter.count(4)
		}
	}
	return s.measure(spots)
}
