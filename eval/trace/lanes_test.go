package trace_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/trace"
	"squab/lang/diag"
	"squab/stdlib"
)

// lanes is a house in which rules are read in the lanes that are easily overlooked: a branch that only a later item of a list takes, a parameter's
// default, the right side of an and or an or, how many an order makes, a bias strip's seam and a stick's mitre.
const lanes = `
shop "Heron Quay Workroom" {
  currency = USD
}
kind cloth: roll {
  usable: length = 54 in
  price:  money per length
  sold:   length = 1/4 yd
}
kind moulding: stick {
  long:  length = 8 ft
  price: money per each
}
material tweed: cloth {
  price = $32 per yd
}
material cove: moulding {
  price = $8 per each
}
rule early: length = 2 in
rule later: length = 3 in
rule fallen_back: length = 4 in
rule not_taken: length = 5 in
rule strip(wide: length, fold: length = if wide > 3 in then fallen_back else not_taken): length = wide + fold
rule not_looked_at: length = 6 in
rule looked_at: length = 7 in
rule twice: count = 2
rule bias_seam: length = 1/2 in
rule saw: length = 3/4 in
rule spare: length = 1 in
rule limit: length = 50 in
rule cased(w: length): length {
  1 in when w > limit
  2 in otherwise
}
rule lower: length = 1 in
rule upper: length = 3 in
rule beyond: length = 9 in
table between(thick: length from 1 in to 9 in): length interpolated {
  thick | gives
  1 in  | lower
  5 in  | upper
  9 in  | beyond
}
rule expected: length = 44 in
recipe pad {
  ask wide: length from 10 in to 96 in
  gaps   = for each i from 1 to 3: (if i < 3 then early else later)
  cells  = for each i from 1 to 3: (if i < 3 then wide else end)
  end    = 1 in
  seam   = strip(wide)
  either = wide > 1 in or not_looked_at > 1 in
  both   = wide < 1 in and not_looked_at > 1 in
  all    = wide > 1 in and looked_at > 1 in
  passed = cased(wide)
  row    = between(2 in)
  piece welt from tweed = wide by 2 in { bias = bias_seam }
  piece edge from cove = wide { mitre = saw }
}
price {
  charge material = bought
}
order 1 {
  make pad, twice off
  date = 2026-04-02
  wide = 40 in
}
proof "A pad" source "by hand" {
  make pad
  date = 2026-04-02
  wide = 40 in
  expect seam = expected
}
`

func TestWhatAnOrderUsedIsKnownInEveryLane(t *testing.T) {
	p := programOf(t, false, lanes)
	r := workedOut(t, p)
	bought := " price.bought price.total price.material"
	for name, want := range map[string]string{
		"early":         "gaps",
		"later":         "gaps",
		"pad.end":       "cells end",
		"fallen_back":   "seam",
		"not_taken":     "",
		"not_looked_at": "",
		"looked_at":     "all",
		"twice":         "off buy.tweed buy.cove" + bought,
		"bias_seam":     "welt buy.tweed" + bought,
		"saw":           "edge buy.cove" + bought,
		"spare":         "",
		"limit":         "passed",
		"lower":         "row",
		"upper":         "row",
		"beyond":        "",
		"between[1]":    "row",
		"between[2]":    "row",
		"between[3]":    "",
		"cased[1]":      "",
		"cased[2]":      "passed",
	} {
		target, err := trace.FindTarget(p, name)
		if err != nil {
			t.Fatal(err)
		}
		got := strings.Join(target.In(r, stdlib.LaidBy()), " ")
		if got != want {
			t.Errorf("%s was used in %q, not in %q", name, got, want)
		}
	}
}

