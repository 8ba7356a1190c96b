package verify_test

import (
	"testing"

	"squab/stdlib/layout"
	"squab/stdlib/layout/verify"
)

// A pad of 4 on a roll of 4 is just long enough; on a roll of 3 it is not.
func TestRollsOfTheLeastLength(t *testing.T) {
	pieces := []layout.Piece{{Name: "pad", Wide: 4, Deep: 4, Count: 1}}
	placed := []layout.Placed{{Piece: "pad", Copy: 1, Wide: 4, Deep: 4}}
	expect(t, "just enough", judged(layout.Roll{Wide: 10, Long: 4}, pieces, placed, nil), "")
	expect(t, "one short", judged(layout.Roll{Wide: 10, Long: 3}, pieces, placed, nil), "of a roll of 3")
	another := func(r *layout.Result) { r.Sheets = append(r.Sheets, layout.Sheet{Stock: -2, Wide: 9, Deep: 9}) }
	expect(t, "a remnant where none was given", judged(layout.Roll{Wide: 10}, pieces, placed, another), "not the remnant")
}

// The one strip of 6 by 4 is 5 whole steps; a seam of 1 on both ends is 2√2 on the slant and takes 3 of them.
func TestBiasLosesItsSeams(t *testing.T) {
	placed := []layout.Placed{{Piece: "piping", Wide: 6, Deep: 4, Strips: 1}}
	for long, want := range map[int64]string{2: "", 3: "bias piping: 2 of 3"} {
		roll := layout.Roll{Wide: 10, Bias: []layout.Bias{{Name: "piping", Wide: 1, Seam: 1, Long: long}}}
		expect(t, "piping", judged(roll, nil, placed, nil), want)
	}
}

// A refused pad does not excuse the piping.
func TestRefusedPieceExcusesNoBias(t *testing.T) {
	roll := layout.Roll{Wide: 10, Bias: []layout.Bias{{Name: "piping", Wide: 1, Long: 5}}}
	pieces := []layout.Piece{{Name: "pad", Wide: 4, Deep: 4, Count: 1}}
	refuse := func(r *layout.Result) { r.Unplaced = []layout.Unplaced{{Count: 1}} }
	expect(t, "piping", judged(roll, pieces, nil, refuse), "bias piping: 0 of 5")
}

func TestSheetIsAsDeepAsItsStock(t *testing.T) {
	result := layout.Result{Used: 100, Waste: 100, Sheets: []layout.Sheet{{Wide: 10, Deep: 11}}}
	stocks := []layout.SheetStock{{Wide: 10, Deep: 10}}
	expect(t, "too deep", said(verify.Sheets(stocks, layout.SheetRule{}, nil, result)), "not as its stock")
}

// A rail of 20 covers 17, the mean of its two sides.
func TestStickIsCountedAsItLies(t *testing.T) {
	stocks := []layout.StickStock{{Long: 50}}
	pieces := []layout.StickPiece{{Name: "rail", Long: 20, Count: 1, Mitre: 3}}
	for _, c := range []struct {
		name     string
		join     bool
		x, waste int64
		mitre    int64
		want     string
	}{
		{"sound", false, 0, 33, 3, ""},
		{"a reel's whole piece has its mitres", true, 0, 33, 3, ""},
		{"a reel's whole piece without its mitres", true, 0, 33, 0, "has a mitre of 0, not 3"},
		{"waste misstated", false, 0, 30, 3, "not as stated"},
		{"before the end", false, -1, 33, 3, "outside the stick"},
	} {
		result := layout.Result{Used: 50, Waste: c.waste, SetUps: 1, Sheets: []layout.Sheet{{Wide: 50}},
			Placed: []layout.Placed{{Piece: "rail", Copy: 1, X: c.x, Wide: 20, Mitre: c.mitre}}}
		expect(t, c.name, said(verify.Sticks(stocks, layout.StickRule{Join: c.join}, pieces, result)), c.want)
	}
}
