package layout

import (
	"context"
	"slices"
	"testing"
)

func stripOf(wide int64, repeat Repeat, pieces ...Piece) *strip {
	s := &strip{wide: wide, repeat: repeat}
	var set kindSet
	for i, p := range pieces {
		for c := range p.Count {
			set.add(optionsOf(p, 0, repeat.patterned()), copyRef{item: i, copy: c + 1})
		}
	}
	set.fill(s)
	return s
}

// Lengths that bars prove, worked out by hand.
func TestBarsByHand(t *testing.T) {
	left, middle := &Point{}, &Point{X: 2, Y: 5}
	for _, c := range []struct {
		name   string
		wide   int64
		repeat Repeat
		pieces []Piece
		want   int64
	}{
		{"two of 4 side by side on 10: three of them take one and a half lengths", 10, Repeat{}, []Piece{{Wide: 4, Deep: 10, Count: 3}}, 15},
		{"6 beside 4, and one more 6", 10, Repeat{}, []Piece{{Wide: 6, Deep: 10, Count: 2}, {Wide: 4, Deep: 10, Count: 1}}, 20},
		{"nothing fits beside 7 but 3", 10, Repeat{}, []Piece{{Wide: 7, Deep: 9, Count: 1}, {Wide: 4, Deep: 9, Count: 2}}, 18},
		{"on a repeat of 6 across only one of 5 stands on 10", 10, Repeat{Across: 6}, []Piece{{Wide: 5, Deep: 10, Count: 4, Match: left}}, 40},
		{"on a repeat of 5 two do", 10, Repeat{Across: 5}, []Piece{{Wide: 5, Deep: 10, Count: 4, Match: left}}, 20},
		{"on a repeat of 8 along each but the last takes 16", 10, Repeat{Along: 8}, []Piece{{Wide: 6, Deep: 10, Count: 3, Match: left}}, 42},
		{"none starts before the motif lets it", 10, Repeat{Along: 8}, []Piece{{Wide: 6, Deep: 10, Count: 1, Match: middle}}, 13},
		{"both ways", 10, Repeat{Along: 8, Across: 6}, []Piece{{Wide: 5, Deep: 10, Count: 4, Match: left}}, 58},
		{"a piece without a motif stands anywhere", 10, Repeat{Across: 6}, []Piece{{Wide: 5, Deep: 10, Count: 4}}, 20},
	} {
		s := stripOf(c.wide, c.repeat, c.pieces...)
		if got := s.barBound(newClock(context.Background(), Effort{})); got != c.want {
			t.Errorf("%s: %d, want %d", c.name, got, c.want)
		}
	}
}

// Bars say at least as much as any function of the widths does, where they are
// worked out to the end.
func TestBarsAgainstFunctionsOfWidths(t *testing.T) {
	less := 0
	for seed := range uint64(100) {
		r := seeded(seed)
		s := plainStrip(r, 10+r.Int64N(30), 2+r.IntN(12))
		for k := range s.kinds {
			s.kinds[k].options = s.kinds[k].options[:1]
		}
		bars := s.barBound(newClock(context.Background(), Effort{Work: 10_000_000}))
		for _, d := range s.duals() {
			if b := s.dualBound(d); b > bars+1 {
				t.Errorf("seed %d: bars %d, but %+v says %d", seed, bars, d, b)
			} else if b > bars {
				less++
			}
		}
	}
	if less > 5 {
		t.Errorf("bars are rounded under a function %d times", less)
	}
}

// The most valuable bar, on and off the motif, against trying every bar.
func TestDearestBarAgainstTrying(t *testing.T) {
	for seed := range uint64(200) {
		r := seeded(seed)
		s := patternedStrip(r, 1+r.IntN(4))
		if !s.laysEverything() {
			continue
		}
		b := &bars{strip: s, meter: &meter{}}
		b.gather()
		values := make([]int64, len(b.ways))
		for i := range values {
			values[i] = 1 + r.Int64N(50)
		}
		_, value, sure := b.dearest(values)
		if want := barByTrying(b, values, slices.Clone(b.most), 0); sure && value < want {
			t.Errorf("seed %d: %d, but a bar is worth %d", seed, value, want)
		}
	}
}

// barByTrying lays ways from left to right in every order.
func barByTrying(b *bars, values []int64, left []int, from int64) int64 {
	best := int64(0)
	for i := range b.ways {
		w := &b.ways[i]
		at := from
		if w.from >= 0 {
			at = upTo(from, w.from, b.strip.repeat.Across)
		}
		if left[i] == 0 || at+w.wide > b.strip.wide {
			continue
		}
		left[i]--
		best = max(best, values[i]+barByTrying(b, values, left, at+w.wide))
		left[i]++
	}
	return best
}

// Too many kinds, and no effort, prove nothing, which is no bound.
func TestBarsDecline(t *testing.T) {
	var pieces []Piece
	for i := range maxBarKinds + 1 {
		pieces = append(pieces, Piece{Wide: int64(i + 1), Deep: 5, Count: 1})
	}
	s := stripOf(1000, Repeat{}, pieces...)
	if got := s.barBound(newClock(context.Background(), Effort{})); got != 0 {
		t.Errorf("%d kinds: %d", len(pieces), got)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if got := stripOf(10, Repeat{}, pieces[:3]...).barBound(newClock(ctx, Effort{})); got > 10 {
		t.Errorf("cancelled: %d", got)
	}
}
