package audit_test

import (
	"strings"
	"testing"

	"squab/eval"
	"squab/eval/audit"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang"
	"squab/lang/diag"
)

// house is a small workroom without the trade library: two orders of one recipe that rests on a rule with cases, a table, an amendment and prices.
const house = `
shop "Heron Quay Workroom" {
  currency = USD
}
choice stuff = woven, vinyl, velvet
kind cloth: roll {
  usable: length
  stuff:  stuff = woven
  price:  money per length
  sold:   length = 1/4 yd
}
kind foam: sheet {
  wide:  length
  deep:  length
  thick: length
  price: money per each
}
material harbour_tweed: cloth {
  usable = 54 in
  price  = $32 per yd
}
material slip_vinyl: cloth {
  usable = 52 in
  stuff  = vinyl
  price  = $24 per yd
}
material firm: foam {
  wide  = 80 in
  deep  = 70 in
  thick = 2 in
  price = $60 per each
}
rule labour_rate: money per time = $48 per h
rule turn_under: length = 1 1/2 in
rule spare: length = 3 in
rule seam(c: cloth): length {
  5/8 in when c.stuff is vinyl
  1/2 in otherwise
}
amend seam(c) from 2026-03-01 {
  3/8 in when c.stuff is velvet
}
table pull(thick: length from 1/2 in to 6 in): length {
  thick        | gives
  up to 1 in   | 1/8 in
  up to 3 in   | 1/4 in
  any          | 3/8 in
}
recipe pad {
  ask wide: length from 10 in to 96 in
  ask deep: length from 8 in to 40 in
  ask cover: cloth
  ask core: foam = firm
  need wide >= deep else "swap wide and deep"
  drop = core.thick + turn_under + pull(core.thick)
  piece slab from core = wide by deep
  piece top from cover = (wide + 2 * drop + 2 * seam(cover)) by (deep + 2 * drop)
  work sewing = 5 min + 10 s * ((wide + deep) / (1 in) rounded up to 1)
}
price {
  charge material = bought
  charge labour   = worked
  charge tax      = 8% * material
}
order 1 {
  make pad
  date  = 2026-04-02
  wide  = 40 in
  deep  = 18 in
  cover = harbour_tweed
}
order 2 {
  make pad, 2 off
  date  = 2026-04-02
  wide  = 30 in
  deep  = 16 in
  cover = slip_vinyl
}
`

// bookOf parses a house, with later sources of the same Files.
func bookOf(t testing.TB, files *diag.Files, text string) audit.Book {
	t.Helper()
	var problems diag.List
	tree := lang.Parse(files.Add("house.squab", text, diag.House), lang.Limits{}, &problems)
	for _, d := range problems.All() {
		t.Fatalf("%v: %s", files.Place(d.At.Start), d.Message)
	}
	return audit.Book{Files: files, House: []*lang.File{tree}}
}

// programOf checks a book that must be sound.
func programOf(t testing.TB, text string) *check.Program {
	t.Helper()
	p, problems := bookOf(t, &diag.Files{}, text).Program()
	for _, d := range problems {
		t.Fatalf("%v: %s: %s", p.Files.Place(d.At.Start), d.Code, d.Message)
	}
	return p
}

// edited makes a house with some things put otherwise; each must be there to be changed.
func edited(t testing.TB, text string, edits ...edit) string {
	t.Helper()
	for _, e := range edits {
		if !strings.Contains(text, e.from) {
			t.Fatalf("the house does not hold %q", e.from)
		}
		text = strings.Replace(text, e.from, e.to, 1)
	}
	return text
}

type edit struct{ label, from, to string }

func inches(n, d int64) quantity.Number { return quantity.Frac(n, d) }

func factsOf(t testing.TB, text, id string) map[string]string {
	t.Helper()
	p := programOf(t, text)
	for _, o := range p.Orders {
		if o.ID != id {
			continue
		}
		e := &eval.Engine{Program: p}
		r, problems := e.Work(o, o.Date)
		var why []string
		for _, d := range problems {
			why = append(why, d.Message)
		}
		facts := map[string]string{}
		for _, f := range audit.Facts(r, why) {
			facts[f.Name] = f.Value.Num.String() + f.Value.Text()
		}
		return facts
	}
	t.Fatalf("no order %s", id)
	return nil
}
