package trace_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval/trace"
	"squab/lang/diag"
)

const buried = layered + `
rule by_material: money per length = $30 per yd
rule by_kind: length = 2 in
rule by_price: money = $1
rule by_order: length = 60 in
rule by_proof: length = 2 in
rule by_caution: length = 3 in
rule through(w: length): length = w + deeper
rule deeper: length = 1 in
rule dead: length = dead_too
rule dead_too: length = 1 in
rule only_amended: length
amend only_amended = 3 in
kind band: roll {
  usable: length = by_kind
  price:  money per length
  sold:   length = 1 yd
}
material braid: band {
  price = by_material
}
caution near "Keep {by_caution} away."
order 2 {
  make pad
  date = 2026-04-02
  wide = through(by_order)
  thick = 2 in
}
proof "by hand" source "by hand" {
  expect by_proof = 2 in
}
`

func TestDeadRulesAreThoseThatNothingReads(t *testing.T) {
	p := programOf(t, false, strings.Replace(buried, "charge rush = $5", "charge rush = by_price", 1))
	var names []string
	for _, r := range trace.Dead(p, diag.House) {
		names = append(names, r.Name)
	}
	if got := strings.Join(names, " "); got != "dead dead_too only_amended" {
		t.Errorf("dead: %s", got)
	}
	if dead := trace.Dead(p, diag.Trade); len(dead) > 0 {
		t.Errorf("%d rules of a trade that is not there are dead", len(dead))
	}
}

func TestNoRuleOfTheWorkroomIsDead(t *testing.T) {
	p := workroom(t)
	for _, r := range trace.Dead(p, diag.House) {
		t.Errorf("nothing reads %s", r.Name)
	}
}

// What has not been used is told by its case, its row or its amendment, each at its own place, two on one line as well.
func TestUnusedIsToldByCaseRowAndAmendment(t *testing.T) {
	p := programOf(t, false, layered+"amend edge from 2027-01-01 = 9 in\n"+orderOn("2026-04-02", "50 in", ""))
	var reach trace.Reach
	reach.Add(workedOut(t, p).Sheet)
	want := []string{"amendment of edge 9 in", "case of edge 1 1/2 in", "rule seam "}
	var got []string
	seen := map[diag.Span]bool{}
	for _, u := range reach.Unreached(p, diag.House) {
		got = append(got, u.What+" "+strings.Join(strings.Fields(u.Text), " "))
		if seen[u.At] {
			t.Errorf("%s is told twice of one place", u.What)
		}
		seen[u.At] = true
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}
