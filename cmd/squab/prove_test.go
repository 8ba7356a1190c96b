package main

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// What no proof and no order has used is told by rule, case, row and amendment, each where it stands; a rule that nothing can read is told apart.
func TestProveReachTellsWhatNothingUsed(t *testing.T) {
	house(t)
	put(t, "extra.squab", `rule spare_loops: count = 4
table blind_hem(wide: length from 1 in to 9 ft): length {
  wide        | gives
  up to 40 in | 1 in
  over 40 in  | 2 in
}
amend material oak_lath from 2030-01-01 {
  price = $7 per each
}
rule lining(wide: length): length {
  wide when wide < 2 ft
  2 ft otherwise
}
proof "A hem" source "worked by hand" {
  expect blind_hem(41 in) = 2 in
  expect lining(1 ft) = 12 in
}
`)
	r := squab("", "prove", "house.squab", "orders.squab", "extra.squab", "--quiet", "--reach")
	var got []string
	for line := range strings.Lines(r.out) {
		if strings.HasPrefix(line, "not used: extra.squab") || strings.HasPrefix(line, "not used: house.squab") {
			got = append(got, strings.TrimSpace(strings.TrimPrefix(line, "not used: ")))
		}
	}
	want := []string{
		"extra.squab:1:6: rule spare_loops, which nothing reads",
		"extra.squab:4:3: row of blind_hem up to 40 in | 1 in",
		"extra.squab:12:3: case of lining 2 ft otherwise",
		"extra.squab:8:3: amendment of oak_lath's price $7 per each",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

// TestProveReachIsNoWiderThanItMayBe lists what only the trade library has, titles and all.
func TestProveReachIsNoWiderThanItMayBe(t *testing.T) {
	house(t)
	got := squab("", "prove", "house.squab", "--reach")
	if !strings.Contains(got.out, "not used: trade/") {
		t.Fatal("nothing of the trade library is left over")
	}
	narrow(t, got.out, true)
}
