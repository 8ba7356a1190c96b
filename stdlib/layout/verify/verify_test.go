package verify_test

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"squab/stdlib/layout"
	"squab/stdlib/layout/verify"
)

var effort = layout.Effort{Work: 50_000}

// spoil is one thing gone wrong with a layout and what the verifier must say.
type spoil struct {
	name string
	do   func(*layout.Result)
	says string
}

// check has the sound layout pass and each spoilt copy fail with the right words.
func check(t *testing.T, good layout.Result, spoils []spoil, judge func(layout.Result) []error) {
	t.Helper()
	for _, err := range judge(good) {
		t.Errorf("sound layout: %v", err)
	}
	for _, s := range spoils {
		bad := good
		bad.Placed, bad.Sheets = slices.Clone(good.Placed), slices.Clone(good.Sheets)
		bad.Offcuts, bad.Unplaced = slices.Clone(good.Offcuts), slices.Clone(good.Unplaced)
		s.do(&bad)
		found := judge(bad)
		if !slices.ContainsFunc(found, func(err error) bool { return strings.Contains(err.Error(), s.says) }) {
			t.Errorf("%s: want %q among %v", s.name, s.says, found)
		}
	}
}

func TestRollFaultsAreFound(t *testing.T) {
	roll := layout.Roll{
		Name: "moss linen", Wide: 54, Gap: 1, Repeat: layout.Repeat{Along: 8, Across: 6, HalfDrop: true},
		Flaws: []layout.Rect{{X: 0, Y: 70, Wide: 54, Deep: 1}},
		Bias:  []layout.Bias{{Name: "piping", Wide: 1, Long: 30}}, LeastOffcut: layout.Size{Wide: 4, Deep: 4},
	}
	pieces := []layout.Piece{
		{Name: "seat", Order: "A1", Wide: 20, Deep: 22, Count: 3, Match: &layout.Point{X: 10, Y: 11}},
		{Name: "cover", Wide: 80, Deep: 12, Count: 1, Join: layout.Join{How: layout.JoinSideBySide, Seam: 1}},
		{Name: "border", Wide: 30, Deep: 4, Count: 1, Turn: true},
	}
	good, err := layout.LayRoll(context.Background(), roll, pieces, effort)
	if err != nil {
		t.Fatal(err)
	}
	first := func(r *layout.Result, name string) *layout.Placed {
		return &r.Placed[slices.IndexFunc(r.Placed, func(p layout.Placed) bool { return p.Piece == name })]
	}
	check(t, good, []spoil{
		{"moved by one", func(r *layout.Result) { first(r, "seat").X++ }, "motif"},
		{"moved along by one", func(r *layout.Result) { first(r, "seat").Y++ }, "motif"},
		{"moved off the cloth", func(r *layout.Result) { first(r, "seat").X = 48 }, "outside"},
		{"moved before the end", func(r *layout.Result) { first(r, "border").Y = -1 }, "outside"},
		{"on top of another", func(r *layout.Result) { *first(r, "border") = shifted(*first(r, "border"), *first(r, "seat")) }, "overlap"},
		{"turned without leave", func(r *layout.Result) { first(r, "seat").Turned = true }, "turned"},
		{"ended without leave", func(r *layout.Result) { first(r, "seat").Ended = true }, "end for end"},
		{"made smaller", func(r *layout.Result) { first(r, "seat").Wide-- }, "not 20 by 22"},
		{"left out", func(r *layout.Result) { r.Placed = slices.Delete(r.Placed, 0, 1) }, "wanted"},
		{"cut twice", func(r *layout.Result) { r.Placed = append(r.Placed, *first(r, "seat")) }, "more than once"},
		{"no such copy", func(r *layout.Result) { first(r, "seat").Copy = 9 }, "no such copy"},
		{"another's name", func(r *layout.Result) { first(r, "seat").Order = "B2" }, "name of another"},
		{"a panel too narrow", func(r *layout.Result) { first(r, "cover").Wide-- }, "do not make"},
		{"a panel left out", func(r *layout.Result) { dropPanel(r, 2) }, "do not make"},
		{"used understated", func(r *layout.Result) { r.Used-- }, "not the"},
		{"bound over used", func(r *layout.Result) { r.Bound = r.Used + 1 }, "bound"},
		{"waste misstated", func(r *layout.Result) { r.Waste++ }, "waste"},
		{"bias left out", func(r *layout.Result) {
			r.Placed = slices.DeleteFunc(r.Placed, func(p layout.Placed) bool { return p.Strips > 0 })
		}, "bias piping"},
		{"over the flaw", func(r *layout.Result) { first(r, "border").Y = 68; first(r, "border").X = 0 }, "flaw"},
		{"an offcut over a piece", func(r *layout.Result) {
			r.Offcuts = append(r.Offcuts, layout.Offcut{Name: "offcut 9", Rect: layout.Rect{Wide: 54, Deep: 30}})
		}, "offcut 9 overlaps"},
		{"fewer strips than the cloth gives", func(r *layout.Result) {
			stripped(r).Strips--
		}, "strips, not"},
		{"strips nobody asked for", func(r *layout.Result) { stripped(r).Item = 9 }, "nobody asked for"},
		{"strips of another name", func(r *layout.Result) { stripped(r).Piece = "welt" }, "name of another"},
		{"so far off that sums overflow", func(r *layout.Result) { first(r, "seat").X = math.MaxInt64 - 5 }, "outside"},
		{"proved too soon", func(r *layout.Result) { r.Proved, r.Bound = true, r.Used-1 }, "proved, though"},
		{"an offcut of nothing", func(r *layout.Result) {
			r.Offcuts = append(r.Offcuts, layout.Offcut{Name: "offcut 9", Rect: layout.Rect{Y: r.Used, Wide: 54}})
		}, "offcut 9 is on no sheet"},
		{"an offcut off the cloth", func(r *layout.Result) {
			r.Offcuts = append(r.Offcuts, layout.Offcut{Name: "offcut 9", Rect: layout.Rect{X: 50, Wide: 54, Deep: 30}})
		}, "offcut 9 lies outside"},
	}, func(r layout.Result) []error { return verify.Roll(roll, pieces, r) })
}

