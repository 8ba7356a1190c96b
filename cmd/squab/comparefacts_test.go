package main

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// laths is a house whose recipe says how its pieces lie, how thick they are and how their ends are cut.
const laths = `shop "Heron Quay Workroom" {
  currency = USD
}
kind slab: sheet {
  wide:  length = 24 in
  deep:  length = 72 in
  thick: length = 2 in
  price: money per each
}
kind bolt: roll {
  usable: length = 54 in
  price:  money per length
  sold:   length = 1 yd
}
kind lath: stick {
  long:  length = 96 in
  price: money per each
}
material foam: slab { price = $20 per each }
material felt: bolt { price = $9 per yd }
material oak: lath { price = $5 per each }
recipe tray {
  ask wide: length = 10 in
  piece core from foam = wide by wide
  piece top from felt = wide by wide { up = deep }
  piece rail from oak = wide { mitre = 1 in }
  marks eyes on top = [1 in at 1 in] { hole = 1/4 in }
}
price { charge material = bought }
order 1 { make tray }
`

// TestWhatDecidesACutIsCompared changes one thing of a piece that costs nothing: it is told all the same, of rules and of results.
func TestWhatDecidesACutIsCompared(t *testing.T) {
	t.Chdir(t.TempDir())
	put(t, "old/house.squab", laths)
	old := savedResult(t, "old", "--by-area")
	for _, c := range []struct{ from, to, want string }{
		{"thick: length = 2 in", "thick: length = 3 in", "core.thick"},
		{"up = deep", "up = wide", "top.up"},
		{"mitre = 1 in", "mitre = 2 in", "rail.mitre"},
		{"hole = 1/4 in", "hole = 1/2 in", "eyes.hole"},
	} {
		put(t, "new/house.squab", strings.Replace(laths, c.from, c.to, 1))
		byRules, byResults := compareJSON(t, "old", "new", "--by-area"), compareJSON(t, old, savedResult(t, "new", "--by-area"))
		for how, compared := range map[string]comparedJSON{"rules": byRules, "results": byResults} {
			var names []string
			for _, ch := range compared.Changes {
				names = append(names, ch.Name)
			}
			if diff := cmp.Diff([]string{c.want}, names); diff != "" {
				t.Errorf("%s, of %s (-want +got):\n%s", c.to, how, diff)
			}
		}
	}
}
