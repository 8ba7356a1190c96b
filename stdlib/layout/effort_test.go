package layout_test

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"squab/stdlib/layout"
	"squab/stdlib/layout/verify"
)

// everyForm lays one case of each form of material at an effort.
func everyForm(t *testing.T, ctx context.Context, e layout.Effort) map[string]layout.Result {
	t.Helper()
	pieces := perfectCut(9, 54, 100, 30)
	var sticks []layout.StickPiece
	for i, long := range triplets(60)(rand.New(rand.NewPCG(1, 94))) {
		sticks = append(sticks, layout.StickPiece{Name: fmt.Sprint(i), Long: long, Count: 1})
	}
	patterned, matched := workroomCase(3)
	patterned.Remnants = []layout.Remnant{{Wide: 400, Deep: 500}}
	out, errs := map[string]layout.Result{}, map[string]error{}
	out["roll"], errs["roll"] = layout.LayRoll(ctx, layout.Roll{Wide: 54}, pieces, e)
	out["patterned"], errs["patterned"] = layout.LayRoll(ctx, patterned, matched, e)
	out["sheets"], errs["sheets"] = layout.LaySheets(ctx, []layout.SheetStock{{Name: "board", Wide: 54, Deep: 60}}, layout.SheetRule{Guillotine: true, Stages: 3}, pieces, e)
	out["free"], errs["free"] = layout.LaySheets(ctx, []layout.SheetStock{{Wide: 54, Deep: 60}, {Wide: 60, Deep: 70}}, layout.SheetRule{}, pieces, e)
	out["sticks"], errs["sticks"] = layout.LaySticks(ctx, []layout.StickStock{{Name: "lath", Long: 1000}}, layout.StickRule{Kerf: 1}, sticks, e)
	for name, err := range errs {
		if !errors.Is(err, ctx.Err()) {
			t.Errorf("%s: %v", name, err)
		}
	}
	return out
}

var forms = []string{"roll", "patterned", "sheets", "free", "sticks"}

// The same input and counted effort give the same layout on one core or many, and
// again.
func TestSameOnAnyNumberOfCores(t *testing.T) {
	first := everyForm(t, context.Background(), layout.Effort{Work: 100_000, Workers: 1})
	for _, workers := range []int{1, 2, 5} {
		again := everyForm(t, context.Background(), layout.Effort{Work: 100_000, Workers: workers})
		for _, name := range forms {
			if want, got := fmt.Sprintf("%+v", first[name]), fmt.Sprintf("%+v", again[name]); got != want {
				t.Errorf("%s on %d workers: another layout", name, workers)
			}
		}
	}
}

// No report is of less than the bound.
func TestProgressStaysOverTheBound(t *testing.T) {
	reports := 0
	e := layout.Effort{Work: 150_000, Progress: func(p layout.Progress) {
		reports++
		if p.Used < p.Bound || p.Work <= 0 {
			t.Errorf("%+v", p)
		}
	}}
	for name, got := range everyForm(t, context.Background(), e) {
		if got.Work <= 0 || got.Work > 10*e.Work {
			t.Errorf("%s: work %d of %d", name, got.Work, e.Work)
		}
	}
	if reports == 0 {
		t.Error("no reports")
	}
}

// Whatever the effort, the layout is whole and its bound is under what is used.
func TestAnyEffortIsSound(t *testing.T) {
	pieces := perfectCut(4, 54, 70, 24)
	roll := layout.Roll{Wide: 54}
	for _, e := range []layout.Effort{
		{Work: 1}, {Work: 2}, {Work: 50}, {Work: 5000}, {}, {Work: -5, Time: time.Millisecond}, {Time: time.Nanosecond}, {Work: 10_000, Workers: 64},
	} {
		got := layRoll(t, roll, pieces, e)
		report(t, 0, e, verify.Roll(roll, pieces, got))
		if got.Used < 70 || got.Used > 140 {
			t.Errorf("%+v: used %d of pieces that fill 70", e, got.Used)
		}
	}
}

// A second of effort is a second, near enough, also on a busy machine.
func TestTimeIsKept(t *testing.T) {
	pieces := perfectCut(5, 540, 900, 150)
	began := time.Now()
	layRoll(t, layout.Roll{Wide: 540}, pieces, layout.Effort{Time: 50 * time.Millisecond})
	if took := time.Since(began); took > 10*time.Second {
		t.Errorf("50 ms took %v", took)
	}
}

// Cancelling gives the answer so far, and says that it was cancelled.
func TestCancelledFormsAreWhole(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	for name, got := range everyForm(t, ctx, layout.Effort{}) {
		if len(got.Placed) == 0 || len(got.Unplaced) > 0 {
			t.Errorf("%s: %d placed, unplaced %+v", name, len(got.Placed), got.Unplaced)
		}
	}
}

// Pieces in another order take no other length where the layout is proved.
func TestOrderOfPiecesDoesNotMatter(t *testing.T) {
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 95))
		pieces := randomPieces(r, 4, 12)
		roll := layout.Roll{Wide: 30}
		a := layRoll(t, roll, pieces, layout.Effort{Work: 60_000})
		r.Shuffle(len(pieces), func(i, j int) { pieces[i], pieces[j] = pieces[j], pieces[i] })
		b := layRoll(t, roll, pieces, layout.Effort{Work: 60_000})
		if a.Proved && b.Proved && a.Used != b.Used {
			t.Errorf("seed %d: proved at %d and, in another order, at %d", seed, a.Used, b.Used)
		}
	}
}