// stripped is the first rectangle that is cut into bias strips.
func stripped(r *layout.Result) *layout.Placed {
	return &r.Placed[slices.IndexFunc(r.Placed, func(p layout.Placed) bool { return p.Strips > 0 })]
}

func shifted(p, to layout.Placed) layout.Placed {
	p.X, p.Y = to.X, to.Y
	return p
}

func dropPanel(r *layout.Result, panel int) {
	r.Placed = slices.DeleteFunc(r.Placed, func(p layout.Placed) bool { return p.Panel == panel })
}

func TestRollLimitsAreFound(t *testing.T) {
	roll := layout.Roll{Wide: 54, Long: 30, Remnants: []layout.Remnant{{Wide: 20, Deep: 20}}}
	pieces := []layout.Piece{{Name: "seat", Wide: 20, Deep: 20, Count: 2}}
	good, err := layout.LayRoll(context.Background(), roll, pieces, effort)
	if err != nil {
		t.Fatal(err)
	}
	check(t, good, []spoil{
		{"past the roll's end", func(r *layout.Result) { r.Placed[0].Y += 40 }, "of a roll of 30"},
		{"a remnant not given", func(r *layout.Result) { r.Sheets[1].Wide = 40 }, "not the remnant"},
		{"a sheet too many", func(r *layout.Result) { r.Placed[0].Sheet = 7 }, "no such sheet"},
	}, func(r layout.Result) []error { return verify.Roll(roll, pieces, r) })
}

