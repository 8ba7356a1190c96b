package stdlib

import (
	"context"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/stdlib/layout"
)

func inches(num, den int64) quantity.Number { return quantity.Frac(num, den) }

// randomJob makes a job of any form that uses much of what a job can say.
func randomJob(rng *rand.Rand) LayJob {
	j := LayJob{Material: &check.Material{Name: "stuff"}, Form: [...]check.Form{check.Roll, check.Sheet, check.Stick}[rng.IntN(3)]}
	j.Rule = CutRule{Kerf: inches(rng.Int64N(3), 8), Guillotine: rng.IntN(2) == 0, Nest: rng.IntN(2) == 0}
	if j.Rule.Guillotine {
		j.Rule.Stages = rng.IntN(4)
	}
	switch j.Form {
	case check.Roll:
		j.Roll = randomRoll(rng)
		if rng.IntN(3) == 0 {
			j.Bias = []Bias{{Name: "piping", Wide: inches(7, 4), Long: inches(40+rng.Int64N(200), 1), Seam: inches(1, 2)}}
		}
	case check.Sheet:
		j.Sizes = randomSizes(rng, 48)
	case check.Stick:
		j.Rule.Join = rng.IntN(3) == 0
		j.Rule.JoinSeam = inches(rng.Int64N(3), 1)
		j.Sizes = randomSizes(rng, 0)
	}
	for i := range 1 + rng.IntN(5) {
		j.Pieces = append(j.Pieces, randomCut(rng, i, j.Form))
	}
	return j
}

func randomRoll(rng *rand.Rand) Roll {
	r := Roll{Wide: inches(40+rng.Int64N(30), 1), Gap: inches(rng.Int64N(3), 4)}
	if rng.IntN(2) == 0 {
		r.Repeat = eval.Repeat{Along: inches(4+rng.Int64N(9), 1), Across: inches(5+rng.Int64N(20), 2), HalfDrop: rng.IntN(2) == 0}
	}
	if rng.IntN(2) == 0 {
		r.Flaws = []eval.Area{{X: inches(rng.Int64N(30), 1), Y: inches(rng.Int64N(30), 1), Wide: inches(2, 1), Deep: inches(3, 2)}}
	}
	if rng.IntN(3) == 0 {
		r.Remnants = []Extent{{inches(30, 1), inches(20+rng.Int64N(20), 1)}}
	}
	return r
}

func randomSizes(rng *rand.Rand, wide int64) []Size {
	var all []Size
	for i := range 1 + rng.IntN(3) {
		s := Size{Name: fmt.Sprint("size ", i), Material: &check.Material{Name: fmt.Sprint("size ", i)}, Wide: inches(60+12*rng.Int64N(5), 1)}
		if wide > 0 {
			s.Wide, s.Deep = inches(wide, 1), inches(48+12*rng.Int64N(5), 1)
		}
		if rng.IntN(3) > 0 {
			s.Price = inches(100+rng.Int64N(900), [...]int64{1, 100, 3}[rng.IntN(3)])
		}
		all = append(all, s)
	}
	return all
}

func randomCut(rng *rand.Rand, i int, form check.Form) Cut {
	p := Cut{Name: fmt.Sprint("piece ", i), Wide: inches(8+rng.Int64N(160), 4), Deep: inches(8+rng.Int64N(160), 4), Count: 1 + rng.IntN(5), Turn: rng.IntN(2) == 0, EndForEnd: rng.IntN(2) == 0}
	switch {
	case form == check.Stick:
		p.Deep, p.Mitre = quantity.Number{}, inches(rng.Int64N(4), 2)
	case form == check.Roll && rng.IntN(3) == 0:
		p.Match = &eval.Point{X: inches(rng.Int64N(8), 4), Y: inches(rng.Int64N(8), 4)}
	case form == check.Roll && rng.IntN(4) == 0:
		seam := inches(1, 2)
		p.Wide, p.Join, p.SideBySide = inches(70+rng.Int64N(60), 1), &seam, rng.IntN(2) == 0
	}
	return p
}

