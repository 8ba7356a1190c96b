package page

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval/check"
)

func TestSection(t *testing.T) {
	sections := newTicket(workroom(t)[0], "").Sections
	var b bytes.Buffer
	for _, s := range sections {
		if err := write(&b, "section", s); err != nil {
			t.Fatal(err)
		}
	}
	golden(t, "section.svg", links.ReplaceAllString(b.String(), `href="#"`))
	var got []string
	for _, l := range sections[0].Layers {
		row := l.Name
		for _, n := range []*Num{l.Thick, l.Past, l.AtEdge} {
			if n != nil {
				row += " " + n.Shown
			}
		}
		got = append(got, strings.TrimSpace(row+" "+l.Manner))
	}
	want := []string{"skin 6 1/2 in 1 3/4 in turned under", "soft 1 in 2 in", "core 2 in 0 in", "board 1/2 in"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("layers from the top, thick, past the board, at the edge (-want +got):\n%s", diff)
	}
}

// TestSectionsOfTheExample holds what each order's section shows: its layers from the top down, and the parts that are drawn once.
func TestSectionsOfTheExample(t *testing.T) {
	want := map[string][]string{
		"1042": {"skin fleece core board"},
		"1043": {"skin fleece core board"},
		"1044": {"plate fleece core fleece plate boxing welt_square"},
		"1045": {"plate fleece core fleece plate boxing welt_strips"},
		"1047": {"skin fleece core board back"},
		"1048": {"skin fleece core board back"},
		"1049": {"lid: skin fleece core board"},
		"1050": {"seat: skin fleece core board dust_cover"},
		"1051": {"plate core plate band"},
		"1052": {"corner seat = left seats, right seats: skin fleece core board", "left backs = right backs: skin fleece core board"},
		"1054": {"skin panel"},
	}
	got := map[string][]string{}
	for _, r := range exampleOrders(t) {
		for _, s := range newTicket(r, "").Sections {
			line := ""
			if s.Of != "" {
				line = strings.TrimSuffix(s.Of+" = "+strings.Join(s.Alike, ", "), " = ") + ": "
			}
			for _, l := range s.Layers {
				line += strings.ReplaceAll(l.Name, " ", "_") + " "
			}
			got[r.Order.ID] = append(got[r.Order.ID], strings.TrimSpace(line))
		}
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("sections (-want +got):\n%s", diff)
	}
}

// box is the smallest rectangle round the places that a path names; arcs lie within it, for they run from corner to corner.
func box(t *testing.T, p Path) (left, top, right, bottom float64) {
	t.Helper()
	left, top, right, bottom = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, m := range pathPlace.FindAllStringSubmatch(string(p), -1) {
		x, err1 := strconv.ParseFloat(m[1], 64)
		y, err2 := strconv.ParseFloat(m[2], 64)
		if err1 != nil || err2 != nil {
			t.Fatalf("%s is no path", p)
		}
		left, top, right, bottom = min(left, x), min(top, y), max(right, x), max(bottom, y)
	}
	return left, top, right, bottom
}

var pathPlace = regexp.MustCompile(`(?:[ML]|A\S+ \S+ 0 0 [01] )(-?[\d.]+) (-?[\d.]+)`)

// TestSectionsAreToScale draws lids of many sizes: sheets are as thick as each other by the same scale, the cover is the outermost all round, and what is
// turned under ends as far from the board's edge as the recipe says.
func TestSectionsAreToScale(t *testing.T) {
	for i, sizes := range []string{"46 in by 17 in", "12 in by 8 in", "6 ft by 40 in", "33 1/3 in by 9 7/8 in"} {
		wide, deep, _ := strings.Cut(sizes, " by ")
		text := readText(t, "workroom.squab") + fmt.Sprintf("amend turn_under = %d/4 in because \"tried\"\n", 1+3*i) +
			fmt.Sprintf("order 1 {\n make buttoned_lid\n cover = quay_velvet\n wide = %s\n deep = %s\n end_inset = 2 in\n side_inset = 2 in\n}\n", wide, deep)
		for _, r := range workedOrders(t, parseBook(t, "tried.squab", text)) {
			if r.Order.ID != "1" {
				continue
			}
			toScale(t, newTicket(r, "").Sections[0], 0.25*float64(1+3*i))
		}
	}
}

func toScale(t *testing.T, s *Section, under float64) {
	t.Helper()
	_, top, _, bottom := box(t, s.Layers[3].Shape)
	scale := (bottom - top) / s.Layers[3].Thick.inches
	if _, top, _, bottom := box(t, s.Layers[2].Shape); math.Abs(bottom-top-scale*s.Layers[2].Thick.inches) > 0.02 {
		t.Errorf("foam of %v in is drawn %v high by a scale of %v", s.Layers[2].Thick.inches, bottom-top, scale)
	}
	cover, wadding := s.Layers[0].Shape, s.Layers[1].Shape
	left, high, _, low := box(t, cover)
	if l, h, _, b := box(t, wadding); left >= l || high >= h || low <= b {
		t.Errorf("the cover reaches to %v, %v and down to %v, within wadding that reaches to %v, %v, %v", left, high, low, l, h, b)
	}
	if !strings.Contains(string(cover), "L"+px(under*scale)+" ") {
		t.Errorf("no end of the cover lies %v in, %v, from the edge of the board: %s", under, px(under*scale), cover)
	}
	for _, f := range s.Fixings {
		if f.X1 <= 0 || f.X1 >= under*scale {
			t.Errorf("what is turned under is fixed at %v, not between the edge and %v", f.X1, under*scale)
		}
	}
}

// A welt stands in each seam of a boxed cushion; parts that are cut alike are drawn once, and one that turns more under is drawn by itself.
func TestSectionsOfWeltsAndParts(t *testing.T) {
	for _, r := range exampleOrders(t) {
		if r.Order.ID == "1044" {
			if n := len(newTicket(r, "").Sections[0].Welts); n != 2 {
				t.Errorf("%d welts in the section of a boxed cushion", n)
			}
		}
	}
	text := strings.Split(readText(t, "workroom.squab"), "\norder 1042")[0] + `
recipe seat {
  ask turned: length
  piece board from birch_board = 20 in by 20 in
  piece core  from firm_foam = 20 in by 20 in
  piece skin  from quay_velvet = 30 in by 30 in { beneath = turned }
}
recipe settee {
  part left  = seat { turned = 2 in }
  part right = seat { turned = 2 in }
  part last  = seat { turned = 3 in }
}
order 1 {
  make settee
  date = 2026-04-02
}
`
	var got []string
	for _, s := range newTicket(workedOrders(t, parseBook(t, "parts.squab", text))[0], "").Sections {
		got = append(got, s.Of+" "+strings.Join(s.Alike, " ")+" "+s.Layers[0].AtEdge.Shown)
	}
	if diff := cmp.Diff([]string{"left right 2 in", "last  3 in"}, got); diff != "" {
		t.Errorf("sections (-want +got):\n%s", diff)
	}
}

// A piece with no thickness, or of a stick, does not break a section; nor is there one of a single layer.
func TestSectionsOfOddStacks(t *testing.T) {
	for _, r := range workroom(t)[1:2] {
		if n := len(newTicket(r, "").Sections); n != 0 {
			t.Errorf("%d sections of a pad that is cloth alone", n)
		}
		for _, p := range r.Pieces {
			if p.Form == check.Sheet {
				t.Errorf("%s is a sheet, so this order is no test", p.Name)
			}
		}
	}
}
