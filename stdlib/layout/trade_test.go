package layout_test

import (
	"context"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"squab/stdlib/layout"
	"squab/stdlib/layout/verify"
)

// layRoll lays and verifies; a layout that is not sound ends the test.
func layRoll(t *testing.T, roll layout.Roll, pieces []layout.Piece, e layout.Effort) layout.Result {
	t.Helper()
	got, err := layout.LayRoll(context.Background(), roll, pieces, e)
	if err != nil {
		t.Fatal(err)
	}
	for _, err := range verify.Roll(roll, pieces, got) {
		t.Fatal(err)
	}
	return got
}

func laySheets(t *testing.T, stocks []layout.SheetStock, rule layout.SheetRule, pieces []layout.Piece) layout.Result {
	t.Helper()
	got, err := layout.LaySheets(context.Background(), stocks, rule, pieces, layout.Effort{})
	if err != nil {
		t.Fatal(err)
	}
	for _, err := range verify.Sheets(stocks, rule, pieces, got) {
		t.Fatal(err)
	}
	return got
}

func laySticks(t *testing.T, stocks []layout.StickStock, rule layout.StickRule, pieces []layout.StickPiece) layout.Result {
	t.Helper()
	got, err := layout.LaySticks(context.Background(), stocks, rule, pieces, layout.Effort{})
	if err != nil {
		t.Fatal(err)
	}
	for _, err := range verify.Sticks(stocks, rule, pieces, got) {
		t.Fatal(err)
	}
	return got
}

// Lengths worked out by hand: each row says why.
func TestRollLengthsByHand(t *testing.T) {
	square := func(side int64, count int) layout.Piece {
		return layout.Piece{Name: "squab top", Wide: side, Deep: side, Count: count}
	}
	matched := func(p layout.Piece) layout.Piece {
		p.Match = &layout.Point{X: p.Wide / 2, Y: p.Deep / 2}
		return p
	}
	for _, c := range []struct {
		name   string
		roll   layout.Roll
		pieces []layout.Piece
		used   int64
	}{
		// Worked example WE33: two 26 in pieces across 54 in cloth, 28 in long.
		{"drop-in seats in pairs", layout.Roll{Wide: 54}, []layout.Piece{{Name: "seat", Wide: 26, Deep: 28, Count: 2}}, 28},
		{"three across", layout.Roll{Wide: 54}, []layout.Piece{square(18, 3)}, 18},
		{"a gap of 1 leaves room for two", layout.Roll{Wide: 54, Gap: 1}, []layout.Piece{square(18, 3)}, 37},
		{"a long piece lies along unless turned", layout.Roll{Wide: 54}, []layout.Piece{{Name: "border", Wide: 5, Deep: 50, Count: 1}}, 50},
		{"railroaded", layout.Roll{Wide: 54}, []layout.Piece{{Name: "border", Wide: 5, Deep: 50, Count: 1, Turn: true}}, 5},
		// Two pieces of 30 cannot lie beside one another in 54: they stack, whole
		// repeats of 9 apart; the second starts at 36 and ends at 66.
		{"whole repeats", layout.Roll{Wide: 54, Repeat: layout.Repeat{Along: 9, First: layout.Point{Y: 15}}},
			[]layout.Piece{matched(square(30, 2))}, 6 + 66 - 6},
		// A flaw right across at 10 to 12 pushes what is longer than 10 beyond it.
		{"a flaw right across", layout.Roll{Wide: 54, Flaws: []layout.Rect{{Y: 10, Wide: 54, Deep: 2}}}, []layout.Piece{square(18, 1)}, 30},
		{"a flaw to one side", layout.Roll{Wide: 54, Flaws: []layout.Rect{{X: 0, Y: 10, Wide: 9, Deep: 2}}}, []layout.Piece{square(18, 2)}, 18},
		{"the remnant takes all", layout.Roll{Wide: 54, Remnants: []layout.Remnant{{Wide: 40, Deep: 20}}}, []layout.Piece{square(18, 2)}, 0},
		{"the remnant takes one", layout.Roll{Wide: 54, Remnants: []layout.Remnant{{Wide: 20, Deep: 20}}}, []layout.Piece{square(18, 2)}, 18},
	} {
		got := layRoll(t, c.roll, c.pieces, layout.Effort{})
		if got.Used != c.used {
			t.Errorf("%s: used %d, want %d", c.name, got.Used, c.used)
		}
	}
}

