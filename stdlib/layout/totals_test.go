package layout

import (
	"math/rand/v2"
	"testing"
)

// TestNextTotal holds the least total to sums tried one after another.
func TestNextTotal(t *testing.T) {
	for _, c := range []struct {
		costs       []int64
		least, want int64
	}{
		{[]int64{60, 96}, 48, 60},
		{[]int64{60, 96}, 61, 96},
		{[]int64{60, 96}, 97, 120},
		{[]int64{64, 36}, 44, 64},
		{[]int64{64, 36}, 65, 72},
		{[]int64{5}, 0, 0},
		{[]int64{0, 7}, 8, 14},
		{[]int64{0}, 8, 8},
		{[]int64{1, 1 << 30}, 1 << 40, 1 << 40}, // too many to table: the bound stays
	} {
		if got := nextTotal(c.costs, c.least); got != c.want {
			t.Errorf("of %v the next total from %d is %d, want %d", c.costs, c.least, got, c.want)
		}
	}
}

func TestNextTotalIsLeast(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	for range 200 {
		a, b := 1+rng.Int64N(40), 1+rng.Int64N(40)
		least := rng.Int64N(300)
		want := int64(-1)
		for x := int64(0); x*a <= least+a; x++ {
			for y := int64(0); x*a+y*b <= least+a+b; y++ {
				if sum := x*a + y*b; sum >= least && (want < 0 || sum < want) {
					want = sum
				}
			}
		}
		if got := nextTotal([]int64{a, b}, least); got != want {
			t.Errorf("of %d and %d the next total from %d is %d, want %d", a, b, least, got, want)
		}
	}
}
