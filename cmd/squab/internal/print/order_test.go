package print

import (
	"encoding/json"
	"math/big"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang"
	"squab/lang/diag"
)

const book = `shop "Heron Quay Workroom" {
  currency = GBP
  shows    = 1 mm
}
choice hand = left, right
kind felt: roll {
  usable: length = 1500 mm
  price:  money per length
  sold:   length = 1/2 m
}
kind rail: stick {
  long:  length = 2400 mm
  price: money per each
}
kind pin: supply {
  price: money per each
  sold:  count = 500
}
kind glue: supply {
  price: money per volume
  sold:  volume = 500 ml
}
rule labour_rate: money per time = £30 per h
material grey_felt: felt { price = £9.40 per m }
material bar: rail { price = £3.20 per each }
material brass_pin: pin { price = £0.0035 per each }
material clear_glue: glue { price = £0.75 per ml }
caution pins "Keep pins off the floor."
recipe mat "Tray mat" {
  ask wide: length from 100 mm to 1500 mm
  ask deep: length from 100 mm to 1000 mm = 300 mm
  ask side: hand = left
  ask lined: yes/no = no
  both = wide by deep
  spots = for each j from 1 to 2, i from 1 to 3: (i * wide / 4) at (j * deep / 3)
  root = sqrt(2)
  piece top from grey_felt, 2 off = wide by deep
  piece edge from bar = wide
  marks holes on top = spots { hole = 6 mm }
  use 40 of brass_pin
  use 3 ml of clear_glue
  work cutting = 20 min
  charge parcel = £4.50
  step "Cut {off} mats {wide} wide"
  caution pins
}
price {
  charge material = bought
  charge labour   = worked
  charge other    = extras
  half = 1/2 * total
}
order 7 "Tea tray" {
  make mat
  date = 2026-04-02
  wide = 400 mm
  lined = yes
  side = right
}
`

func worked(t *testing.T) (*check.Program, *eval.Result) {
	t.Helper()
	files := &diag.Files{}
	var problems diag.List
	src := files.Add("mat.squab", book, diag.House)
	p := check.Check(files, []*lang.File{lang.Parse(src, lang.Limits{}, &problems)}, &problems)
	for _, d := range problems.All() {
		t.Fatalf("%v: %s", files.Place(d.At.Start), d.Message)
	}
	r, wrong := (&eval.Engine{Program: p}).Work(p.Orders[0], p.Orders[0].Date)
	for _, d := range wrong {
		t.Fatal(d.Message)
	}
	return p, r
}

func TestOrderText(t *testing.T) {
	p, r := worked(t)
	got := string(NewWriter(Page{}, p).Text(nil, r))
	for _, want := range []string{
		"ORDER 7 Tea tray\nTray mat, 1 off, by the rules of 2026-04-02\n",
		"  top      2  400 mm  300 mm  grey_felt  deep\n",
		"  edge      1  400 mm  bar\n",
		"  holes on top: 6 marks, holes 6 mm wide\n    A  100 mm from the front: 100 mm · 200 mm · 300 mm\n    B  200 mm from the front: 100 mm · 200 mm · 300 mm\n",
		"grey_felt: 160 mm off a roll 1500 mm wide by area alone (not laid out)\n",
		"  brass_pin       40     500      500  £0.0035 per each    £1.75\n",
		"  clear_glue    3 ml  500 ml   500 ml      £0.75 per ml  £375.00\n",
		"  cutting  20 min  £10.00\n",
		"\n   1  Cut 1 mats 400 mm wide\n",
		"  !  Keep pins off the floor.\n",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("this is missing: %q", want)
		}
	}
	if t.Failed() {
		t.Log(got)
	}
}

// TestOrderJSON reads the JSON of an order back and holds it against the contract: exact values in the shop's unit, in lowest terms.
func TestOrderJSON(t *testing.T) {
	p, r := worked(t)
	var got map[string]json.RawMessage
	if err := json.Unmarshal(NewWriter(Page{}, p).JSON(nil, r), &got); err != nil {
		t.Fatal(err)
	}
	var cells map[string]json.RawMessage
	if err := json.Unmarshal(got["cells"], &cells); err != nil {
		t.Fatal(err)
	}
	want := map[string]string{
		"wide": `{"exact":"400","unit":"mm","shown":"400 mm"}`, "side": `"right"`, "lined": `true`, "date": `"2026-04-02"`, "off": `{"exact":"1","unit":"","shown":"1"}`,
		"both":       `{"wide":{"exact":"400","unit":"mm","shown":"400 mm"},"deep":{"exact":"300","unit":"mm","shown":"300 mm"}}`,
		"price.half": `{"exact":"` + halfOf(r) + `","unit":"GBP","shown":"` + p.Style.Show(noteOf(r), quantity.MoneyDim).Text + `"}`,
	}
	for name, text := range want {
		if diff := cmp.Diff(text, string(cells[name])); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
	}
	var root Quantity
	if err := json.Unmarshal(cells["root"], &root); err != nil {
		t.Fatal(err)
	}
	within(t, root)
	var spots []map[string]Quantity
	if err := json.Unmarshal(cells["spots"], &spots); err != nil || len(spots) != 6 {
		t.Errorf("%d spots, %v", len(spots), err)
	}
}

func noteOf(r *eval.Result) quantity.Number { return r.Price[len(r.Price)-1].Value }

func halfOf(r *eval.Result) string { return noteOf(r).String() }

// within checks that an approximate value squares to 2 within its own bound.
func within(t *testing.T, q Quantity) {
	t.Helper()
	value, ok := new(big.Rat).SetString(q.Exact)
	bound, ok2 := new(big.Rat).SetString(q.Within)
	if !ok || !ok2 {
		t.Fatalf("%+v is no value with a bound", q)
	}
	low, high := new(big.Rat).Sub(value, bound), new(big.Rat).Add(value, bound)
	two := big.NewRat(2, 1)
	if low.Mul(low, low).Cmp(two) > 0 || high.Mul(high, high).Cmp(two) < 0 {
		t.Errorf("%+v does not hold the root of 2", q)
	}
}

func TestLabelsGoFromTheFrontAndTheLeft(t *testing.T) {
	point := func(x, y int64) eval.Point { return eval.Point{X: quantity.Int(x), Y: quantity.Int(y)} }
	set := eval.Marks{Points: []eval.Point{point(9, 5), point(2, 5), point(4, 1), point(5, 5), point(4, 8)}}
	if diff := cmp.Diff([]string{"B3", "B1", "A1", "B2", "C1"}, labelsOf(set)); diff != "" {
		t.Error(diff)
	}
}

func TestLineKeepsOrderAndSigns(t *testing.T) {
	got := string(Line(object[string]{{"z", "<&>"}, {"a", "\u2028\x1b"}}))
	if want := `{"z":"<&>","a":"\u2028\u001b"}`; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}
