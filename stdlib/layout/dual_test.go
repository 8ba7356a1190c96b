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
