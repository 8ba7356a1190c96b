package main

import (
	"encoding/json"
	"path/filepath"
	"testing"
)

// heronQuay is a house whose order below is laid better by a harder search.
const heronQuay = "../../examples/heron-quay"

const seats = `order seats {
  make boxed_cushion, 3 off
  date = 2026-04-09
  wide = 18 in
  deep = 30 1/2 in
  cover = pebble_linen
  pad = soft_4in
}
`

// totalOf is the price of the seats as cut or why gives it, exactly.
func totalOf(t *testing.T, args ...string) string {
	t.Helper()
	var got struct {
		Orders []struct{ Price map[string]exactly }
		Value  exactly
	}
	r := squab(seats, append(args, "--order", "seats", "--format", "json")...)
	if err := json.Unmarshal([]byte(r.out), &got); err != nil || r.status != statusWell {
		t.Fatalf("%v: %v: %s", args, err, r.err)
	}
	if len(got.Orders) == 1 {
		return got.Orders[0].Price["total"].Exact
	}
	return got.Value.Exact
}

// TestWhyTellsOfThePriceThatCutMade asks about an order that costs more by a lesser search: each verb searches as hard as the others.
func TestWhyTellsOfThePriceThatCutMade(t *testing.T) {
	cut := totalOf(t, "cut", heronQuay, "-")
	if lesser := totalOf(t, "cut", heronQuay, "-", "--effort", "1"); lesser == cut {
		t.Fatalf("a lesser search gives %s too, so nothing is shown here", lesser)
	}
	if why := totalOf(t, "why", "price.total", heronQuay, "-"); why != cut {
		t.Errorf("cut prices the order at %s, and why explains %s", cut, why)
	}
}

// TestRecordsReckonMaterialAsTheyWereMade keeps runs that reckoned material in another way than is usual; they are explained and compared in that way.
func TestRecordsReckonMaterialAsTheyWereMade(t *testing.T) {
	usual := totalOf(t, "cut", heronQuay, "-")
	for _, flags := range [][]string{{"--effort", "1"}, {"--by-area"}} {
		path := filepath.Join(t.TempDir(), "kept.json")
		cut := totalOf(t, append([]string{"cut", heronQuay, "-", "--record", path}, flags...)...)
		if cut == usual {
			t.Fatalf("%v gives %s too, so nothing is shown here", flags, usual)
		}
		if why := totalOf(t, "why", "price.total", "--record", path); why != cut {
			t.Errorf("%v: cut prices the order at %s, and why explains %s", flags, cut, why)
		}
		compared := compareJSON(t, "--record", path, heronQuay)
		if len(compared.Changes) > 0 || len(compared.Notes) != 1 {
			t.Errorf("%v: %d changes against the same rules, and notes %q", flags, len(compared.Changes), compared.Notes)
		}
		for _, total := range compared.Totals {
			if total.Name == "price.total" && (total.Before.Exact != cut || total.After.Exact != cut) {
				t.Errorf("%v: cut prices the order at %s, and compare at %s and %s", flags, cut, total.Before.Exact, total.After.Exact)
			}
		}
	}
}
