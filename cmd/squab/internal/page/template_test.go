package page

import (
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
)

// fullSkin is the cover of order 1042 at full size, with its strips on A4.
func fullSkin(t *testing.T) fullPiece {
	t.Helper()
	r := workroom(t)[0]
	full := newFullPiece(r, r.Pieces[3], "")
	sheet, _ := SheetNamed("a4")
	if full.Piece != "skin" || !full.strips(sheet) {
		t.Fatalf("%s is not the cover, or has no strips", full.Piece)
	}
	return full
}

// The first button of the cover is the drop, the inset and one share of a tuft from either edge: 4 1/4 + 5 1/2 + 3/4 and 4 1/4 + 4 1/4 + 3/4 in.
func TestFullPiece(t *testing.T) {
	full := fullSkin(t)
	if full.Wide != 59_000 || full.High != 28_250 || full.UpRoll != "wide" || len(full.Marks) != 10 {
		t.Errorf("%v by %v, %q up the roll, with %d marks", full.Wide, full.High, full.UpRoll, len(full.Marks))
	}
	if diff := cmp.Diff(fullMark{X: 10_500, Y: 28_250 - 9_250, Hole: 62.5, Left: "10 1/2", Front: "9 1/4"}, full.Marks[0]); diff != "" {
		t.Errorf("the first mark (-want +got):\n%s", diff)
	}
}

// Along each edge the marks stand in order between the datum and the end, with the figure that is measured along that edge.
func TestTicks(t *testing.T) {
	full := fullSkin(t)
	want := map[string][]string{
		"from the left":  {"0 datum", "10500 10 1/2", "20000 20", "29500 29 1/2", "39000 39", "48500 48 1/2", "59000 end"},
		"from the front": {"0 datum", "9250 9 1/4", "19000 19", "28250 end"},
	}
	got := map[string][]string{}
	for _, e := range full.edges() {
		for _, tick := range full.ticks(e) {
			got[e.Name] = append(got[e.Name], px(tick.X)+" "+tick.Text)
			if tick.TextX != tick.X {
				t.Errorf("%s: %s is written at %v, though it has room at %v", e.Name, tick.Text, tick.TextX, tick.X)
			}
		}
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("marks (-want +got):\n%s", diff)
	}
}

// Two strips that lie over each other share one dashed line, in the middle of the half inch by which they overlap.
func TestStripsMeet(t *testing.T) {
	full := fullSkin(t)
	lines := map[string]int{}
	for _, sheet := range full.Strips {
		for i, s := range sheet.Strips {
			side, which, _ := strings.Cut(s.Name, ", ")
			for _, join := range s.Joins {
				lines[side+" "+px(s.X+join)]++
				if fromEnd := min(join, s.Wide-join); math.Abs(fromEnd-250) > 1e-6 {
					t.Errorf("%s: a line stands %v from its end, not 250", s.Name, fromEnd)
				}
			}
			if px(s.Top) != px(float64(i)*1900) || strings.HasPrefix(which, "1 of ") && len(s.Joins) != 1 {
				t.Errorf("%s stands at %v, with %d lines", s.Name, s.Top, len(s.Joins))
			}
		}
	}
	if len(lines) < 10 {
		t.Errorf("only %d lines", len(lines))
	}
	for line, n := range lines {
		if n != 2 {
			t.Errorf("the line %s is on %d strips", line, n)
		}
	}
}

// A metric workroom is given a square of its own to measure, and marks in millimetres.
func TestTemplateOfAMetricWorkroom(t *testing.T) {
	sheet, _ := SheetNamed("a4")
	text := strings.Replace(readText(t, "workroom.squab"), "shows    = 1/16 in", "shows    = 1 mm", 1)
	for metric, results := range map[bool][]*eval.Result{true: workedOrders(t, parseBook(t, "metric.squab", text)), false: workroom(t)} {
		page := made(t, func(w io.Writer) error {
			return WriteTemplate(w, Sheaf{Results: results[:1]}, TemplateOptions{Piece: "core", Sheet: sheet})
		})
		if strings.Contains(page, "50 mm each way") != metric || strings.Contains(page, "2 in each way") == metric {
			t.Errorf("metric %v: the wrong square is on the page", metric)
		}
		if strings.Contains(page, ">~140 | ~108</text>") != metric {
			t.Errorf("metric %v: the first mark, 5 1/2 in by 4 1/4 in, is not what is said", metric)
		}
	}
}

// A length cut from a stick has no template; its label says that it is a length, and how it is cut.
func TestLengths(t *testing.T) {
	for _, r := range exampleOrders(t) {
		if r.Order.ID != "1054" {
			continue
		}
		sheet, _ := SheetNamed("a4")
		err := WriteTemplate(io.Discard, Sheaf{Results: []*eval.Result{r}}, TemplateOptions{Piece: "rail", Sheet: sheet})
		if want := "no order cuts a piece called rail: the pieces are panel, skin, piping"; err == nil || err.Error() != want {
			t.Errorf("%v, want %s", err, want)
		}
		var labels []string
		for i, p := range r.Pieces {
			l := labelsOf(r, p, i+1, 1)[0]
			labels = append(labels, fmt.Sprintf("%d %s, %s, %s; %s", l.Number, l.Piece, l.Copy, l.Size, l.Note))
		}
		want := []string{
			"1 panel, 1 of 2, 33 in wide by 21 in deep; ", "2 skin, 1 of 2, 38 in wide by 26 in deep; deep runs up the roll",
			"3 piping, 1 of 2, 114 in wide by 1 3/4 in deep; in strips cut on the bias", "4 rail, 1 of 4, 36 in long; long points; mitred at both ends",
			"5 stile, 1 of 4, 24 in long; long points; mitred at both ends", "6 edging, 1 of 2, 120 in long; ",
		}
		if diff := cmp.Diff(want, labels); diff != "" {
			t.Errorf("labels (-want +got):\n%s", diff)
		}
	}
}
