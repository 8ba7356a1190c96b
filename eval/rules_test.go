package eval_test

import (
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestRules(t *testing.T) {
	rules := `
rule fold: length = 1 1/4 in
rule flap(w: length, edge: length = 2 * fold, both: length = w + edge): length = both + edge
rule around(rim: length, far: length = 3 * rim): length = rim + flap(4 in) + far
rule hem(w: length = fold + 1 in): length = w
rule hems(w: length = hem(), times: count): length = w * times
rule double(x: number): number = 2 * x
rule strap(run: length, folds: count): length {
  all  = ends + run
  ends = folds * fold
  all otherwise
}
rule row(j: count): list of length = for each i from 1 to j: i * fold
rule border(x: length): length {
  1 in when x < 10 in
  2 in when x <= 24 5/8 in
  3 in otherwise
}
`
	tests := []struct{ name, formula, want string }{
		{"a rule that is one value", "fold", "1 1/4 in"},
		{"by place", "flap(4 in, 1 in, 2 in)", "3 in"},
		{"by name", "flap(both: 2 in, w: 4 in, edge: 1 in)", "3 in"},
		{"a default that uses a parameter and a default before it", "flap(4 in)", "9 in"},
		{"a default that uses a parameter given", "flap(4 in, edge: 1 in)", "6 in"},
		{"a default in another rule's frame", "around(1 in)", "13 in"},
		{"a default of the only parameter", "hem() + hem(1 in)", "3 1/4 in"},
		{"a default of the first parameter, by name", "hems(times: 2)", "4 1/2 in"},
		{"a default in a loop", "for each i from 1 to 2: flap(i * 1 in)", "[6 in, 7 in]"},
		{"cells of a rule in any order", "strap(10 in, 3)", "13 3/4 in"},
		{"a rule in a rule's argument", "double(double(double(n)))", "24"},
		{"a rule between two readings of a loop's variable", "for each i from 1 to 3: i * 100 + double(i) * 10 + i", "[121, 242, 363]"},
		{"a rule that gives a list, in a loop", "for each j from 1 to 2: sum(row(j))", "[1 1/4 in, 3 3/4 in]"},
		{"a loop over a rule's list with a rule in its body", "for each x of row(2): x + strap(x, 1)", "[3 3/4 in, 6 1/4 in]"},
		{"the first case", "border(9 7/8 in)", "1 in"},
		{"a bound that belongs", "border(wide)", "2 in"},
		{"past it", "border(wide + 1/64 in)", "3 in"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := read(t, pad("  x = "+tt.formula, rules)).fill(t, "1")
			if diff := cmp.Diff(tt.want, shown(t, s, "x")); diff != "" {
				t.Errorf("%s (-want +got):\n%s", tt.formula, diff)
			}
		})
	}
}

// Formulas outside recipes have no stack of their own, and loops and rules in them must not meet on it.
func TestLoopsOutsideRecipes(t *testing.T) {
	const text = trade + `
rule double(x: number): number = 2 * x
rule part_of(x: number): number = x / 4
kind tape: supply {
  wide:  length = 1 in * sum(for each i from 1 to 3: double(i - 1) + i)
  price: money per length
  sold:  length = 1 yd
}
material jute: tape { price = $1 per yd }
recipe strip {
  ask wide: length from 0 in to 1 in * sum(for each i from 1 to 3: double(i - 1) + i) = 1 in
  ask n: count = 1
  x = jute.wide + wide
}
order 1 {
  make strip
  wide = 1 in * sum(for each i from 1 to 3, j from 1 to 2: double(i - 1) + i - j) / 3
}
`
	if got := shown(t, read(t, text).fill(t, "1"), "x"); got != "17 in" {
		t.Errorf("x = %s, want 17 in: 12 in of tape and 5 in given", got)
	}
}

