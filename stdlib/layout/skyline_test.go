package layout

import (
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func seeded(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 99)) }

// heights is a skyline spelt out, one height a unit of width.
func heights(line []step, wide int64) []int64 {
	out := make([]int64, wide)
	for i, s := range line {
		end := wide
		if i+1 < len(line) {
			end = line[i+1].x
		}
		for x := s.x; x < end; x++ {
			out[x] = s.y
		}
	}
	return out
}

func randomLine(r *rand.Rand, wide int64) []step {
	line := []step{{0, r.Int64N(6)}}
	for x := 1 + r.Int64N(4); x < wide; x += 1 + r.Int64N(4) {
		line = joinStep(line, step{x, r.Int64N(6)})
	}
	return line
}

// Raising part of a skyline must do what it does to the heights one by one, and
// leave no two neighbouring steps level.
func TestSkylineAgainstHeights(t *testing.T) {
	const wide = 20
	for seed := range uint64(500) {
		r := seeded(seed)
		line := randomLine(r, wide)
		want := heights(line, wide)
		x := r.Int64N(wide)
		w := 1 + r.Int64N(wide-x)
		y := int64(6 + r.IntN(4))
		for i := x; i < x+w; i++ {
			want[i] = y
		}
		got := cover(line, x, w, y, wide)
		if diff := cmp.Diff(want, heights(got, wide)); diff != "" {
			t.Fatalf("seed %d: cover [%d, %d) of %v to %d: %s", seed, x, x+w, line, y, diff)
		}
		steady(t, seed, got)
	}
}

func steady(t *testing.T, seed uint64, line []step) {
	t.Helper()
	for i := 1; i < len(line); i++ {
		if line[i].y == line[i-1].y || line[i].x <= line[i-1].x {
			t.Fatalf("seed %d: %v is not in order", seed, line)
		}
	}
}

func TestLiftInsideOneStep(t *testing.T) {
	const wide = 20
	for seed := range uint64(500) {
		r := seeded(seed)
		line := randomLine(r, wide)
		gap := nicheAt(line, r.IntN(len(line)), wide)
		x := gap.x + r.Int64N(gap.wide)
		w := 1 + r.Int64N(gap.x+gap.wide-x)
		y := gap.y + 1 + r.Int64N(4)
		want := heights(line, wide)
		for i := x; i < x+w; i++ {
			want[i] = y
		}
		got := lift(nil, line, gap.at, x, w, y, wide)
		if diff := cmp.Diff(want, heights(got, wide)); diff != "" {
			t.Fatalf("seed %d: lift [%d, %d) of %v to %d: %s", seed, x, x+w, line, y, diff)
		}
		steady(t, seed, got)
	}
}

func TestNiches(t *testing.T) {
	line := []step{{0, 5}, {3, 2}, {7, 4}, {9, 1}, {16, 3}}
	for _, c := range []struct {
		name string
		got  niche
		want niche
	}{
		{"lowest", lowest(line, 20), niche{at: 3, x: 9, wide: 7, y: 1, left: 4, right: 3}},
		{"narrowest", narrowest(line, 20), niche{at: 1, x: 3, wide: 4, y: 2, left: 5, right: 4}},
		{"flat", lowest([]step{{0, 2}}, 20), niche{wide: 20, y: 2, left: noWall, right: noWall}},
	} {
		if c.got != c.want {
			t.Errorf("%s: %+v, want %+v", c.name, c.got, c.want)
		}
	}
	raised, lost := raise(nil, line, lowest(line, 20), 20)
	if lost != 14 || heightOver(raised, 9, 7) != 3 {
		t.Errorf("raised %v at a loss of %d, want 14", raised, lost)
	}
}

// upTo gives the least value not below from in the class of at.
func TestUpTo(t *testing.T) {
	for from := int64(-7); from < 12; from++ {
		for at := int64(-9); at < 9; at++ {
			for step := int64(0); step < 5; step++ {
				want := from
				for step > 0 && (want-at)%step != 0 {
					want++
				}
				if got := upTo(from, at, step); got != want {
					t.Errorf("upTo(%d, %d, %d) = %d, want %d", from, at, step, got, want)
				}
			}
		}
	}
}
