package print

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
)

// variedPieces are pieces of each form; what only some have stands on the first of them and not on the last.
func variedPieces() []eval.Piece {
	felt, foam, lath, seam := &check.Material{Name: "grey_felt", Kind: &check.Kind{}}, &check.Material{Name: "foam"}, &check.Material{Name: "lath"}, millimetres(12)
	return []eval.Piece{
		{Name: "core", Material: foam, Form: check.Sheet, Wide: millimetres(403), Deep: millimetres(304), Thick: millimetres(50), HasThick: true, Count: 3, Up: "deep", Turn: true},
		{Name: "top", Material: felt, Form: check.Roll, Wide: millimetres(401), Deep: millimetres(302), Count: 2, Up: "wide"},
		{Name: "rail", Material: lath, Form: check.Stick, Wide: millimetres(805), Mitre: millimetres(19), Count: 4, Up: "deep"},
		{Name: "stile", Material: lath, Form: check.Stick, Wide: millimetres(640), Count: 5, Up: "deep"},
		{Name: "piping", Material: felt, Form: check.Roll, Wide: millimetres(1900), Deep: millimetres(38), Count: 1, Up: "deep", Bias: &seam},
		{Name: "board", Material: &check.Material{Name: "ply"}, Form: check.Sheet, Wide: millimetres(500), Deep: millimetres(350), Count: 1, Up: "deep"},
	}
}

// part writes one part of an order's text.
func part(t *testing.T, change func(*eval.Result), write func(*orderWriter)) (text string, inexact bool) {
	t.Helper()
	p, r := worked(t)
	change(r)
	w := NewWriter(Page{}, p).text
	w.r = r
	write(&w)
	return w.b.String(), w.inexact
}

func TestCutListText(t *testing.T) {
	for _, c := range []struct {
		pieces []eval.Piece
		want   string
	}{
		{variedPieces(), `
CUT LIST
  piece   off     wide    deep  thick  from       along  turn
  core      3   403 mm  304 mm  50 mm  foam              yes
  top       2   401 mm  302 mm         grey_felt  wide
  piping    1  1900 mm   38 mm         grey_felt  bias
  board     1   500 mm  350 mm         ply

CUT TO LENGTH
  length  off    long  mitre  from
  rail      4  805 mm  19 mm  lath
  stile     5  640 mm         lath
`},
		{variedPieces()[3:4], `
CUT TO LENGTH
  length  off    long  from
  stile     5  640 mm  lath
`},
		{variedPieces()[5:], `
CUT LIST
  piece  off    wide    deep  from
  board    1  500 mm  350 mm  ply
`},
		{nil, ""},
	} {
		got, _ := part(t, func(r *eval.Result) { r.Pieces = c.pieces }, func(w *orderWriter) { w.pieces(); w.sticks() })
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("-want +got:\n%s", diff)
		}
	}
}

// TestPriceText sets what is charged above, the total in capitals, and what is no charge apart from them, wherever it stands among them.
func TestPriceText(t *testing.T) {
	money := check.MoneyType()
	line := func(name string, pounds int64) eval.PriceLine {
		return eval.PriceLine{Name: name, Value: quantity.Int(pounds), Type: money}
	}
	total, note, share := line("total", 90), line("before_tax", 75), eval.PriceLine{Name: "share", Value: quantity.Frac(1, 3), Type: plainType, IsNote: true}
	total.IsTotal, note.IsNote = true, true
	got, _ := part(t, func(r *eval.Result) {
		r.Price = []eval.PriceLine{line("material", 60), note, line("tax", 15), total, share}
	}, (*orderWriter).price)
	want := `
PRICE
  material    £60.00
  tax         £15.00
  TOTAL       £90.00

  before_tax  £75.00
  share          1/3
`
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
	if none, _ := part(t, func(r *eval.Result) { r.Price = nil }, (*orderWriter).price); none != "" {
		t.Errorf("of no price it says %q", none)
	}
}

// TestRoundedPurchasesOweAWord buys an amount that the unit of its price does not show exactly.
func TestRoundedPurchasesOweAWord(t *testing.T) {
	for _, c := range []struct {
		inches  quantity.Number
		inexact bool
	}{{millimetres(500), false}, {quantity.Frac(100, 3), true}} {
		got, inexact := part(t, func(r *eval.Result) {
			r.Buy = r.Buy[:1]
			r.Buy[0].Need, r.Buy[0].Buy, r.Buy[0].Charged = millimetres(100), c.inches, millimetres(1000)
		}, (*orderWriter).buying)
		if inexact != c.inexact || strings.Contains(got, "~") != c.inexact {
			t.Errorf("%s in is bought; owed a word on rounding: %v\n%s", c.inches, inexact, got)
		}
	}
}

// TestFootnoteStandsWhereSomethingIsRounded writes an order in whole millimetres, and one that is a third of an inch wider.
func TestFootnoteStandsWhereSomethingIsRounded(t *testing.T) {
	p, r := worked(t)
	w := NewWriter(Page{}, p)
	const footnote = "\n~ is shown rounded; squab why tells the exact value.\n"
	wide := r.Pieces[0].Wide
	for _, more := range []quantity.Number{{}, quantity.Frac(1, 3), {}} {
		r.Pieces[0].Wide = wide.Add(more)
		text := string(w.Text(nil, r))
		if got, want := strings.HasSuffix(text, footnote), strings.Contains(strings.TrimSuffix(text, footnote), "~"); got != want {
			t.Errorf("something is rounded: %v, and it is said: %v\n%s", want, got, text)
		}
	}
}

// TestVariedOrderJSONIsEncodingJSON writes an order that has each thing which an order can have.
func TestVariedOrderJSONIsEncodingJSON(t *testing.T) {
	p, r := worked(t)
	r.Pieces = variedPieces()
	r.Layouts = []eval.Layout{laidRoll().Layout, laidSheets().Layout, laidSticks().Layout}
	r.Marks = append(r.Marks, eval.Marks{Name: "notches", On: []string{"top", "core"}, Points: []eval.Point{{X: millimetres(3), Y: millimetres(4)}, {X: millimetres(1), Y: millimetres(2)}}}, eval.Marks{Name: "none"})
	r.Buy[0].Need, r.Buy[0].Buy, r.Buy[0].Each, r.Buy[0].Cost = millimetres(1), millimetres(2), quantity.Int(3), quantity.Int(4)
	if diff := cmp.Diff(string(Line(resultOf(p, r))), string(NewWriter(Page{}, p).JSON(nil, r))); diff != "" {
		t.Error(diff)
	}
}