func TestAmendments(t *testing.T) {
	const text = trade + `
rule fold: length = 1 in
rule flap(c: cloth): length {
  1 in when c.stuff is vinyl
  2 in otherwise
}
amend fold from 2026-03-01 = 3 in
amend fold from 2026-05-01 until 2026-06-01 = 5 in
amend fold = 1 1/2 in
amend flap(k) from 2026-05-01 { 9 in when k.stuff is velvet }
amend material harbour_tweed from 2026-05-01 { price = $45 per yd }
recipe strip {
  ask cover: cloth = harbour_tweed
  x = fold
  y = flap(cover)
  cost = cover.price * 1 yd
}
material pile: cloth {
  stuff = velvet
  price = $1 per yd
}
order before { make strip date = 2026-02-28 }
order first_day { make strip date = 2026-03-01 }
order spring { make strip date = 2026-05-01 }
order pile_spring {
  make strip
  date  = 2026-05-31
  cover = pile
}
order summer { make strip date = 2026-06-01 }
order own {
  make strip
  date = 2026-05-01
  amend fold = 7 in
  amend flap(c) = 16 * seam(c)
}
order own_vinyl {
  make strip
  date  = 2026-05-01
  cover = quay_vinyl
  amend flap(c) = 16 * seam(c)
}
`
	tests := []struct {
		order         string
		x, y, costing string
	}{
		{"before", "1 1/2 in", "2 in", "$41.50"},
		{"first_day", "3 in", "2 in", "$41.50"},
		{"spring", "5 in", "2 in", "$45.00"},
		{"pile_spring", "5 in", "9 in", "$1.00"},
		{"summer", "3 in", "2 in", "$45.00"},
		{"own", "7 in", "8 in", "$45.00"},
		{"own_vinyl", "5 in", "10 in", "$20.00"},
	}
	b := read(t, text)
	for _, tt := range tests {
		s := b.fill(t, tt.order)
		got := [3]string{shown(t, s, "x"), shown(t, s, "y"), shown(t, s, "cost")}
		if want := [3]string{tt.x, tt.y, tt.costing}; got != want {
			t.Errorf("order %s: x, y, cost = %v, want %v", tt.order, got, want)
		}
	}
}

func TestTables(t *testing.T) {
	rules := `
table strip_wide(cord: length from 1/16 in to 1/2 in, stuff: stuff): length {
  cord                     | stuff         | gives
  up to 1/8 in             | any           | 1 1/4 in
  over 1/8 in up to 1/4 in | vinyl, velvet | 1 3/4 in
  over 1/8 in up to 1/4 in | any           | 1 1/2 in
  over 1/4 in              | any           | 4 * cord
}
table band(n: count from 0 to 12): number unique {
  n              | gives
  0              | 10
  1, 2, 5        | 20
  from 3 under 5 | 30
  over 5         | n / 4
}
table loft(weight: number from 1 to 9, stuff: stuff): length interpolated {
  weight | stuff         | gives
  9      | woven, velvet | 3 in
  1      | woven, velvet | 1 in
  4      | woven, velvet | 2 in
  1      | vinyl         | 1 in
  9      | vinyl         | 5 in
}
amend table band from 2026-03-01 {
  n | gives
  7 | 70
}
`
	tests := []struct{ formula, want string }{
		{"strip_wide(1/8 in, woven)", "1 1/4 in"},
		{"strip_wide(5/32 in, vinyl)", "1 3/4 in"},
		{"strip_wide(1/4 in, velvet)", "1 3/4 in"},
		{"strip_wide(1/4 in, woven)", "1 1/2 in"},
		{"strip_wide(17/64 in, vinyl)", "1 1/16 in"},
		{"strip_wide(n * 3/16 in, vinyl)", "(parameter-outside)"},
		{"band(0)", "10"},
		{"band(5)", "20"},
		{"band(4)", "30"},
		{"band(6)", "1 1/2"},
		{"band(7)", "70"},
		{"band(n + 10)", "(parameter-outside)"},
		{"loft(1, woven)", "1 in"},
		{"loft(9, woven)", "3 in"},
		{"loft(4, velvet)", "2 in"},
		{"loft(2, velvet)", "1 1/3 in"},
		{"loft(13 / 2, velvet)", "2 1/2 in"},
		{"loft(13 / 2, vinyl)", "3 3/4 in"},
	}
	for _, tt := range tests {
		t.Run(tt.formula, func(t *testing.T) {
			b := read(t, pad("  x = "+tt.formula, rules))
			s := b.fill(t, "1")
			i := s.Plan.Slot("x")
			v, fault := s.Value(i)
			got := "(none)"
			switch {
			case fault != nil:
				got = "(" + fault.Code + ")"
			default:
				got = v.Num.Fraction()
				if s.Plan.Slots[i].Cell.Type.IsLength() {
					got += " in"
				}
			}
			if got != tt.want {
				t.Errorf("%s = %s, want %s", tt.formula, got, tt.want)
			}
		})
	}
}