// A half drop sets every second column half a repeat on, so pieces a column apart
// stand half a repeat apart along the cloth.
func TestHalfDropSetsNeighboursHalfARepeatOn(t *testing.T) {
	roll := layout.Roll{Wide: 40, Repeat: layout.Repeat{Along: 10, Across: 20, HalfDrop: true}}
	pieces := []layout.Piece{{Name: "panel", Wide: 20, Deep: 10, Count: 2, Match: &layout.Point{}}}
	got := layRoll(t, roll, pieces, layout.Effort{})
	if got.Used != 15 || !got.Proved {
		t.Errorf("used %d proved %v, want 15 proved", got.Used, got.Proved)
	}
	roll.Repeat.HalfDrop = false
	if got := layRoll(t, roll, pieces, layout.Effort{}); got.Used != 10 {
		t.Errorf("straight repeat: used %d, want 10", got.Used)
	}
}

func panelsOf(r layout.Result) [][2]int64 {
	var out [][2]int64
	for _, p := range r.Placed {
		out = append(out, [2]int64{int64(p.Panel), p.Wide})
	}
	return out
}

// A cover of 70 in cloth of 54, seams of 1. Side by side: 54 and 70-54+2. Centred:
// a middle of 54 (52 when sewn) and two sides of 9+1.
func TestJoinedPanels(t *testing.T) {
	for _, c := range []struct {
		how  layout.JoinHow
		want map[int]int64
	}{
		{layout.JoinSideBySide, map[int]int64{1: 54, 2: 18}},
		{layout.JoinCentred, map[int]int64{1: 10, 2: 54, 3: 10}},
	} {
		piece := layout.Piece{Name: "headboard cover", Wide: 70, Deep: 30, Count: 1, Join: layout.Join{How: c.how, Seam: 1}}
		got := layRoll(t, layout.Roll{Wide: 54}, []layout.Piece{piece}, layout.Effort{})
		widths := map[int]int64{}
		for _, p := range panelsOf(got) {
			widths[int(p[0])] = p[1]
		}
		if diff := cmp.Diff(c.want, widths); diff != "" {
			t.Errorf("rule %d: %s", c.how, diff)
		}
	}
}

// On a patterned cloth the panels of one piece continue the pattern across the
// seam; the verifier works it out for itself.
func TestJoinedPanelsMatch(t *testing.T) {
	for _, how := range []layout.JoinHow{layout.JoinSideBySide, layout.JoinCentred} {
		roll := layout.Roll{Wide: 54, Repeat: layout.Repeat{Along: 12, Across: 6, HalfDrop: true}}
		piece := layout.Piece{Name: "bench cover", Wide: 90, Deep: 20, Count: 2, Join: layout.Join{How: how, Seam: 1}, Match: &layout.Point{X: 45, Y: 10}}
		if got := layRoll(t, roll, []layout.Piece{piece}, layout.Effort{}); len(got.Unplaced) > 0 {
			t.Errorf("rule %d: %+v", how, got.Unplaced)
		}
	}
}

// Worked example WE15: a 20 in square gives 200 in of 2 in bias in theory. On a
// grid of sixteenths, cutting whole 45° strips, some is lost to the corners but
// never more strip is claimed than the area holds.
func TestBiasFromASquare(t *testing.T) {
	const sixteenth = 16
	for _, want := range []int64{60, 100, 150} {
		roll := layout.Roll{Wide: 20 * sixteenth, Bias: []layout.Bias{{Name: "piping", Wide: 2 * sixteenth, Long: want * sixteenth}}}
		got := layRoll(t, roll, nil, layout.Effort{})
		if area := got.Used * roll.Wide; area < want*sixteenth*2*sixteenth {
			t.Errorf("%d in of 2 in strip out of %d square sixteenths", want, area)
		}
		if got.Used > 24*sixteenth {
			t.Errorf("%d in of strip takes %d sixteenths of 20 in cloth", want, got.Used)
		}
	}
}

func TestBiasComesOutOfOffcuts(t *testing.T) {
	roll := layout.Roll{Wide: 54, Bias: []layout.Bias{{Name: "piping", Wide: 1, Long: 60}}}
	pieces := []layout.Piece{{Name: "back", Wide: 30, Deep: 40, Count: 1}}
	got := layRoll(t, roll, pieces, layout.Effort{})
	if got.Used != 40 {
		t.Errorf("used %d, want the 40 of the piece alone", got.Used)
	}
}

