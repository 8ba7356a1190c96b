package page

import (
	"fmt"
	"regexp"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/cmd/squab/internal/load"
	"squab/cmd/squab/internal/page/chromiumtest"
	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/stdlib"
	"squab/stdlib/layout"
)

// exampleOrders are the example workroom's orders worked out over the trade library: recipes of every sort, with marks close to each other. They are
// worked out once for all tests, which only read them.
func exampleOrders(t testing.TB) []*eval.Result {
	t.Helper()
	all, err := exampleOnce()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

var exampleOnce = sync.OnceValues(func() ([]*eval.Result, error) {
	book, err := load.Open([]string{"../../../../examples/heron-quay"}, load.Options{Library: stdlib.AddTo})
	if err != nil {
		return nil, err
	}
	if book.Errors() > 0 {
		return nil, fmt.Errorf("the example has problems: %v", book.Problems)
	}
	engine := &eval.Engine{Program: book.Program, Lay: stdlib.Lay(layout.Effort{Work: 1, Workers: 1})}
	var all []*eval.Result
	for _, o := range book.Program.Orders {
		r, problems := engine.Work(o, o.Date)
		if len(problems) > 0 {
			return nil, fmt.Errorf("%s: %v", o.ID, problems)
		}
		all = append(all, r)
	}
	return all, nil
})

// What holds of the fixture's tickets holds of the example's: every value of the JSON is there, every step reads as it should, links lead somewhere.
func TestExampleTickets(t *testing.T) {
	for _, r := range exampleOrders(t) {
		page := ticketsOf(t, r)
		holdsTheJSON(t, r, page)
		holdsTheSteps(t, r)
		leadsSomewhere(t, page)
		if strings.Contains(page, "<span>?</span>") {
			t.Errorf("%s: a number has no derivation", r.Order.ID)
		}
		if strings.Contains(page, "ZgotmplZ") {
			t.Errorf("%s: something was no fit for its place on the page", r.Order.ID)
		}
	}
}

// Every caution that the order carries stands on its ticket in full, once.
func TestExampleCautions(t *testing.T) {
	for _, r := range exampleOrders(t) {
		var want, got []string
		for _, c := range r.Cautions {
			want = append(want, words(c.Name)+": "+c.Text)
		}
		for _, s := range newTicket(r, "").Steps {
			for _, c := range s.Cautions {
				got = append(got, c.Name+": "+c.Text)
			}
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s: cautions (-result +page):\n%s", r.Order.ID, diff)
		}
	}
}

// Every piece has a row and as many boxes as are cut, one where there are many; the numbers in the cut list are those in the layouts.
func TestExampleCutLists(t *testing.T) {
	for _, r := range exampleOrders(t) {
		rows := map[int]cutRow{}
		for _, g := range newTicket(r, "").Cut {
			for _, row := range g.Rows {
				rows[row.Number] = row
			}
		}
		if len(rows) != len(r.Pieces) {
			t.Errorf("%s: %d rows for %d pieces", r.Order.ID, len(rows), len(r.Pieces))
		}
		for i, p := range r.Pieces {
			row := rows[i+1]
			boxes := p.Count
			if boxes > boxesMost {
				boxes = 1
			}
			if row.Name != words(p.Name) || row.Boxes != boxes || row.IsLength != (p.Form == check.Stick) {
				t.Errorf("%s: piece %d is %s, %d off, and its row is %s with %d boxes", r.Order.ID, i+1, p.Name, p.Count, row.Name, row.Boxes)
			}
			if pieceNumber(r, p.Name) != i+1 {
				t.Errorf("%s: %s has the number %d in layouts and %d in the cut list", r.Order.ID, p.Name, pieceNumber(r, p.Name), i+1)
			}
		}
	}
}

// What is laid out is drawn: as many rectangles as pieces, none beyond its sheet, none over another.
func TestExampleLayouts(t *testing.T) {
	for _, r := range exampleOrders(t) {
		for i, l := range newTicket(r, "").Layouts {
			drawn := 0
			for _, s := range l.Sheets {
				drawn += len(s.Pieces)
				for j, p := range s.Pieces {
					if !inside(p.Rect, s.Outline) {
						t.Errorf("%s, %s: %s lies beyond its sheet", r.Order.ID, l.Material, p.Title)
					}
					for _, q := range s.Pieces[j+1:] {
						if meet(halfway(t, p), halfway(t, q)) {
							t.Errorf("%s, %s: %s lies over %s", r.Order.ID, l.Material, p.Title, q.Title)
						}
					}
				}
			}
			if want := len(r.Layouts[i].Placed); l.MoreSheets == 0 && drawn != want {
				t.Errorf("%s, %s: %d pieces drawn of %d", r.Order.ID, l.Material, drawn, want)
			}
		}
	}
}

// What falls away is said in whole hundredths, a half of one upward, as the cut list on a terminal says it.
func TestWasteIsRoundedAsItIsPrinted(t *testing.T) {
	r := workroom(t)[0]
	for want, waste := range map[string]quantity.Number{"13%": quantity.Frac(1, 8), "1%": quantity.Frac(1, 200), "0%": quantity.Frac(1, 201), "38%": quantity.Frac(3, 8), "67%": quantity.Frac(2, 3)} {
		l := r.Layouts[0]
		l.Waste = waste
		if got := newLayout(newReasons(r, ""), l).Waste.Shown; got != want {
			t.Errorf("%s of the material falls away, and %s is shown, want %s", waste, got, want)
		}
	}
}

// halfway is as wide as a piece is halfway up, where the slanted ends of two that share a cut do not pass each other.
func halfway(t *testing.T, p laidPiece) Rect {
	t.Helper()
	var x, y [4]float64
	if n, err := fmt.Sscanf(string(p.Shape), "M%g %gL%g %gL%g %gL%g %gZ", &x[0], &y[0], &x[1], &y[1], &x[2], &y[2], &x[3], &y[3]); n != 8 {
		t.Fatalf("%s has the shape %s: %v", p.Title, p.Shape, err)
	}
	left, right := (x[0]+x[3])/2, (x[1]+x[2])/2
	return Rect{left, p.Rect.Y, right - left, p.Rect.High}
}

// The pin boards' drawings show flaws, motifs, what is left, remnants and each size, all on their sheet, and what is left apart from what is cut.
func TestExampleLayoutsShowTheMaterial(t *testing.T) {
	shown := map[string]int{}
	for _, r := range exampleOrders(t) {
		for _, l := range newTicket(r, "").Layouts {
			for _, s := range l.Sheets {
				shown["flaws"] += len(s.Flaws)
				shown["motifs"] += len(s.Motifs)
				shown["offcuts"] += len(s.Offcuts)
				shown[s.Name]++
				drawnApart(t, r.Order.ID+", "+l.Material, s)
			}
		}
	}
	for _, what := range []string{"flaws", "motifs", "offcuts", "remnant 1, the roll runs to the right", "stick 1, flat batten 12", "the roll runs to the right"} {
		if shown[what] == 0 {
			t.Errorf("no drawing shows %s", what)
		}
	}
}

func drawnApart(t *testing.T, what string, s sheetDrawing) {
	t.Helper()
	for _, o := range s.Offcuts {
		if !inside(o.Rect, s.Outline) {
			t.Errorf("%s: %s lies beyond its sheet", what, o.Title)
		}
		for _, p := range s.Pieces {
			if s.Outline.High > stickHigh && meet(o.Rect, p.Rect) {
				t.Errorf("%s: %s lies over %s", what, o.Title, p.Title)
			}
		}
	}
	for _, m := range s.Motifs {
		if !inside(Rect{X: m.x, Y: m.y}, s.Outline) {
			t.Errorf("%s: a motif lies beyond the roll", what)
		}
	}
}

const hair = 0.01 // of a pixel

func inside(r, of Rect) bool {
	return r.X >= of.X-hair && r.Y >= of.Y-hair && r.X+r.Wide <= of.X+of.Wide+hair && r.Y+r.High <= of.Y+of.High+hair
}

func meet(a, b Rect) bool {
	return a.X+hair < b.X+b.Wide && b.X+hair < a.X+a.Wide && a.Y+hair < b.Y+b.High && b.Y+hair < a.Y+a.High
}

// Every mark lies on the drawing of its piece, where its running sizes say.
func TestExampleMarksLieOnTheirPieces(t *testing.T) {
	for _, r := range exampleOrders(t) {
		why := newReasons(r, "")
		for _, m := range markedPieces(r) {
			m.explain(why)
			d := m.draw(why, 3, m)
			n := 0
			for _, set := range m.sets {
				for _, pt := range set.Points {
					dot := d.Dots[n]
					n++
					if x, y := 3*inches(pt.X), d.Outline.High-3*inches(pt.Y); dot.X != x || dot.Y != y || !inside(Rect{X: x, Y: y}, d.Outline) {
						t.Errorf("%s: mark %d of %s is drawn at %v, %v, not at %v, %v", r.Order.ID, n, m.piece.Name, dot.X, dot.Y, x, y)
					}
				}
			}
		}
	}
}

var numbered = regexp.MustCompile(`class="num[^"]*" data-why="`)

func exampleInBrowser(t *testing.T, b *chromiumtest.Browser) {
	for i, r := range exampleOrders(t) {
		page := ticketsOf(t, r)
		if len(numbered.FindAllString(page, -1)) < 10 {
			t.Errorf("%s: hardly a number opens", r.Order.ID)
		}
		b.OpenText(page)
		for _, s := range screens[:1+(i+1)%2] { // every second one on the laptop too
			b.Wide(s.wide, s.high, s.phone)
			var found []string
			b.Ask(tooWide, &found)
			none(t, r.Order.ID+" on a "+s.name+": beyond the edge", found)
			b.Ask(overlaps, &found)
			none(t, r.Order.ID+" on a "+s.name+": in drawings", found)
			b.Ask(scrollsForNothing, &found)
			none(t, r.Order.ID+" on a "+s.name+": scrolls", found)
			b.Keep("example-" + r.Order.ID + "-" + s.name)
		}
		onPaper(t, b, r.Order.ID)
		b.Quiet(r.Order.ID)
	}
}

// A cut list says how the pin boards' piping and frame are cut, where no side of a piece runs along its material squarely.
func TestCutListSaysHowPiecesAreCut(t *testing.T) {
	notes := map[string]string{}
	for _, r := range exampleOrders(t) {
		for _, p := range r.Pieces {
			if r.Order.ID == "1054" {
				notes[p.Name] = newReasons(r, "").turning(p)
			}
		}
	}
	want := map[string]string{"panel": "", "skin": "deep runs up the roll", "piping": "in strips cut on the bias",
		"rail": "long points; mitred at both ends", "stile": "long points; mitred at both ends", "edging": ""}
	if diff := cmp.Diff(want, notes); diff != "" {
		t.Errorf("notes (-want +got):\n%s", diff)
	}
}

// What a cut list allows is what layouts do: a cloth without nap may let every piece be turned, and one with nap lets none.
func TestCutListSaysWhatMayBeTurned(t *testing.T) {
	text := readText(t, "workroom.squab")
	for _, tt := range []struct{ cloth, want string }{
		{"stuff = velvet\n  nap   = yes\n", "top: wide runs up the roll, strap: deep runs up the roll"},
		{"", "top: wide runs up the roll, strap: deep runs up the roll; may be turned"},
		{"railroads = yes\n", "top: wide runs up the roll; may be turned, strap: deep runs up the roll; may be turned"},
	} {
		book := strings.Replace(text, "  nap:    yes/no = no\n", "  nap:    yes/no = no\n  railroads: yes/no = no\n", 1)
		book = strings.Replace(book, `material harbour_tweed: cloth "Harbour tweed, grey" {`, `material harbour_tweed: cloth "Harbour tweed, grey" {`+"\n  "+tt.cloth, 1)
		r := workedOrders(t, parseBook(t, "turned.squab", book))[1]
		var notes []string
		for _, g := range newTicket(r, "").Cut {
			for _, row := range g.Rows {
				notes = append(notes, row.Name+": "+row.Note)
			}
		}
		if got := strings.Join(notes, ", "); got != tt.want {
			t.Errorf("%q: %s, want %s", tt.cloth, got, tt.want)
		}
		for _, p := range r.Layouts[0].Placed {
			if p.Turned && !strings.Contains(tt.want, p.Piece+": deep runs up the roll; may") && !strings.Contains(tt.want, p.Piece+": wide runs up the roll; may") {
				t.Errorf("%q: %s lies turned", tt.cloth, p.Piece)
			}
		}
	}
}
