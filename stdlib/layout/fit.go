package layout

import "slices"

// choice is an option of a kind, in a list by falling width, then length.
type choice struct {
	kind, option int
	wide, deep   int64
	next         int // where to look when the kind is used up
}

// bestFit fills the lowest niche with the widest copy that fits it, beside its
// higher wall, and gives up a niche that nothing fits (Burke, Kendall and
// Whitwell 2004, from memory). It needs no time even for thousands of copies,
// but copies must be free to lie anywhere.
func (s *strip) bestFit() plan {
	var list []choice
	for k := range s.kinds {
		for o := range s.kinds[k].options {
			p := &s.kinds[k].options[o]
			list = append(list, choice{k, o, p.wide, p.deep, 0})
		}
	}
	slices.SortStableFunc(list, func(a, b choice) int {
		if a.wide != b.wide {
			return compareInt(b.wide, a.wide)
		}
		return compareInt(b.deep, a.deep)
	})
	for i := range list {
		list[i].next = i
	}
	return s.fitAll(list)
}

func (s *strip) fitAll(list []choice) plan {
	left := s.counts()
	line, other := []step{{0, 0}}, []step(nil)
	spots := make([]spot, 0, s.total)
	for len(spots) < s.total {
		gap := lowest(line, s.wide)
		at := usable(list, left, widestWithin(list, gap.wide))
		if at == len(list) {
			other, _ = raise(other[:0], line, gap, s.wide)
			line, other = other, line
			continue
		}
		c := &list[at]
		left[c.kind]--
		x := gap.x
		if gap.left < gap.right {
			x = gap.x + gap.wide - c.wide
		}
		spots = append(spots, spot{c.kind, c.option, x, gap.y})
		other = lift(other[:0], line, gap.at, x, c.wide, gap.y+c.deep, s.wide)
		line, other = other, line
	}
	return s.measure(spots)
}

// widestWithin is the first choice no wider than wide.
func widestWithin(list []choice, wide int64) int {
	at, _ := slices.BinarySearchFunc(list, wide, func(c choice, wide int64) int {
		if c.wide > wide {
			return -1
		}
		return 1
	})
	return at
}

// usable is the first choice from at on of a kind with copies left; it remembers
// what it skipped.
func usable(list []choice, left []uint16, at int) int {
	from := at
	for at < len(list) && left[list[at].kind] == 0 {
		at = max(list[at].next, at+1)
	}
	for from < at {
		from, list[from].next = max(list[from].next, from+1), at
	}
	return at
}