// A workroom's own size: 30 pieces, repeat both ways, nap. An answer within a
// tenth of a second, never worse than rows laid by hand in decreasing width.
func workroomCase(seed uint64) (layout.Roll, []layout.Piece) {
	r := rand.New(rand.NewPCG(seed, 30))
	roll := layout.Roll{Name: "moss linen", Wide: 54 * 16, Repeat: layout.Repeat{Along: (9 + r.Int64N(18)) * 16, Across: (9 + r.Int64N(5)) * 16}}
	var pieces []layout.Piece
	for range 30 {
		p := layout.Piece{Name: "part", Wide: (4 + r.Int64N(26)) * 16, Deep: (4 + r.Int64N(30)) * 16, Count: 1}
		p.Match = &layout.Point{X: p.Wide / 2, Y: p.Deep / 2}
		pieces = append(pieces, p)
	}
	return roll, pieces
}

// byHand lays rows in decreasing width, each piece at the next place across where
// its motif falls, each row below the last, each piece down to its own motif.
func byHand(roll layout.Roll, pieces []layout.Piece) int64 {
	left := append([]layout.Piece(nil), pieces...)
	for i := range left {
		for j := i; j > 0 && left[j].Wide > left[j-1].Wide; j-- {
			left[j], left[j-1] = left[j-1], left[j]
		}
	}
	x, row, top := int64(0), int64(0), int64(0)
	for _, p := range left {
		at := next(x, -p.Match.X, roll.Repeat.Across)
		if at+p.Wide > roll.Wide {
			row, at = top, next(0, -p.Match.X, roll.Repeat.Across)
		}
		top = max(top, next(row, -p.Match.Y, roll.Repeat.Along)+p.Deep)
		x = at + p.Wide
	}
	return top
}

func next(from, at, step int64) int64 {
	for v := from; ; v++ {
		if (v-at)%step == 0 {
			return v
		}
	}
}

// unhurried is how long a small counted effort takes here now: some milliseconds,
// unless the machine is busy with other work.
func unhurried(t *testing.T) time.Duration {
	roll, pieces := workroomCase(0)
	began := time.Now()
	layRoll(t, roll, pieces, layout.Effort{Work: 20_000})
	return time.Since(began)
}

func TestNeverWorseThanByHand(t *testing.T) {
	slow := 0
	for seed := range uint64(12) {
		roll, pieces := workroomCase(seed)
		began := time.Now()
		got := layRoll(t, roll, pieces, layout.Effort{Time: 60 * time.Millisecond})
		if took := time.Since(began); took > 100*time.Millisecond && unhurried(t) < 10*time.Millisecond {
			slow++
		}
		if len(got.Unplaced) == 0 {
			if hand := byHand(roll, pieces); got.Used > hand {
				t.Errorf("seed %d: used %d, by hand %d", seed, got.Used, hand)
			}
		}
	}
	if slow > 6 {
		t.Errorf("%d of 12 took over 100 ms", slow)
	}
}

func BenchmarkWorkroom(b *testing.B) {
	gain, hands := int64(0), int64(0)
	for b.Loop() {
		for seed := range uint64(10) {
			roll, pieces := workroomCase(seed)
			got, err := layout.LayRoll(context.Background(), roll, pieces, layout.Effort{Time: 100 * time.Millisecond})
			if err != nil {
				b.Fatal(err)
			}
			if len(got.Unplaced) == 0 {
				hand := byHand(roll, pieces)
				gain, hands = gain+hand-got.Used, hands+hand
			}
		}
	}
	b.ReportMetric(float64(gain)*100/float64(max(1, hands)), "%-less-than-by-hand")
}

// Cutting a sheet of 10 by 10 into 5 by 5 with a kerf of 1 gives one piece, not four.
func TestKerfTakesItsShare(t *testing.T) {
	stocks := []layout.SheetStock{{Name: "foam", Wide: 10, Deep: 10}}
	pieces := []layout.Piece{{Name: "pad", Wide: 5, Deep: 5, Count: 4}}
	if got := laySheets(t, stocks, layout.SheetRule{Guillotine: true}, pieces); len(got.Sheets) != 1 || !got.Proved {
		t.Errorf("no kerf: %d sheets, proved %v", len(got.Sheets), got.Proved)
	}
	if got := laySheets(t, stocks, layout.SheetRule{Guillotine: true, Kerf: 1}, pieces); len(got.Sheets) != 4 {
		t.Errorf("kerf 1: %d sheets", len(got.Sheets))
	}
}