// TestRandomJobsAreSound lays random jobs: each holds to its own check, and what is told of it in inches and money adds up.
func TestRandomJobsAreSound(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	laid := map[check.Form]int{}
	for i := range 150 {
		j := randomJob(rng)
		l, err := j.Lay(context.Background(), layout.Effort{Work: 300, Workers: 1})
		if err != nil {
			t.Fatalf("job %d: %v", i, err)
		}
		for _, err := range l.Verify() {
			t.Errorf("job %d, a %s: %v", i, j.Form, err)
		}
		for _, fault := range told(&l) {
			t.Errorf("job %d, a %s: %s", i, j.Form, fault)
		}
		if len(l.Placed) > 0 {
			laid[j.Form]++
		}
	}
	for _, form := range []check.Form{check.Roll, check.Sheet, check.Stick} {
		if laid[form] < 20 {
			t.Errorf("only %d layouts of a %s", laid[form], form)
		}
	}
}

// told checks what a layout tells against itself.
func told(l *Laid) []string {
	var wrong []string
	say := func(is bool, what string) {
		if is {
			wrong = append(wrong, what)
		}
	}
	say(less(l.Used, l.Bound), "the bound is above what is used")
	say(less(l.Waste, quantity.Number{}) || less(quantity.Int(1), l.Waste), "the waste is "+l.Waste.String())
	var taken quantity.Number
	for _, t := range l.Takes() {
		taken = taken.Add(t.Amount)
	}
	say(!taken.Equal(l.Used), "what is bought is "+taken.String()+" of "+l.Used.String())
	if g := l.Goal; g != nil {
		say(less(g.Came, g.Bound), "the goal is under its bound")
		say(l.Proved && !g.Came.Equal(g.Bound), "it is proved, and the goal is not at its bound")
	} else {
		say(l.Proved && !l.Used.Equal(l.Bound), "it is proved, and more is used than the bound")
	}
	first := 1
	if l.Form == check.Roll {
		first = 0
	}
	for _, p := range l.Placed {
		at := p.Sheet - first
		if at < 0 || at >= len(l.Sheets) {
			wrong = append(wrong, p.Piece+" lies on no sheet")
			continue
		}
		say(less(l.Sheets[at].Wide, p.X.Add(p.Wide)), p.Piece+" lies beyond its sheet")
	}
	return wrong
}

// TestGoals says what several sizes are chosen by: money where they have prices, else the least area or length.
func TestGoals(t *testing.T) {
	size := func(wide, deep, price int64) Size {
		return Size{Name: "size", Material: &check.Material{Name: "size"}, Wide: quantity.Int(wide), Deep: quantity.Int(deep), Price: inches(price, 3)}
	}
	for _, c := range []struct {
		form  check.Form
		sizes []Size
		came  string
	}{
		{check.Sheet, []Size{size(48, 96, 190), size(48, 48, 100)}, "100/3"},
		{check.Sheet, []Size{size(48, 96, 0), size(48, 48, 0)}, "2304"},
		{check.Stick, []Size{size(96, 0, 0), size(60, 0, 0)}, "60"},
		{check.Stick, []Size{size(96, 0, 10), size(60, 0, 11)}, "10/3"},
	} {
		j := LayJob{Material: &check.Material{Name: "stuff"}, Form: c.form, Sizes: c.sizes, Pieces: []Cut{{Name: "p", Wide: quantity.Int(40), Deep: quantity.Int(40), Count: 1}}}
		l, err := j.Lay(context.Background(), layout.Effort{Work: 100})
		if err != nil || l.Goal == nil || l.Goal.Came.String() != c.came || !l.Proved {
			t.Errorf("%s of %d sizes comes to %+v, want %s (%v)", c.form, len(c.sizes), l.Goal, c.came, err)
		}
	}
}

// TestFineMeasures lays lengths without a fine common step a little large, and refuses them where it must be exact.
func TestFineMeasures(t *testing.T) {
	j := LayJob{Material: &check.Material{Name: "cloth"}, Form: check.Roll, Roll: Roll{Wide: quantity.Int(54)},
		Pieces: []Cut{{Name: "p", Wide: inches(1_000_001, 1_000_003), Deep: inches(1_000_033, 1_000_037), Count: 1}}}
	l, err := j.Lay(context.Background(), layout.Effort{Work: 1})
	if err != nil || less(l.Used, j.Pieces[0].Deep) {
		t.Errorf("a piece %s deep takes %s: %v", j.Pieces[0].Deep, l.Used, err)
	}
	if over := l.Used.Sub(j.Pieces[0].Deep); less(inches(1, coarsest), over) {
		t.Errorf("it takes %s more than its depth", over)
	}
	j.Exact = true
	if _, err := j.Lay(context.Background(), layout.Effort{Work: 1}); err == nil || !strings.Contains(err.Error(), "step in common") {
		t.Errorf("it is laid exactly: %v", err)
	}
}

