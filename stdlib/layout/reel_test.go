package layout_test

import (
	"context"
	"math/rand/v2"
	"testing"

	"squab/stdlib/layout"
	"squab/stdlib/layout/verify"
)

// Reels worked out by hand: each row says why.
func TestReelsByHand(t *testing.T) {
	cord := []layout.StickStock{{Name: "cord", Long: 100}}
	piping := func(count int, long int64) layout.StickPiece {
		return layout.StickPiece{Name: "piping", Long: long, Count: count}
	}
	for _, c := range []struct {
		name   string
		rule   layout.StickRule
		stocks []layout.StickStock
		pieces []layout.StickPiece
		reels  int
		proved bool
	}{
		{"a length shorter than a join", layout.StickRule{Join: true, JoinSeam: 10}, cord, []layout.StickPiece{piping(1, 5)}, 1, true},
		{"a length of just a join", layout.StickRule{Join: true, JoinSeam: 10}, cord, []layout.StickPiece{piping(1, 10)}, 1, true},
		// A length that ends where its reel does needs no cut there.
		{"whole reels need no kerf", layout.StickRule{Join: true, Kerf: 1}, cord, []layout.StickPiece{piping(2, 100)}, 2, true},
		{"two cuts on one reel", layout.StickRule{Join: true, Kerf: 1}, cord, []layout.StickPiece{piping(2, 50)}, 2, true},
		{"one cut on one reel", layout.StickRule{Join: true, Kerf: 1}, cord, []layout.StickPiece{piping(1, 50), piping(1, 49)}, 1, true},
		// 50 and 50 fill a reel with nothing to join.
		{"halves need no join", layout.StickRule{Join: true, JoinSeam: 10}, cord, []layout.StickPiece{piping(4, 50)}, 2, true},
		// One after another they are 60, 40 and 20 + 10 of the second, 40 and 30 of the next, and 10 + 10.
		{"cut apart they need no join", layout.StickRule{Join: true, JoinSeam: 10}, cord, []layout.StickPiece{piping(2, 60), piping(2, 40)}, 2, true},
		// 120 is 100 and 20 + 2: the other 60 run on to 82.
		{"a length longer than a reel", layout.StickRule{Join: true, JoinSeam: 2}, cord, []layout.StickPiece{piping(1, 120), piping(1, 60)}, 2, true},
		// A rest of 10 is no longer than the join: what starts there starts on the next reel.
		{"too short a rest to join", layout.StickRule{Join: true, JoinSeam: 10}, cord, []layout.StickPiece{piping(1, 90), piping(1, 89)}, 2, true},
		// Two of 100 with a join hold 199: one of 200 takes a third.
		{"a join too many", layout.StickRule{Join: true, JoinSeam: 1}, cord, []layout.StickPiece{piping(1, 200)}, 3, false},
		{"nothing to cut", layout.StickRule{Join: true, JoinSeam: 1}, cord, []layout.StickPiece{piping(0, 200)}, 0, true},
		{"two only, cut apart", layout.StickRule{Join: true, JoinSeam: 10}, []layout.StickStock{{Name: "cord", Long: 100, Limit: 2}},
			[]layout.StickPiece{piping(2, 60), piping(2, 40)}, 2, true},
		// Too long a need to table: the one cheap reel there is and 999 of the others hold the rest.
		{"the cheap reel runs out", layout.StickRule{Join: true}, []layout.StickStock{{Name: "dear", Long: 1600, Price: 10}, {Name: "cheap", Long: 1601, Price: 1, Limit: 1}},
			[]layout.StickPiece{piping(10, 160_000)}, 1000, true},
	} {
		got, err := layout.LaySticks(context.Background(), c.stocks, c.rule, c.pieces, layout.Effort{})
		if err != nil {
			t.Fatal(err)
		}
		report(t, 0, c.name, verify.Sticks(c.stocks, c.rule, c.pieces, got))
		if len(got.Sheets) != c.reels || got.Proved != c.proved || got.SetUps != c.reels || len(got.Unplaced) > 0 {
			t.Errorf("%s: %d reels, %d set-ups, proved %v, unplaced %v, want %d proved %v", c.name, len(got.Sheets), got.SetUps, got.Proved, got.Unplaced, c.reels, c.proved)
		}
	}
}

// Where the reels are not enough every piece is refused once, and no reel is opened.
func TestTooFewReels(t *testing.T) {
	stocks, rule := []layout.StickStock{{Name: "cord", Long: 100, Limit: 1}}, layout.StickRule{Join: true}
	pieces := []layout.StickPiece{{Name: "long", Long: 500, Count: 1}, {Name: "slip", Long: 5, Mitre: 4, Count: 2}, {Name: "short", Long: 5, Count: 3}}
	got := laySticks(t, stocks, rule, pieces)
	refused := map[string]int{}
	for _, u := range got.Unplaced {
		refused[u.Piece] += u.Count
	}
	if refused["long"] != 1 || refused["slip"] != 2 || refused["short"] != 3 || len(got.Sheets) > 0 || got.Proved {
		t.Errorf("%d reels, proved %v, refused %+v", len(got.Sheets), got.Proved, got.Unplaced)
	}
}

// plantedReels runs lengths along reels, so that what those reels cost is enough.
func plantedReels(r *rand.Rand) (stocks []layout.StickStock, rule layout.StickRule, pieces []layout.StickPiece, cost int64) {
	rule = layout.StickRule{Join: true, Kerf: r.Int64N(3), JoinSeam: r.Int64N(8)}
	for range 1 + r.IntN(2) {
		stocks = append(stocks, layout.StickStock{Name: "cord", Long: within(r, 10, 60), Price: within(r, 1, 9)})
	}
	begun := int64(0) // of a length that runs on from the reel before
	for range 1 + r.IntN(5) {
		s := stocks[r.IntN(len(stocks))]
		cost += s.Price
		for x := int64(0); x < s.Long; {
			long := min(s.Long-x, within(r, 1, 40))
			if x += long; begun > 0 {
				long += begun - rule.JoinSeam
			}
			if begun = 0; x == s.Long && r.IntN(2) == 0 && long > 0 {
				begun = long
				break
			}
			pieces = append(pieces, layout.StickPiece{Name: "piping", Long: max(1, long), Count: 1})
			x += rule.Kerf
		}
	}
	if begun > 0 {
		pieces = append(pieces, layout.StickPiece{Name: "piping", Long: begun, Count: 1})
	}
	return stocks, rule, pieces, cost
}

func checkPlantedReels(t *testing.T, seed uint64, e layout.Effort) {
	stocks, rule, pieces, cost := plantedReels(rand.New(rand.NewPCG(seed, 86)))
	got, err := layout.LaySticks(context.Background(), stocks, rule, pieces, e)
	if err != nil || len(got.Unplaced) > 0 {
		t.Fatalf("seed %d: %v, unplaced %+v", seed, err, got.Unplaced)
	}
	report(t, seed, rule, verify.Sticks(stocks, rule, pieces, got))
	if got.CostBound > cost || got.Proved && got.Cost > cost {
		t.Errorf("seed %d: %d proved %v, bound %d, but %d is enough\n%+v\n%+v\n%+v", seed, got.Cost, got.Proved, got.CostBound, cost, stocks, rule, pieces)
	}
}