func TestAsks(t *testing.T) {
	const text = trade + `
recipe pad {
  ask wide: length from 10 in to 8 ft
  ask deep: length from 1 in to 40 in = wide / 2
  ask n: count from 0 to 6 = 2
  area = wide * deep
}
order good { make pad wide = 12 in }
order low { make pad wide = 10 in / 3 + 6 in }
order least { make pad wide = 20 in / 2 }
order default_outside { make pad wide = 90 in }
order bad_default_given { make pad wide = 90 in deep = 40 in }
order none { make pad, 2 off wide = 12 in n = 3 * 3 }
`
	tests := []struct{ order, cell, want string }{
		{"good", "area", "72 in2"},
		{"low", "wide", "(ask-outside)"},
		{"low", "area", "(ask-outside)"},
		{"least", "area", "50 in2"},
		{"default_outside", "deep", "(ask-outside)"},
		{"default_outside", "area", "(ask-outside)"},
		{"bad_default_given", "area", "3600 in2"},
		{"none", "n", "(ask-outside)"},
		{"none", "off", "2"},
		{"none", "date", "2026-04-01"},
	}
	b := read(t, text)
	for _, tt := range tests {
		s := b.fill(t, tt.order)
		i := s.Plan.Slot(tt.cell)
		v, fault := s.Value(i)
		got := s.Plan.Show(v, s.Plan.Slots[i].Cell.Type)
		if tt.cell == "area" && fault == nil {
			got = v.Num.Fraction() + " in2"
		}
		if fault != nil {
			got = "(" + fault.Code + ")"
		}
		if got != tt.want {
			t.Errorf("order %s: %s = %s, want %s", tt.order, tt.cell, got, tt.want)
		}
	}
	if diff := cmp.Diff("ask-outside", codes(secondOf(b.work(t, "low")))); diff != "" {
		t.Errorf("the problems of an ask outside its range (-want +got):\n%s", diff)
	}
}

func secondOf[A, B any](_ A, second B) B { return second }

// An amendment may turn round which of two rules rests on the other, for good, for a time or for one order.
func TestAmendmentsTurnedRound(t *testing.T) {
	const text = trade + `
rule welt: length = lip / 2
rule lip: length = 1 in
amend welt from 2026-03-01 = 3/8 in
amend lip from 2026-03-01 until 2026-05-01 = welt * 4
kind tape: supply {
  price: money per each
  sold:  count = 1
  wide:  length = 2 in
  long:  length = wide * 10
}
material webbing: tape { price = $2 per each }
amend material webbing from 2026-03-01 {
  long = 30 in
  wide = long / 12
}
recipe strip { x = welt + lip y = webbing.long + webbing.wide }
order before { make strip date = 2026-02-28 }
order turned { make strip date = 2026-03-01 }
order after { make strip date = 2026-05-01 }
order own {
  make strip
  date = 2026-05-01
  amend welt = 1/4 in
  amend lip = welt + 1/2 in
}
`
	b := read(t, text)
	for _, tt := range []struct{ order, x, y string }{
		{"before", "1 1/2 in", "22 in"},
		{"turned", "1 7/8 in", "32 1/2 in"},
		{"after", "1 3/8 in", "32 1/2 in"},
		{"own", "1 in", "32 1/2 in"},
	} {
		s := b.fill(t, tt.order)
		if got, want := [2]string{shown(t, s, "x"), shown(t, s, "y")}, [2]string{tt.x, tt.y}; got != want {
			t.Errorf("order %s: x, y = %v, want %v", tt.order, got, want)
		}
	}
}

// A range whose ends cannot be told holds nothing: what is given for it is refused with the fault of the range.
func TestRangesThatCannotBeTold(t *testing.T) {
	const rules = trade + `
rule none: number = 0
rule most: length = 9 in / none
rule taken(w: length from 0 in to most): length = w
kind tape: supply {
  price: money per each
  sold:  count = 1
  wide:  length from 9 in / none to 3 ft = 2 in
}
material webbing: tape { price = $2 per each }
order 1 { make strip date = 2026-04-01 }
recipe strip {
  x = %s
  ask wide: length%s = 2 in
}
`
	for _, tt := range []struct{ name, formula, ranges, what string }{
		{"of a parameter", "taken(1 in)", "", "in the range of w"},
		{"of an ask", "wide", " from 0 in to most", "in the range of wide"},
		{"of a field", "webbing.wide", "", "in the range of wide"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := read(t, fmt.Sprintf(rules, tt.formula, tt.ranges)).fill(t, "1")
			_, fault := s.Value(s.Plan.Slot("x"))
			if fault == nil || fault.Code != "zero-divisor" {
				t.Fatalf("x: %v, want zero-divisor", fault)
			}
			if last := fault.Related[len(fault.Related)-1].Note; last != tt.what {
				t.Errorf("the fault says %q, want %q", last, tt.what)
			}
		})
	}
}

func TestDateOfAFieldLiesInItsRange(t *testing.T) {
	const text = trade + `
rule day: date = 2027-01-01
kind tape: supply {
  price: money per each
  sold:  count = 1
  since: date from 2026-01-01 to 2026-12-31
}
material webbing: tape {
  price = $2 per each
  since = day
}
recipe strip { x = webbing.since > 2026-03-01 }
order 1 { make strip date = 2026-04-01 }
`
	if got := shown(t, read(t, text).fill(t, "1"), "x"); got != "(field-outside)" {
		t.Errorf("x = %s, want it refused", got)
	}
}