// TestLengthsKnownNearly lays a length that comes to 4 in by way of two roots, and so is known only nearly, a step of the grid large at the most.
func TestLengthsKnownNearly(t *testing.T) {
	root, _ := quantity.Sqrt(quantity.Int(2))
	four := root.Mul(root).Mul(quantity.Int(2))
	if four.Exact() {
		t.Fatal("the length is exact")
	}
	j := LayJob{Material: &check.Material{Name: "cloth"}, Form: check.Roll, Roll: Roll{Wide: quantity.Int(54)},
		Pieces: []Cut{{Name: "p", Wide: quantity.Int(20), Deep: four, Count: 1}}}
	l, err := j.Lay(context.Background(), layout.Effort{Work: 1})
	if want := quantity.Int(4).Add(inches(1, coarsest)); err != nil || !l.Used.Equal(want) {
		t.Errorf("it takes %s, want %s: %v", l.Used, want, err)
	}
}

// TestTooLarge refuses measures and prices that no step of the grid can hold.
func TestTooLarge(t *testing.T) {
	far := quantity.Int(1 << 50)
	piece := []Cut{{Name: "p", Wide: quantity.Int(20), Deep: quantity.Int(20), Count: 1}}
	for _, c := range []struct {
		job  LayJob
		want string
	}{
		{LayJob{Form: check.Roll, Roll: Roll{Wide: far}, Pieces: piece}, "too long"},
		{LayJob{Form: check.Roll, Roll: Roll{Wide: quantity.Int(54), Long: far}, Pieces: piece}, "too long"},
		{LayJob{Form: check.Roll, Roll: Roll{Wide: quantity.Int(54)}, Pieces: []Cut{{Name: "p", Wide: far, Deep: far, Count: 1}}}, "too long"},
		{LayJob{Form: check.Sheet, Sizes: []Size{{Wide: quantity.Int(48), Deep: quantity.Int(96), Price: far}}, Pieces: piece}, "price"},
	} {
		c.job.Material = &check.Material{Name: "stuff"}
		if _, err := c.job.Lay(context.Background(), layout.Effort{Work: 1}); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v, want %q", c.job, err, c.want)
		}
	}
}

// TestSharedMitresAreNoLargerThanTheyAre lays slips whose mitre has no fine step: the second starts no nearer to the first than their shared slant
// allows. One length of either size holds both, so no two are proved to be needed.
func TestSharedMitresAreNoLargerThanTheyAre(t *testing.T) {
	mitre := inches(1_000_001, 1_000_003)
	j := LayJob{Material: &check.Material{Name: "slip"}, Form: check.Stick, Rule: CutRule{Nest: true},
		Pieces: []Cut{{Name: "slip", Wide: quantity.Int(20), Count: 2, Mitre: mitre}}}
	for _, long := range []int64{39, 40} {
		j.Sizes = append(j.Sizes, Size{Name: "length", Material: j.Material, Wide: inches(long*1000+1, 1000)})
	}
	l, err := j.Lay(context.Background(), layout.Effort{Work: 1})
	if err != nil || len(l.Placed) != 2 || !l.Bound.Equal(quantity.Int(1)) || len(l.Verify()) > 0 {
		t.Fatalf("%d laid, bound %s, %v", len(l.Placed), l.Bound, err)
	}
	if from := l.Placed[1].X; less(from, quantity.Int(20).Sub(mitre)) {
		t.Errorf("the second slip starts at %s, inside the first", from)
	}
}

// TestAnEndedContextEndsLaying gives up what is being laid when it is no longer wanted.
func TestAnEndedContextEndsLaying(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	j := LayJob{Material: &check.Material{Name: "cloth"}, Form: check.Roll, Roll: Roll{Wide: quantity.Int(54)},
		Pieces: []Cut{{Name: "p", Wide: quantity.Int(17), Deep: quantity.Int(13), Count: 40, Turn: true}}}
	if _, err := j.Lay(ctx, layout.Effort{Work: 1_000_000}); err == nil {
		t.Error("it is laid")
	}
}

