package trace_test

import (
	"strings"
	"testing"

	"squab/eval/trace"
)

// reasons is a house in which something is passed over for each reason that there is.
const reasons = `
shop "Heron Quay Workroom" {
  currency = USD
}
choice stuff = woven, velvet, vinyl
kind cloth: roll {
  usable: length = 54 in
  stuff:  stuff = woven
  price:  money per length
  sold:   length = 1/4 yd
}
material tweed: cloth {
  price = $32 per yd
}
amend material tweed from 2026-03-01 until 2026-05-01 {
  price = $36 per yd  because "the spring list"
}
amend material tweed from 2026-06-01 {
  price = $40 per yd
}
amend material tweed from 2026-01-01 until 2026-02-01 {
  price = $30 per yd
}
rule edge: length = 1 in
amend edge from 2026-01-01 until 2026-04-02 = 3 in
amend edge from 2026-04-02 until 2026-04-03 = 2 in
amend edge from 2026-04-03 = 4 in
rule pick(w: length, n: count, c: cloth): length {
  1 in when w > 50 in and n > 2
  2 in when w < 50 in and n > 4
  3 in when w > 50 in or n > 4
  4 in when not (w < 50 in)
  5 in when c.stuff is velvet
  6 in when c.stuff is not woven
  7 in otherwise
}
table grade(w: length from 10 in to 96 in, c: stuff): length {
  w           | c      | gives
  up to 40 in | velvet | 1 in
  under 40 in | any    | 2 in
  up to 40 in | woven  | 3 in
  any         | any    | 4 in
}
amend table grade {
  w          | c   | gives
  over 90 in | any | 9 in
}
amend pick(w, n, c) from 2026-01-01 {
  8 in when w < 41 in
}
recipe pad {
  ask wide: length from 10 in to 96 in
  ask n: count = 3
  ask cover: cloth = tweed
  a    = pick(wide + 2 in, n, cover)
  o    = pick(wide, n, cover)
  b    = grade(wide, cover.stuff)
  c    = 1/3 in rounded up to 1/8 in
  d    = 1/2 in rounded down to 1/8 in
  e    = 5/8 in rounded down to 1/4 in
  f    = pi * 1 in
  both = [1 in, wide]
  piece top from cover = (wide + 20 in) by 20 in
  work sewing at $50 per h = 7 min, setup 4 min
}
price {
  charge material = bought
  charge labour   = worked
  charge third    = bought / 3
}
order 1 {
  make pad
  date = 2026-04-02
  wide = 40 in
}
`

// Each reason for which something is passed over, each rounding and each line of a price, as a bench hand would say it.
func TestEveryReasonIsTold(t *testing.T) {
	p := programOf(t, false, reasons)
	r := workedOut(t, p)
	tests := map[string][]string{
		"a": {"pick(42 in, 3, tweed) = 7 in [house rule, house.squab:35]", "where w = 42 in, n = 3, c = tweed",
			"not 8 in when w < 41 in [house, house.squab:49]: w is 42 in",
			"not 1 in when w > 50 in and n > 2 [house, house.squab:29]: w is 42 in not",
			"not 2 in when w < 50 in and n > 4 [house, house.squab:30]: n is 3 not",
			"not 3 in when w > 50 in or n > 4 [house, house.squab:31]: w is 42 in, and n is 3 not",
			"not 4 in when not (w < 50 in) [house, house.squab:32]: w < 50 in holds",
			"not 5 in when c.stuff is velvet [house, house.squab:33]: c.stuff is woven, not velvet",
			"not 6 in when c.stuff is not woven [house, house.squab:34]: c.stuff is woven"},
		"o": {"= 8 in [house rule, house.squab:49] where w = 40 in when w < 41 in over 7 in [house, house.squab:35]"},
		"b": {"row 3, for w up to 40 in, c woven", "not 9 in (the row for w over 90 in) [house, house.squab:46]: w is 40 in",
			"not 1 in (the row for w up to 40 in, c velvet) [house, house.squab:39]: c is woven", "not 2 in (the row for w under 40 in) [house, house.squab:40]: w is 40 in"},
		"c": {"rounded up to 1/8 in: ~0.3333 in, so ~0.0417 in more"},
		"d": {"rounded down to 1/8 in: nothing lost"},
		"e": {"rounded down to 1/4 in: 5/8 in, so 1/8 in less"},
		"f": {"approximate: known to 57 decimal places"},
		"edge": {"edge = 2 in [house rule, house.squab:26]", "not 4 in [house, house.squab:27]: it holds from 2026-04-03, and the order is of 2026-04-02",
			"nor 3 in [house, house.squab:25]: it held until 2026-04-02, and the order is of 2026-04-02", "over 1 in [house, house.squab:24]"},
		"tweed.price": {"$36.00 per yd [material, house.squab:16]", "because the spring list",
			"not $40 per yd [house, house.squab:19]: it holds from 2026-06-01", "nor $30 per yd [house, house.squab:22]: it held until 2026-02-01", "over $32.00 per yd, = $32 per yd [house, house.squab:13]"},
		"tweed.usable": {"tweed.usable = 54 in [default, house.squab:7]"},
		"work.sewing":  {"= 11 min at its rate", "rounded to the cent: ~9.1667 USD, so ~0.0033 USD more", "sewing.time = 7 min", "sewing.setup = 4 min", "sewing.rate = $50.00 per h"},
		"buy.tweed":    {"= 3/4 yd at $36.00 per yd bought: 3/4 yd, which is ~1/8 yd more than the need need of tweed = ~5/8 yd"},
		"price.third":  {"price.third = $9.00", "= bought / 3 price.bought"},
		"both[2]":      {"both[2] = 40 in [house.squab:62] = wide wide = 40 in [the order"},
	}
	for name, want := range tests {
		n, err := trace.Explain(r.Sheet, r, name)
		if err != nil {
			t.Fatal(err)
		}
		text := flat(p, n)
		for _, w := range want {
			if !strings.Contains(text, w) {
				t.Errorf("%s does not say %q:\n%s", name, w, trace.Text(n, p.Files, 80))
			}
		}
	}
	holdTraces(t, p)
}
