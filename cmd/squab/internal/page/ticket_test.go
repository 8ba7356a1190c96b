package page

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"html"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/cmd/squab/internal/print"
	"squab/eval"
	"squab/eval/quantity"
)

// shownOf lists what some numbers say.
func shownOf(nums ...Num) []string {
	var all []string
	for _, n := range nums {
		all = append(all, n.Shown)
	}
	return all
}

// The figures are worked by hand from the fixture: the cover of order 1042 is 46 + 2*(2 + 1/2 + 1 3/4) + 6*3/4 wide.
func TestTicketCutList(t *testing.T) {
	got := newTicket(workroom(t)[0], "")
	want := [][]string{
		{"board", "46 in", "17 1/2 in", "2"},
		{"core", "46 in", "17 1/2 in", "2"},
		{"soft", "50 in", "21 1/2 in", "2"},
		{"skin", "59 in", "28 1/4 in", "2"},
	}
	var rows [][]string
	for _, g := range got.Cut {
		for _, r := range g.Rows {
			rows = append(rows, append([]string{r.Name}, shownOf(r.Wide, r.Deep, r.Count)...))
		}
	}
	if diff := cmp.Diff(want, rows); diff != "" {
		t.Errorf("cut list (-want +got):\n%s", diff)
	}
}

// What is bought, done and charged for two lids, worked by hand from the fixture: 10 buttons each and $44 an hour.
func TestTicketMoney(t *testing.T) {
	ticket := newTicket(workroom(t)[0], "")
	var got []string
	for _, b := range ticket.Buy {
		got = append(got, strings.Join(append([]string{b.Name}, shownOf(b.Need, b.Buy, b.Each, b.Cost)...), "; "))
	}
	for _, w := range ticket.Work {
		got = append(got, strings.Join(append([]string{w.Name}, shownOf(w.Time, w.Cost)...), "; "))
	}
	for _, p := range ticket.Price {
		line := p.Name + "; " + p.Num.Shown
		if p.IsTotal {
			line += " in all"
		}
		if p.IsNote {
			line += " of it"
		}
		got = append(got, line)
	}
	want := []string{
		"Birch board, 1/2 in; 1; 1; $64.00 per each; $64.00",
		"Firm foam, 2 in; 1; 1; $118.00 per each; $118.00",
		"Soft wadding; 1 7/18 yd; 1 1/2 yd; $4.20 per yd; $6.30",                       // 50 in
		`Quay velvet, <b>moss</b> & fern; 3 5/18 yd; 3 1/2 yd; $62.00 per yd; $217.00`, // 118 in
		"Covered button; 20; 20; $0.65 per each; $13.00",
		"Waxed thread; 8 1/3 yd; 50 yd; $0.08 per yd; $4.00", // 20 of 15 in
		"marking; 30 min; $22.00",                            // 2 of 10 min and 10 of 30 s
		"covering; 1 h 35 min; $69.67",                       // 2 of 40 min, and 15 min to set up
		"buttoning; 1 h; $44.00",
		"material; $422.30", "markup; $105.58", "labour; $135.67", "overhead; $24.42", "extra; $0.00", "tax; $41.28", "total; $729.25 in all", "deposit; $365.00 of it",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("lines (-want +got):\n%s", diff)
	}
}

// A piece has as many boxes to tick as are cut, and one for all where there are more than anyone counts along.
func TestBoxesToTick(t *testing.T) {
	r := workroom(t)[1]
	for count, want := range map[int64]int64{1: 1, 60: 60, 61: 1, 10_000: 1} {
		p := r.Pieces[1]
		p.Count = count
		if row := newCutRow(newReasons(r, ""), p, 2); row.Boxes != want || row.Count.Exact != fmt.Sprint(count) {
			t.Errorf("%d off have %d boxes and are told as %s off", count, row.Boxes, row.Count.Exact)
		}
	}
}

