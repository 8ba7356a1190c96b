package layout

import (
	"context"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// Offcuts must lie on the sheet, clear of the pieces and of one another.
func TestLeftOver(t *testing.T) {
	for seed := range uint64(200) {
		r := seeded(seed)
		size := Size{10 + r.Int64N(30), 10 + r.Int64N(30)}
		var taken []Rect
		for range r.IntN(6) {
			taken = append(taken, Rect{r.Int64N(20), r.Int64N(20), 1 + r.Int64N(9), 1 + r.Int64N(9)})
		}
		gap, least := r.Int64N(2), Size{1 + r.Int64N(5), 1 + r.Int64N(5)}
		got := leftOver(size, taken, gap, least)
		for i, f := range got {
			if f.Wide < least.Wide || f.Deep < least.Deep || !f.inside(Rect{0, 0, size.Wide, size.Deep}) {
				t.Errorf("seed %d: %+v of %+v", seed, f, size)
			}
			for _, o := range append(slices.Clone(taken), got[:i]...) {
				if f.meets(Rect{o.X - gap, o.Y - gap, o.Wide + 2*gap, o.Deep + 2*gap}) {
					t.Errorf("seed %d: %+v meets %+v", seed, f, o)
				}
			}
		}
	}
}

func TestLeftOverIsTheLargest(t *testing.T) {
	got := leftOver(Size{10, 20}, []Rect{{0, 0, 10, 8}}, 0, Size{})
	if diff := cmp.Diff([]Rect{{0, 8, 10, 12}}, got); diff != "" {
		t.Error(diff)
	}
}

// Reels at the least cost, against trying every number of each.
func TestCheapestReels(t *testing.T) {
	for seed := range uint64(200) {
		r := seeded(seed)
		j := &stickJob{}
		for range 1 + r.IntN(3) {
			j.stocks = append(j.stocks, StickStock{Long: 5 + r.Int64N(20)})
			j.c.costs = append(j.c.costs, 1+r.Int64N(30))
			j.c.limits = append(j.c.limits, 1+r.IntN(5))
		}
		need, seam := 1+r.Int64N(60), r.Int64N(3)
		chosen, want := j.cheapestReels(need, seam), reelsByTrying(j, need, seam, 0)
		held, cost := int64(0), int64(0)
		for _, s := range chosen {
			held += j.stocks[s].Long - seam
			cost += j.c.costs[s]
		}
		if len(chosen) == 0 {
			cost = noReels
		}
		rest := need
		for _, s := range j.densestReels(need, seam) {
			rest -= j.stocks[s].Long - seam
		}
		if (rest <= 0) != (want < noReels) {
			t.Errorf("seed %d: the densest leave %d of %d, but a cost of %d is enough", seed, rest, need, want)
		}
		if cost != want || cost < noReels && held < need {
			t.Errorf("seed %d: %v cost %d and hold %d of %d, want a cost of %d", seed, chosen, cost, held, need, want)
		}
	}
}

func reelsByTrying(j *stickJob, need, seam int64, stock int) int64 {
	if need <= 0 {
		return 0
	}
	if stock == len(j.stocks) {
		return noReels
	}
	best := noReels
	for n := range j.c.limits[stock] + 1 {
		rest := reelsByTrying(j, need-int64(n)*(j.stocks[stock].Long-seam), seam, stock+1)
		best = min(best, rest+int64(n)*j.c.costs[stock])
	}
	return best
}

// √2 rounded to the safe side, against its square.
func TestRootTwo(t *testing.T) {
	for v := int64(0); v < 2000; v++ {
		down, up := rootTwoDown(v), rootTwoUp(v)
		if down*down > 2*v*v || (down+1)*(down+1) <= 2*v*v {
			t.Errorf("%d√2 rounded down to %d", v, down)
		}
		if v > 0 && (up*up < 2*v*v || (up-1)*(up-1) >= 2*v*v) {
			t.Errorf("%d√2 rounded up to %d", v, up)
		}
	}
}

// Strip can never come to more than the area it is cut from.
func TestStripsWithinTheArea(t *testing.T) {
	for seed := range uint64(300) {
		r := seeded(seed)
		b := Bias{Wide: 1 + r.Int64N(5), Seam: r.Int64N(3)}
		wide, deep := 1+r.Int64N(80), 1+r.Int64N(80)
		count, long := b.strips(wide, deep)
		if long*b.Wide > wide*deep || count < 0 || (count == 0) != (long == 0) {
			t.Errorf("seed %d: %d strips, %d long, %d wide out of %d by %d", seed, count, long, b.Wide, wide, deep)
		}
	}
}

func TestMeterStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancelled := &meter{ctx: ctx}
	late := &meter{deadline: time.Now().Add(-time.Second)}
	full := &meter{most: 10}
	cancel()
	for name, m := range map[string]*meter{"cancelled": cancelled, "late": late, "full": full} {
		m.count(checkEvery)
		if !m.spent() {
			t.Errorf("%s: goes on", name)
		}
	}
	free := &meter{}
	free.count(1 << 40)
	if free.spent() {
		t.Error("a meter without a limit stops")
	}
}

// Of tasks that reach the bound the first wins, whatever the number of workers.
func TestSlicesFirstWins(t *testing.T) {
	for workers := 1; workers <= 4; workers++ {
		c := newClock(context.Background(), Effort{Work: 1000, Workers: workers})
		tasks := make([]func(*meter) bool, 6)
		for i := range tasks {
			tasks[i] = func(m *meter) bool { m.count(10); return i >= 2 }
		}
		if won := c.slices(tasks); won != 2 || c.work != 30 {
			t.Errorf("%d workers: %d won after %d, want 2 after 30", workers, won, c.work)
		}
	}
}

func TestPanelsCoverThePiece(t *testing.T) {
	for seed := range uint64(400) {
		r := seeded(seed)
		roll := Roll{Wide: 20 + r.Int64N(30)}
		if r.IntN(2) == 0 {
			roll.Repeat = Repeat{Along: 4, Across: 1 + r.Int64N(12), First: Point{X: r.Int64N(9)}}
		}
		p := Piece{Wide: 1 + r.Int64N(roll.Wide+90), Deep: 5, Join: Join{How: JoinHow(1 + r.IntN(2)), Seam: r.Int64N(3)}}
		panels := roll.panels(p)
		if panels == nil || roll.takes(panel{p.Wide, roll.Repeat.First}) { // laid whole
			continue
		}
		total := int64(0)
		for _, q := range panels {
			total += q.wide
			if q.wide <= 0 || !roll.takes(q) {
				t.Errorf("seed %d: a panel of %d with its motif at %d in cloth of %d", seed, q.wide, q.match.X, roll.Wide)
			}
		}
		if want := p.Wide + 2*p.Join.Seam*int64(len(panels)-1); total != want {
			t.Errorf("seed %d: panels of %d, want %d", seed, total, want)
		}
		if p.Join.How == JoinCentred && (len(panels) != 3 || panels[0].wide != panels[2].wide || panels[0].wide < 2*p.Join.Seam) {
			t.Errorf("seed %d: %+v is not centred", seed, panels)
		}
	}
}

// takes tries every place across for one where the panel shows its motif.
func (r Roll) takes(q panel) bool {
	for x := int64(0); x+q.wide <= r.Wide; x++ {
		if r.Repeat.Across == 0 || (x+q.match.X-r.Repeat.First.X)%r.Repeat.Across == 0 {
			return true
		}
	}
	return false
}
