package spread_test

import (
	"strings"
	"testing"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/eval/spread"
)

const turning = `
shop "Heron Quay Workroom" {
  currency = USD
}
kind cloth: roll {
  usable: length = 54 in
  price:  money per length = $36 per yd
  sold:   length = 1/4 yd
}
material tweed: cloth {
  price = $36 per yd tolerance 10%
}
rule base: length = 4 in
table strip(x: length from 1 in to 99 in): length {
  x             | gives
  up to 39 1/2 in | 2 in
  under 40 1/2 in | 3 in
  from 40 1/2 in  | x - 38 in
}
table loss(x: length from 1 in to 99 in): length interpolated {
  x     | gives
  1 in  | 1 in
  40 in | 3 in
  99 in | 1 in
}
rule fold(x: length): length {
  twice = 2 * x
  twice when x <= 39 3/4 in
  base otherwise
}
recipe pad {
  ask x: length from 1 in to 40 3/4 in
  ask n: count = 3
  need x <= 40 5/8 in or n > 3 else "too wide at {x}"
  need n < 4 else "too many"
  piece top from tweed = (FORMULA) by 10 in
}
price {
  charge material = bought
}
order 1 {
  make pad
  date = 2026-04-02
  x = 40 in TOLERANCE
}
`

// over gives the range of one formula where x is 40 in with a tolerance.
func over(t *testing.T, formula, tolerance string) (spread.Range, spread.Answer) {
	t.Helper()
	text := strings.NewReplacer("FORMULA", formula, "TOLERANCE", tolerance).Replace(turning)
	p := programOf(t, false, text)
	o := p.Orders[0]
	a := answer(t, spread.Question{Engine: &eval.Engine{Program: p}, Order: o, Day: o.Date})
	reached(t, p, o, a)
	for _, r := range a.Ranges {
		if r.Name == "top.wide" {
			return r, a
		}
	}
	t.Fatalf("%s has no range", formula)
	return spread.Range{}, a
}

// Ends worked by hand, for x from 39 1/2 in to 40 1/2 in unless another tolerance is given. An end that is not taken is bounded: "no more than".
func TestEndsAreThoseWorkedByHand(t *testing.T) {
	tests := []struct{ formula, tolerance, least, most string }{
		{"x", "", "39 1/2 in", "40 1/2 in"},
		{"80 in - x", "", "39 1/2 in", "40 1/2 in"},
		{"x", "tolerance +1/4 in -0 in", "40 in", "40 1/4 in"},
		{"x", "tolerance 0.5%", "39 4/5 in", "40 1/5 in"},
		{"x", "tolerance +1/4 in -1%", "39 3/5 in", "40 1/4 in"},
		{"x", "tolerance 50 in", "1 in", "40 3/4 in"},
		{"x - x + 5 in", "", "5 in", "5 in"},
		{"x rounded up to 1 in", "", "40 in", "41 in"},
		{"x rounded down to 1 in", "", "39 in", "40 in"},
		{"(x rounded to 1 in) + 1 in", "", "41 in", "42 in"},
		{"(x rounded up to 1 in) - x + 1 in", "", "1 in", "no more than 2 in"},
		{"x - (x rounded down to 1 in) + 1 in", "", "1 in", "no more than 2 in"},
		{"(x mod 8 in) + 1 in", "", "1 in", "no more than 9 in"},
		{"if x > 40 in then 10 in else x", "", "10 in", "40 in"},
		{"if x < 40 in then x else 50 in - x", "", "9 1/2 in", "no more than 40 in"},
		{"if x >= 40 in and not n = 4 then x else 30 in", "", "30 in", "40 1/2 in"},
		{"if x = 40 in then 60 in else x", "", "39 1/2 in", "60 in"},
		{"abs(x - 40 in) + 1 in", "", "1 in", "1 1/2 in"},
		{"max(x, 40 1/4 in)", "", "40 1/4 in", "40 1/2 in"},
		{"min(x, 80 1/2 in - x, 99 in)", "", "39 1/2 in", "40 1/4 in"},
		{"if x <= 39 3/4 in then 7 in else 1 in2 / (x - 39 1/2 in)", "", "1 in", "7 in"},
		{"sum(for each i from 1 to 3: x * i)", "", "237 in", "243 in"},
		{"last([1 in, x])", "", "39 1/2 in", "40 1/2 in"},
		{"(x by 3 in).wide", "", "39 1/2 in", "40 1/2 in"},
		{"x * x / 40 in", "", "39 1/160 in", "41 1/160 in"},
		{"1600 in2 / x", "", "39 41/81 in", "40 40/79 in"},
		{"strip(x)", "", "2 in", "3 in"},
		{"strip(x)", "tolerance +3/4 in -1 in", "2 in", "3 in"},
		{"loss(x)", "", "2 38/39 in", "3 in"},
		{"fold(x)", "", "4 in", "79 1/2 in"},
		{"sqrt(x * x)", "", "39 1/2 in", "40 1/2 in"},
		{"40 in * cos(30 deg)", "", "34.641 in", "34.641 in"},
	}
	for _, test := range tests {
		if test.tolerance == "" {
			test.tolerance = "tolerance 1/2 in"
		}
		r, _ := over(t, test.formula, test.tolerance)
		for _, e := range []struct {
			end  spread.End
			want string
		}{{r.Least, test.least}, {r.Most, test.most}} {
			want, bounded := strings.CutPrefix(e.want, "no more than ")
			n, proved := e.end.Value, e.end.Proved
			if bounded && e.end.Bound != nil {
				n, proved = *e.end.Bound, true
			}
			if got := eighths(n); got != want || !proved || bounded == e.end.Proved {
				t.Errorf("%s, %s: an end is %s (proved: %v), not %s", test.formula, test.tolerance, got, e.end.Proved, e.want)
			}
		}
	}
}

