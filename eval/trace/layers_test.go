package trace_test

import (
	"strings"
	"testing"

	"squab/eval"
	"squab/eval/trace"
)

// layered is a house with an interpolated table, amendments by date and by order, a priced amendment and a condition that fails.
const layered = `
shop "Heron Quay Workroom" {
  currency = USD
}
choice stuff = woven, velvet
kind cloth: roll {
  usable: length = 54 in
  stuff:  stuff = woven
  price:  money per length
  sold:   length = 1/4 yd
}
material tweed: cloth {
  price = $32 per yd
}
amend material tweed from 2026-03-01 {
  price = $36 per yd  because "the spring list"
}
rule edge: length = 1 1/2 in  because "room for pliers"
amend edge from 2026-03-01 = 1 3/4 in  because "the new stapler"
rule seam(c: cloth): length {
  1/2 in otherwise
}
amend seam(c) from 2026-01-01 {
  3/8 in when c.stuff is velvet
}
table loss(thick: length from 1 in to 5 in): length interpolated {
  thick | gives
  1 in  | 1/8 in
  5 in  | 5/8 in
}
recipe pad {
  ask wide: length from 10 in to 96 in
  ask thick: length from 1 in to 5 in
  ask cover: cloth = tweed
  drop = (loss(thick) rounded up to 1/4 in) + edge
  cut  = if wide > 40 in then wide + drop else wide + 2 * seam(cover)
  piece top from cover = cut by 20 in
}
price {
  charge material = bought
  charge rush = $5 when bought > $1000
}
`

func orderOn(date, wide, amend string) string {
	return "order 1 {\n  make pad\n  date = " + date + "\n  wide = " + wide + "\n  thick = 2 in\n" + amend + "}\n"
}

func TestLayersAreWorkedOutAgainOnEveryDay(t *testing.T) {
	for _, date := range []string{"2025-12-31", "2026-01-01", "2026-02-28", "2026-03-01"} {
		for _, wide := range []string{"40 in", "40 1/16 in", "181/3 in"} {
			for _, amend := range []string{"", "  amend edge = 2 in  because \"asked for\"\n"} {
				if n := holdTraces(t, programOf(t, false, layered+orderOn(date, wide, amend))); n < 50 {
					t.Errorf("%s, %s: only %d nodes", date, wide, n)
				}
			}
		}
	}
}

func TestLayersReadAsABenchHandWould(t *testing.T) {
	p := programOf(t, false, layered+orderOn("2026-04-02", "50 in", "  amend edge = 2 in  because \"asked for\"\n"))
	tests := []struct {
		cell string
		want []string
	}{
		{"drop", []string{"= 1/8 in + (5/8 in - 1/8 in) * 1/4", "rounded up to 1/4 in: nothing lost", "because asked for", "over 1 3/4 in [house, house.squab:19], because the new stapler", "over 1 1/2 in [house, house.squab:18], because room for pliers"}},
		{"price.rush", []string{"not charged: bought > $1000 does not hold"}},
		{"buy.tweed", []string{"because the spring list", "over $32.00 per yd"}},
		{"edge", []string{"edge = 2 in [rule of this order"}},
	}
	r, problems := (&eval.Engine{Program: p}).Work(p.Orders[0], p.Orders[0].Date)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	for _, test := range tests {
		n, err := trace.Explain(r.Sheet, r, test.cell)
		if err != nil {
			t.Fatal(err)
		}
		text := strings.Join(strings.Fields(strings.NewReplacer("│", "", "├", "", "└", "").Replace(trace.Text(n, p.Files, 80))), " ")
		for _, want := range test.want {
			if !strings.Contains(text, want) {
				t.Errorf("%s does not say %q:\n%s", test.cell, want, trace.Text(n, p.Files, 80))
			}
		}
	}
}