func TestWhatNothingUsesIsKnownInEveryLane(t *testing.T) {
	p := programOf(t, false, lanes)
	var reach trace.Reach
	reach.Add(workedOut(t, p).Sheet)
	unused := func() (all []string) {
		for _, u := range reach.Unreached(p, diag.House) {
			all = append(all, strings.Join(strings.Fields(u.What+" "+u.Text), " "))
		}
		return all
	}
	want := []string{"rule not_taken", "rule not_looked_at", "rule spare", "case of cased 1 in when w > limit", "rule beyond", "row of between 9 in | beyond", "rule expected"}
	if diff := cmp.Diff(want, unused()); diff != "" {
		t.Errorf("unused by the order (-want +got):\n%s", diff)
	}
	e := &eval.Engine{Program: p}
	reach.Add(e.Prove(p.Proofs[0], p.Proofs[0].Date).Sheet)
	if diff := cmp.Diff(want[:len(want)-1], unused()); diff != "" {
		t.Errorf("unused by the order and the proof (-want +got):\n%s", diff)
	}
}

// What may be used in some order holds what was used in this one.
func TestTheBookMayUseWhatAnOrderUsed(t *testing.T) {
	p := programOf(t, false, lanes)
	r := workedOut(t, p)
	for _, rule := range p.Rules {
		target, err := trace.FindTarget(p, rule.Name)
		if err != nil {
			t.Fatal(err)
		}
		book := target.Reach(p, stdlib.LaidBy())
		for _, cell := range target.In(r, stdlib.LaidBy()) {
			if cell != "off" && rule.Name != "twice" && !inBook(book, "pad", cell) {
				t.Errorf("%s was used by %s, but the book does not say that it may be", rule.Name, cell)
			}
		}
	}
}

// A trace goes on to what a parameter's default is made of, and to how many the order makes.
func TestTracesGoThroughDefaults(t *testing.T) {
	p := programOf(t, false, lanes)
	r := workedOut(t, p)
	for name, want := range map[string]string{
		"seam": "fallen_back = 4 in [house rule, house.squab:22]",
		"off":  "off = 2 [the order, house.squab:64] │ = twice └ twice = 2 [house rule, house.squab:27]",
	} {
		n, err := trace.Explain(r.Sheet, r, name)
		if err != nil {
			t.Fatal(err)
		}
		if text := strings.Join(strings.Fields(trace.Text(n, p.Files, 80)), " "); !strings.Contains(text, want) {
			t.Errorf("%s does not say %q:\n%s", name, want, trace.Text(n, p.Files, 80))
		}
	}
	holdTraces(t, p)
}

// doubling is a book in which each of many cells reads the one before twice, in a rule, and each of many rules may give what the one before gives in
// either of two cases: gone through once for each way there is, it would take for ever.
func doubling() string {
	var locals, rules strings.Builder
	for i := 1; i <= 60; i++ {
		fmt.Fprintf(&locals, "  l%d = (l%d + l%d) / 2\n", i, i-1, i-1)
		fmt.Fprintf(&rules, "rule cover%d(w: length): cloth {\n  cover%d(w) when w > %d in\n  cover%d(w + 1 in) otherwise\n}\n", i, i-1, i, i-1)
	}
	return strings.Replace(lanes, "recipe pad {", "rule deep(w: length): length {\n  l0 = w\n"+locals.String()+"  l60 otherwise\n}\nrule cover0(w: length): cloth = tweed\n"+
		rules.String()+"recipe pad {\n  below = deep(wide)\n  dear = cover60(wide).price\n", 1)
}

func TestWhatIsReadTwiceIsGoneThroughOnce(t *testing.T) {
	p := programOf(t, false, doubling())
	r := workedOut(t, p)
	var reach trace.Reach
	reach.Add(r.Sheet)
	if !reach.Uses(p.Rule("deep")) || !reach.Uses(p.Rule("cover0")) {
		t.Error("what the order used is not known")
	}
	for _, name := range []string{"spare", "cove.price", "tweed.price", "cove"} {
		target, err := trace.FindTarget(p, name)
		if err != nil {
			t.Fatal(err)
		}
		if used, want := slices.Contains(target.In(r, nil), "dear"), name == "tweed.price"; used != want {
			t.Errorf("%s was used by dear: %v", name, used)
		}
		if may, want := inBook(target.Reach(p, nil), "pad", "dear"), name == "tweed.price"; may != want {
			t.Errorf("%s may be used by dear: %v", name, may)
		}
	}
}