// eighths writes inches as a mixed number, and what is known only within a bound to three decimal places.
func eighths(n quantity.Number) string {
	if !n.Exact() {
		return n.Rat().FloatString(3) + " in"
	}
	whole, _ := n.RoundDown(quantity.Int(1))
	rest := n.Sub(whole)
	switch {
	case rest.Equal(quantity.Number{}):
		return whole.String() + " in"
	case whole.Equal(quantity.Number{}):
		return rest.String() + " in"
	}
	return whole.String() + " " + rest.String() + " in"
}

// A count is out by whole ones: three, give or take one or a third of it.
// Where a corner of the tolerances is refused, the points around it are not: at 38 3/4 in no piece can be cut, from 39 in to 40 in none is.
func TestPurchasesWherePiecesFallAway(t *testing.T) {
	text := strings.NewReplacer("from tweed = (FORMULA) by 10 in", "from tweed, ((x - 40 in) / 1 in rounded up to 1) off = 10 in by 10 in",
		"x = 40 in TOLERANCE", "x = 40 1/4 in tolerance +1/4 in -1 3/4 in").Replace(turning)
	p := programOf(t, false, text)
	o := p.Orders[0]
	a := answer(t, spread.Question{Engine: &eval.Engine{Program: p}, Order: o, Day: o.Date})
	reached(t, p, o, a)
	for _, r := range a.Ranges {
		if r.Name != "buy.tweed" {
			continue
		}
		least, most := eval.Show(p, check.Num(r.Least.Value), r.Type), eval.Show(p, check.Num(r.Most.Value), r.Type)
		if least != "0 in" || most != "9 in" || !r.Least.Proved || !r.Most.Proved {
			t.Errorf("%s is bought from %s (proved %v) to %s (proved %v)", r.Name, least, r.Least.Proved, most, r.Most.Proved)
		}
	}
	if len(a.Warnings) != 1 || a.Warnings[0].Problem.Message != "top cannot be cut -1 times" {
		t.Errorf("warnings %v", a.Warnings)
	}
}

func TestCountsAreOutByWholeOnes(t *testing.T) {
	for _, tolerance := range []string{"1", "40%"} {
		text := strings.NewReplacer("FORMULA", "12 in / n + sum(for each i from 1 to n: i * 1 in)", "TOLERANCE", "\n  n = 3 tolerance "+tolerance, "need n < 4", "need n < 9").Replace(turning)
		p := programOf(t, false, text)
		a := answer(t, spread.Question{Engine: &eval.Engine{Program: p}, Order: p.Orders[0], Day: p.Orders[0].Date})
		reached(t, p, p.Orders[0], a)
		for _, r := range a.Ranges {
			// 2: 6 + 3, 3: 4 + 6, 4: 3 + 10
			if r.Name == "top.wide" && (eighths(r.Least.Value) != "9 in" || eighths(r.Most.Value) != "13 in" || !r.Least.Proved || !r.Most.Proved) {
				t.Errorf("tolerance %s: from %s to %s (%v %v)", tolerance, eighths(r.Least.Value), eighths(r.Most.Value), r.Least.Proved, r.Most.Proved)
			}
		}
	}
}

