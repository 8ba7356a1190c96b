package page

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"squab/cmd/squab/internal/page/chromiumtest"
	"squab/eval"
	"squab/eval/quantity"
)

func made(t testing.TB, make func(io.Writer) error) string {
	t.Helper()
	var b bytes.Buffer
	if err := make(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func quotationsOf(t testing.TB) string {
	s := Sheaf{Results: workroom(t), Rules: "feed"}
	return made(t, func(w io.Writer) error { return WriteQuotations(w, s) })
}

func buyingOf(t testing.TB) string {
	s := Sheaf{Results: workroom(t), Rules: "feed"}
	return made(t, func(w io.Writer) error { return WriteBuying(w, s) })
}

func labelsPage(t testing.TB, name string) string {
	s := Sheaf{Results: workroom(t), Rules: "feed"}
	sheet, _ := SheetNamed(name)
	return made(t, func(w io.Writer) error { return WriteLabels(w, s, sheet) })
}

func templateOf(t testing.TB, order int, o TemplateOptions) string {
	s := Sheaf{Results: workroom(t)[order : order+1], Rules: "feed"}
	return made(t, func(w io.Writer) error { return WriteTemplate(w, s, o) })
}

// No more labels are made than there is room for, and every one that is left out is counted.
func TestLabelsLeftOut(t *testing.T) {
	sheet, _ := SheetNamed("letter")
	for count, want := range map[int64]string{2499: "", 2500: "", 2501: "2 more labels", 10_000: "15000 more labels"} {
		r := *workroom(t)[1]
		r.Pieces = slices.Clone(r.Pieces)
		for i := range r.Pieces {
			r.Pieces[i].Count = count
		}
		page := made(t, func(w io.Writer) error { return WriteLabels(w, Sheaf{Results: []*eval.Result{&r}}, sheet) })
		said := ""
		if _, after, found := strings.Cut(page, "<p>Not made: "); found {
			said, _, _ = strings.Cut(after, ".")
		}
		if n := strings.Count(page, `class="label"`); int64(n) != min(2*count, 5000) || said != want {
			t.Errorf("two pieces cut %d times: %d labels, and %q is said, want %q", count, n, said, want)
		}
	}
}

// exactOf reads a line's amount back from what other programs are given.
func exactOf(t *testing.T, l Num) quantity.Number {
	t.Helper()
	n, err := quantity.Parse(l.Exact)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func TestQuotationAddsUpToTheCent(t *testing.T) {
	for _, r := range workroom(t) {
		q := newQuotation(r)
		var sum quantity.Number
		for _, l := range q.Lines {
			n := exactOf(t, l.Num)
			if cents, _ := quantity.Cents(n); !cents.Equal(n) {
				t.Errorf("%s: %s is %s, no whole cent", q.Order, l.Name, l.Num.Exact)
			}
			sum = sum.Add(n)
		}
		if total := exactOf(t, q.Total); !sum.Equal(total) {
			t.Errorf("%s: the lines add up to %s, and the total is %s", q.Order, sum, total)
		}
		if after := exactOf(t, q.After[0].Num).Add(exactOf(t, q.After[1].Num)); !after.Equal(sum) {
			t.Errorf("%s: the deposit and the rest add up to %s, and the total is %s", q.Order, after, sum)
		}
	}
}

// A deposit of half of an odd number of cents is asked for in whole cents, and what is left is the rest: what is shown adds up, not only what is exact.
func TestQuotationOfHalfACent(t *testing.T) {
	text := strings.Replace(readText(t, "workroom.squab"), "deposit_share * total  rounded up to $1", "deposit_share * total", 1)
	odd := 0
	for _, r := range workedOrders(t, parseBook(t, "half.squab", text)) {
		q := newQuotation(r)
		var cents []int
		for _, n := range []Num{q.Total, q.After[0].Num, q.After[1].Num} {
			whole, part, _ := strings.Cut(strings.NewReplacer("$", "", ",", "").Replace(n.Shown), ".")
			c, err := strconv.Atoi(whole + part)
			if err != nil || len(part) != 2 {
				t.Fatalf("%s: %s is no sum of money", q.Order, n.Shown)
			}
			cents = append(cents, c)
		}
		if cents[1]+cents[2] != cents[0] || cents[1]-cents[2] > 1 || cents[2]-cents[1] > 1 {
			t.Errorf("%s: %v cents are asked for as %v and %v", q.Order, cents[0], cents[1], cents[2])
		}
		odd += cents[0] % 2
	}
	if odd == 0 {
		t.Error("no total is an odd number of cents, so this is no test")
	}
}

func TestQuotationKeepsCostsAndRulesBack(t *testing.T) {
	page := quotationsOf(t)
	r := workroom(t)[0]
	for _, l := range r.Buy {
		if cost := newReasons(r, "").plan().Program().Style.Show(l.Cost, quantity.MoneyDim).Text; strings.Contains(page, ">"+cost+"<") {
			t.Errorf("the quotation shows what %s costs, %s", l.Material.Name, cost)
		}
	}
	for _, secret := range []string{"<details", "because", "overhead", "markup", "labour", "turn_under", "feed", "per yd", "workroom.squab"} {
		if strings.Contains(strings.ReplaceAll(page, styleSheet.FindString(page), ""), secret) {
			t.Errorf("the quotation says %q", secret)
		}
	}
}

var styleSheet = regexp.MustCompile(`(?s)<style>.*?</style>`)

// The deposit is half of the total, up to a dollar; tax is told apart.
func TestQuotationLines(t *testing.T) {
	q := newQuotation(workroom(t)[0])
	var got []string
	for _, l := range append(append(q.Lines, quotedLine{"total", q.Total}), q.After...) {
		got = append(got, l.Name+" "+l.Num.Shown)
	}
	want := []string{"making and material $687.97", "tax $41.28", "total $729.25", "deposit $365.00", "left to pay $364.25"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("lines (-want +got):\n%s", diff)
	}
}

// A customer is told what was chosen, not what is usual; and of tax, VAT and delivery by themselves, whatever they are called besides.
func TestQuotationTellsWhatWasChosen(t *testing.T) {
	var chosen []string
	for _, f := range newQuotation(workroom(t)[0]).Facts {
		chosen = append(chosen, f.Name+" "+f.Num.Shown)
	}
	if diff := cmp.Diff([]string{"wide 46 in", "deep 17 1/2 in", "cover Quay velvet, <b>moss</b> & fern"}, chosen); diff != "" {
		t.Errorf("what was chosen (-want +got):\n%s", diff)
	}
	for name, want := range map[string]bool{"tax": true, "sales_tax": true, "seats.tax": true, "vat": true, "van_delivery": true, "taxed_fee": false, "private": false, "labour": false} {
		if isApart(name) != want {
			t.Errorf("%s is told apart: %v", name, !want)
		}
	}
}

// Whatever makes a page tells that it could not be written.
func TestPagesTellThatTheyAreNotWritten(t *testing.T) {
	s := Sheaf{Results: workroom(t)[:1]}
	program := s.Results[0].Sheet.Plan.Program()
	sheet, _ := SheetNamed("a4")
	full := fullDisk{errors.New("no room is left")}
	for name, err := range map[string]error{
		"tickets": WriteTickets(full, s), "quotation": WriteQuotations(full, s), "buying": WriteBuying(full, s), "labels": WriteLabels(full, s, sheet), "csv": WriteCSV(full, s),
		"template": WriteTemplate(full, s, TemplateOptions{Piece: "skin", Sheet: sheet}), "strips": WriteTemplate(full, s, TemplateOptions{Piece: "skin", Strip: true, Sheet: sheet}),
		"svg": WriteTemplate(full, s, TemplateOptions{Piece: "skin", SVG: true}), "book": WriteBook(full, program, ""), "markdown": WriteBookMarkdown(full, program, ""),
		"comparison": WriteComparison(full, sampleComparison(t)), "bench": WriteBench(full, BenchPage{}), "sheet": WriteBenchSheet(full, s.Results[0], nil),
	} {
		if !errors.Is(err, full.err) {
			t.Errorf("%s: the error is %v", name, err)
		}
	}
}

type fullDisk struct{ err error }

func (d fullDisk) Write([]byte) (int, error) { return 0, d.err }

func TestLabelsOneForEachPiece(t *testing.T) {
	page := labelsPage(t, "letter")
	if got := strings.Count(page, `class="label"`); got != 8+5+4 {
		t.Errorf("%d labels for 8 + 5 + 4 cut pieces", got)
	}
	for _, piece := range []string{"1 board <span class=\"copy\">1 of 2</span>", "4 skin <span class=\"copy\">2 of 2</span>", "2 strap <span class=\"copy\">3 of 3</span>"} {
		if !strings.Contains(page, `<div class="piece">`+piece) { // by the numbers of the cut list
			t.Errorf("there is no label %s", piece)
		}
	}
}

func TestTilesCoverThePiece(t *testing.T) {
	for _, name := range []string{"letter", "a4"} {
		sheet, ok := SheetNamed(name)
		if !ok {
			t.Fatal(name)
		}
		r := workroom(t)[0]
		for _, p := range r.Pieces {
			full := newFullPiece(r, p, "")
			full.tile(sheet)
			left, right, top, bottom := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
			for _, tile := range full.Tiles {
				left, right = min(left, tile.X), max(right, tile.X+tile.Wide)
				top, bottom = min(top, tile.Y), max(bottom, tile.Y+tile.High)
			}
			if left > 0 || top > 0 || right < full.Wide || bottom < full.High {
				t.Errorf("%s on %s: the sheets reach from %v to %v and from %v to %v, and the piece is %v by %v", p.Name, name, left, right, top, bottom, full.Wide, full.High)
			}
			for _, g := range full.Registers {
				if n := sheetsWith(full.Tiles, g); n < 2 {
					t.Errorf("%s on %s: the register mark at %v, %v stands on %d sheets", p.Name, name, g.X, g.Y, n)
				}
			}
		}
	}
}

func sheetsWith(tiles []tile, at Dot) int {
	n := 0
	for _, t := range tiles {
		if at.X > t.X && at.X < t.X+t.Wide && at.Y > t.Y && at.Y < t.Y+t.High {
			n++
		}
	}
	return n
}

func TestRowLetters(t *testing.T) {
	for row, want := range map[int]string{0: "A", 25: "Z", 26: "AA", 51: "AZ", 52: "BA"} {
		if got := rowLetter(row); got != want {
			t.Errorf("row %d is %s, want %s", row, got, want)
		}
	}
}

func TestTemplateSVGIsFullSize(t *testing.T) {
	golden(t, "core-full.svg", templateOf(t, 0, TemplateOptions{Piece: "core", SVG: true}))
}

// Every mark stands on a strip at its running size, in thousandths of an inch from the datum.
func TestStripsCarryEveryMark(t *testing.T) {
	r := workroom(t)[2]
	sheet, _ := SheetNamed("a4")
	for _, p := range r.Pieces {
		full := newFullPiece(r, p, "")
		if len(full.Marks) == 0 {
			continue
		}
		full.strips(sheet)
		found := map[string]bool{}
		for _, s := range full.Strips {
			for _, strip := range s.Strips {
				side, _, _ := strings.Cut(strip.Name, ",")
				for _, tick := range strip.Ticks {
					found[fmt.Sprintf("%s %.0f", side, tick.X+strip.X)] = true
				}
			}
		}
		for _, m := range full.Marks {
			for _, want := range []string{fmt.Sprintf("from the left %.0f", m.X), fmt.Sprintf("from the front %.0f", full.High-m.Y)} {
				if !found[want] {
					t.Errorf("%s: no strip has a mark %s", p.Name, want)
				}
			}
		}
	}
}

func TestTemplateErrors(t *testing.T) {
	sheet, _ := SheetNamed("letter")
	s := Sheaf{Results: workroom(t), Rules: "feed"}
	tests := []struct {
		o    TemplateOptions
		want string
	}{
		{TemplateOptions{Piece: "skim", Sheet: sheet}, "no order cuts a piece called skim; did you mean skin?"},
		{TemplateOptions{Piece: "<x>", Sheet: sheet}, "no order cuts a piece called <x>: the pieces are board, core, soft, skin, top, strap"},
		{TemplateOptions{Piece: "skin", SVG: true}, "several orders cut skin: one drawing is of one order"},
	}
	for _, tt := range tests {
		err := WriteTemplate(io.Discard, s, tt.o)
		if err == nil || err.Error() != tt.want {
			t.Errorf("%+v: %v, want %s", tt.o, err, tt.want)
		}
	}
	for _, o := range []TemplateOptions{{Sheet: sheet}, {Sheet: sheet, Strip: true}} {
		for _, side := range []float64{4e6, 1e10, 1e300} {
			p := fullPiece{Wide: side, High: side, Piece: "floor"}
			if err := (templatePage{Pieces: []fullPiece{p}}).write(io.Discard, o); err != error(TooLarge{"floor", o.Strip}) {
				t.Errorf("a template of %v by %v in, strips %v: %v", side/milli, side/milli, o.Strip, err)
			}
		}
	}
}

func TestPagesHostileNamesStayText(t *testing.T) {
	sheet, _ := SheetNamed("letter")
	for name, page := range map[string]string{
		"quotation": quotationsOf(t), "buying": buyingOf(t), "labels": labelsPage(t, "a4"),
		"template": templateOf(t, 2, TemplateOptions{Piece: "skin", Sheet: sheet}), "strips": templateOf(t, 2, TemplateOptions{Piece: "skin", Strip: true, Sheet: sheet}),
		"svg": templateOf(t, 2, TemplateOptions{Piece: "skin", SVG: true}),
	} {
		for _, bad := range []string{"<script", "<b>moss", "</title> "} {
			if strings.Contains(page, bad) {
				t.Errorf("%s holds %q", name, bad)
			}
		}
		if !strings.Contains(page, "&lt;script&gt;alert(1)") {
			t.Errorf("%s does not name the order", name)
		}
	}
}

func papersInBrowser(t *testing.T, b *chromiumtest.Browser) {
	for name, page := range map[string]string{"quotation": quotationsOf(t), "buying": buyingOf(t), "labels": labelsPage(t, "letter")} {
		b.OpenText(page)
		for _, s := range screens {
			b.Wide(s.wide, s.high, s.phone)
			if name == "labels" && !s.phone {
				continue // at its size on paper
			}
			var found []string
			b.Ask(tooWide, &found)
			none(t, name+" on a "+s.name, found)
			b.Keep(name + "-" + s.name)
		}
		if name != "labels" { // whose sheets have no margin
			onPaper(t, b, name)
		}
		b.Quiet(name)
		for _, p := range chromiumtest.Papers() {
			want := map[string]int{"quotation": 3, "buying": 1, "labels": 1}[name]
			if n := pagesOf(b.Printed(name, p)); n != want {
				t.Errorf("%s prints on %d sheets of %s, want %d", name, n, p.Name, want)
			}
		}
	}
}

var mediaBox = regexp.MustCompile(`/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]`)

// tilesAtFullSize holds every tile to 96 CSS pixels an inch and to its own place on the piece, and the page to its sheet: a wider one would be shrunk.
func tilesAtFullSize(t *testing.T, b *chromiumtest.Browser, full fullPiece, pdf []byte) {
	t.Helper()
	b.Call("Emulation.setEmulatedMedia", map[string]string{"media": "print"}, nil)
	var got [][]float64
	b.Ask(`[...document.querySelectorAll('svg[aria-label^="Sheet "]')].map(s => { const m = s.getScreenCTM(), r = s.getBoundingClientRect(), p = s.closest('.paper').getBoundingClientRect();
		return [m.a, m.d, m.b, m.c, Math.round((r.left - m.e) / m.a), Math.round((r.top - m.f) / m.d), p.width, p.height, r.left - p.left, r.top - p.top].map(x => Math.round(x * 1e4) / 1e4) })`, &got)
	b.Call("Emulation.setEmulatedMedia", map[string]string{"media": ""}, nil)
	if len(got) != len(full.Tiles) {
		t.Fatalf("%d tiles on the page, want %d", len(got), len(full.Tiles))
	}
	box := mediaBox.FindSubmatch(pdf)
	if box == nil {
		t.Fatal("the PDF does not say how large its pages are")
	}
	wide, high := floatOf(t, string(box[1]))*4/3, floatOf(t, string(box[2]))*4/3
	for i, tile := range full.Tiles {
		want := []float64{0.096, 0.096, 0, 0, math.Round(tile.X), math.Round(tile.Y)}
		if diff := cmp.Diff(want, got[i][:6], cmpopts.EquateApprox(0, 1)); diff != "" {
			t.Errorf("tile %s: scale and corner (-want +got):\n%s", tile.Name, diff)
		}
		if g := got[i]; g[0] != 0.096 || g[6] > wide || g[7] > high || g[8] != 48 || g[9] != 48 {
			t.Errorf("tile %s: %v pixels an inch on a page of %v by %v, the sheet being %v by %v", tile.Name, g[0]*1000, g[6], g[7], wide, high)
		}
	}
}

func floatOf(t *testing.T, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// A template prints on its plan and its tiles, at full size: the test square measures 2 in, which is 192 CSS pixels.
func templateInBrowser(t *testing.T, b *chromiumtest.Browser) {
	for _, p := range chromiumtest.Papers() {
		sheet, _ := SheetNamed(p.Name)
		r := workroom(t)[0]
		full := newFullPiece(r, r.Pieces[3], "")
		full.tile(sheet)
		b.OpenText(templateOf(t, 0, TemplateOptions{Piece: "skin", Sheet: sheet}))
		var square []float64
		b.Ask(`(() => { const r = document.querySelector('[aria-label^="test square"]').getBoundingClientRect(); return [r.width, r.height] })()`, &square)
		if diff := cmp.Diff([]float64{192, 192}, square); diff != "" {
			t.Errorf("the test square (-want +got): %s", diff)
		}
		pdf := b.Printed("template", p)
		if n := pagesOf(pdf); n != 1+len(full.Tiles) {
			t.Errorf("%d sheets of %s for a plan and %d tiles", n, p.Name, len(full.Tiles))
		}
		tilesAtFullSize(t, b, full, pdf)
		full.strips(sheet)
		b.OpenText(templateOf(t, 0, TemplateOptions{Piece: "skin", Strip: true, Sheet: sheet}))
		if n := pagesOf(b.Printed("strip", p)); n != 1+len(full.Strips) {
			t.Errorf("%d sheets of %s for %d of strips", n, p.Name, len(full.Strips))
		}
		b.Quiet("template")
	}
}
