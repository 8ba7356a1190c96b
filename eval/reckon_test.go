package eval_test

import (
	"fmt"
	"strings"
	"testing"
)

// What pieces take by area alone, by hand.
func TestReckoningByHand(t *testing.T) {
	tests := []struct{ name, material, pieces, want string }{
		{"a roll by its usable width", "kind k: roll {\n  usable: length = 50 in\n  price: money per length\n  sold: length = 1 in\n}",
			"piece p from it, 3 off = 20 in by 10 in\n  piece q from it = 50 in by 1/3 in", "used 37/3 wide 50 waste 0"},
		{"a roll of no width", "kind k: roll {\n  usable: length = 0 in\n  price: money per length\n  sold: length = 1 in\n}",
			"piece p from it = 2 in by 1 in", "layout: it has no usable width"},
		{"whole sheets", "kind k: sheet {\n  wide: length = 20 in\n  deep: length = 10 in\n  price: money per each\n}",
			"piece p from it, 5 off = 10 in by 10 in", "used 3 wide 20 waste 1/6"},
		{"a sheet of no depth", "kind k: sheet {\n  wide: length = 20 in\n  deep: length = 0 in\n  price: money per each\n}",
			"piece p from it = 10 in by 10 in", "layout: it has no size of sheet"},
		{"whole sticks", "kind k: stick {\n  long: length = 30 in\n  price: money per each\n}",
			"piece p from it, 4 off = 12 in", "used 2 wide 30 waste 1/5"},
		{"as long as a stick", "kind k: stick {\n  long: length = 30 in\n  price: money per each\n}",
			"piece p from it = 30 in", "used 1 wide 30 waste 0"},
		{"longer than a stick", "kind k: stick {\n  long: length = 30 in\n  price: money per each\n}",
			"piece p from it = 30 1/64 in", "layout: p is longer than a stick of it: choose a longer stick, or join it"},
		{"longer than a reel that may be joined", "kind k: stick {\n  long: length = 30 in\n  price: money per each\n  joins: yes/no = yes\n}",
			"piece p from it = 75 in", "used 3 wide 30 waste 1/6"},
		{"longer than a reel that may not", "kind k: stick {\n  long: length = 30 in\n  price: money per each\n  joins: yes/no = no\n}",
			"piece p from it = 75 in", "layout: p is longer than a stick of it: choose a longer stick, or join it"},
		{"of a longer size", "kind k: stick {\n  long: length = 30 in\n  price: money per each\n  sizes: list of k\n}\nmaterial other: k {\n  long = 60 in\n  sizes = []\n  price = $4 per each\n}",
			"piece p from it = 60 in", "used 2 wide 30 waste 0"},
		{"longer than the longest size", "kind k: stick {\n  long: length = 30 in\n  price: money per each\n  sizes: list of k\n}\nmaterial other: k {\n  long = 60 in\n  sizes = []\n  price = $4 per each\n}",
			"piece p from it = 61 in", "layout: p is longer than a stick of it: choose a longer stick, or join it"},
	}
	for _, tt := range tests {
		per, sizes := "each", ""
		if strings.Contains(tt.material, "k: roll") {
			per = "in"
		}
		if strings.Contains(tt.material, "other") {
			sizes = "\n  sizes = [other]"
		}
		b := read(t, fmt.Sprintf("%s\nmaterial it: k {\n  price = $2 per %s%s\n}\nrecipe r {\n  %s\n}\norder 1 { make r }\n", tt.material, per, sizes, tt.pieces))
		r, problems := b.work(t, "1")
		got := ""
		for _, d := range problems {
			got += d.Code + ": " + d.Message
		}
		if r != nil {
			l := r.Layouts[0]
			got = fmt.Sprintf("used %s wide %s waste %s", l.Used, l.Wide, l.Waste)
			if isBound := l.Bound.Equal(l.Used); l.Laid || isBound == (sizes != "") {
				t.Errorf("%s: laid out (%v), or bound by %s", tt.name, l.Laid, l.Bound)
			}
		}
		if got != tt.want {
			t.Errorf("%s: %s, want %s", tt.name, got, tt.want)
		}
	}
}