func TestSheetFaultsAreFound(t *testing.T) {
	stocks := []layout.SheetStock{{Name: "foam", Wide: 20, Deep: 20, Price: 900, Limit: 2}}
	rule := layout.SheetRule{Guillotine: true, Stages: 2, Kerf: 1}
	pieces := []layout.Piece{{Name: "pad", Wide: 9, Deep: 9, Count: 4}, {Name: "strip", Wide: 20, Deep: 3, Count: 2}}
	good, err := layout.LaySheets(context.Background(), stocks, rule, pieces, effort)
	if err != nil {
		t.Fatal(err)
	}
	check(t, good, []spoil{
		{"cut into strips", func(r *layout.Result) { r.Placed[0].Strips = 2 }, "nobody asked for"},
		{"across the grain", func(r *layout.Result) { lieAcross(r, "strip") }, "strip copy 1 on sheet 1 is turned"},
		{"past the edge by the least", func(r *layout.Result) { r.Placed[0].X = 20 - r.Placed[0].Wide + 1 }, "outside"},
		{"waste misstated", func(r *layout.Result) { r.Waste-- }, "not as stated"},
		{"area misstated", func(r *layout.Result) { r.Used++ }, "not as stated"},
		{"left out", func(r *layout.Result) { r.Placed = r.Placed[1:] }, "wanted"},
		{"cut twice", func(r *layout.Result) { r.Placed = append(r.Placed, r.Placed[0]) }, "more than once"},
		{"another price", func(r *layout.Result) { r.Sheets[0].Price-- }, "not as its stock"},
		{"refused as well as laid", func(r *layout.Result) { r.Unplaced = append(r.Unplaced, layout.Unplaced{Count: 1}) }, "1 refused"},
		{"no room for the saw", func(r *layout.Result) { moveBeside(r) }, "closer than 1"},
		{"cost understated", func(r *layout.Result) { r.Cost-- }, "not as stated"},
		{"another size", func(r *layout.Result) { r.Sheets[0].Wide = 30 }, "not as its stock"},
		{"one sheet too many", func(r *layout.Result) { r.Sheets = append(r.Sheets, r.Sheets[0]) }, "only 2"},
		{"no stock", func(r *layout.Result) { r.Sheets[0].Stock = 4 }, "of no stock"},
		{"proved too soon", func(r *layout.Result) { r.Proved, r.CostBound = true, r.Cost-1 }, "proved, though"},
		{"proven cost over the cost", func(r *layout.Result) { r.CostBound = r.Cost + 1 }, "proven cost"},
	}, func(r layout.Result) []error { return verify.Sheets(stocks, rule, pieces, r) })
}

// lieAcross gives the first copy of a piece a quarter turn where it lies.
func lieAcross(r *layout.Result, piece string) {
	p := &r.Placed[slices.IndexFunc(r.Placed, func(p layout.Placed) bool { return p.Piece == piece && p.Copy == 1 })]
	p.Turned, p.Wide, p.Deep = true, p.Deep, p.Wide
	p.X, p.Y = 0, 0
}

// moveBeside puts the second pad against the first.
func moveBeside(r *layout.Result) {
	pads := []int{}
	for i, p := range r.Placed {
		if p.Piece == "pad" {
			pads = append(pads, i)
		}
	}
	a, b := &r.Placed[pads[0]], &r.Placed[pads[1]]
	b.Sheet, b.X, b.Y = a.Sheet, a.X+a.Wide, a.Y
}

// pinwheel is four pieces round a fifth: no straight cut leaves all five whole.
func pinwheel() layout.Result {
	put := func(item, copies int, x, y, wide, deep int64) layout.Placed {
		return layout.Placed{Piece: []string{"arm", "leg", "hub"}[item], Item: item, Copy: copies, X: x, Y: y, Wide: wide, Deep: deep}
	}
	return layout.Result{
		Form: layout.FormSheet, Used: 25, Sheets: []layout.Sheet{{Wide: 5, Deep: 5}},
		Placed: []layout.Placed{put(0, 1, 0, 0, 3, 2), put(1, 1, 3, 0, 2, 3), put(0, 2, 2, 3, 3, 2), put(1, 2, 0, 2, 2, 3), put(2, 1, 2, 2, 1, 1)},
	}
}

func TestGuillotineIsChecked(t *testing.T) {
	stocks := []layout.SheetStock{{Wide: 5, Deep: 5}}
	pieces := []layout.Piece{{Name: "arm", Wide: 3, Deep: 2, Count: 2}, {Name: "leg", Wide: 2, Deep: 3, Count: 2}, {Name: "hub", Wide: 1, Deep: 1, Count: 1}}
	if found := verify.Sheets(stocks, layout.SheetRule{}, pieces, pinwheel()); found != nil {
		t.Errorf("free cuts: %v", found)
	}
	if found := verify.Sheets(stocks, layout.SheetRule{Guillotine: true}, pieces, pinwheel()); len(found) != 1 {
		t.Errorf("guillotine: %v", found)
	}
}

