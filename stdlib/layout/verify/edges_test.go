package verify_test

import (
	"slices"
	"strings"
	"testing"

	"squab/stdlib/layout"
	"squab/stdlib/layout/verify"
)

// judged lays the rectangles given on a roll, with sums that are right, and joins what the verifier says.
func judged(roll layout.Roll, pieces []layout.Piece, placed []layout.Placed, change func(*layout.Result)) string {
	result := layout.Result{Placed: placed}
	for _, p := range placed {
		result.Used = max(result.Used, p.Y+p.Deep)
		result.Waste -= p.Wide * p.Deep
	}
	for _, p := range placed {
		if p.Y+p.Deep == result.Used && !slices.Contains(result.SetBy, p.Piece) {
			result.SetBy = append(result.SetBy, p.Piece)
		}
	}
	result.Waste += roll.Wide * result.Used
	result.Sheets = []layout.Sheet{{Stock: -1, Wide: roll.Wide, Deep: result.Used}}
	if change != nil {
		change(&result)
	}
	return said(verify.Roll(roll, pieces, result))
}

func said(found []error) string {
	var all []string
	for _, err := range found {
		all = append(all, err.Error())
	}
	return strings.Join(all, "; ")
}

// expect has the verifier say one thing, or nothing where want is empty.
func expect(t *testing.T, name, got, want string) {
	t.Helper()
	if want == "" && got != "" || !strings.Contains(got, want) {
		t.Errorf("%s: want %q, said %q", name, want, got)
	}
}

// A piece of 4 by 4 stands at 10, 10; another just keeps a gap of 2, or does not by the least step.
func TestGapIsKeptOnEverySide(t *testing.T) {
	pieces := []layout.Piece{{Name: "pad", Wide: 4, Deep: 4, Count: 2}}
	for _, c := range []struct {
		name string
		x, y int64
		want string
	}{
		{"right of it", 16, 10, ""}, {"too near on the right", 15, 10, "closer than 2"},
		{"left of it", 4, 10, ""}, {"too near on the left", 5, 10, "closer than 2"},
		{"beyond it", 10, 16, ""}, {"too near beyond", 10, 15, "closer than 2"},
		{"before it", 10, 4, ""}, {"too near before", 10, 5, "closer than 2"},
		{"too near at a corner", 15, 15, "closer than 2"},
	} {
		placed := []layout.Placed{{Piece: "pad", Copy: 1, X: 10, Y: 10, Wide: 4, Deep: 4}, {Piece: "pad", Copy: 2, X: c.x, Y: c.y, Wide: 4, Deep: 4}}
		expect(t, c.name, judged(layout.Roll{Wide: 30, Gap: 2}, pieces, placed, nil), c.want)
	}
}

// A flaw of 3 by 3 stands at 10, 10.
func TestFlawIsClearOnEverySide(t *testing.T) {
	roll := layout.Roll{Wide: 30, Flaws: []layout.Rect{{X: 10, Y: 10, Wide: 3, Deep: 3}}}
	pieces := []layout.Piece{{Name: "pad", Wide: 4, Deep: 4, Count: 1}}
	for _, c := range []struct {
		name string
		x, y int64
		want string
	}{
		{"left of it", 6, 10, ""}, {"over its left edge", 7, 10, "over a flaw"},
		{"right of it", 13, 10, ""}, {"over its right edge", 12, 10, "over a flaw"},
		{"before it", 10, 6, ""}, {"over its near edge", 10, 7, "over a flaw"},
		{"beyond it", 10, 13, ""}, {"over its far edge", 10, 12, "over a flaw"},
	} {
		placed := []layout.Placed{{Piece: "pad", Copy: 1, X: c.x, Y: c.y, Wide: 4, Deep: 4}}
		expect(t, c.name, judged(roll, pieces, placed, nil), c.want)
	}
}