// What the order gave, and what was usual for want of it.
func TestTicketFacts(t *testing.T) {
	var got []string
	for _, f := range newTicket(workroom(t)[1], "").Facts {
		got = append(got, fmt.Sprintf("%s: %s, usual %v", f.Name, f.Num.Shown, f.IsDefault))
	}
	for _, f := range newTicket(workroom(t)[0], "").Facts[:4] {
		got = append(got, fmt.Sprintf("%s (%s): %s, usual %v", f.Name, f.Help, f.Num.Shown, f.IsDefault))
	}
	want := []string{
		"wide: ~37 5/16 in, usual false", "deep: 15 in, usual false", "cover: Harbour tweed, grey, usual false", "straps: 3, usual false",
		"wide (left to right): 46 in, usual false", "deep (front to back): 17 1/2 in, usual false", "cover (): Quay velvet, <b>moss</b> & fern, usual false", "pad (): Firm foam, 2 in, usual true",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("facts (-want +got):\n%s", diff)
	}
}

// A caution is told in full where it first comes, and named where it comes again; those of one place stand together.
func TestTicketCautionsComeAgain(t *testing.T) {
	r := workedOrders(t, parseBook(t, "again.squab", `
recipe pad {
  ask wide: length
  step "one"
  caution blades
  caution dust
  step "two"
  caution blades
  caution glue
  step "never" when wide > 1 ft
  step "three"
  caution dust, glue
}
caution blades "Mind the blade."
caution dust "Mind the dust."
caution glue "Mind the glue."
order 1 {
  make pad
  date = 2026-04-02
  wide = 1 ft
}
`))[0]
	var got []string
	for _, s := range newTicket(r, "").Steps {
		line := fmt.Sprint(s.Number)
		for _, p := range s.Parts {
			line += " " + p.Plain
		}
		for _, c := range s.Cautions {
			line += " " + c.Name + ": " + c.Text
		}
		if len(s.Again) > 0 {
			line += " again " + strings.Join(s.Again, ", ")
		}
		got = append(got, line)
	}
	want := []string{"1 one", "0 blades: Mind the blade. dust: Mind the dust.", "2 two", "0 glue: Mind the glue. again blades", "3 three", "0 again dust, glue"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("steps and cautions (-want +got):\n%s", diff)
	}
}

func TestUnitWord(t *testing.T) {
	for want, style := range map[string]quantity.Style{"inches": {}, "feet and inches": {Length: "in", Feet: true}, "mm": {Length: "mm"}} {
		if got := unitWord(style); got != want {
			t.Errorf("lengths are in %s, want %s", got, want)
		}
	}
}

// Where there is no room for every size, the drawing says so, and the table beside it has all.
func TestDrawingOfManyMarks(t *testing.T) {
	r := newReasons(workroom(t)[0], "")
	for n, want := range map[int]string{38: "", 40: "", 41: "not every size is written; the table has all", 90: "not every size is written; the table has all"} {
		m := sized(100, 20)
		for i := range n {
			m.x = append(m.x, place{at: quantity.Int(int64(i + 1))})
		}
		d := m.draw(r, 10, m)
		if written := len(d.Leaders) - 2; d.Thinned != want || written > sizesMost+3 {
			t.Errorf("%d marks: %d sizes are written, and %q is said", n, written, d.Thinned)
		}
	}
}

func TestTicketStepsReadAsTheResultDoes(t *testing.T) {
	for _, r := range workroom(t) {
		holdsTheSteps(t, r)
	}
}

// The steps of a part within a part have that part's own sizes, and are left out where they do not hold there.
func TestStepsOfPartsWithinParts(t *testing.T) {
	r := workedOrders(t, parseBook(t, "parts.squab", `
recipe leg {
  ask long: length
  step "Cut a leg {long}, {long + 1 in} with its tenon"
  step "Splice it" when long > 20 in
}
recipe frame {
  ask high: length
  spare = 1 in
  part leg = leg { long = high - spare }
}
recipe settee {
  ask high: length
  extra = 2 in
  part back  = frame { high = high + 10 * extra }
  part front = frame { high = high }
}
order 1 {
  make settee
  date = 2026-04-02
  high = 15 in
}
`))[0]
	holdsTheSteps(t, r)
	if diff := cmp.Diff([]string{"Cut a leg 34 in, 35 in with its tenon", "Splice it", "Cut a leg 14 in, 15 in with its tenon"}, r.Steps); diff != "" {
		t.Errorf("steps (-want +got):\n%s", diff)
	}
}

