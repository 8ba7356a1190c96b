package layout_test

import (
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"github.com/google/go-cmp/cmp"

	"squab/stdlib/layout"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden compares a text with testdata, or writes it there with -update.
func golden(t *testing.T, file, got string) {
	t.Helper()
	path := filepath.Join("testdata", file)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v (run with -update to write it)", err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s: %s", file, diff)
	}
}

func inches(v int64) string {
	if v%4 == 0 {
		return fmt.Sprintf("%d in", v/4)
	}
	return fmt.Sprintf("%d %d/4 in", v/4, v%4)
}

func drawnLayouts(t *testing.T) map[string]layout.Result {
	t.Helper()
	roll := layout.Roll{
		Name: "moss linen", Wide: 216, Repeat: layout.Repeat{Along: 54, Across: 72, First: layout.Point{X: 36, Y: 20}},
		Flaws: []layout.Rect{{X: 200, Y: 30, Wide: 16, Deep: 8}}, LeastOffcut: layout.Size{Wide: 24, Deep: 24},
		Bias: []layout.Bias{{Name: "piping", Wide: 6, Long: 300}}, Remnants: []layout.Remnant{{Wide: 90, Deep: 60}},
	}
	pieces := []layout.Piece{
		{Name: "seat", Order: "A1", Wide: 88, Deep: 96, Count: 2, Match: &layout.Point{X: 44, Y: 48}},
		{Name: "border", Order: "A1", Wide: 180, Deep: 17, Count: 3, Turn: true},
		{Name: "cover", Order: "B2", Wide: 260, Deep: 50, Count: 1, Join: layout.Join{How: layout.JoinCentred, Seam: 2}},
	}
	half := roll
	half.Repeat.HalfDrop, half.Remnants, half.Bias = true, nil, nil
	boards := []layout.SheetStock{{Name: "ply", Wide: 240, Deep: 480, Price: 4200}}
	laths := []layout.StickStock{{Name: "lath", Long: 384, Price: 300}}
	return map[string]layout.Result{
		"roll":     layRoll(t, roll, pieces, layout.Effort{Work: 100_000}),
		"halfdrop": layRoll(t, half, pieces, layout.Effort{Work: 100_000}),
		"sheet":    laySheets(t, boards, layout.SheetRule{Kerf: 1, Guillotine: true, LeastOffcut: layout.Size{Wide: 40, Deep: 40}}, []layout.Piece{{Name: "lid", Wide: 100, Deep: 140, Count: 5}, {Name: "end", Wide: 60, Deep: 60, Count: 4}}),
		"stick":    laySticks(t, laths, layout.StickRule{Kerf: 1, LeastOffcut: 20}, []layout.StickPiece{{Name: "rail", Long: 150, Count: 3}, {Name: "stile", Long: 77, Count: 4}}),
	}
}

func TestPicturesAsBefore(t *testing.T) {
	drawn := drawnLayouts(t)
	for _, name := range []string{"roll", "halfdrop", "sheet", "stick"} {
		golden(t, name+".svg", drawn[name].SVG(inches))
		golden(t, name+".txt", drawn[name].Sketch(inches, 78))
	}
}

// A picture names every piece, offcut and size, and every sketch keeps its width.
func TestPicturesSayWhatIsThere(t *testing.T) {
	for name, r := range drawnLayouts(t) {
		svg, sketch := r.SVG(inches), r.Sketch(inches, 78)
		for _, p := range r.Placed {
			if !strings.Contains(svg, p.Piece) || !strings.Contains(sketch, p.Piece) {
				t.Errorf("%s: %s is not named", name, p.Piece)
			}
		}
		for _, o := range r.Offcuts {
			if !strings.Contains(svg, o.Name) || !strings.Contains(sketch, o.Name) {
				t.Errorf("%s: %s is not named", name, o.Name)
			}
		}
		for line := range strings.Lines(sketch) {
			if n := len([]rune(strings.TrimSuffix(line, "\n"))); n > 78 {
				t.Errorf("%s: a line of %d: %q", name, n, line)
			}
		}
		if rects := strings.Count(svg, "<rect"); rects < len(r.Placed)+len(r.Offcuts)+len(r.Sheets) {
			t.Errorf("%s: %d rectangles for %d pieces", name, rects, len(r.Placed))
		}
		wellFormed(t, svg)
	}
}

func wellFormed(t *testing.T, svg string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return
		} else if err != nil {
			t.Fatalf("not well formed: %v\n%s", err, svg)
		}
	}
}

// Names come from anywhere: none may break the page or drive the terminal.
func TestHostileNames(t *testing.T) {
	for _, name := range []string{"<script>alert(1)</script>", `"><g onload="x">`, "&amp;", "\x1b[2J\x07", "a\nb", "\u202egnp", "\xff\xfe", strings.Repeat("long ", 200)} {
		hostileName(t, name)
	}
}

