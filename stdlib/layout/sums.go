package layout

// maxSums is the longest extent, in units of the common divisor, that sums keeps.
const maxSums = 4096

// sums knows which extents the copies left can fill exactly.
type sums struct {
	unit  int64
	sizes [][]int // of each kind: its extents in units, one an option
	set   []uint64
	words int
}

// newSums returns nil where the extent is too long for its unit.
func newSums(s *strip, extent int64, of func(*option) int64) *sums {
	unit := extent
	for k := range s.kinds {
		for i := range s.kinds[k].options {
			unit = gcd(unit, of(&s.kinds[k].options[i]))
		}
	}
	if unit <= 0 || extent/unit > maxSums {
		return nil
	}
	t := &sums{unit: unit, words: int(extent/unit)/64 + 1, sizes: make([][]int, len(s.kinds))}
	for k := range s.kinds {
		for i := range s.kinds[k].options {
			t.sizes[k] = append(t.sizes[k], int(of(&s.kinds[k].options[i])/unit))
		}
	}
	t.set = make([]uint64, t.words)
	return t
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// load finds every sum of the copies left; a kind that may lie two ways is counted as
// so many copies of each, which can only be more.
func (t *sums) load(left []uint16) {
	clear(t.set)
	t.set[0] = 1
	for k, n := range left {
		for _, size := range t.sizes[k] {
			for _, part := range halves(min(int(n), t.words*64/size+1)) {
				t.shift(size * part)
			}
		}
	}
}

// halves splits n into parts, powers of two but for the last, that come to every
// number up to n.
func halves(n int) []int {
	var out []int
	for part := 1; n > 0; part *= 2 {
		part = min(part, n)
		out = append(out, part)
		n -= part
	}
	return out
}

// shift adds every sum moved up by n.
func (t *sums) shift(n int) {
	words, rest := n/64, uint(n%64)
	for i := t.words - 1; i >= words; i-- {
		moved := t.set[i-words] << rest
		if rest > 0 && i > words {
			moved |= t.set[i-words-1] >> (64 - rest)
		}
		t.set[i] |= moved
	}
}

// below is the greatest sum that is at most extent.
func (t *sums) below(extent int64) int64 {
	if extent < 0 {
		return extent
	}
	for at := min(int(extent/t.unit), t.words*64-1); at >= 0; at-- {
		if t.set[at/64]>>(uint(at)%64)&1 == 1 {
			return int64(at) * t.unit
		}
	}
	return 0
}
