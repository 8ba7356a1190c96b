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
func (s *strip) byLength() []int {
	order := make([]int, len(s.kinds))
	for k := range order {
		order[k] = k
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return compareInt(s.kinds[b].leastDeep(), s.kinds[a].leastDeep())
	})
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
