package layout_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/stdlib/layout"
)

// Three slips of 20 that share slants of 2 take 56 of stick, and cover 18 each.
func TestSharedSlantsAreCountedOnce(t *testing.T) {
	pieces := []layout.StickPiece{{Name: "slip", Long: 20, Count: 3, Mitre: 2}}
	for _, c := range []struct {
		name         string
		stocks       []layout.StickStock
		bound, waste int64
	}{
		{"one size", []layout.StickStock{{Long: 56}}, 56, 2},
		{"two sizes", []layout.StickStock{{Long: 56}, {Long: 90}}, 56, 2},
		{"the longer cheaper", []layout.StickStock{{Long: 56, Price: 9}, {Long: 90, Price: 7}}, 56, 36},
	} {
		got := laySticks(t, c.stocks, layout.StickRule{Nest: true}, pieces)
		if got.Bound != c.bound || got.Waste != c.waste || !got.Proved {
			t.Errorf("%s: bound %d, waste %d, proved %v, want %d and %d", c.name, got.Bound, got.Waste, got.Proved, c.bound, c.waste)
		}
	}
}

// Cord of 3 lots of 60 from reels of 100: the one join is on the bill, and no part of
// what longer reels would need.
func TestReelsAreBoundedWithoutTheirJoins(t *testing.T) {
	pieces := []layout.StickPiece{{Name: "piping", Long: 60, Count: 3, Mitre: 2}}
	stocks := []layout.StickStock{{Name: "short", Long: 100, Price: 4}, {Name: "long", Long: 180, Price: 90}}
	got := laySticks(t, stocks, layout.StickRule{Join: true, JoinSeam: 5}, pieces)
	if got.Cost != 8 || got.Bound != 180 || got.Waste != 200-180-5+3*2 {
		t.Errorf("cost %d, bound %d, waste %d", got.Cost, got.Bound, got.Waste)
	}
}

// A piece refused for its own sake is refused once, whatever else is short.
func TestRefusedOnce(t *testing.T) {
	pieces := []layout.StickPiece{{Name: "stay", Long: 10, Count: 2, Mitre: 6}, {Name: "cord", Long: 60, Count: 2}, {Name: "tape", Long: 30, Count: 1}}
	mitre := layout.Unplaced{Piece: "stay", Count: 2, Reason: "its mitre is less than zero or over half its length", Help: "give how much shorter the short side is at one end"}
	for _, c := range []struct {
		name   string
		join   bool
		limit  int
		short  string
		others []layout.Unplaced
	}{
		{"reels", true, 1, "reels", []layout.Unplaced{{Piece: "cord", Item: 1, Count: 2}, {Piece: "tape", Item: 2, Count: 1}}},
		{"sticks", false, 1, "sticks", []layout.Unplaced{{Piece: "cord", Item: 1, Count: 1}}},
		{"sticks enough", false, 2, "sticks", nil},
	} {
		want := []layout.Unplaced{mitre}
		for _, u := range c.others {
			u.Reason, u.Help = "there are not enough "+c.short, "allow more "+c.short
			want = append(want, u)
		}
		got := laySticks(t, []layout.StickStock{{Long: 100, Limit: c.limit}}, layout.StickRule{Join: c.join}, pieces)
		if diff := cmp.Diff(want, got.Unplaced); diff != "" || got.Proved {
			t.Errorf("%s: proved %v, %s", c.name, got.Proved, diff)
		}
	}
}

// The largest measures and counts that are taken on are laid on reels, though no table
// could hold what they need.
func TestReelsOfTheLargestMeasures(t *testing.T) {
	rule := layout.StickRule{Join: true, Kerf: layout.MaxMeasure}
	for _, c := range []struct {
		name        string
		long, reels int64
	}{
		{"pieces as long as a reel", layout.MaxMeasure, layout.MaxCopies},
		{"pieces of a reel and a little", layout.MaxMeasure - 3, 0},
	} {
		pieces := []layout.StickPiece{{Name: "cord", Long: layout.MaxMeasure, Count: layout.MaxCopies}}
		got := laySticks(t, []layout.StickStock{{Name: "reel", Long: c.long}, {Name: "card", Long: 2, Limit: 3}}, rule, pieces)
		if int64(len(got.Sheets)) != c.reels || (len(got.Unplaced) > 0) != (c.reels == 0) {
			t.Errorf("%s: %d reels, %+v", c.name, len(got.Sheets), got.Unplaced)
		}
	}
}