// Five pieces in a pinwheel fill a sheet by free cuts, but no straight cut from
// edge to edge leaves them whole.
func TestPinwheelNeedsFreeCuts(t *testing.T) {
	stocks := []layout.SheetStock{{Name: "board", Wide: 5, Deep: 5}}
	pieces := []layout.Piece{
		{Name: "arm", Wide: 3, Deep: 2, Count: 2}, {Name: "leg", Wide: 2, Deep: 3, Count: 2}, {Name: "hub", Wide: 1, Deep: 1, Count: 1},
	}
	if got := laySheets(t, stocks, layout.SheetRule{}, pieces); len(got.Sheets) != 1 {
		t.Errorf("free cuts: %d sheets", len(got.Sheets))
	}
	if got := laySheets(t, stocks, layout.SheetRule{Guillotine: true}, pieces); len(got.Sheets) != 2 {
		t.Errorf("guillotine: %d sheets", len(got.Sheets))
	}
}

// The cheaper mixture wins: one large board at 30 against two small ones at 12.
func TestLeastCostOfSeveralSizes(t *testing.T) {
	stocks := []layout.SheetStock{{Name: "large", Wide: 10, Deep: 10, Price: 3000}, {Name: "small", Wide: 10, Deep: 5, Price: 1200}}
	pieces := []layout.Piece{{Name: "shelf", Wide: 10, Deep: 5, Count: 2}}
	got := laySheets(t, stocks, layout.SheetRule{Guillotine: true}, pieces)
	if got.Cost != 2400 || !got.Proved {
		t.Errorf("cost %d proved %v", got.Cost, got.Proved)
	}
	stocks[1].Limit = 1
	if got := laySheets(t, stocks, layout.SheetRule{Guillotine: true}, pieces); got.Cost != 3000 {
		t.Errorf("one small only: cost %d", got.Cost)
	}
}

// Worked example WE28: a 16 by 20 in frame, sticks of 20, 20, 24 and 24 in, comes
// out of two 48 in lengths as 24 and 20 (44 of 48).
func TestFrameMouldingFromTwoLengths(t *testing.T) {
	stocks := []layout.StickStock{{Name: "moulding", Long: 48}}
	pieces := []layout.StickPiece{{Name: "short", Long: 20, Count: 2}, {Name: "long", Long: 24, Count: 2}}
	got := laySticks(t, stocks, layout.StickRule{}, pieces)
	if len(got.Sheets) != 2 || !got.Proved {
		t.Errorf("%d sticks, proved %v", len(got.Sheets), got.Proved)
	}
}

// Mitred lengths turned over alternately share their slanted cuts: three of 20
// with mitres of 2 take 20+18+18 where they nest, 60 where they do not.
func TestMitresNest(t *testing.T) {
	pieces := []layout.StickPiece{{Name: "slip", Long: 20, Count: 3, Mitre: 2}}
	for _, c := range []struct {
		nest bool
		long int64
		want int
	}{{true, 56, 1}, {true, 55, 2}, {false, 56, 2}, {false, 60, 1}} {
		got := laySticks(t, []layout.StickStock{{Name: "slip", Long: c.long}}, layout.StickRule{Nest: c.nest}, pieces)
		if len(got.Sheets) != c.want {
			t.Errorf("nest %v, stick of %d: %d sticks, want %d", c.nest, c.long, len(got.Sheets), c.want)
		}
	}
}

// Two reels of 100 hold three lengths of 60 only where a length may run on.
func TestReelJoins(t *testing.T) {
	stocks := []layout.StickStock{{Name: "cord", Long: 100}}
	pieces := []layout.StickPiece{{Name: "piping", Long: 60, Count: 3}}
	if got := laySticks(t, stocks, layout.StickRule{}, pieces); len(got.Sheets) != 3 {
		t.Errorf("no joins: %d reels", len(got.Sheets))
	}
	got := laySticks(t, stocks, layout.StickRule{Join: true, JoinSeam: 2}, pieces)
	if len(got.Sheets) != 2 || !got.Proved {
		t.Errorf("joins: %d reels, proved %v", len(got.Sheets), got.Proved)
	}
}

func TestFewSetUps(t *testing.T) {
	// Ten of 30 and ten of 20 out of 50: one pattern, cut ten times.
	stocks := []layout.StickStock{{Name: "lath", Long: 50}}
	pieces := []layout.StickPiece{{Name: "rail", Long: 30, Count: 10}, {Name: "stile", Long: 20, Count: 10}}
	if got := laySticks(t, stocks, layout.StickRule{}, pieces); got.SetUps != 1 || len(got.Sheets) != 10 {
		t.Errorf("%d set-ups, %d sticks", got.SetUps, len(got.Sheets))
	}
}
