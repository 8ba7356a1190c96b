package layout

import (
	"math/rand/v2"
	"testing"
)

// TestMotifsStandOnThePattern draws motifs at whole repeats from the first, half a repeat lower in every second column of a half drop, and all
// that there are on the sheet.
func TestMotifsStandOnThePattern(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	for range 300 {
		rep := Repeat{Along: 2 * (1 + rng.Int64N(20)), Across: 1 + rng.Int64N(20), HalfDrop: rng.IntN(2) == 0, First: Point{rng.Int64N(30), rng.Int64N(30)}}
		r := Result{Form: FormRoll, Wide: 60, Used: 80, Repeat: rep, Sheets: []Sheet{{Wide: 60, Deep: 80}}}
		got := map[Point]bool{}
		for _, m := range r.motifs(0) {
			got[m] = true
		}
		want := 0
		for x := range int64(61) {
			for y := range int64(81) {
				if stands(rep, Point{x, y}) {
					want++
					if len(got) > 0 && !got[Point{x, y}] {
						t.Fatalf("%+v: no motif at %d, %d", rep, x, y)
					}
				}
			}
		}
		if len(got) > 0 && len(got) != want || len(got) == 0 && want <= mostMotifs/2 {
			t.Errorf("%+v: %d motifs drawn of %d", rep, len(got), want)
		}
	}
}

// stands tells by remainders whether a motif stands at a point.
func stands(rep Repeat, p Point) bool {
	mod := func(a, m int64) int64 { return (a%m + m) % m }
	dx, dy := p.X-rep.First.X, p.Y-rep.First.Y
	if mod(dx, rep.Across) != 0 {
		return false
	}
	if rep.HalfDrop && mod(dx/rep.Across, 2) == 1 {
		dy -= rep.Along / 2
	}
	return mod(dy, rep.Along) == 0
}

// TestOneRowTellsOfAOneWayPattern draws a pattern that repeats along only as one column, and none where there is no pattern.
func TestOneRowTellsOfAOneWayPattern(t *testing.T) {
	r := Result{Form: FormRoll, Wide: 60, Used: 80, Repeat: Repeat{Along: 10, First: Point{4, 5}}, Sheets: []Sheet{{Wide: 60, Deep: 80}}}
	motifs := r.motifs(0)
	if len(motifs) != 8 || motifs[0] != (Point{4, 5}) || motifs[7] != (Point{4, 75}) {
		t.Errorf("motifs at %v", motifs)
	}
	r.Repeat = Repeat{}
	if motifs := r.motifs(0); len(motifs) != 0 {
		t.Errorf("a plain cloth has motifs at %v", motifs)
	}
}

// TestFlawsAreDrawnAsFarAsTheRollIsUsed cuts flaws to the cloth that is drawn, and draws none on a remnant.
func TestFlawsAreDrawnAsFarAsTheRollIsUsed(t *testing.T) {
	r := Result{Form: FormRoll, Wide: 60, Used: 40, Flaws: []Rect{{X: 50, Y: 30, Wide: 20, Deep: 20}, {X: 0, Y: 40, Wide: 1, Deep: 1}, {X: 60, Y: 0, Wide: 1, Deep: 1}}}
	if got := r.flawsOn(0); len(got) != 1 || got[0] != (Rect{X: 50, Y: 30, Wide: 10, Deep: 10}) {
		t.Errorf("flaws at %+v", got)
	}
	if got := r.flawsOn(1); len(got) != 0 {
		t.Errorf("a remnant has flaws at %+v", got)
	}
}