func hostileName(t *testing.T, name string) {
	t.Helper()
	roll := layout.Roll{Name: name, Wide: 100, Bias: []layout.Bias{{Name: name, Wide: 1, Long: 20}}}
	pieces := []layout.Piece{{Name: name, Order: name, Wide: 60, Deep: 80, Count: 2}, {Name: name, Wide: 200, Deep: 200, Count: 1}}
	r := layRoll(t, roll, pieces, layout.Effort{Work: 1})
	svg := r.SVG(nil)
	wellFormed(t, svg)
	if strings.Contains(svg, "<script") || strings.Contains(svg, "<g ") {
		t.Errorf("%q gets into the page: %s", name, svg)
	}
	for _, c := range r.Sketch(nil, 0) {
		if c != '\n' && !unicode.IsPrint(c) {
			t.Errorf("%q puts %U on the terminal", name, c)
		}
	}
}

func FuzzNames(f *testing.F) {
	for _, seed := range []string{"seat", "<b>", "\x1b]0;x\a", "é\u0301", "\u2028"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, name string) { hostileName(t, name) })
}

func TestEmptyPictures(t *testing.T) {
	var r layout.Result
	wellFormed(t, r.SVG(nil))
	if got := r.Sketch(nil, 0); got != "" {
		t.Errorf("sketch of nothing: %q", got)
	}
}

// Two covers of three panels each are joined from three, not six.
func TestSketchCountsThePanelsOfOneCopy(t *testing.T) {
	cover := layout.Piece{Name: "cover", Wide: 260, Deep: 50, Count: 2, Join: layout.Join{How: layout.JoinCentred, Seam: 2}}
	got := layRoll(t, layout.Roll{Wide: 216}, []layout.Piece{cover}, quick).Sketch(nil, 0)
	if want := "a  cover  joined from 3  x2\n"; !strings.Contains(got, want) {
		t.Errorf("no %q in\n%s", want, got)
	}
}

// Two rails of 100 with mitres of 20 share a slant: the first has its short side below, the
// next, turned over, above. A stick of 180 is drawn 900 wide from 30 on, 5 to a step, 24 high.
func TestMitresAreDrawnAsTheyLie(t *testing.T) {
	rails := []layout.StickPiece{{Name: "rail", Long: 100, Count: 2, Mitre: 20}}
	svg := laySticks(t, []layout.StickStock{{Name: "lath", Long: 180}}, layout.StickRule{Nest: true}, rails).SVG(nil)
	for _, want := range []string{
		"M30.00 30.00 L530.00 30.00 L430.00 54.00 L130.00 54.00 Z",
		"M530.00 30.00 L830.00 30.00 L930.00 54.00 L430.00 54.00 Z",
	} {
		if !strings.Contains(svg, want) {
			t.Errorf("no %q in\n%s", want, svg)
		}
	}
}

func TestScale(t *testing.T) {
	for _, c := range []struct {
		name     string
		measures []layout.Fraction
		per      int64
		units    []int64
	}{
		{"nothing", nil, 1, []int64{}},
		{"sixteenths and halves of an inch", []layout.Fraction{{Num: 197, Den: 8}, {Num: 1, Den: 16}, {Num: 3, Den: 2}}, 16, []int64{394, 1, 24}},
		// 25 mm in inches is 125/127 exactly, since 1 in is 25.4 mm.
		{"millimetres beside inches", []layout.Fraction{{Num: 125, Den: 127}, {Num: 1, Den: 2}}, 254, []int64{250, 127}},
		{"not in lowest terms", []layout.Fraction{{Num: 6, Den: 4}}, 2, []int64{3}},
		{"below zero", []layout.Fraction{{Num: -5, Den: 4}}, 4, []int64{-5}},
		{"the longest", []layout.Fraction{{Num: layout.MaxMeasure, Den: 1}}, 1, []int64{layout.MaxMeasure}},
		{"the finest", []layout.Fraction{{Num: 1, Den: layout.MaxMeasure}}, layout.MaxMeasure, []int64{1}},
	} {
		per, units, err := layout.Scale(c.measures...)
		if err != nil || per != c.per {
			t.Errorf("%s: %d units, %v", c.name, per, err)
		}
		if diff := cmp.Diff(c.units, units); diff != "" {
			t.Errorf("%s: %s", c.name, diff)
		}
	}
}

func TestScaleRefuses(t *testing.T) {
	for _, c := range []struct {
		name     string
		measures []layout.Fraction
		tooFine  bool
	}{
		{"no denominator", []layout.Fraction{{Num: 1}}, false},
		{"denominator below zero", []layout.Fraction{{Num: 1, Den: -2}}, false},
		{"primes that multiply up", []layout.Fraction{{Num: 1, Den: 9973}, {Num: 1, Den: 9967}, {Num: 1, Den: 9949}}, true},
		{"too long", []layout.Fraction{{Num: layout.MaxMeasure + 1, Den: 1}}, true},
		{"too fine", []layout.Fraction{{Num: 1, Den: layout.MaxMeasure + 1}}, true},
		{"the greatest integers", []layout.Fraction{{Num: 1<<63 - 1, Den: 1<<63 - 1}, {Num: 1, Den: 1<<62 - 57}}, true},
	} {
		_, _, err := layout.Scale(c.measures...)
		if err == nil || errors.Is(err, layout.ErrTooFine) != c.tooFine {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}
