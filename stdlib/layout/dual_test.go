package layout

import (
	"math/big"
	"testing"
)

func TestWideProducts(t *testing.T) {
	values := []int64{0, 1, 2, 3, 1 << 20, 1<<31 - 1, 1 << 40, 1<<62 - 1, 1<<63 - 1}
	product := func(a, b int64) *big.Int { return new(big.Int).Mul(big.NewInt(a), big.NewInt(b)) }
	for seed := range uint64(3000) {
		r := seeded(seed)
		pick := func() int64 { return values[r.IntN(len(values))] }
		a, b, c, d := pick(), pick(), pick(), pick()
		if got, want := cmpProducts(a, b, c, d), product(a, b).Cmp(product(c, d)); got != want {
			t.Errorf("%d·%d against %d·%d: %d, want %d", a, b, c, d, got, want)
		}
		if c == 0 {
			continue
		}
		want := new(big.Int).Quo(product(a, b), big.NewInt(c))
		if want.Cmp(big.NewInt(noWall)) > 0 {
			want = big.NewInt(noWall)
		}
		if got := boundValue(a, b, c); got != want.Int64() {
			t.Errorf("boundValue(%d, %d, %d) = %d, want %v", a, b, c, got, want)
		}
		if got := mulDiv(a, b, c); got != want.Int64() {
			t.Errorf("mulDiv(%d, %d, %d) = %d, want %v", a, b, c, got, want)
		}
	}
}

// A dual feasible function is a proof only if no extents that fit the whole come to
// more than its own whole.
func TestDualsAreFeasible(t *testing.T) {
	for whole := int64(1); whole <= 14; whole++ {
		every := make([]int64, whole)
		for i := range every {
			every[i] = int64(i + 1)
		}
		for _, d := range duals(every, whole, 100) {
			if most := mostThatFits(d, whole); most > d.whole {
				t.Errorf("%+v: extents come to %d", d, most)
			}
			if d.of(whole) > d.whole || d.of(0) != 0 {
				t.Errorf("%+v: the whole counts %d, nothing counts %d", d, d.of(whole), d.of(0))
			}
		}
	}
}

// mostThatFits is the most that extents that fit within room come to.
func mostThatFits(d dual, room int64) int64 {
	most := make([]int64, room+1)
	for r := range most {
		for x := 1; x <= r; x++ {
			most[r] = max(most[r], d.of(int64(x))+most[r-x])
		}
	}
	return most[room]
}

// Fewer functions are tried where extents are many, spread over all of them.
func TestDualsAreLimited(t *testing.T) {
	var extents []int64
	for e := int64(1); e < 900; e++ {
		extents = append(extents, e)
	}
	found := duals(extents, 900, 20)
	last := found[len(found)-1]
	if len(found) > 21 || last.at < 200 {
		t.Errorf("%d functions, the last %+v", len(found), last)
	}
}

// What fills another room is told exactly, against trying every set.
func TestFillAgainstTrying(t *testing.T) {
	for seed := range uint64(300) {
		r := seeded(seed)
		var extents []int64
		for range 1 + r.IntN(4) {
			extents = append(extents, 1+r.Int64N(12))
		}
		ds := duals(extents, 5+r.Int64N(15), 10)
		d, room := ds[r.IntN(len(ds))], 1+r.Int64N(25)
		want := int64(0)
		var try func(from int, left, value int64)
		try = func(from int, left, value int64) {
			want = max(want, value)
			for i := from; i < len(extents); i++ {
				if extents[i] <= left {
					try(i, left-extents[i], value+d.of(extents[i]))
				}
			}
		}
		try(0, room, 0)
		if got := d.fill(extents, room); got != want {
			t.Errorf("seed %d: %v fill %d to %d of %+v, want %d", seed, extents, room, got, d, want)
		}
	}
}

// A room too long to table is told by the function itself, or not at all.
func TestFillOfLongRooms(t *testing.T) {
	d := dual{extent: 1 << 23, whole: 1 << 23}
	if got := d.fill([]int64{3}, 1<<22); got != d.whole {
		t.Errorf("a shorter room: %d", got)
	}
	if got := d.fill([]int64{3}, 1<<24); got != noWall {
		t.Errorf("a longer room: %d", got)
	}
}