// Two rows of different strips: one change of direction is not enough.
func TestStagesAreCounted(t *testing.T) {
	stocks := []layout.SheetStock{{Wide: 6, Deep: 6}}
	pieces := []layout.Piece{{Name: "a", Wide: 2, Deep: 3, Count: 3}, {Name: "b", Wide: 3, Deep: 3, Count: 2}}
	result := layout.Result{Used: 36, Sheets: []layout.Sheet{{Wide: 6, Deep: 6}}, Placed: []layout.Placed{
		{Piece: "a", Copy: 1, Wide: 2, Deep: 3}, {Piece: "a", Copy: 2, X: 2, Wide: 2, Deep: 3}, {Piece: "a", Copy: 3, X: 4, Wide: 2, Deep: 3},
		{Piece: "b", Item: 1, Copy: 1, Y: 3, Wide: 3, Deep: 3}, {Piece: "b", Item: 1, Copy: 2, X: 3, Y: 3, Wide: 3, Deep: 3},
	}}
	for stages, faults := range map[int]int{1: 1, 2: 0, 3: 0, 0: 0} {
		found := verify.Sheets(stocks, layout.SheetRule{Guillotine: true, Stages: stages}, pieces, result)
		if len(found) != faults {
			t.Errorf("%d stages: %v", stages, found)
		}
	}
}

func TestStickFaultsAreFound(t *testing.T) {
	stocks := []layout.StickStock{{Name: "lath", Long: 60, Price: 5, Limit: 4}}
	rule := layout.StickRule{Kerf: 1, Nest: true}
	pieces := []layout.StickPiece{{Name: "rail", Long: 20, Count: 3, Mitre: 3}, {Name: "stay", Long: 15, Count: 2}}
	good, err := layout.LaySticks(context.Background(), stocks, rule, pieces, effort)
	if err != nil {
		t.Fatal(err)
	}
	check(t, good, []spoil{
		{"no kerf", func(r *layout.Result) { r.Placed[1].X-- }, "overlaps"},
		{"off the stick", func(r *layout.Result) { r.Placed[0].X = 50 }, "outside"},
		{"cut short", func(r *layout.Result) { r.Placed[0].Wide-- }, "long, not"},
		{"not turned over", func(r *layout.Result) {
			for i := range r.Placed {
				r.Placed[i].Turned = false
			}
		}, "overlaps"},
		{"cost misstated", func(r *layout.Result) { r.Cost++ }, "not as stated"},
		{"on no stick", func(r *layout.Result) { r.Placed[0].Sheet = 9 }, "no such stick"},
		{"another stock", func(r *layout.Result) { r.Sheets[0].Wide = 90 }, "not as its stock"},
		{"left out", func(r *layout.Result) { r.Placed = r.Placed[1:] }, "wanted"},
		{"another's name", func(r *layout.Result) { r.Placed[0].Piece = "brace" }, "name of another"},
		{"another order's", func(r *layout.Result) { r.Placed[0].Order = "B2" }, "name of another"},
		{"another mitre", func(r *layout.Result) { r.Placed[0].Mitre++ }, "has a mitre"},
		{"a piece that was not asked for", func(r *layout.Result) { r.Placed[0].Item = 9 }, "no such copy"},
		{"a piece before the first", func(r *layout.Result) { r.Placed[1].Item = -1 }, "no such copy"},
		{"an offcut over a piece", func(r *layout.Result) { r.Offcuts[0].X-- }, "offcut 1 overlaps"},
		{"an offcut past the end", func(r *layout.Result) { r.Offcuts[0].Wide++ }, "offcut 1 lies outside"},
		{"an offcut of no stick", func(r *layout.Result) { r.Offcuts[0].Sheet = 9 }, "offcut 1 is on no stick"},
		{"proved too soon", func(r *layout.Result) { r.Proved, r.CostBound = true, r.Cost-1 }, "proved, though"},
	}, func(r layout.Result) []error { return verify.Sticks(stocks, rule, pieces, r) })
}

func TestReelFaultsAreFound(t *testing.T) {
	stocks := []layout.StickStock{{Name: "cord", Long: 100, Limit: 2}}
	rule := layout.StickRule{Join: true, JoinSeam: 2}
	pieces := []layout.StickPiece{{Name: "piping", Long: 60, Count: 3}}
	good, err := layout.LaySticks(context.Background(), stocks, rule, pieces, effort)
	if err != nil {
		t.Fatal(err)
	}
	check(t, good, []spoil{
		{"a part out of its order", func(r *layout.Result) { laterPart(r).Part++ }, "along its piece"},
		{"a part named the first", func(r *layout.Result) { laterPart(r).Part = 0 }, "more than once"},
		{"a part cut twice", func(r *layout.Result) { r.Placed = append(r.Placed, *laterPart(r)) }, "do not make"},
		{"a part left out", func(r *layout.Result) {
			r.Placed = slices.DeleteFunc(r.Placed, func(p layout.Placed) bool { return p.Part > 0 })
		}, "do not make"},
		{"cut into strips", func(r *layout.Result) { r.Placed[0].Strips = 2 }, "nobody asked for"},
		{"no join allowed for", func(r *layout.Result) { r.Placed[len(r.Placed)-2].Wide -= 2 }, "do not make"},
		{"a piece that was not asked for", func(r *layout.Result) { r.Placed[0].Item = 9 }, "no such piece"},
		{"proved too soon", func(r *layout.Result) { r.Proved, r.Bound = true, r.Used-1 }, "proved, though"},
		{"too many reels", func(r *layout.Result) { r.Sheets = append(r.Sheets, r.Sheets[0]) }, "only 2"},
	}, func(r layout.Result) []error { return verify.Sticks(stocks, rule, pieces, r) })
}

