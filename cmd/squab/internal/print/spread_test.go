package print

import (
	"encoding/json"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval/check"
	"squab/eval/quantity"
	"squab/eval/spread"
	"squab/lang/diag"
)

// spreadOut is an answer that says each thing which one can say; no two of its figures are alike.
func spreadOut(t *testing.T, p *check.Program) spread.Answer {
	t.Helper()
	src := p.Files.Sources()[0]
	length, money := check.LengthType(), check.MoneyType()
	wide := &spread.Input{Name: "wide", Sort: "ask", At: at(t, src, "wide = 400 mm"), Type: length, Given: millimetres(400), Low: millimetres(397), High: millimetres(402)}
	thick := &spread.Input{Name: "grey_felt.usable", Sort: "field", At: at(t, src, "usable: length"), Type: length, Given: millimetres(1500), Low: millimetres(1490), High: millimetres(1501), Clipped: true}
	row := &spread.Input{Name: "deep", Sort: "ask", Type: length, Given: millimetres(300), Low: millimetres(299), High: millimetres(301)}
	low, high := []spread.Setting{{Input: wide, Value: millimetres(397)}}, []spread.Setting{{Input: wide, Value: millimetres(402)}, {Input: thick, Value: millimetres(1490)}}
	bound := quantity.Int(46)
	end := func(n quantity.Number, where []spread.Setting) spread.End {
		return spread.End{Value: n, Where: where, Proved: true}
	}
	return spread.Answer{Inputs: []*spread.Input{wide, thick, row}, Unsure: true,
		Ranges: []spread.Range{
			{Name: "top.wide", Type: length, Given: millimetres(500), Least: end(millimetres(497), low), Most: end(millimetres(502), high)},
			{Name: "edge.wide", Type: length, Given: millimetres(100), Least: end(millimetres(100), nil), Most: end(millimetres(100), nil)},
			{Name: "buy.grey_felt", Type: length, Given: millimetres(700), Least: spread.End{Value: millimetres(600), Where: low}, Most: spread.End{Value: millimetres(900), Where: high}},
			{Name: "price.total", Type: money, Given: quantity.Int(40), Least: end(quantity.Int(35), low), Most: spread.End{Value: quantity.Int(45), Where: high, Bound: &bound}},
		},
		Warnings: []spread.Warning{
			{Problem: diag.Diagnostic{Message: "a mat so wide sags", At: at(t, src, "deep: length"), Related: []diag.Related{{At: at(t, src, "lined: yes/no")}}}, Where: high},
			{Problem: diag.Diagnostic{Message: "a mat so narrow curls", At: at(t, src, "deep: length")}, Where: low, Past: true},
		}}
}

func TestSpreadText(t *testing.T) {
	p, r := worked(t)
	want := `ORDER 7 Tea tray

  what may be out   as given    least     most  stated at
  wide                400 mm   397 mm   402 mm  mat.squab:56
  grey_felt.usable   1500 mm  1490 mm  1501 mm  mat.squab:7, up to its range's end
  deep                300 mm   299 mm   301 mm  the order

  what may move  as given     least      most
  top.wide         500 mm    497 mm    502 mm
  buy.grey_felt    700 mm  600 mm ?  900 mm ?
  price.total      £40.00    £35.00  £45.00 ?
1 other size, purchase or price is proved not to move.

with wide = 397 mm
  least top.wide, least buy.grey_felt, least price.total

with wide = 402 mm, grey_felt.usable = 1490 mm
  most top.wide, most buy.grey_felt, most price.total

? reached, but not proved to be the end: price.total is no more than £46.00.

? the end of those values that were tried: each is laid out anew, so nothing is
proved of those between. --by-area gives what can be proved.

WARNING: from wide = 402 mm, grey_felt.usable = 1490 mm the order cannot be
made: a mat so wide sags (mat.squab:33)

WARNING: past wide = 397 mm the order cannot be made: a mat so narrow curls
(mat.squab:31)

It was not settled that every need holds all over these ranges.
`
	if diff := cmp.Diff(want, Spread(p, r.Order, spreadOut(t, p))); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

// TestSpreadJSONReadsBack holds the JSON of ranges against the answer, each end by its name.
func TestSpreadJSONReadsBack(t *testing.T) {
	p, r := worked(t)
	a := spreadOut(t, p)
	var got SpreadJSON
	if err := json.Unmarshal(Line(SpreadOf(p, r.Order, a)), &got); err != nil {
		t.Fatal(err)
	}
	settings := func(all []SpreadSetting) (text string) {
		for _, s := range all {
			text += " " + s.Name + " " + s.Value.Exact
		}
		return text
	}
	var lines []string
	for _, in := range got.Inputs {
		lines = append(lines, in.Sort+" "+in.Name+" "+in.Least.Exact+" "+in.Given.Exact+" "+in.Most.Exact)
	}
	for _, x := range got.Ranges {
		for _, e := range []SpreadEnd{x.Least, x.Most} {
			line := x.Name + " " + x.Given.Exact + " " + e.Value.Exact + e.Value.Unit + map[bool]string{true: " proved"}[e.Proved] + settings(e.Where)
			if e.Bound != nil {
				line += " bound " + e.Bound.Exact
			}
			lines = append(lines, line)
		}
	}
	for _, x := range got.Warnings {
		lines = append(lines, x.Message+settings(x.Where)+map[bool]string{true: " past"}[x.Past])
	}
	want := []string{"ask wide 397 400 402", "field grey_felt.usable 1490 1500 1501", "ask deep 299 300 301",
		"top.wide 500 497mm proved wide 397", "top.wide 500 502mm proved wide 402 grey_felt.usable 1490", "edge.wide 100 100mm proved", "edge.wide 100 100mm proved",
		"buy.grey_felt 700 600mm wide 397", "buy.grey_felt 700 900mm wide 402 grey_felt.usable 1490", "price.total 40 35GBP proved wide 397", "price.total 40 45GBP wide 402 grey_felt.usable 1490 bound 46",
		"a mat so wide sags wide 402 grey_felt.usable 1490", "a mat so narrow curls wide 397 past"}
	if diff := cmp.Diff(want, lines); diff != "" || got.Order != "7" || !got.Unsure {
		t.Errorf("order %s, unsure %v (-want +got):\n%s", got.Order, got.Unsure, diff)
	}
}
