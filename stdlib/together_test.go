package stdlib

import (
	"strings"
	"testing"

	"squab/eval"
	"squab/eval/quantity"
	"squab/stdlib/layout"
)

// wasteful lays the pieces of one order as they are laid, and those of several with so many inches or sheets more.
func wasteful(more int64) eval.LayFunc {
	lay := Lay(layout.Effort{Work: 100})
	return func(s eval.Stock, pieces []eval.Piece) (eval.Layout, error) {
		l, err := lay(s, pieces)
		for _, p := range pieces {
			if p.Order != pieces[0].Order {
				l.Used = l.Used.Add(quantity.Int(more))
				return l, err
			}
		}
		return l, err
	}
}

const twoMats = `
material KIND
recipe mat {
  ask wide: length = 20 in
  piece top from it = wide by 10 in
}
order 1 { make mat }
order 2 {
  make mat
  date = 2026-04-02
  wide = 22 in
}
`

// Where laying two orders in one takes more than each alone, they are bought for apart, unless one would take what the other rests on.
func TestTogetherIsNeverDearerThanApart(t *testing.T) {
	const cloth = "it: cloth {\n  usable = 25 in\n  price = $9 per yd\n"
	tests := []struct {
		name, material string
		more           int64
		layouts        int
	}{
		{"no longer", cloth, 0, 1},
		{"longer", cloth, 30, 2},
		{"longer, with a remnant for one of them", cloth + "  remnants = [30 in by 12 in]\n", 30, 1},
		{"longer, with a flaw", cloth + "  flaws = [1 in at 90 in]\n  flaw_sizes = [1 in by 1 in]\n", 30, 1},
		{"longer, of what is on hand", cloth + "  on_hand = 90 in\n", 30, 1},
		{"longer, with a pattern", cloth + "  repeat_along = 4 in\n", 30, 1},
		{"longer, of another width on the second's day", cloth + "}\namend material it from 2026-04-01 {\n  usable = 54 in\n", 30, 1},
	}
	for _, tt := range tests {
		b := openWith(t, "amend labour_rate = $40 per h\n"+strings.Replace(twoMats, "KIND", tt.material+"}", 1))
		engine := &eval.Engine{Program: b.program, Lay: wasteful(0)}
		var results []*eval.Result
		for _, o := range b.program.Orders {
			r, problems := engine.Work(o, o.Date)
			if len(problems) > 0 {
				t.Fatal(tt.name, problems)
			}
			results = append(results, r)
		}
		layouts, err := TogetherBy(results, wasteful(tt.more))
		if err != nil || len(layouts) != tt.layouts {
			t.Errorf("%s: %d layouts, want %d (%v)", tt.name, len(layouts), tt.layouts, err)
		}
	}
}
