package main

import (
	"encoding/json"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestTwoDaysAreComparedForEveryOrder compares the rules before and after they were amended: for orders of either day and for one without a date, and
// whichever of the days stands first.
func TestTwoDaysAreComparedForEveryOrder(t *testing.T) {
	house(t)
	put(t, "undated.squab", "order 9 {\n  make roller_blind\n  wide = 20 in\n  drop = 4 ft\n}\n")
	for days, want := range map[string][]string{
		"2026-02-28,2026-03-01":  {"7 sheet_cloth.wide 44 89/2", "8 sheet_cloth.wide 67/2 34", "9 sheet_cloth.wide 23 47/2"},
		"2026-03-01, 2026-02-28": {"7 sheet_cloth.wide 89/2 44", "8 sheet_cloth.wide 34 67/2", "9 sheet_cloth.wide 47/2 23"},
		"2026-03-01,2026-03-02":  nil,
	} {
		var got []string
		for _, ch := range compareJSON(t, "house.squab", "orders.squab", "undated.squab", "--dates", days).Changes {
			if ch.Name == "sheet_cloth.wide" {
				got = append(got, ch.Order+" "+ch.Name+" "+exactOf(t, ch.Before)+" "+exactOf(t, ch.After))
			}
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", days, diff)
		}
	}
}

func exactOf(t *testing.T, raw json.RawMessage) string {
	t.Helper()
	var q exactly
	if err := json.Unmarshal(raw, &q); err != nil {
		t.Fatal(err)
	}
	return q.Exact
}
