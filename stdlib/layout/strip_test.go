package layout

import "testing"

// The least place along is found by trying every one: on the motif, and clear of each flaw.
func TestLeastPlaceClearOfFlaws(t *testing.T) {
	for seed := range uint64(400) {
		r := seeded(seed)
		s := &strip{wide: 30, gap: r.Int64N(3), repeat: Repeat{Along: 2 * r.Int64N(5), Across: 7, First: Point{X: 3, Y: r.Int64N(9)}}}
		var given []Rect
		for range r.IntN(12) {
			given = append(given, Rect{r.Int64N(30), r.Int64N(60), 1 + r.Int64N(8), 1 + r.Int64N(15)})
		}
		s.flaws = flawsOf(given)
		o := &option{wide: 1 + r.Int64N(12) + s.gap, deep: 1 + r.Int64N(12) + s.gap, match: Point{Y: r.Int64N(9)}, matched: r.IntN(2) == 0}
		x, from := r.Int64N(20), r.Int64N(60)
		want := from
		for !clearOf(given, Rect{x, want, o.wide - s.gap, o.deep - s.gap}) || o.matched && s.repeat.Along > 0 && (want+o.match.Y-s.repeat.First.Y)%s.repeat.Along != 0 {
			want++
		}
		if got := s.upY(o, x, from, 0); got != want {
			t.Errorf("seed %d: from %d at %d, want %d clear of %v", seed, from, got, want, given)
		}
	}
}

func clearOf(flaws []Rect, p Rect) bool {
	for _, f := range flaws {
		if f.meets(p) {
			return false
		}
	}
	return true
}
