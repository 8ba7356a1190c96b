package page

import (
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
)

func area(x, y, wide, deep int64) eval.Area {
	return eval.Area{X: quantity.Int(x), Y: quantity.Int(y), Wide: quantity.Int(wide), Deep: quantity.Int(deep)}
}

func opened(wide, deep int64) eval.Opened {
	return eval.Opened{Wide: quantity.Int(wide), Deep: quantity.Int(deep)}
}

// A roll lies on its side, its length to the right and what is across it upward; a sheet stands with its depth upward; a stick is as high as can be seen.
// The scales are worked by hand: 150 pixels for 50 in across, 240 for 96 in or 120 in, whichever side is met first.
func TestSheetsAreDrawnToScale(t *testing.T) {
	tests := []struct {
		name string
		d    sheetDrawing
		of   eval.Area
		want Rect
	}{
		{"a roll 50 in wide, 3 pixels an inch", onRoll(opened(50, 100)), area(0, 10, 20, 30), Rect{30, 90, 90, 60}},
		{"a long roll, 2 pixels an inch", onRoll(opened(50, 320)), area(30, 0, 20, 320), Rect{0, 0, 640, 40}},
		{"a sheet, 2 1/2 pixels an inch", onSheet(opened(96, 48)), area(10, 0, 20, 8), Rect{25, 100, 50, 20}},
		{"a deep sheet, 1 1/2 pixels an inch", onSheet(opened(40, 100)), area(0, 90, 40, 10), Rect{0, 0, 60, 15}},
		{"a stick, 2 pixels an inch", onSheet(opened(120, 0)), area(30, 0, 20, 0), Rect{60, 0, 40, stickHigh}},
	}
	for _, tt := range tests {
		if got := tt.d.at(tt.of); got != tt.want || !inside(got, tt.d.Outline) {
			t.Errorf("%s: %v on %v, want %v", tt.name, got, tt.d.Outline, tt.want)
		}
	}
}

// A mitred length has its long points below, and above where it is turned over.
func TestMitresAreDrawn(t *testing.T) {
	d := onSheet(opened(120, 0)) // 2 pixels an inch
	for turned, want := range map[bool]Path{false: "M20 18L100 18L94 0L26 0Z", true: "M20 0L100 0L94 18L26 18Z"} {
		if got := d.shape(d.at(area(10, 0, 40, 0)), quantity.Int(3), turned); got != want {
			t.Errorf("turned over %v: %s, want %s", turned, got, want)
		}
	}
}

// Motifs of a pattern 20 in across and 10 in along, the first at 5 in and 2 in, on a roll 50 in wide and 25 in long; in a half drop every second column
// stands 5 in on.
func TestMotifsStandWhereThePatternRepeats(t *testing.T) {
	for drop, want := range map[bool][]string{
		false: {"2 45", "12 45", "22 45", "2 25", "12 25", "22 25", "2 5", "12 5", "22 5"},
		true:  {"2 45", "12 45", "22 45", "7 25", "17 25", "2 5", "12 5", "22 5"},
	} {
		d := sheetDrawing{Outline: Rect{Wide: 25, High: 50}}
		d.motifs(eval.Repeat{Across: quantity.Int(20), Along: quantity.Int(10), First: eval.Point{X: quantity.Int(5), Y: quantity.Int(2)}, HalfDrop: drop}, opened(50, 25))
		var got []string
		for _, m := range d.Motifs {
			got = append(got, m.String())
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("half drop %v (-want +got):\n%s", drop, diff)
		}
	}
	for name, rep := range map[string]eval.Repeat{
		"none": {}, "along alone": {Along: quantity.Int(10)}, "across alone": {Across: quantity.Int(10)}, "too small to be seen": {Along: quantity.Frac(1, 2), Across: quantity.Frac(1, 2)},
	} {
		var d sheetDrawing
		if d.motifs(rep, opened(50, 25)); len(d.Motifs) > 0 {
			t.Errorf("%s: %d motifs", name, len(d.Motifs))
		}
	}
}

