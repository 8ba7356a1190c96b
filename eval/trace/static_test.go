package trace_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval/trace"
	"squab/stdlib"
)

// resting is a house in which things rest on one another by way of fields, amendments that are not in force yet, asks and parts.
const resting = `
shop "Heron Quay Workroom" {
  currency = USD
}
kind cloth: roll {
  usable: length = 54 in
  price:  money per length
  sample: money = price * 1 yd
  sold:   length = 1/4 yd
}
kind foam: sheet {
  wide:  length = 80 in
  deep:  length = 70 in
  thick: length = 2 in
  price: money per each = $60 per each
}
material tweed: cloth {
  price = $32 per yd
}
amend material tweed from 2027-01-01 {
  price = dearer
}
material linen: cloth {
  usable = 50 in
  price  = $12 per yd
}
material firm: foam {
}
rule dearer: money per length = $40 per yd
rule pace: time = 6 min
rule by_size(w: length): cloth {
  linen when w < 10 in
  tweed otherwise
}
recipe pad {
  ask wide: length = 20 in
  ask cover: cloth = linen
  sample = cover.sample
  other  = (if wide > 90 in then tweed else linen).price
  sized  = by_size(wide).price
  core   = firm.thick
  work sewing at $50 per h = pace
}
recipe pair {
  part left = pad
}
price {
  charge labour  = worked
  charge fee     = $5
  charge delivery = $9 when worked > $100
}
order 1 {
  make pair
  date = 2026-04-02
}
`

func TestTheBookIsFollowedThroughFieldsAsksAndParts(t *testing.T) {
	p := programOf(t, false, resting)
	for name, want := range map[string]struct{ rules, fields, pad string }{
		"dearer":       {"", "tweed.price tweed.sample", "sample other sized"},
		"tweed.price":  {"", "tweed.sample", "sample other sized"},
		"linen.price":  {"", "linen.sample", "sample other sized"},
		"tweed":        {"by_size", "", "cover sample other sized"},
		"linen.sample": {"", "", "sample"},
		"linen.usable": {"", "", ""},
		"firm":         {"", "", "core"},
		"firm.thick":   {"", "", "core"},
		"by_size":      {"", "", "sized"},
		"by_size[1]":   {"", "", "sized"},
		"pad.cover":    {"", "", "cover sample"},
		"pace":         {"", "", "sewing.time"},
	} {
		target, err := trace.FindTarget(p, name)
		if err != nil {
			t.Fatal(err)
		}
		book := target.Reach(p, stdlib.LaidBy())
		var pad []string
		for _, r := range book.Recipes {
			if r.Name == "pad" {
				pad = r.Cells
			}
		}
		got := []string{strings.Join(book.Rules, " "), strings.Join(book.Fields, " "), strings.Join(pad, " ")}
		if diff := cmp.Diff([]string{want.rules, want.fields, want.pad}, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", name, diff)
		}
	}
}

// The same order uses less of it: what holds on its day, and what its asks and sizes chose.
func TestAnOrderIsFollowedThroughFieldsAsksAndParts(t *testing.T) {
	p := programOf(t, false, resting)
	r := workedOut(t, p)
	for name, want := range map[string]string{
		"dearer":       "",
		"tweed.price":  "left.sized",
		"linen.price":  "left.sample left.other",
		"tweed":        "left.sized",
		"linen":        "left.cover left.sample left.other",
		"linen.sample": "left.sample",
		"firm.thick":   "left.core",
		"by_size[1]":   "",
		"by_size[2]":   "left.sized",
		"pace":         "left.sewing.time work.left.sewing price.worked price.total price.labour price.delivery",
	} {
		target, err := trace.FindTarget(p, name)
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(target.In(r, stdlib.LaidBy()), " "); got != want {
			t.Errorf("%s was used in %q, not in %q", name, got, want)
		}
	}
}

// A total is of every charge, those that do not hold at nothing; and a material's own field lies over nothing: a kind's default was never in force for it.
func TestTotalsAndOwnFields(t *testing.T) {
	p := programOf(t, false, resting)
	r := workedOut(t, p)
	total, err := trace.Explain(r.Sheet, r, "price.total")
	if err != nil || total.Formula != "labour + fee + delivery" || total.Shown != "$10.00" {
		t.Errorf("the total is %s of %s: %v", total.Shown, total.Formula, err)
	}
	own, err := trace.Explain(r.Sheet, r, "linen.usable")
	if err != nil || len(own.Beneath)+len(own.Passed) > 0 || own.Role != trace.ByField {
		t.Errorf("linen's own width, %s, lies over %v: %v", own.Role, own.Beneath, err)
	}
}
