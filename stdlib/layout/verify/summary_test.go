package verify_test

import (
	"testing"

	"squab/stdlib/layout"
	"squab/stdlib/layout/verify"
)

// Every two of these keep a kerf of 1 one way or the other, and each direction has a line that only touches: from edge to
// edge no saw of that kerf goes through.
//
//	 0    5 6   10
//	AAAAA  CCCC
//	DDDD   CCCC
//	DDDD BBBBB
func TestSawGoesThroughFromEdgeToEdge(t *testing.T) {
	pieces := []layout.Piece{
		{Name: "a", Wide: 5, Deep: 4, Count: 1}, {Name: "b", Wide: 5, Deep: 2, Count: 1}, {Name: "c", Wide: 4, Deep: 7, Count: 1}, {Name: "d", Wide: 4, Deep: 5, Count: 1},
	}
	for b, want := range map[int64]string{5: "does not come apart", 6: ""} {
		stocks := []layout.SheetStock{{Wide: 11, Deep: 10}}
		result := layout.Result{Used: 110, Waste: 110 - 78, Sheets: []layout.Sheet{{Wide: 11, Deep: 10}}, Placed: []layout.Placed{
			{Piece: "a", Copy: 1, Wide: 5, Deep: 4}, {Piece: "b", Item: 1, Copy: 1, X: b, Y: 8, Wide: 5, Deep: 2},
			{Piece: "c", Item: 2, Copy: 1, X: 6, Wide: 4, Deep: 7}, {Piece: "d", Item: 3, Copy: 1, Y: 5, Wide: 4, Deep: 5},
		}}
		expect(t, "a saw of 1", said(verify.Sheets(stocks, layout.SheetRule{Kerf: 1, Guillotine: true}, pieces, result)), want)
		expect(t, "free cuts", said(verify.Sheets(stocks, layout.SheetRule{Kerf: 1}, pieces, result)), "")
	}
}

// A pad of 4 by 4 lies in the corner of 20 by 20; a rest of 6 by 6 must keep the kerf of 2 from it, and from another rest.
func TestOffcutsKeepTheKerf(t *testing.T) {
	stocks, pieces := []layout.SheetStock{{Wide: 20, Deep: 20}}, []layout.Piece{{Name: "pad", Wide: 4, Deep: 4, Count: 1}}
	rest := func(name string, x, y int64) layout.Offcut {
		return layout.Offcut{Name: name, Rect: layout.Rect{X: x, Y: y, Wide: 6, Deep: 6}}
	}
	for _, c := range []struct {
		name    string
		least   layout.Size
		offcuts []layout.Offcut
		want    string
	}{
		{"beside the pad", layout.Size{}, []layout.Offcut{rest("rest", 6, 0)}, ""},
		{"too near beside it", layout.Size{}, []layout.Offcut{rest("rest", 5, 0)}, "rest overlaps pad copy 1 on sheet 0 or lies closer than 2"},
		{"beyond the pad", layout.Size{}, []layout.Offcut{rest("rest", 0, 6)}, ""},
		{"too near beyond it", layout.Size{}, []layout.Offcut{rest("rest", 0, 5)}, "rest overlaps pad"},
		{"two rests", layout.Size{}, []layout.Offcut{rest("rest", 6, 0), rest("other", 14, 0)}, ""},
		{"two rests too near", layout.Size{}, []layout.Offcut{rest("rest", 6, 0), rest("other", 13, 0)}, "other overlaps rest"},
		{"just large enough", layout.Size{Wide: 6, Deep: 6}, []layout.Offcut{rest("rest", 6, 0)}, ""},
		{"too narrow to be named", layout.Size{Wide: 7}, []layout.Offcut{rest("rest", 6, 0)}, "too small"},
		{"too short to be named", layout.Size{Deep: 7}, []layout.Offcut{rest("rest", 6, 0)}, "too small"},
	} {
		result := layout.Result{Used: 400, Waste: 384, Sheets: []layout.Sheet{{Wide: 20, Deep: 20}}, Placed: []layout.Placed{{Piece: "pad", Copy: 1, Wide: 4, Deep: 4}}, Offcuts: c.offcuts}
		expect(t, c.name, said(verify.Sheets(stocks, layout.SheetRule{Kerf: 2, LeastOffcut: c.least}, pieces, result)), c.want)
	}
}

// A rest of cloth keeps the gap from pads, and clear of flaws.
func TestOffcutsOfARoll(t *testing.T) {
	roll := layout.Roll{Wide: 30, Gap: 1, Flaws: []layout.Rect{{X: 20, Y: 3, Wide: 1, Deep: 1}}, LeastOffcut: layout.Size{Wide: 5}}
	pieces, placed := []layout.Piece{{Name: "pad", Wide: 4, Deep: 4, Count: 1}}, []layout.Placed{{Piece: "pad", Copy: 1, Wide: 4, Deep: 4}}
	for _, c := range []struct {
		x, wide int64
		want    string
	}{
		{5, 15, ""}, {4, 15, "closer than 1"}, {5, 16, "offcut 1 lies over a flaw at 20, 3"}, {22, 4, "too small"},
	} {
		expect(t, "rest", judged(roll, pieces, placed, func(r *layout.Result) {
			r.Offcuts = []layout.Offcut{{Name: "offcut 1", Rect: layout.Rect{X: c.x, Wide: c.wide, Deep: 4}}}
		}), c.want)
	}
}

