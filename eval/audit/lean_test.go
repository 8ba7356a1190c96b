package audit_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval/audit"
	"squab/eval/quantity"
)

const leaning = `
shop "Heron Quay Workroom" {
  currency = USD
}
kind cloth: roll {
  usable:  length = 54 in
  nap:     length = 0 in
  give:    length = 1 in
  price:   money per length = $2 per yd
  sold:    length = 1 yd
}
material tweed: cloth {
}
rule fold: length = 1 1/2 in
rule strips: count = 4
rule pace: time = 10 min
recipe strip {
  ask wide: length from 1 in to 96 in
  ask copies: count from 1 to 9 = 3
  ask cover: cloth = tweed
  need wide < 40 1/16 in else "no strip so wide is to be had"
  long = copies * (wide + cover.nap + 2 * fold) - cover.give + strips * 1 in
  took = copies * pace
}
order 1 {
  make strip
  wide = 40 in
}
`

// Each thing that a cell leans on is moved by its own step, up and down, and what is nothing, as the nap of a plain cloth, is no measure.
func TestLeansGoBothWays(t *testing.T) {
	shown := func(n *quantity.Number) string {
		if n == nil {
			return "refused"
		}
		return n.String()
	}
	tests := []struct {
		cell  string
		share bool
		want  []string
	}{
		{"long", false, []string{ // three strips; the sixteenth more is refused
			"ask copies by 1: 43 -43",
			"rule strips by 1: 1 -1",
			"rule fold by 1/16: 3/8 -3/8",
			"ask wide by 1/16: refused -3/16",
			"material tweed.give by 1/16: -1/16 1/16",
		}},
		{"long", true, []string{ // a hundredth of each length; counts by one all the same
			"ask copies by 1: 43 -43",
			"ask wide by 2/5: refused -6/5",
			"rule strips by 1: 1 -1",
			"rule fold by 1/100 of itself: 9/100 -9/100",
			"material tweed.give by 1/100: -1/100 1/100",
		}},
		{"took", false, []string{
			"ask copies by 1: 10 -10",
			"rule pace by 1/100 of itself: 3/10 -3/10",
		}},
	}
	for _, test := range tests {
		e, o := firstOrder(t, leaning)
		leans, _, err := audit.Question{Engine: e, Order: o, Cell: test.cell, Share: test.share}.Leans()
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, l := range leans {
			step := l.Step.String()
			if l.Share {
				step += " of itself"
			}
			got = append(got, l.Sort+" "+l.Name+" by "+step+": "+shown(l.Up)+" "+shown(l.Down))
		}
		if diff := cmp.Diff(test.want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", test.cell, diff)
		}
	}
}
