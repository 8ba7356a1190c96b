package stdlib

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"squab/eval"
)

// walkedArc is the way along a circle from the crown of a tuft down to its button, found by walking it in short chords: the circle has its
// top at the crown, and passes through a point `run` aside and `depth` down.
func walkedArc(run, depth float64) float64 {
	const chords = 20_000
	radius := (run*run + depth*depth) / (2 * depth)
	turn := math.Atan2(run, radius-depth)
	way, x, y := 0.0, 0.0, 0.0
	for i := 1; i <= chords; i++ {
		a := turn * float64(i) / chords
		nx, ny := radius*math.Sin(a), radius*(1-math.Cos(a))
		way += math.Hypot(nx-x, ny-y)
		x, y = nx, ny
	}
	return way
}

// TestDomedWayAgainstWalking holds the arc of a domed tuft, shallow, half round and deeper than that, against a walk along it.
func TestDomedWayAgainstWalking(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	var proofs []string
	for i := range 40 {
		run, depth := 1+rng.IntN(160), 1+rng.IntN(160)
		want := walkedArc(float64(run)/16, float64(depth)/16)
		proofs = append(proofs, fmt.Sprintf(`proof "arc %d" source "a walk along the circle in short chords" {
  expect abs(domed_way(%d/16 in, %d/16 in) - %.9f in) < 0.00001 in
}`, i, run, depth, want))
	}
	expectAll(t, proofs)
}

// TestSkinGridAgainstTheBoard follows the cloth of random lids from button to button, and holds each mark on the skin against it; the numbers
// are worked again here with the machine's own arithmetic.
func TestSkinGridAgainstTheBoard(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 14))
	var orders strings.Builder
	for i := range 40 {
		fmt.Fprintf(&orders, "order %d \"lid\" {\n  make buttoned_lid\n  wide = %s\n  deep = %s\n  cover = test_cloth\n  pad = test_middle\n  style = %s\n  across = %d\n  rows = %d\n}\n",
			i, sixteenths(rng, 24, 60), sixteenths(rng, 14, 30), [...]string{"biscuit_tufts", "diamond_tufts"}[i%2], 2+rng.IntN(7), 1+rng.IntN(4))
	}
	b := openWith(t, orders.String(), published)
	for _, r := range b.work(t) {
		if r.Order.Recipe.Name == "buttoned_lid" {
			compareGrids(t, r)
		}
	}
}

// compareGrids holds the gaps between neighbours of a row on the skin against the straight ways between them on the board.
func compareGrids(t *testing.T, r *eval.Result) {
	t.Helper()
	board, skin := marksOf(r, "buttons_on_board"), marksOf(r, "buttons_on_skin")
	if len(board) == 0 || len(board) != len(skin) {
		t.Fatalf("order %s: %d marks on the board, %d on the skin", r.Order.ID, len(board), len(skin))
	}
	depth := number(t, r, "depth")
	for i := 1; i < len(board); i++ {
		gap := board[i][0] - board[i-1][0]
		if board[i][1] != board[i-1][1] {
			continue
		}
		if got, want := skin[i][0]-skin[i-1][0], 2*math.Hypot(gap/2, depth); math.Abs(got-want) > 1e-9 {
			t.Errorf("order %s: marks %d and %d are %g apart on the skin, want %g", r.Order.ID, i, i+1, got, want)
		}
	}
	if wide := number(t, r, "wide"); math.Abs(board[0][0]+rightmost(board)-wide) > 1e-9 {
		t.Errorf("order %s: the board's grid is off its middle: %g from the left, %g the rightmost, of %g", r.Order.ID, board[0][0], rightmost(board), wide)
	}
	if off := number(t, r, "skin.wide") - skin[0][0] - rightmost(skin); off < -1e-9 || off > 0.125 {
		t.Errorf("order %s: the skin's grid is %g off its middle, more than what cutting rounds up", r.Order.ID, off)
	}
}

func rightmost(marks [][2]float64) float64 {
	most := 0.0
	for _, m := range marks {
		most = max(most, m[0])
	}
	return most
}

func marksOf(r *eval.Result, name string) (marks [][2]float64) {
	for _, m := range r.Marks {
		if m.Name != name {
			continue
		}
		for _, p := range m.Points {
			x, _ := p.X.Rat().Float64()
			y, _ := p.Y.Rat().Float64()
			marks = append(marks, [2]float64{x, y})
		}
	}
	return marks
}

func number(t *testing.T, r *eval.Result, cell string) float64 {
	t.Helper()
	v, fault := r.Sheet.Value(r.Sheet.Plan.Slot(cell))
	if fault != nil {
		t.Fatal(fault)
	}
	f, _ := v.Num.Rat().Float64()
	return f
}