func TestPlacedTitle(t *testing.T) {
	r := newReasons(workroom(t)[0], "")
	at := area(0, 0, 46, 17)
	for want, p := range map[string]eval.Placed{
		"skin, copy 2, 46 by 17":                                       {Piece: "skin", Copy: 2, Area: at},
		"left seat: skin, copy 1, 46 by 17, panel 1":                   {Piece: "left_seat.skin", Copy: 1, Panel: 1, Area: at},
		"skin, copy 1, 46 by 17, panel 2, turned":                      {Piece: "skin", Copy: 1, Panel: 2, Turned: true, Area: at},
		"piping, copy 1, 46 by 17, cut into 4 strips on the bias":      {Piece: "piping", Copy: 1, Strips: 4, Area: at},
		"rail, copy 3, 46":                                             {Piece: "rail", Copy: 3, Area: area(10, 0, 46, 0)},
		"skin, copy 1, 46 by 17, cut into 1 strip on the bias, turned": {Piece: "skin", Copy: 1, Strips: 1, Turned: true, Area: at},
	} {
		if got := placedTitle(r, p); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
}

// laidAs is the layout of the fixture's first order on a material, with something else in it.
func laidAs(t *testing.T, r *eval.Result, material string, change func(*eval.Layout)) eval.Layout {
	t.Helper()
	for _, l := range r.Layouts {
		if l.Material.Name == material {
			change(&l)
			return l
		}
	}
	t.Fatalf("nothing is cut from %s", material)
	return eval.Layout{}
}

// What a layout uses, what nothing can use less than, and what several sizes come to.
func TestLayoutsSayWhatTheyUse(t *testing.T) {
	r := workroom(t)[0]
	money := &eval.Goal{Type: check.MoneyType(), Came: quantity.Int(128), Bound: quantity.Int(100)}
	tests := []struct {
		name, material    string
		change            func(*eval.Layout)
		used, goal, bound string
	}{
		{"proved", "birch_board", func(l *eval.Layout) { l.Proved = true }, "1 × sheet", "", ""},
		{"not proved", "birch_board", func(l *eval.Layout) { l.Proved, l.Used, l.Bound = false, quantity.Int(3), quantity.Int(2) }, "3 × sheet", "", "2 × sheet"},
		{"not proved, of a roll", "quay_velvet", func(l *eval.Layout) { l.Proved, l.Used, l.Bound = false, quantity.Int(126), quantity.Int(108) }, "3 1/2 yd", "", "3 yd"},
		{"by area alone", "quay_velvet", func(l *eval.Layout) { l.Proved, l.Laid, l.Used = false, false, quantity.Int(90) }, "2 1/2 yd", "", ""},
		{"several sizes", "birch_board", func(l *eval.Layout) { l.Proved, l.Goal = true, money }, "1 × sheet", "$128.00", ""},
		{"several sizes, not proved", "birch_board", func(l *eval.Layout) { l.Proved, l.Goal = false, money }, "1 × sheet", "$128.00", "$100.00"},
	}
	for _, tt := range tests {
		l := laidAs(t, r, tt.material, tt.change)
		v := newLayout(newReasons(r, ""), l)
		got := [3]string{v.Used.Shown}
		for i, n := range []*Num{v.Goal, v.Bound} {
			if n != nil {
				got[i+1] = n.Shown
			}
		}
		if want := [3]string{tt.used, tt.goal, tt.bound}; got != want || v.Laid != l.Laid {
			t.Errorf("%s: uses, comes to, and at least: %q, want %q", tt.name, got, want)
		}
	}
}

// So many sheets are drawn, and the rest are counted; each is named by its size where there are several.
func TestManySheets(t *testing.T) {
	r := workroom(t)[0]
	l := laidAs(t, r, "birch_board", func(l *eval.Layout) {
		l.Sheets, l.Placed, l.Offcuts = nil, nil, nil
		for i := range 30 {
			o := opened(96, 48)
			o.Name = fmt.Sprintf("size_%d", i%2+1)
			l.Sheets = append(l.Sheets, o)
			l.Placed = append(l.Placed, eval.Placed{Piece: "board", Copy: i + 1, Sheet: i + 1, Area: area(0, 0, 46, 17)})
			l.Offcuts = append(l.Offcuts, eval.Offcut{Name: fmt.Sprintf("left of %d", i+1), Sheet: i + 1, Area: area(46, 0, 50, 48)})
		}
	})
	for i, taken := range [][]eval.Taken{nil, {{Material: l.Material, Amount: quantity.Int(30)}}} {
		l.Taken = taken
		v := newLayout(newReasons(r, ""), l)
		if len(v.Sheets) != 24 || v.MoreSheets != 6 {
			t.Errorf("%d sheets are drawn and %d more counted, of 30", len(v.Sheets), v.MoreSheets)
		}
		if want := []string{"sheet 2", "sheet 2, size 2"}[i]; v.Sheets[1].Name != want {
			t.Errorf("the second sheet is %s, want %s", v.Sheets[1].Name, want)
		}
		for n, s := range v.Sheets {
			if len(s.Pieces) != 1 || s.Pieces[0].Title != fmt.Sprintf("board, copy %d, 46 by 17", n+1) || len(s.Offcuts) != 1 || s.Offcuts[0].Title != fmt.Sprintf("left of %d, 50 by 48", n+1) {
				t.Errorf("%s holds %s", s.Name, s.Summary())
			}
		}
	}
}
