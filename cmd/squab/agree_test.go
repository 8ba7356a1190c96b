package main

import (
	"encoding/json"
	"testing"
)

// TestWhyTellsOfThePriceThatCutMade asks about an order whose layout a harder search betters: each verb searches as hard as the others.
func TestWhyTellsOfThePriceThatCutMade(t *testing.T) {
	house := "../../examples/heron-quay"
	order := `order seats {
  make boxed_cushion, 4 off
  date = 2026-04-09
  wide = 24 in
  deep = 17 1/2 in
  cover = pebble_linen
  pad = soft_4in
}
`
	total := func(args ...string) string {
		var got struct {
			Orders []struct{ Price map[string]worth }
			Value  worth
		}
		r := squab(order, append(args, house, "-", "--order", "seats", "--format", "json")...)
		if err := json.Unmarshal([]byte(r.out), &got); err != nil || r.status != statusWell {
			t.Fatalf("%v: %v: %s", args, err, r.err)
		}
		if len(got.Orders) == 1 {
			return got.Orders[0].Price["total"].Exact
		}
		return got.Value.Exact
	}
	cut := total("cut")
	if harder := total("cut", "--effort", "1000000"); harder == cut {
		t.Fatalf("a harder search gives %s too, so nothing is shown here", harder)
	}
	if why := total("why", "price.total"); why != cut {
		t.Errorf("cut prices the order at %s, and why explains %s", cut, why)
	}
}

type worth struct{ Exact string }