// laterPart is the first part that runs on from another reel.
func laterPart(r *layout.Result) *layout.Placed {
	return &r.Placed[slices.IndexFunc(r.Placed, func(p layout.Placed) bool { return p.Part > 0 })]
}

// Motifs every 10 along and every 6 across, every second column 5 further on: a
// match point is on a motif only where both offsets, drop included, come out.
func TestEveryStepOffTheMotifIsFound(t *testing.T) {
	piece := layout.Piece{Name: "back", Wide: 8, Deep: 8, Count: 1, Match: &layout.Point{X: 4, Y: 4}}
	roll := layout.Roll{Wide: 30, Repeat: layout.Repeat{Along: 10, Across: 6, HalfDrop: true, First: layout.Point{X: 6, Y: 10}}}
	motifs := map[layout.Point]bool{}
	for column := range 7 {
		for row := range 7 {
			motifs[layout.Point{X: int64(6 * (column - 1)), Y: int64(10*(row-1) + 5*(column%2))}] = true
		}
	}
	for x := range int64(23) {
		for y := range int64(23) {
			result := layout.Result{Used: y + 8, Waste: 30*(y+8) - 64, SetBy: []string{"back"}, Sheets: []layout.Sheet{{Stock: -1, Wide: 30, Deep: y + 8}},
				Placed: []layout.Placed{{Piece: "back", Copy: 1, X: x, Y: y, Wide: 8, Deep: 8}}}
			want := motifs[layout.Point{X: x + 4, Y: y + 4}]
			if found := verify.Roll(roll, []layout.Piece{piece}, result); (found == nil) != want {
				t.Errorf("back at %d, %d: a motif %t, found %v", x, y, want, found)
			}
		}
	}
}

func TestBestCutFaultsAreFound(t *testing.T) {
	size := layout.Size{Wide: 10, Deep: 10}
	items := []layout.Valued{{Name: "pad", Wide: 5, Deep: 4, Value: 7, Most: 2}}
	good, err := layout.BestCut(context.Background(), size, 0, items, effort)
	if err != nil {
		t.Fatal(err)
	}
	if found := verify.BestCut(size, 0, items, good); found != nil {
		t.Fatalf("sound cut: %v", found)
	}
	for name, do := range map[string]func(*layout.Cut){
		"value overstated":  func(c *layout.Cut) { c.Value++ },
		"another name":      func(c *layout.Cut) { c.Placed[0].Piece = "lid" },
		"a copy cut twice":  func(c *layout.Cut) { c.Placed[0].Copy = 2 },
		"turned in name":    func(c *layout.Cut) { c.Placed[0].Turned = true },
		"no such item":      func(c *layout.Cut) { c.Placed[0].Item = 9 },
		"too near the next": func(c *layout.Cut) { c.Placed[1].X, c.Placed[1].Y = 1, 1 },
		"one too many": func(c *layout.Cut) {
			c.Placed = append(c.Placed, layout.Placed{Piece: "pad", X: 0, Y: 6, Wide: 5, Deep: 4})
			c.Value += 7
		},
		"another size":            func(c *layout.Cut) { c.Placed[0].Wide = 4 },
		"off the sheet":           func(c *layout.Cut) { c.Placed[0].X = 9 },
		"proved too soon":         func(c *layout.Cut) { c.Bound++ },
		"a bound under the value": func(c *layout.Cut) { c.Proved, c.Bound = false, c.Bound-1 },
	} {
		bad := good
		bad.Placed = slices.Clone(good.Placed)
		do(&bad)
		if verify.BestCut(size, 0, items, bad) == nil {
			t.Errorf("%s: nothing found", name)
		}
	}
}