// Every measure twice as large makes the layout twice as large, where it is proved.
func TestScaleDoesNotMatter(t *testing.T) {
	for seed := range uint64(20) {
		roll, pieces, _ := plantedRoll(seed)
		pieces = pieces[:min(len(pieces), 7)]
		a := layRoll(t, roll, pieces, layout.Effort{Work: 60_000})
		b := layRoll(t, doubledRoll(roll), doubled(pieces), layout.Effort{Work: 60_000})
		if a.Proved && b.Proved && 2*a.Used < b.Used {
			t.Errorf("seed %d: proved at %d, doubled at %d", seed, a.Used, b.Used)
		}
	}
}

func doubledRoll(r layout.Roll) layout.Roll {
	r.Wide, r.Gap = 2*r.Wide, 2*r.Gap
	r.Repeat.Along, r.Repeat.Across = 2*r.Repeat.Along, 2*r.Repeat.Across
	r.Repeat.First = layout.Point{X: 2 * r.Repeat.First.X, Y: 2 * r.Repeat.First.Y}
	return r
}

func doubled(pieces []layout.Piece) []layout.Piece {
	var out []layout.Piece
	for _, p := range pieces {
		p.Wide, p.Deep = 2*p.Wide, 2*p.Deep
		if p.Match != nil {
			p.Match = &layout.Point{X: 2 * p.Match.X, Y: 2 * p.Match.Y}
		}
		out = append(out, p)
	}
	return out
}

// The first answer takes no more than a few times the usual effort, however many sizes
// there are to choose from.
func TestFirstAnswerOfManySizes(t *testing.T) {
	if testing.Short() {
		t.Skip("short")
	}
	r := rand.New(rand.NewPCG(1, 98))
	var boards []layout.SheetStock
	var laths []layout.StickStock
	for range 100 {
		boards = append(boards, layout.SheetStock{Wide: within(r, 9000, 18_000), Deep: within(r, 9000, 18_000), Price: within(r, 1, 99), Limit: 3})
		laths = append(laths, layout.StickStock{Long: within(r, 90_000, 180_000), Price: within(r, 1, 99), Limit: 3})
	}
	var pieces []layout.Piece
	var rails []layout.StickPiece
	for range 400 {
		pieces = append(pieces, layout.Piece{Wide: within(r, 100, 5000), Deep: within(r, 100, 5000), Count: 1, Turn: true})
		rails = append(rails, layout.StickPiece{Long: within(r, 1000, 50_000), Count: 1})
	}
	first := layout.Effort{Work: 1}
	onSheets, err := layout.LaySheets(context.Background(), boards, layout.SheetRule{Kerf: 1}, pieces, first)
	report(t, 0, "boards", verify.Sheets(boards, layout.SheetRule{Kerf: 1}, pieces, onSheets))
	onSticks, err2 := layout.LaySticks(context.Background(), laths, layout.StickRule{Kerf: 1}, rails, first)
	report(t, 0, "laths", verify.Sticks(laths, layout.StickRule{Kerf: 1}, rails, onSticks))
	for _, got := range []layout.Result{onSheets, onSticks} {
		if len(got.Unplaced) > 0 || got.Work > 5*layout.DefaultWork {
			t.Errorf("%s: %d refused after work of %d", got.Form, len(got.Unplaced), got.Work)
		}
	}
	if err := errors.Join(err, err2); err != nil {
		t.Error(err)
	}
}

// seriesCase is an order of several pieces, so many off, each a kind of its own, on plain cloth.
func seriesCase(seed uint64) (layout.Roll, []layout.Piece) {
	r := rand.New(rand.NewPCG(seed, 98))
	roll := layout.Roll{Name: "moss linen", Wide: within(r, 48, 60) * 16}
	var pieces []layout.Piece
	off, turn := 1+r.IntN(8), r.IntN(3) == 0
	for i := range 2 + r.IntN(7) {
		p := layout.Piece{Name: fmt.Sprint(i), Wide: within(r, 48, 720), Deep: within(r, 48, 720), Count: off, Turn: turn}
		if r.IntN(3) == 0 {
			p.Deep = within(r, 48, 96)
		}
		pieces = append(pieces, p)
	}
	return roll, pieces
}

// A longer search begins with what a shorter one did, so it never lays more cloth.
func TestMoreEffortLaysNoMoreCloth(t *testing.T) {
	better := 0
	for seed := range uint64(60) {
		roll, pieces := seriesCase(seed)
		if seed%3 == 0 {
			roll, pieces = clothCase(seed)
		}
		before := int64(1) << 40
		for _, work := range []int64{1, 2, 700, 5_000, 20_000, 30_000, 40_000} {
			got := layRoll(t, roll, pieces, layout.Effort{Work: work})
			if got.Used > before {
				t.Errorf("seed %d: %d with an effort of %d, but %d with less", seed, got.Used, work, before)
			}
			if got.Used < before {
				better++
			}
			before = got.Used
		}
	}
	if better < 90 {
		t.Errorf("a longer search found less cloth %d times", better)
	}
}
