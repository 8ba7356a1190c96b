package layout

import (
	"testing"
)

// apartByTrying is the dearest set of kinds no two of which can share, by trying
// every set.
func apartByTrying(b *board) int64 {
	best := int64(0)
	for s := 0; s < 1<<len(b.kinds); s++ {
		cost, apart := int64(0), true
		for p := range b.kinds {
			if s>>p&1 == 0 {
				continue
			}
			cost += b.aloneCost(p)
			for q := range p {
				apart = apart && (s>>q&1 == 0 || !b.canShare(p, q))
			}
		}
		if apart {
			best = max(best, cost)
		}
	}
	return best
}

func TestApartAgainstEverySet(t *testing.T) {
	for seed := range uint64(200) {
		b := randomBoard(seeded(seed))
		if got, want := b.apartCost(), apartByTrying(b); got != want {
			t.Errorf("seed %d: %d, want %d", seed, got, want)
		}
	}
}

// Very many kinds are looked at in part, and quickly.
func TestApartOfManyKinds(t *testing.T) {
	r := seeded(1)
	b := &board{stocks: []boardStock{{wide: 1000, deep: 1000, cost: 7, limit: 9999}}}
	var sizes []Size
	for range 2000 {
		sizes = append(sizes, Size{300 + r.Int64N(600), 300 + r.Int64N(600)})
	}
	b.kinds = kindsOf(sizes, ones(len(sizes)), false)
	if got := b.apartCost(); got < 7*maxApart/4 || got > 7*2000 {
		t.Errorf("%d for 2000 kinds", got)
	}
}

// Copies of one kind share a sheet, or need one each, by the sheet's longer side too.
func TestTwoOfAKind(t *testing.T) {
	for _, c := range []struct {
		name  string
		piece Piece
		share bool
	}{
		{"side by side", Piece{Wide: 12, Deep: 80}, true},
		{"one beyond the other", Piece{Wide: 20, Deep: 41}, true},
		{"neither", Piece{Wide: 13, Deep: 42}, false},
		{"only one of them turned", Piece{Wide: 24, Deep: 60, Turn: true}, false},
		{"both turned", Piece{Wide: 41, Deep: 20, Turn: true}, true},
	} {
		var set kindSet
		set.add(optionsOf(c.piece, 0, false), copyRef{copy: 1})
		b := &board{kinds: set.kinds, stocks: []boardStock{{wide: 24, deep: 82, cost: 1, limit: 9}}}
		if got := b.canShare(0, 0); got != c.share {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}