// The match point of an 8 by 6 piece, 2 from its left and 1 from its near edge, goes round with the piece: a quarter
// turn brings it to 5, 2, a half turn to 6, 5, both to 1, 6. Motifs stand every 9 across and every 10 along.
func TestMatchPointTurnsWithItsPiece(t *testing.T) {
	roll := layout.Roll{Wide: 30, Repeat: layout.Repeat{Along: 10, Across: 9}}
	pieces := []layout.Piece{{Name: "back", Wide: 8, Deep: 6, Count: 1, Turn: true, EndForEnd: true, Match: &layout.Point{X: 2, Y: 1}}}
	for _, c := range []struct {
		name          string
		turned, ended bool
		point         layout.Point
	}{
		{"as it is", false, false, layout.Point{X: 2, Y: 1}},
		{"a quarter turn", true, false, layout.Point{X: 5, Y: 2}},
		{"a half turn", false, true, layout.Point{X: 6, Y: 5}},
		{"both", true, true, layout.Point{X: 1, Y: 6}},
	} {
		p := layout.Placed{Piece: "back", Copy: 1, X: 9 - c.point.X, Y: 10 - c.point.Y, Wide: 8, Deep: 6, Turned: c.turned, Ended: c.ended}
		if c.turned {
			p.Wide, p.Deep = p.Deep, p.Wide
		}
		expect(t, c.name, judged(roll, pieces, []layout.Placed{p}, nil), "")
		p.X++
		expect(t, c.name+", one across", judged(roll, pieces, []layout.Placed{p}, nil), "motif")
		p.X, p.Y = p.X-1, p.Y+1
		expect(t, c.name+", one along", judged(roll, pieces, []layout.Placed{p}, nil), "motif")
	}
}

// A cover of 16 is made of 10 and 8 less a seam of 1 on either side of the join.
func TestPanelsAreAsTheJoinAllows(t *testing.T) {
	joined := layout.Join{How: layout.JoinSideBySide, Seam: 1}
	first := layout.Placed{Piece: "cover", Copy: 1, Panel: 1, Wide: 10, Deep: 5}
	second := layout.Placed{Piece: "cover", Copy: 1, Panel: 2, Y: 5, Wide: 8, Deep: 5}
	short, wide := second, first
	short.Deep, wide.Wide = 4, 11
	for _, c := range []struct {
		name   string
		join   layout.Join
		placed []layout.Placed
		want   string
	}{
		{"sound", joined, []layout.Placed{first, second}, ""},
		{"a panel too short", joined, []layout.Placed{first, short}, "no panel of a joined piece"},
		{"a panel wider than the cloth", joined, []layout.Placed{wide, second}, "no panel of a joined piece"},
		{"no join allowed", layout.Join{Seam: 1}, []layout.Placed{first, second}, "no panel of a joined piece"},
	} {
		pieces := []layout.Piece{{Name: "cover", Wide: 16, Deep: 5, Count: 1, Join: c.join}}
		expect(t, c.name, judged(layout.Roll{Wide: 10}, pieces, c.placed, nil), c.want)
	}
}

// One strip 1 wide fits on the slant into 6 by 4; it is 4√2 long, so 5 whole steps.
func TestBiasIsMeasuredToTheStep(t *testing.T) {
	placed := []layout.Placed{{Piece: "piping", Wide: 6, Deep: 4, Strips: 1}}
	for long, want := range map[int64]string{5: "", 6: "bias piping: 5 of 6"} {
		roll := layout.Roll{Wide: 10, Bias: []layout.Bias{{Name: "piping", Wide: 1, Long: long}}}
		expect(t, "piping", judged(roll, nil, placed, nil), want)
	}
}

func TestRollIsCountedAsItLies(t *testing.T) {
	pieces := []layout.Piece{{Name: "pad", Wide: 4, Deep: 4, Count: 1}}
	offcut := func(y, deep int64) func(*layout.Result) {
		return func(r *layout.Result) {
			r.Offcuts = []layout.Offcut{{Name: "offcut 1", Rect: layout.Rect{X: 4, Y: y, Wide: 6, Deep: deep}}}
		}
	}
	for _, c := range []struct {
		name   string
		change func(*layout.Result)
		want   string
	}{
		{"an offcut beside the pad", offcut(0, 4), ""},
		{"an offcut past the end", offcut(1, 4), "offcut 1 lies outside"},
		{"a roll longer than used", func(r *layout.Result) { r.Sheets[0].Deep++ }, "not as used"},
		{"a pad past the end", func(r *layout.Result) { r.Sheets[0].Deep-- }, "pad copy 1 on sheet 0 lies outside"},
		{"a copy numbered 0", func(r *layout.Result) { r.Placed[0].Copy = 0 }, "no such copy"},
		{"a pad refused too", func(r *layout.Result) { r.Unplaced = []layout.Unplaced{{Count: 1}} }, "1 laid and 1 refused"},
		{"a bias refused is no pad", func(r *layout.Result) { r.Unplaced = []layout.Unplaced{{Count: 1, Bias: true}} }, ""},
	} {
		placed := []layout.Placed{{Piece: "pad", Copy: 1, Wide: 4, Deep: 4}}
		expect(t, c.name, judged(layout.Roll{Wide: 10}, pieces, placed, c.change), c.want)
	}
}