func TestPurchasesAndPricesFollow(t *testing.T) {
	_, a := over(t, "x", "tolerance 1/2 in")
	want := map[string][2]string{
		"buy.tweed":      {"9 in", "9 in"},           // 10 in of 54 in cloth takes 7 1/2 in at most: a quarter yard
		"price.material": {"8 1/10 in", "9 9/10 in"}, // $9 a quarter yard, 10 % either way
		"price.total":    {"8 1/10 in", "9 9/10 in"},
	}
	for _, r := range a.Ranges {
		if w, ok := want[r.Name]; ok && (eighths(r.Least.Value) != w[0] || eighths(r.Most.Value) != w[1] || !r.Least.Proved || !r.Most.Proved) {
			t.Errorf("%s lies from %s to %s", r.Name, eighths(r.Least.Value), eighths(r.Most.Value))
		}
	}
	if len(a.Inputs) != 2 || a.Inputs[1].Name != "tweed.price" || a.Inputs[1].Sort != "field" {
		t.Errorf("the inputs: %+v", a.Inputs)
	}
}

func TestANeedThatFailsIsWarnedOfWhereItFirstFails(t *testing.T) {
	_, a := over(t, "x", "tolerance 7/8 in")
	if len(a.Warnings) != 1 || !a.Warnings[0].Past || !strings.HasPrefix(a.Warnings[0].Problem.Message, "too wide at 40") {
		t.Fatalf("the warnings: %+v", a.Warnings)
	}
	if s := a.Warnings[0].Where; len(s) != 1 || s[0].Input.Name != "x" || eighths(s[0].Value) != "40 5/8 in" {
		t.Errorf("it fails past %+v", s)
	}
	if in := a.Inputs[0]; !in.Clipped || eighths(in.High) != "40 3/4 in" {
		t.Errorf("x is tried up to %s, beyond its own range", eighths(in.High))
	}
	if _, a := over(t, "x", "tolerance 1/2 in"); len(a.Warnings) > 0 || a.Unsure {
		t.Errorf("nothing fails, yet it warns: %+v", a.Warnings)
	}
}

func TestWithoutToleranceThereIsNothingToAsk(t *testing.T) {
	p := programOf(t, false, strings.NewReplacer("FORMULA", "x", "TOLERANCE", "", "tolerance 10%", "").Replace(turning))
	a := answer(t, spread.Question{Engine: &eval.Engine{Program: p}, Order: p.Orders[0], Day: p.Orders[0].Date})
	if len(a.Inputs)+len(a.Ranges) > 0 {
		t.Errorf("nothing has a tolerance, and yet: %+v", a)
	}
}

// An order's own tolerance stands in place of its ask's, a material's in place of its kind's, and what is given for a run in place of all.
func TestTheNearestToleranceHolds(t *testing.T) {
	text := strings.NewReplacer("FORMULA", "x", "TOLERANCE", "", "usable: length = 54 in", "usable: length = 54 in tolerance 1 in",
		"ask n: count = 3", "ask n: count = 3 tolerance 1", "price = $36 per yd tolerance 10%", "price = $36 per yd").Replace(turning)
	text += "amend material tweed from 2026-01-01 {\n  usable = 50 in tolerance +2 in -0 in\n}\n"
	p := programOf(t, false, text)
	lot := check.Leeway{Num: quantity.Frac(1, 8)}
	q := spread.Question{Engine: &eval.Engine{Program: p}, Order: p.Orders[0], Day: p.Orders[0].Date, Given: map[string]*check.Tolerance{"x": {Up: lot, Down: lot}}}
	want := map[string]string{"x": "39 7/8 in to 40 1/8 in", "n": "2 in to 4 in", "tweed.usable": "50 in to 52 in"}
	for _, in := range answer(t, q).Inputs {
		if got := eighths(in.Low) + " to " + eighths(in.High); got != want[in.Name] {
			t.Errorf("%s lies from %s, not %s", in.Name, got, want[in.Name])
		}
		delete(want, in.Name)
	}
	if len(want) > 0 {
		t.Errorf("no tolerance was found of %v", want)
	}
}

