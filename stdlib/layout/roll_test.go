package layout_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/stdlib/layout"
)

// Three of either would lie in 20 turned, in 24 as they are. One sort may be turned, the
// other only end for end: both have two ways to lie, and are one size with one match point.
func TestPiecesOfOneSizeKeepTheirOwnTurns(t *testing.T) {
	roll := layout.Roll{Name: "moss linen", Wide: 24, Repeat: layout.Repeat{Along: 1}}
	turns := layout.Piece{Name: "border", Wide: 20, Deep: 8, Count: 3, Match: &layout.Point{}, Turn: true}
	ends := layout.Piece{Name: "band", Wide: 20, Deep: 8, Count: 3, Match: &layout.Point{}, EndForEnd: true}
	for _, pieces := range [][]layout.Piece{{turns, ends}, {ends, turns}} {
		if got := layRoll(t, roll, pieces, layout.Effort{Work: 20_000}); got.Used != 44 || !got.Proved {
			t.Errorf("%s first: used %d, proved %v, want 20 and 24", pieces[0].Name, got.Used, got.Proved)
		}
	}
}

// What may lie no way but turned on the roll may lie as it is on a remnant that is wider.
func TestRemnantWiderThanTheCloth(t *testing.T) {
	roll := layout.Roll{Name: "moss linen", Wide: 20, Remnants: []layout.Remnant{{Wide: 30, Deep: 10}}}
	got := layRoll(t, roll, []layout.Piece{{Name: "border", Wide: 30, Deep: 10, Count: 1, Turn: true}}, quick)
	if got.Used != 0 || !got.Proved {
		t.Errorf("used %d, proved %v", got.Used, got.Proved)
	}
	// Joined on the roll it takes 10 and 10, but whole on the remnant nothing: no more than that is proved.
	joined := layout.Piece{Name: "cover", Wide: 28, Deep: 10, Count: 1, Join: layout.Join{How: layout.JoinSideBySide, Seam: 1}}
	roll.Remnants[0].Deep = 9
	if got := layRoll(t, roll, []layout.Piece{joined, joined}, quick); got.Proved || got.Bound > 15 {
		t.Errorf("used %d, bound %d, proved %v", got.Used, got.Bound, got.Proved)
	}
}

// The seat goes on the first remnant, which holds nothing else; a back on the other.
func TestBoundCountsEveryRemnant(t *testing.T) {
	roll := layout.Roll{Name: "moss linen", Wide: 10, Remnants: []layout.Remnant{{Wide: 6, Deep: 6}, {Wide: 9, Deep: 20}}}
	pieces := []layout.Piece{{Name: "seat", Wide: 6, Deep: 6, Count: 1}, {Name: "back", Wide: 9, Deep: 12, Count: 2}}
	got := layRoll(t, roll, pieces, quick)
	if got.Used != 12 || got.Bound != (36+2*108-36-180+9)/10 || got.BoundRests != "the area of the pieces less the remnants over the usable width" {
		t.Errorf("used %d, at least %d by %s", got.Used, got.Bound, got.BoundRests)
	}
}

// The two slips are more cloth than the band, so they go on the remnant, and the band takes
// 8 of the roll; the other way round 5 would do. A piece as wide as a remnant needs no gap there.
func TestBoundKnowsWhatARemnantMightHold(t *testing.T) {
	roll := layout.Roll{Name: "moss linen", Wide: 21, Gap: 1, Remnants: []layout.Remnant{{Wide: 10, Deep: 10}}}
	pieces := []layout.Piece{{Name: "slip", Wide: 10, Deep: 4, Count: 1}, {Name: "border", Wide: 10, Deep: 5, Count: 1}, {Name: "band", Wide: 10, Deep: 8, Count: 1}}
	if got := layRoll(t, roll, pieces, quick); got.Bound > 5 || got.Proved {
		t.Errorf("used %d, at least %d, proved %v", got.Used, got.Bound, got.Proved)
	}
	// What is left does not go on the remnant, so all that is known of the roll holds.
	roll = layout.Roll{Name: "moss linen", Wide: 10, Remnants: []layout.Remnant{{Wide: 6, Deep: 6}}}
	pieces = []layout.Piece{{Name: "seat", Wide: 6, Deep: 6, Count: 1}, {Name: "back", Wide: 9, Deep: 12, Count: 2}}
	if got := layRoll(t, roll, pieces, quick); got.Used != 24 || !got.Proved {
		t.Errorf("used %d, proved %v", got.Used, got.Proved)
	}
}