// A remnant's motifs stand where its own first motif does, not where the roll's does.
func TestRemnantHasItsOwnFirstMotif(t *testing.T) {
	roll := layout.Roll{Wide: 30, Repeat: layout.Repeat{Along: 10, Across: 9}, Remnants: []layout.Remnant{{Wide: 20, Deep: 20, First: layout.Point{X: 3, Y: 4}}}}
	pieces := []layout.Piece{{Name: "back", Wide: 8, Deep: 6, Count: 1, Match: &layout.Point{X: 2, Y: 1}}}
	for at, want := range map[layout.Point]string{{X: 1, Y: 3}: "", {X: 10, Y: 13}: "", {X: 7, Y: 9}: "motif"} {
		result := layout.Result{Sheets: []layout.Sheet{{Stock: -1, Wide: 30}, {Stock: -2, Wide: 20, Deep: 20}},
			Placed: []layout.Placed{{Piece: "back", Copy: 1, Sheet: 1, X: at.X, Y: at.Y, Wide: 8, Deep: 6}}}
		expect(t, "on the remnant", said(verify.Roll(roll, pieces, result)), want)
	}
}

// A cover of 16 is a middle of 10 and two sides of 5, less a seam of 1 on either side of both joins.
func TestCentredJoinHasEqualSides(t *testing.T) {
	pieces := []layout.Piece{{Name: "cover", Wide: 16, Deep: 5, Count: 1, Join: layout.Join{How: layout.JoinCentred, Seam: 1}}}
	for left, want := range map[int64]string{5: "", 4: "not equal", 6: "not equal"} {
		placed := []layout.Placed{
			{Piece: "cover", Copy: 1, Panel: 1, Wide: left, Deep: 5},
			{Piece: "cover", Copy: 1, Panel: 2, Y: 5, Wide: 10, Deep: 5},
			{Piece: "cover", Copy: 1, Panel: 3, Y: 10, Wide: 10 - left, Deep: 5},
		}
		expect(t, "sides", judged(layout.Roll{Wide: 10}, pieces, placed, nil), want)
	}
}

// The second cover has the first of its two panels only.
func TestEveryCopyHasEveryPanel(t *testing.T) {
	pieces := []layout.Piece{{Name: "cover", Wide: 16, Deep: 5, Count: 2, Join: layout.Join{How: layout.JoinSideBySide, Seam: 1}}}
	placed := []layout.Placed{
		{Piece: "cover", Copy: 1, Panel: 1, Wide: 10, Deep: 5},
		{Piece: "cover", Copy: 1, Panel: 2, Y: 5, Wide: 8, Deep: 5},
		{Piece: "cover", Copy: 2, Panel: 1, Y: 10, Wide: 10, Deep: 5},
	}
	expect(t, "covers", judged(layout.Roll{Wide: 10}, pieces, placed, nil), "item 0 copy 2 lacks panel 2")
}

// Rails share a slant of 3 with each other, turned over; a rail and a square stay share none. A rail covers 17, the mean
// of its sides.
func TestOnlyEqualMitresNest(t *testing.T) {
	stocks := []layout.StickStock{{Name: "lath", Long: 50}}
	rule := layout.StickRule{Kerf: 1, Nest: true}
	for _, c := range []struct {
		name   string
		mitre  int64
		turned bool
		start  int64
		want   string
	}{
		{"nested rails", 3, true, 18, ""},
		{"rails nested too far", 3, true, 17, "overlaps"},
		{"rails the same way up", 3, false, 18, "overlaps"},
		{"a rail and a stay", 0, true, 18, "overlaps"},
		{"a rail and a stay apart", 0, true, 21, ""},
	} {
		pieces := []layout.StickPiece{{Name: "rail", Long: 20, Count: 1, Mitre: 3}, {Name: "next", Long: 20, Count: 1, Mitre: c.mitre}}
		result := layout.Result{Used: 50, Waste: 13 + c.mitre, SetUps: 1, Sheets: []layout.Sheet{{Wide: 50}}, Placed: []layout.Placed{
			{Piece: "next", Item: 1, Copy: 1, X: c.start, Wide: 20, Mitre: c.mitre, Turned: c.turned},
			{Piece: "rail", Copy: 1, Wide: 20, Mitre: 3},
		}}
		expect(t, c.name, said(verify.Sticks(stocks, rule, pieces, result)), c.want)
	}
}