// The back and the seat both end where the roll is cut off, the border does not.
func TestLengthIsSetByWhatEndsThere(t *testing.T) {
	pieces := []layout.Piece{{Name: "border", Wide: 5, Deep: 9, Count: 1}, {Name: "back", Wide: 5, Deep: 10, Count: 1}, {Name: "seat", Wide: 5, Deep: 10, Count: 1}}
	placed := []layout.Placed{
		{Piece: "border", Copy: 1, Wide: 5, Deep: 9}, {Piece: "back", Item: 1, Copy: 1, X: 5, Wide: 5, Deep: 10}, {Piece: "seat", Item: 2, Copy: 1, X: 10, Wide: 5, Deep: 10},
	}
	for _, c := range []struct {
		setBy []string
		want  string
	}{
		{[]string{"back", "seat"}, ""}, {[]string{"back"}, "set by"}, {[]string{"border", "back", "seat"}, "set by"}, {[]string{"seat", "back"}, "set by"}, {nil, "set by"},
	} {
		expect(t, "length", judged(layout.Roll{Wide: 20}, pieces, placed, func(r *layout.Result) { r.SetBy = c.setBy }), c.want)
	}
}

// Three laths of two set-ups: the first two are cut alike, in another order.
func TestSetUpsAreCounted(t *testing.T) {
	pieces := []layout.StickPiece{{Name: "rail", Long: 20, Count: 2}, {Name: "stay", Long: 10, Count: 3}}
	placed := []layout.Placed{
		{Piece: "rail", Copy: 1, Wide: 20}, {Piece: "stay", Item: 1, Copy: 1, X: 20, Wide: 10},
		{Piece: "stay", Item: 1, Copy: 2, Sheet: 1, Wide: 10}, {Piece: "rail", Copy: 2, Sheet: 1, X: 10, Wide: 20},
		{Piece: "stay", Item: 1, Copy: 3, Sheet: 2, Wide: 10},
	}
	for _, c := range []struct {
		name   string
		joins  bool
		setUps int
		want   string
	}{
		{"laths", false, 2, ""}, {"one too many", false, 3, "2 set-ups, not 3"}, {"one too few", false, 1, "2 set-ups"},
		{"reels are a set-up each", true, 3, ""}, {"reels", true, 2, "3 set-ups"},
	} {
		lath := layout.Sheet{Wide: 50}
		result := layout.Result{Used: 150, Waste: 80, SetUps: c.setUps, Sheets: []layout.Sheet{lath, lath, lath}, Placed: placed}
		expect(t, c.name, said(verify.Sticks([]layout.StickStock{{Long: 50}}, layout.StickRule{Join: c.joins}, pieces, result)), c.want)
	}
}

// Nested rails of 20 with mitres of 3 and of 4 need another set-up each; square ones do not.
func TestNestedMitresAreSetUpApart(t *testing.T) {
	pieces := []layout.StickPiece{{Name: "rail", Long: 20, Count: 1, Mitre: 3}, {Name: "rail", Long: 20, Count: 1, Mitre: 4}}
	placed := []layout.Placed{{Piece: "rail", Copy: 1, Wide: 20, Mitre: 3}, {Piece: "rail", Item: 1, Copy: 1, Sheet: 1, Wide: 20, Mitre: 4}}
	for nest, setUps := range map[bool]int{false: 1, true: 2} {
		result := layout.Result{Used: 100, Waste: 67, SetUps: setUps, Sheets: []layout.Sheet{{Wide: 50}, {Wide: 50}}, Placed: placed}
		expect(t, "rails", said(verify.Sticks([]layout.StickStock{{Long: 50}}, layout.StickRule{Nest: nest}, pieces, result)), "")
	}
}

// The rest of a lath is one, and long enough for its name.
func TestRestOfALath(t *testing.T) {
	rest := func(x, wide int64) layout.Offcut {
		return layout.Offcut{Name: "rest", Rect: layout.Rect{X: x, Wide: wide}}
	}
	for _, c := range []struct {
		name    string
		least   int64
		offcuts []layout.Offcut
		want    string
	}{
		{"sound", 29, []layout.Offcut{rest(21, 29)}, ""},
		{"too short", 30, []layout.Offcut{rest(21, 29)}, "too short to be named"},
		{"within the kerf", 0, []layout.Offcut{rest(20, 29)}, "rest overlaps rail"},
		{"two of them", 0, []layout.Offcut{rest(21, 9), rest(41, 9)}, "second rest"},
	} {
		result := layout.Result{Used: 50, Waste: 30, SetUps: 1, Sheets: []layout.Sheet{{Wide: 50}}, Placed: []layout.Placed{{Piece: "rail", Copy: 1, Wide: 20}}, Offcuts: c.offcuts}
		expect(t, c.name, said(verify.Sticks([]layout.StickStock{{Long: 50}}, layout.StickRule{Kerf: 1, LeastOffcut: c.least}, []layout.StickPiece{{Name: "rail", Long: 20, Count: 1}}, result)), c.want)
	}
}

// The parts of a piece that runs on show no mitres.
func TestPartsOfAReelShowNoMitres(t *testing.T) {
	pieces := []layout.StickPiece{{Name: "cord", Long: 60, Count: 1, Mitre: 2}}
	for mitre, want := range map[int64]string{0: "", 2: "has a mitre of 2, not 0"} {
		result := layout.Result{Used: 100, Waste: 100 - 60 + 2, SetUps: 2, Sheets: []layout.Sheet{{Wide: 50}, {Wide: 50}}, Placed: []layout.Placed{
			{Piece: "cord", Copy: 1, Wide: 50, Mitre: mitre}, {Piece: "cord", Copy: 1, Sheet: 1, Wide: 10, Part: 50},
		}}
		expect(t, "cord", said(verify.Sticks([]layout.StickStock{{Long: 50}}, layout.StickRule{Join: true}, pieces, result)), want)
	}
}
