package layout

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// Whatever the batch, ranks come out as a full sort would give them.
func TestRankingMatchesAFullSort(t *testing.T) {
	for seed := range uint64(200) {
		r := rand.New(rand.NewPCG(seed, 4))
		scores := make([]int64, 1+r.IntN(400))
		for i := range scores {
			scores[i] = r.Int64N(1 + r.Int64N(500))
		}
		var order ranking
		order.rank(len(scores), func(i int) int64 { return scores[i] })
		full := slices.Clone(order.ranks)
		slices.SortFunc(full, compareRanks)
		batch := 1 + r.IntN(60)
		for i := range scores {
			if got := order.next(i, batch); got != full[i] {
				t.Fatalf("seed %d, batch %d: place %d is %v, want %v", seed, batch, i, got, full[i])
			}
		}
	}
}
