package verify_test

import (
	"strings"
	"testing"

	"squab/stdlib/layout"
	"squab/stdlib/layout/verify"
)

// A pad of 4 by 4 called a panel would be let off its size, and a second one called a part off its count.
func TestSheetPieceMustBeWhole(t *testing.T) {
	stocks := []layout.SheetStock{{Wide: 10, Deep: 10}}
	pieces := []layout.Piece{{Name: "pad", Wide: 4, Deep: 4, Count: 1}}
	pad := layout.Placed{Piece: "pad", Copy: 1, Wide: 4, Deep: 4}
	small, spare := pad, pad
	small.Panel, small.Wide = 1, 3
	spare.Part, spare.X = 4, 4
	for _, c := range []struct {
		name   string
		placed []layout.Placed
		waste  int64
		want   string
	}{
		{"sound", []layout.Placed{pad}, 84, ""},
		{"too small, called a panel", []layout.Placed{small}, 88, "must be whole"},
		{"one too many, called a part", []layout.Placed{pad, spare}, 68, "must be whole"},
	} {
		result := layout.Result{Used: 100, Waste: c.waste, Sheets: []layout.Sheet{{Wide: 10, Deep: 10}}, Placed: c.placed}
		expect(t, c.name, said(verify.Sheets(stocks, layout.SheetRule{}, pieces, result)), c.want)
	}
}

func TestRollPieceHasNoReelParts(t *testing.T) {
	pieces := []layout.Piece{{Name: "pad", Wide: 4, Deep: 4, Count: 1}}
	pad := layout.Placed{Piece: "pad", Copy: 1, Wide: 4, Deep: 4}
	spare := pad
	spare.Part, spare.X = 4, 4
	expect(t, "sound", judged(layout.Roll{Wide: 10}, pieces, []layout.Placed{pad}, nil), "")
	expect(t, "one too many", judged(layout.Roll{Wide: 10}, pieces, []layout.Placed{pad, spare}, nil), "must be whole")
}

// Two rails of 20 would do as one too many, the second called a part, where no join is allowed.
func TestStickPieceIsJoinedOnlyByRule(t *testing.T) {
	stocks := []layout.StickStock{{Long: 50}}
	pieces := []layout.StickPiece{{Name: "rail", Long: 20, Count: 1}}
	rail := layout.Placed{Piece: "rail", Copy: 1, Wide: 20}
	spare, panel := rail, rail
	spare.Part, spare.X, panel.Panel = 20, 20, 1
	for _, c := range []struct {
		name   string
		placed []layout.Placed
		waste  int64
		want   string
	}{
		{"sound", []layout.Placed{rail}, 30, ""},
		{"one too many, called a part", []layout.Placed{rail, spare}, 10, "must be whole"},
		{"called a panel", []layout.Placed{panel}, 30, "must be whole"},
	} {
		result := layout.Result{Used: 50, Waste: c.waste, SetUps: 1, Sheets: []layout.Sheet{{Wide: 50}}, Placed: c.placed}
		expect(t, c.name, said(verify.Sticks(stocks, layout.StickRule{}, pieces, result)), c.want)
	}
}

// Eight joined covers each lack their second panel: they are told of from the first to the last, every time.
func TestFaultsAreToldInOrder(t *testing.T) {
	pieces := []layout.Piece{{Name: "cover", Wide: 16, Deep: 5, Count: 9, Join: layout.Join{How: layout.JoinSideBySide, Seam: 1}}}
	placed := []layout.Placed{{Piece: "cover", Copy: 9, Panel: 2, Y: 60, Wide: 8, Deep: 5}}
	for i := range 9 {
		placed = append(placed, layout.Placed{Piece: "cover", Copy: 9 - i, Panel: 1, Y: int64(5 * i), Wide: 10, Deep: 5})
	}
	first := judged(layout.Roll{Wide: 10}, pieces, placed, nil)
	if a, b := strings.Index(first, "copy 1 lacks"), strings.Index(first, "copy 8 lacks"); a < 0 || b < a {
		t.Errorf("out of order: %s", first)
	}
	for range 20 {
		if again := judged(layout.Roll{Wide: 10}, pieces, placed, nil); again != first {
			t.Fatalf("told as %s, then as %s", first, again)
		}
	}
}