// Where pieces are laid out, what they take is proved as long as no tolerance moves a piece or its material; else it is only tried.
func TestLaidPurchasesAreProvedWhereNothingMovesThem(t *testing.T) {
	text := strings.NewReplacer("FORMULA", "x", "TOLERANCE", "tolerance 1/2 in").Replace(turning)
	text = strings.Replace(text, "piece top", "ask y: length = 5 in tolerance 1 in\n  use y of ribbon\n  piece top", 1)
	text += "kind band: supply {\n  price: money per length = $1 per in\n  sold: length = 1 in\n}\nmaterial serge: cloth {\n  price = $30 per yd\n}\nrecipe bit {\n  ask y: length\n  piece scrap from tweed = y by 5 in\n}\nmaterial ribbon: band {\n  sold = 1 in\n}\n"
	moves := map[string]bool{"= (x) by 10 in": true, "= 40 in by 10 in": false, "= 40 in by 10 in { join = x / 80 }": true, "= 40 in by 10 in { turn = x > 40 in }": true, "= 40 in by 10 in { turn = x > 30 in }": false, "= (if x > 40 in then 80 in else 40 in) by 10 in": true, "= (if x > 30 in then 80 in else 40 in) by 10 in": false, "= 40 in by 10 in when x <= 40 in": true, "= 40 in by 10 in\n  part bits, (if x > 40 in then 2 else 1) off = bit { y = 5 in }": true, "= 40 in by 10 in\n  part bits, (if x > 30 in then 2 else 1) off = bit { y = 5 in }": false, "= 40 in by 10 in when x < 60 in": false, "= 40 in by 10 in\n  piece other from (if x > 40 in then tweed else serge) = 40 in by 10 in": true, "= 40 in by 2 in { bias = x / 80 }": true, "= 40 in by 2 in { bias = 1/2 in }": false}
	for piece, moving := range moves {
		house := strings.Replace(text, "= (x) by 10 in", piece, 1)
		if !strings.Contains(piece, "(x)") {
			house = strings.Replace(house, " tolerance 10%", "", 1)
		}
		p := programOf(t, false, house)
		a := answer(t, spread.Question{Engine: &eval.Engine{Program: p, Lay: eval.Reckon}, Order: p.Orders[0], Day: p.Orders[0].Date})
		for _, r := range a.Ranges {
			switch {
			case r.Name == "buy.ribbon" && (!r.Least.Proved || eighths(r.Least.Value) != "4 in" || eighths(r.Most.Value) != "6 in"):
				t.Errorf("the ribbon, which is not laid: %+v", r)
			case r.Name == "buy.tweed" && (r.Least.Proved != !moving || r.Least.Bound != nil):
				t.Errorf("the tweed, %s, where its piece moves (%v): %+v", piece, moving, r)
			}
		}
	}
}

// A list that no order could hold is not gone through to find that out.
func TestAListTooLongIsNotGoneThrough(t *testing.T) {
	for _, ends := range []string{"-9223372036854775807 to 9223372036854775807", "1 to 9223372036854775807"} {
		r, _ := over(t, "if x <= 40 1/4 in then x else count(for each i from "+ends+": i) * 1 in", "tolerance 1/2 in")
		if r.Most.Proved {
			t.Errorf("from %s: %+v", ends, r.Most)
		}
	}
}

// Near a divisor of nothing there is no end, and none is claimed.
func TestQuotientsWithoutEnd(t *testing.T) {
	r, _ := over(t, "if x = 39 1/2 in then 7 in else 1 in2 / (x - 39 1/2 in)", "tolerance 1/2 in")
	if r.Most.Proved || r.Most.Bound != nil {
		t.Errorf("a quotient is said to go no further than %+v", r.Most)
	}
}

// What is charged, used or cut only now and then, or now from one cloth and now from another, by hand for x from 39 1/2 in to 40 1/2 in.
func TestLinesThatComeAndGo(t *testing.T) {
	const more = `
material serge: cloth {
  price = $18 per yd
}
`
	tests := []struct{ lines, name, least, most string }{
		{"charge late = $5 when x > 40 1/4 in", "price.other", "0", "5"},
		{"charge late = $5 when x < 39 3/4 in", "price.other", "0", "5"},
		{"charge late = $5 when x < 99 in", "price.other", "5", "5"},
		{"use 10 in of serge when x > 40 1/4 in", "buy.serge", "", ""},
		{"use 10 in of tweed when x > 40 1/4 in", "buy.tweed", "9", "18"},
		{"piece other from (if x > 40 1/4 in then tweed else serge) = 54 in by 20 in", "buy.serge", "0", "27"},
		{"piece other from (if x > 40 1/4 in then tweed else serge) = 54 in by 20 in", "buy.tweed", "9", "36"},
		{"piece other from tweed, (if x > 40 in then 3 else 1) off = 54 in by 9 in", "buy.tweed", "18", "36"},
	}
	for _, tt := range tests {
		text := strings.NewReplacer("FORMULA", "40 in", "TOLERANCE", "tolerance 1/2 in", "piece top", tt.lines+"\n  piece top", "charge material = bought", "charge material = bought\n  charge other = extras", " tolerance 10%", "").Replace(turning) + more
		p := programOf(t, false, text)
		a := answer(t, spread.Question{Engine: &eval.Engine{Program: p}, Order: p.Orders[0], Day: p.Orders[0].Date})
		reached(t, p, p.Orders[0], a)
		least, most := "", ""
		for _, r := range a.Ranges {
			if r.Name == tt.name {
				if least, most = r.Least.Value.String(), r.Most.Value.String(); !r.Least.Proved || !r.Most.Proved {
					t.Errorf("%s: %s is not proved: %+v", tt.lines, r.Name, r)
				}
			}
		}
		if least != tt.least || most != tt.most {
			t.Errorf("%s: %s lies from %q to %q, want %q to %q", tt.lines, tt.name, least, most, tt.least, tt.most)
		}
	}
}