// Seats and backs of one size are one kind to the engine, and told apart where they lie.
func TestLengthIsSetByWhatEndsThere(t *testing.T) {
	piece := func(name string, deep int64) layout.Piece {
		return layout.Piece{Name: name, Wide: 20, Deep: deep, Count: 1}
	}
	for _, c := range []struct {
		name   string
		roll   layout.Roll
		pieces []layout.Piece
		want   []string
	}{
		{"one below the other", layout.Roll{Wide: 20}, []layout.Piece{piece("seat", 10), piece("back", 10)}, []string{"back"}},
		{"side by side", layout.Roll{Wide: 40}, []layout.Piece{piece("seat", 10), piece("back", 10)}, []string{"seat", "back"}},
		{"one name of two pieces", layout.Roll{Wide: 40}, []layout.Piece{piece("seat", 10), piece("seat", 10)}, []string{"seat"}},
		{"all on a remnant", layout.Roll{Wide: 20, Remnants: []layout.Remnant{{Wide: 20, Deep: 10}}}, []layout.Piece{piece("seat", 10)}, nil},
		{"piping at the end", layout.Roll{Wide: 20, Bias: []layout.Bias{{Name: "piping", Wide: 1, Long: 30}}}, []layout.Piece{piece("seat", 10)}, []string{"piping"}},
	} {
		got := layRoll(t, c.roll, c.pieces, quick)
		if diff := cmp.Diff(c.want, got.SetBy); diff != "" {
			t.Errorf("%s: %s", c.name, diff)
		}
	}
}

// Of a roll too short for all, what is proved is of the pieces that are laid.
func TestRollTooShort(t *testing.T) {
	roll := layout.Roll{Name: "moss linen", Wide: 20, Long: 25}
	seats := []layout.Piece{{Name: "seat", Wide: 19, Deep: 10, Count: 4}}
	got := layRoll(t, roll, seats, quick)
	if got.Used != 20 || got.Bound != 19 || got.Proved || len(got.Unplaced) != 1 || got.Unplaced[0].Count != 2 {
		t.Errorf("used %d, at least %d, proved %v, refused %+v", got.Used, got.Bound, got.Proved, got.Unplaced)
	}
	roll.Long = 5
	if got := layRoll(t, roll, seats, quick); got.Used != 0 || got.Proved || got.Unplaced[0].Count != 4 {
		t.Errorf("used %d, proved %v, refused %+v", got.Used, got.Proved, got.Unplaced)
	}
}

// A cover of two panels does not fit; the piping then starts where the cover would have.
func TestRefusedJoinLeavesItsPlace(t *testing.T) {
	roll := layout.Roll{Name: "moss linen", Wide: 20, Long: 25, Bias: []layout.Bias{{Name: "piping", Wide: 1, Long: 30}}}
	cover := layout.Piece{Name: "cover", Wide: 30, Deep: 20, Count: 1, Join: layout.Join{How: layout.JoinSideBySide, Seam: 1}}
	got := layRoll(t, roll, []layout.Piece{cover}, quick)
	if len(got.Placed) != 1 || got.Placed[0].Y != 0 || got.Used > 5 {
		t.Errorf("used %d: %+v", got.Used, got.Placed)
	}
}

func TestSeamsThatMakeNoSense(t *testing.T) {
	for _, seam := range []int64{-1, -1 << 40, layout.MaxMeasure + 1} {
		for _, how := range []layout.JoinHow{layout.JoinCentred, layout.JoinSideBySide} {
			cover := layout.Piece{Name: "cover", Wide: 140, Deep: 10, Count: 1, Join: layout.Join{How: how, Seam: seam}}
			got := layRoll(t, layout.Roll{Wide: 54}, []layout.Piece{cover, {Name: "seat", Wide: 20, Deep: 10, Count: 1}}, quick)
			if len(got.Unplaced) != 1 || got.Unplaced[0].Reason != "its seam is less than zero, or past the limit" || got.Used != 10 {
				t.Errorf("a seam of %d, rule %d: used %d, %+v", seam, how, got.Used, got.Unplaced)
			}
		}
	}
}

// A motif as wide as the cloth stands once across it.
func TestRepeatAsWideAsTheCloth(t *testing.T) {
	roll := layout.Roll{Name: "moss linen", Wide: 54, Repeat: layout.Repeat{Along: 10, Across: 54, First: layout.Point{X: 27}}}
	seat := layout.Piece{Name: "seat", Wide: 20, Deep: 10, Count: 2, Match: &layout.Point{X: 10}}
	if got := layRoll(t, roll, []layout.Piece{seat}, quick); got.Used != 20 || !got.Proved {
		t.Errorf("used %d, proved %v", got.Used, got.Proved)
	}
}