// What is needed and bought is explained by what the line that charges it rests on.
func TestAmountsAreExplained(t *testing.T) {
	r := newReasons(workroom(t)[0], "")
	for _, l := range r.result.Buy {
		var names []string
		for _, from := range r.node("buy." + l.Material.Name).From {
			names = append(names, from.Name)
		}
		var got []string
		for _, from := range r.needed(l).Why.From {
			got = append(got, from.Name)
		}
		if diff := cmp.Diff(names, got); diff != "" || len(got) == 0 {
			t.Errorf("the need of %s (-line +need):\n%s", l.Material.Name, diff)
		}
	}
}

func holdsTheSteps(t *testing.T, r *eval.Result) {
	t.Helper()
	var got []string
	for _, s := range newTicket(r, "").Steps {
		text := ""
		for _, p := range s.Parts {
			text += p.Plain
			if p.Num != nil {
				text += p.Num.Shown
			}
		}
		if s.Number > 0 {
			got = append(got, text)
		}
	}
	if diff := cmp.Diff(r.Steps, got); diff != "" {
		t.Errorf("%s: steps (-result +page):\n%s", r.Order.ID, diff)
	}
}

func TestTicketCautionsStandWhereTheyAre(t *testing.T) {
	var order []string
	for _, s := range newTicket(workroom(t)[0], "").Steps {
		for _, c := range s.Cautions {
			order = append(order, "caution "+c.Name)
		}
		if s.Number > 0 {
			order = append(order, "step")
		}
	}
	want := []string{"step", "step", "caution blades", "step", "step", "caution stapler", "caution lid drop"}
	if diff := cmp.Diff(want, order); diff != "" {
		t.Errorf("order (-want +got):\n%s", diff)
	}
}

var dataValue = regexp.MustCompile(`<data value="([^"]*)">([^<]*)</data>`)

// Every quantity of the JSON that a ticket has a place for stands on the page with the same exact value, unit and shown text.
func TestTicketValuesEqualTheJSON(t *testing.T) {
	for _, r := range workroom(t) {
		holdsTheJSON(t, r, ticketsOf(t, r))
	}
}

func holdsTheJSON(t *testing.T, r *eval.Result, page string) {
	t.Helper()
	onPage := map[string]bool{}
	for _, m := range dataValue.FindAllStringSubmatch(page, -1) {
		onPage[html.UnescapeString(m[1])+" shown "+html.UnescapeString(m[2])] = true
		onPage[html.UnescapeString(m[1])+" shown "] = true
	}
	for _, q := range quantitiesOf(t, r) {
		value := strings.TrimSpace(q.Exact + " " + q.Unit)
		if !onPage[value+" shown "+q.Shown] {
			t.Errorf("%s: %s, shown as %s, is in the JSON and not on the page", r.Order.ID, value, q.Shown)
		}
	}
}

// quantitiesOf lists the sizes, marks, amounts, times and money of an order's JSON, read back as another program would.
func quantitiesOf(t *testing.T, r *eval.Result) []print.Quantity {
	t.Helper()
	var o struct {
		Pieces []struct {
			Wide, Deep, Thick print.Quantity
		}
		Marks []struct {
			Points []struct{ X, Y print.Quantity }
		}
		Buy   []struct{ Need, Buy, Each, Cost print.Quantity }
		Work  []struct{ Time, Cost print.Quantity }
		Price map[string]print.Quantity
	}
	if err := json.Unmarshal(print.NewWriter(print.Page{}, r.Sheet.Plan.Program()).JSON(nil, r), &o); err != nil {
		t.Fatal(err)
	}
	var all []print.Quantity
	for _, p := range o.Pieces {
		all = append(all, p.Wide)
		for _, q := range []print.Quantity{p.Deep, p.Thick} { // a piece of a stick has neither, and of cloth no thickness
			if q.Exact != "" {
				all = append(all, q)
			}
		}
	}
	for _, m := range o.Marks {
		for _, p := range m.Points {
			all = append(all, p.X, p.Y)
		}
	}
	for _, l := range o.Buy {
		l.Need.Shown, l.Buy.Shown = "", "" // the page says yards where cloth is sold by the yard
		all = append(all, l.Need, l.Buy, l.Each, l.Cost)
	}
	for _, l := range o.Work {
		all = append(all, l.Time, l.Cost)
	}
	for _, l := range o.Price {
		all = append(all, l)
	}
	return all
}

