package layout

import (
	"cmp"
	"math/bits"
)

// cmpProducts compares a·b with c·d, none of them negative, without overflow.
func cmpProducts(a, b, c, d int64) int {
	h1, l1 := bits.Mul64(uint64(a), uint64(b))
	h2, l2 := bits.Mul64(uint64(c), uint64(d))
	if h1 != h2 {
		return cmp.Compare(h1, h2)
	}
	return cmp.Compare(l1, l2)
}

// boundValue is room·value/take rounded down: the most that room can be worth.
func boundValue(room, value, take int64) int64 {
	if room <= 0 {
		return 0
	}
	high, low := bits.Mul64(uint64(room), uint64(value))
	if high == 0 {
		return int64(min(low/uint64(take), uint64(noWall)))
	}
	if high >= uint64(take) {
		return noWall
	}
	q, _ := bits.Div64(high, low, uint64(take))
	if q > uint64(noWall) {
		return noWall
	}
	return int64(q)
}
