package layout_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"squab/stdlib/layout"
	"squab/stdlib/layout/verify"
)

// A workroom's own cases: some thirty pieces on a cloth with a repeat both ways and
// a nap, and the same by hand.

// clothCase draws a cloth with or without a repeat each way, and pieces that show
// its motif or do not, none of them turned.
func clothCase(seed uint64) (layout.Roll, []layout.Piece) {
	r := rand.New(rand.NewPCG(seed, 97))
	roll := layout.Roll{Name: "moss linen", Wide: within(r, 48, 60) * 8, Gap: r.Int64N(3)}
	if r.IntN(4) > 0 {
		roll.Repeat = layout.Repeat{Along: within(r, 3, 27) * 8, Across: within(r, 3, 18) * 8, First: layout.Point{X: r.Int64N(60), Y: r.Int64N(60)}}
		roll.Repeat.HalfDrop = r.IntN(3) == 0
	}
	var pieces []layout.Piece
	for total := 0; total < 30; {
		p := layout.Piece{Name: fmt.Sprint(len(pieces)), Wide: within(r, 4, 30) * 8, Deep: within(r, 4, 34) * 8, Count: min(1+r.IntN(4), 30-total)}
		if r.IntN(4) > 0 {
			p.Match = &layout.Point{X: p.Wide / 2, Y: p.Deep / 2}
		}
		pieces = append(pieces, p)
		total += p.Count
	}
	return roll, pieces
}

// hand is someone at the bench, who lays rows in decreasing width: each piece at the
// next place across where its motif falls and there is room, as near the row's start
// as its motif allows; where there is no room a new row starts past all that is laid.
type hand struct {
	roll        layout.Roll
	x, row, end int64
}

func (h *hand) length(pieces []layout.Piece) (long int64, all bool) {
	left := expand(pieces)
	for i := range left {
		for j := i; j > 0 && left[j].Wide > left[j-1].Wide; j-- {
			left[j], left[j-1] = left[j-1], left[j]
		}
	}
	for _, p := range left {
		if h.lay(p, h.x, h.row) {
			continue
		}
		if h.row = h.end; !h.lay(p, 0, h.row) {
			return 0, false
		}
	}
	return h.end - h.roll.Gap, true
}

func expand(pieces []layout.Piece) []layout.Piece {
	var out []layout.Piece
	for _, p := range pieces {
		for range p.Count {
			out = append(out, p)
		}
	}
	return out
}

// lay puts a piece at the first place across from x on.
func (h *hand) lay(p layout.Piece, x, row int64) bool {
	for ; x+p.Wide <= h.roll.Wide; x++ {
		for y := row; y <= row+2*h.roll.Repeat.Along; y++ {
			if p.Match == nil || shows(h.roll.Repeat, x+p.Match.X, y+p.Match.Y) {
				h.x, h.end = x+p.Wide+h.roll.Gap, max(h.end, y+p.Deep+h.roll.Gap)
				return true
			}
			if h.roll.Repeat.Across > 0 && (x+p.Match.X-h.roll.Repeat.First.X)%h.roll.Repeat.Across != 0 {
				break
			}
		}
	}
	return false
}

// Never worse than by hand, whatever the effort, and always sound.
func TestNeverWorseThanAHandAtTheBench(t *testing.T) {
	compared := 0
	for seed := range uint64(70) {
		roll, pieces := clothCase(seed)
		long, all := (&hand{roll: roll}).length(pieces)
		if !all {
			continue
		}
		compared++
		for _, work := range []int64{1, 20_000} {
			got := layRoll(t, roll, pieces, layout.Effort{Work: work})
			report(t, seed, roll, verify.Roll(roll, pieces, got))
			if len(got.Unplaced) > 0 || got.Used > long {
				t.Errorf("seed %d, work %d: used %d, by hand %d, unplaced %v", seed, work, got.Used, long, got.Unplaced)
			}
		}
	}
	if compared < 30 {
		t.Errorf("only %d compared", compared)
	}
}

// A tenth of a second is enough for an answer: what is counted in that time on one
// busy core is well over what the first answer takes.
func TestFirstAnswerTakesLittleWork(t *testing.T) {
	for seed := range uint64(30) {
		roll, pieces := clothCase(seed)
		began := time.Now()
		got := layRoll(t, roll, pieces, layout.Effort{Work: 1})
		if got.Work > 20_000 {
			t.Errorf("seed %d: the first answer took %d of work", seed, got.Work)
		}
		if took := time.Since(began); took > 2*time.Second {
			t.Errorf("seed %d: the first answer took %v", seed, took)
		}
	}
}

// BenchmarkHand reports how much less cloth a tenth of a second takes than a hand.
func BenchmarkHand(b *testing.B) {
	var gain, hands, proved, bound, cases int64
	for b.Loop() {
		for seed := range uint64(20) {
			roll, pieces := clothCase(seed)
			long, all := (&hand{roll: roll}).length(pieces)
			got, err := layout.LayRoll(context.Background(), roll, pieces, asked(b, layout.Effort{Time: 100 * time.Millisecond}))
			if err != nil {
				b.Fatal(err)
			}
			if !all {
				continue
			}
			gain, hands, bound, cases = gain+long-got.Used, hands+long, bound+got.Used-got.Bound, cases+1
			if got.Proved {
				proved++
			}
		}
	}
	b.ReportMetric(float64(gain)*100/float64(max(1, hands)), "%-less-than-by-hand")
	b.ReportMetric(float64(bound)*100/float64(max(1, hands-gain)), "%-over-bound")
	b.ReportMetric(float64(proved)*100/float64(max(1, cases)), "proved-%")
}