// TestHalfOfARepeatIsHeldExactly lays two pieces on neighbouring motifs of a half drop of 9 in, all in whole inches: the second stands 4 1/2 in off.
func TestHalfOfARepeatIsHeldExactly(t *testing.T) {
	j := LayJob{Material: &check.Material{Name: "cloth"}, Form: check.Roll, Exact: true,
		Roll:   Roll{Wide: quantity.Int(20), Repeat: eval.Repeat{Along: quantity.Int(9), Across: quantity.Int(10), HalfDrop: true}},
		Pieces: []Cut{{Name: "p", Wide: quantity.Int(10), Deep: quantity.Int(9), Count: 2, Match: &eval.Point{}}}}
	l, err := j.Lay(context.Background(), layout.Effort{Work: 100})
	if err != nil || len(l.Placed) != 2 {
		t.Fatal(l.Placed, err)
	}
	if off := l.Placed[0].Area.Y.Sub(l.Placed[1].Area.Y).Abs(); !off.Equal(inches(9, 2)) {
		t.Errorf("the second stands %s from the first along the roll, want 4 1/2 in", off)
	}
	if errs := l.Verify(); len(errs) > 0 {
		t.Error(errs)
	}
}

// TestHalfDropsOnTheCoarseGrid lays a repeat of 25 cm beside a piece that no fine grid holds: half of the repeat is whole steps even so.
func TestHalfDropsOnTheCoarseGrid(t *testing.T) {
	j := LayJob{Material: &check.Material{Name: "cloth"}, Form: check.Roll,
		Roll:   Roll{Wide: quantity.Int(54), Repeat: eval.Repeat{Along: inches(1250, 127), Across: quantity.Int(10), HalfDrop: true}},
		Pieces: []Cut{{Name: "p", Wide: inches(1_000_001, 1_000_003), Deep: quantity.Int(9), Count: 2, Match: &eval.Point{}}}}
	l, err := j.Lay(context.Background(), layout.Effort{Work: 100})
	if err != nil {
		t.Fatal(err)
	}
	if errs := l.Verify(); len(errs) > 0 {
		t.Error(errs)
	}
}

// TestOnlyWhatRunsOnIsNumbered lays slips of two names on one reel: each is whole, so none is a part.
func TestOnlyWhatRunsOnIsNumbered(t *testing.T) {
	j := LayJob{Material: &check.Material{Name: "tape"}, Form: check.Stick, Rule: CutRule{Join: true}, Sizes: []Size{{Wide: quantity.Int(100)}},
		Pieces: []Cut{{Name: "left", Wide: quantity.Int(20), Count: 1}, {Name: "right", Wide: quantity.Int(30), Count: 1}}}
	l, err := j.Lay(context.Background(), layout.Effort{Work: 100})
	if err != nil || len(l.Placed) != 2 {
		t.Fatal(l.Placed, err)
	}
	for _, p := range l.Placed {
		if p.Panel != 0 {
			t.Errorf("%s is called part %d", p.Piece, p.Panel)
		}
	}
}

// TestPartsAreOfOnePiece cuts lengths of one name from reels: only one that runs on from one reel to the next is in parts.
func TestPartsAreOfOnePiece(t *testing.T) {
	j := LayJob{Material: &check.Material{Name: "cord"}, Form: check.Stick, Rule: CutRule{Join: true}, Sizes: []Size{{Name: "reel", Wide: inches(100, 1)}}}
	for _, long := range []int64{120, 60, 5} {
		j.Pieces = append(j.Pieces, Cut{Name: "piping", Wide: inches(long, 1), Count: 1})
	}
	laid, err := j.Lay(t.Context(), layout.Effort{Work: 1})
	if err != nil {
		t.Fatal(err)
	}
	var parts []int
	for _, p := range laid.Placed {
		parts = append(parts, p.Panel)
	}
	if diff := cmp.Diff([]int{1, 2, 0, 0}, parts); diff != "" {
		t.Error(diff)
	}
}