func TestTicketHostileNamesStayText(t *testing.T) {
	page := ticketsOf(t, workroom(t)...)
	for _, bad := range []string{"<script", "<b>moss", "<b>the customer", "</title> ", "http://", "https://example", "@import", "url(http"} {
		if strings.Contains(strings.ReplaceAll(page, `xmlns="http://www.w3.org/2000/svg"`, ""), bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	for _, text := range []string{"1044 &lt;script&gt;alert(1)&lt;/script&gt;", "&lt;b&gt;moss&lt;/b&gt; &amp; fern"} {
		if !strings.Contains(page, text) {
			t.Errorf("the page does not say %q", text)
		}
	}
}

var ids = regexp.MustCompile(` id="([^"]+)"`)
var links = regexp.MustCompile(`href="#([^"]+)"`)

func TestTicketLinksLeadSomewhere(t *testing.T) { leadsSomewhere(t, ticketsOf(t, workroom(t)...)) }

func leadsSomewhere(t *testing.T, page string) {
	t.Helper()
	known := map[string]bool{}
	for _, m := range ids.FindAllStringSubmatch(page, -1) {
		if known[m[1]] {
			t.Errorf("the id %s stands twice", m[1])
		}
		known[m[1]] = true
	}
	for _, m := range links.FindAllStringSubmatch(page, -1) {
		if !known[m[1]] {
			t.Errorf("a link leads to %s, which is nowhere", m[1])
		}
	}
}

func TestTicketIsTheSameTwice(t *testing.T) {
	if diff := cmp.Diff(ticketsOf(t, workroom(t)...), ticketsOf(t, workroom(t)...)); diff != "" {
		t.Errorf("two runs differ:\n%s", diff)
	}
}

func TestDrawings(t *testing.T) {
	for i, name := range []string{"lid", "pad"} {
		var b bytes.Buffer
		for _, g := range newTicket(workroom(t)[i], "").Marks {
			for _, d := range g.Drawings {
				if err := write(&b, "drawing", d); err != nil {
					t.Fatal(err)
				}
				b.WriteByte('\n')
			}
		}
		golden(t, name+".svg", links.ReplaceAllString(b.String(), `href="#"`))
	}
}

func TestMarksBesideEachOther(t *testing.T) {
	groups := newTicket(workroom(t)[0], "").Marks
	if len(groups) != 1 {
		t.Fatalf("%d groups, want one at one scale", len(groups))
	}
	var got [][]string
	for _, row := range groups[0].Across.Rows {
		line := []string{}
		for _, n := range row.Sizes {
			line = append(line, n.Shown)
		}
		got = append(got, line)
	}
	want := [][]string{{"5 1/2 in", "5 1/2 in", "10 1/2 in"}, {"14 1/4 in", "14 1/4 in", "20 in"}, {"23 in", "23 in", "29 1/2 in"}, {"31 3/4 in", "31 3/4 in", "39 in"}, {"40 1/2 in", "40 1/2 in", "48 1/2 in"}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("running sizes (-want +got):\n%s", diff)
	}
	var holes []string
	for _, d := range groups[0].Drawings {
		holes = append(holes, d.Piece+" "+d.Key[0].Hole.Shown)
	}
	if diff := cmp.Diff([]string{"board 1/4 in", "core 1 1/8 in", "skin 1/8 in"}, holes); diff != "" {
		t.Errorf("holes (-want +got):\n%s", diff)
	}
}

// sized is a piece of a size in inches, with one mark in its middle.
func sized(wide, deep int64) *markedPiece {
	p := eval.Piece{Name: "p", Wide: quantity.Int(wide), Deep: quantity.Int(deep)}
	return &markedPiece{piece: p, sets: []eval.Marks{{Name: "middle", Points: []eval.Point{{X: quantity.Frac(wide, 2), Y: quantity.Frac(deep, 2)}}}}}
}

// Pieces down to a quarter of the largest share its scale; a smaller one has a scale of its own, at which it can be read.
func TestSideBySide(t *testing.T) {
	var got [][]float64
	for _, g := range sideBySide([]*markedPiece{sized(40, 10), sized(9, 9), sized(4, 10), sized(2, 2)}) {
		var long []float64
		for _, m := range g {
			long = append(long, longest([]*markedPiece{m}))
		}
		got = append(got, long)
	}
	if diff := cmp.Diff([][]float64{{40, 10}, {9}, {2}}, got); diff != "" {
		t.Errorf("the longest sides, by group (-want +got):\n%s", diff)
	}
}

// A hole is drawn as wide as it is made, where that can be seen.
func TestHolesAreDrawnToScale(t *testing.T) {
	r := newReasons(workroom(t)[0], "")
	for want, hole := range map[float64]quantity.Number{dotLeast: quantity.Frac(1, 8), 5: quantity.Int(1), 7.5: quantity.Frac(3, 2)} {
		m := sized(20, 20)
		m.sets[0].Hole = hole
		m.holes = map[string]Num{"middle": {Shown: "a hole"}}
		d := m.draw(r, 10, m)
		if d.Dots[0].R != want || d.Key[0].Hole.Shown != "a hole" {
			t.Errorf("a hole of %s in, at 10 pixels an inch, is drawn %v round, not %v", hole, d.Dots[0].R, want)
		}
	}
}

// The marks of a smaller piece are shown behind a larger one only where it lies within it both ways.
func TestMarksBehind(t *testing.T) {
	for _, tt := range []struct {
		wide, deep int64
		want       bool
	}{{12, 12, true}, {12, 10, false}, {10, 12, false}, {12, 8, false}, {10, 10, false}} {
		r := newReasons(workroom(t)[0], "")
		m := sized(tt.wide, tt.deep)
		d := m.draw(r, 1, sized(10, 10))
		if got := d.Ghost != nil; got != tt.want || got && (*d.Ghost != Rect{1, 1, 10, 10} || d.Ghosts[0].X != 6 || d.Ghosts[0].Y != 6) {
			t.Errorf("behind %d by %d: %v, %v", tt.wide, tt.deep, d.Ghost, d.Ghosts)
		}
	}
}

// shutNumbers are the places of a ticket where a number is no value: an order's name and day, a material's name, the number of a piece, a place, a step or a
// sheet, the datum's nought, the rules' fingerprint.
var shutNumbers = map[string]bool{
	"h1": true, "time": true, "h3": true, "th": true, "code": true, "p.signature": true, "td": true, "span.at": true, "figcaption.soft": true, "text.size": true,
}

var plainNumber = regexp.MustCompile(`^\d+$`)

// Whatever else has a digit in it opens, or leads to what opens; and those that do not are whole numbers where they stand in a table or a drawing.
func TestEveryNumberOpens(t *testing.T) {
	for _, r := range append(workroom(t)[:2], exampleOrders(t)...) {
		page := ticketsOf(t, r)
		for _, n := range shutIn(t, page) {
			place, text, _ := strings.Cut(n, ": ")
			first, _, _ := strings.Cut(text, " ")
			if !shutNumbers[place] || (place == "td" || place == "span.at" || place == "text.size") && !plainNumber.MatchString(first) {
				t.Errorf("%s: %q in %s does not open", r.Order.ID, text, place)
			}
		}
		if strings.Contains(page, "<span>?</span>") {
			t.Errorf("%s: a number has no derivation", r.Order.ID)
		}
	}
}

// shutIn lists the texts with a digit in them that are in nothing that opens, nor in a link, each with the element that it stands in.
func shutIn(t *testing.T, page string) (found []string) {
	t.Helper()
	var within []string
	opens := 0
	readTokens(t, page, func(token xml.Token) {
		switch token := token.(type) {
		case xml.StartElement:
			within = append(within, placeOf(token))
			opens += opening(within[len(within)-1])
		case xml.EndElement:
			opens -= opening(within[len(within)-1])
			within = within[:len(within)-1]
		case xml.CharData:
			if text := strings.TrimSpace(string(token)); opens == 0 && strings.ContainsAny(text, "0123456789") {
				found = append(found, within[len(within)-1]+": "+text)
			}
		}
	})
	return found
}

func placeOf(e xml.StartElement) string {
	for _, a := range e.Attr {
		if a.Name.Local == "class" && a.Value != "n" && e.Name.Local != "details" {
			return e.Name.Local + "." + a.Value
		}
	}
	return e.Name.Local
}

// opening is 1 for elements whose numbers are explained, or are none.
func opening(place string) int {
	switch place {
	case "details", "a", "style", "title":
		return 1
	}
	return 0
}
