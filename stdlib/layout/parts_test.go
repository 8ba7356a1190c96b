package layout

import (
	"context"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

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

func TestWideProducts(t *testing.T) {
	values := []int64{0, 1, 2, 3, 1 << 20, 1<<31 - 1, 1 << 40, 1<<62 - 1, 1<<63 - 1}
	product := func(a, b int64) *big.Int { return new(big.Int).Mul(big.NewInt(a), big.NewInt(b)) }
	for seed := range uint64(3000) {
		r := seeded(seed)
		pick := func() int64 { return values[r.IntN(len(values))] }
		a, b, c, d := pick(), pick(), pick(), pick()
		if got, want := cmpProducts(a, b, c, d), product(a, b).Cmp(product(c, d)); got != want {
			t.Errorf("%d·%d against %d·%d: %d, want %d", a, b, c, d, got, want)
		}
		if c == 0 {
			continue
		}
		want := new(big.Int).Quo(product(a, b), big.NewInt(c))
		if want.Cmp(big.NewInt(noWall)) > 0 {
			want = big.NewInt(noWall)
		}
		if got := boundValue(a, b, c); got != want.Int64() {
			t.Errorf("boundValue(%d, %d, %d) = %d, want %v", a, b, c, got, want)
		}
		if got := mulDiv(a, b, c); got != want.Int64() {
			t.Errorf("mulDiv(%d, %d, %d) = %d, want %v", a, b, c, got, want)
		}
	}
}

// A rounding is a proof only if no set that fits comes to more than the whole.
func TestRoundingIsDualFeasible(t *testing.T) {
	const whole = 12
	for threshold := int64(1); threshold*2 <= whole; threshold++ {
		var try func(least, sum, rounded int64)
		try = func(least, sum, rounded int64) {
			if rounded > whole {
				t.Fatalf("threshold %d: a set of %d rounds to %d", threshold, sum, rounded)
			}
			for w := least; sum+w <= whole; w++ {
				try(w, sum+w, rounded+roundWidth(w, threshold, whole))
			}
		}
		try(1, 0, 0)
	}
	for _, threshold := range roundings([]int64{1, 5, 6, 7, 11}, whole) {
		if threshold*2 > whole || threshold < 1 {
			t.Errorf("threshold %d of %d", threshold, whole)
		}
	}
}

func plainStrip(r *rand.Rand, wide int64, n int) *strip {
	s := &strip{wide: wide}
	var set kindSet
	for i := range n {
		p := Piece{Wide: 1 + r.Int64N(wide), Deep: 1 + r.Int64N(9), Turn: r.IntN(3) == 0}
		set.add(optionsOf(p, 0, false), copyRef{item: i, copy: 1})
	}
	set.fill(s)
	return s
}

// Sums must know every extent that copies left can fill: a missing one would
// prune a good layout.
func TestSumsMissNothing(t *testing.T) {
	for seed := range uint64(200) {
		r := seeded(seed)
		s := plainStrip(r, 5+r.Int64N(30), 1+r.IntN(6))
		sums := newSums(s, s.wide, func(o *option) int64 { return o.wide })
		left := s.counts()
		for k := range left {
			left[k] = uint16(r.IntN(int(left[k]) + 1))
		}
		sums.load(left)
		reach := map[int64]bool{0: true}
		for k, n := range left {
			for range n {
				for sum := range cloneKeys(reach) {
					for _, o := range s.kinds[k].options {
						reach[sum+o.wide] = true
					}
				}
			}
		}
		for extent := int64(0); extent <= s.wide; extent++ {
			least := extent
			for !reach[least] {
				least--
			}
			if got := sums.below(extent); got < least || got > extent {
				t.Fatalf("seed %d: below(%d) = %d, but %d can be filled", seed, extent, got, least)
			}
		}
	}
}

func cloneKeys(m map[int64]bool) map[int64]bool {
	out := map[int64]bool{}
	for k := range m {
		out[k] = true
	}
	return out
}

func TestSumsDeclineLongExtents(t *testing.T) {
	s := plainStrip(seeded(1), 7, 3)
	s.wide = 1_000_003
	if sums := newSums(s, s.wide, func(o *option) int64 { return o.wide }); sums != nil {
		t.Errorf("%d words are kept", sums.words)
	}
}

// Within its limit a beam loses nothing it says it kept: all copies, no overlap.
func TestBeamPlansAreWhole(t *testing.T) {
	for seed := range uint64(150) {
		r := seeded(seed)
		s := plainStrip(r, 6+r.Int64N(20), 1+r.IntN(10))
		start := s.bestFit()
		b := newBeam(s, start.top, 8, &meter{})
		if r.IntN(2) == 0 {
			b.pick = narrowest
		}
		p, ok := b.run()
		if !ok {
			continue
		}
		if p.top > start.top {
			t.Errorf("seed %d: %d over the limit %d", seed, p.top, start.top)
		}
		whole(t, seed, s, p)
		whole(t, seed, s, start)
		whole(t, seed, s, s.unflip(s.flip(99).measure(flipped(p))))
	}
}

func flipped(p plan) []spot {
	out := slices.Clone(p.spots)
	for i := range out {
		out[i].x, out[i].y = out[i].y, out[i].x
	}
	return out
}

func whole(t *testing.T, seed uint64, s *strip, p plan) {
	t.Helper()
	laid := make([]int, len(s.kinds))
	for i, a := range p.spots {
		laid[a.kind]++
		o := s.option(a)
		if a.x < 0 || a.x+o.wide > s.wide {
			t.Errorf("seed %d: %+v is off the strip", seed, a)
		}
		for _, b := range p.spots[:i] {
			q := s.option(b)
			if (Rect{a.x, a.y, o.wide, o.deep}).meets(Rect{b.x, b.y, q.wide, q.deep}) {
				t.Errorf("seed %d: %+v and %+v overlap", seed, a, b)
			}
		}
	}
	for k := range s.kinds {
		if laid[k] != len(s.kinds[k].copies) {
			t.Errorf("seed %d: %d of %d copies of kind %d", seed, laid[k], len(s.kinds[k].copies), k)
		}
	}
}

func randomCutting(r *rand.Rand) *cutting {
	c := &cutting{setup: []int64{0}}
	for range r.IntN(3) {
		c.setup = append(c.setup, 1+r.Int64N(4))
	}
	for range 1 + r.IntN(3) {
		c.holds = append(c.holds, 10+r.Int64N(40))
		c.costs = append(c.costs, 1+r.Int64N(30))
		c.limits = append(c.limits, 1000)
	}
	for range 1 + r.IntN(5) {
		c.kinds = append(c.kinds, stickKind{take: 2 + r.Int64N(15), class: r.IntN(len(c.setup)), count: 1 + r.IntN(4)})
	}
	return c
}

// mostByTrying values every pattern of a stick.
func mostByTrying(c *cutting, values []int64, most []int, holds int64) int64 {
	best := int64(0)
	var try func(k int, chosen []entry, value int64)
	try = func(k int, chosen []entry, value int64) {
		if c.takenBy(chosen) > holds {
			return
		}
		best = max(best, value)
		if k == len(c.kinds) {
			return
		}
		for n := 0; n <= most[k]; n++ {
			next := chosen
			if n > 0 {
				next = append(slices.Clone(chosen), entry{k, n})
			}
			try(k+1, next, value+int64(n)*values[k])
		}
	}
	try(0, nil, 0)
	return best
}

// The search and the table must both find the most valuable pattern, and the
// pattern they give must be worth what they say and fit.
func TestKnapsackAgainstTrying(t *testing.T) {
	for seed := range uint64(300) {
		r := seeded(seed)
		c := randomCutting(r)
		values := make([]int64, len(c.kinds))
		for i := range values {
			values[i] = r.Int64N(100)
		}
		most, holds := c.allNeeds().demand, c.holds[0]
		want := mostByTrying(c, values, most, holds)
		w := c.mostValue(values, most, holds, noWall, &meter{})
		checkPattern(t, seed, c, values, w.patterns[len(w.patterns)-1], holds, w.value, want)
		k := &knapsack{c: c, values: values, most: most, meter: &meter{}, have: make([]int, len(c.setup))}
		for i := range c.kinds {
			if c.kinds[i].take <= holds {
				k.order = append(k.order, i)
			}
		}
		if found, value, ok := k.table(holds); ok {
			checkPattern(t, seed, c, values, found, holds, value, want)
		}
	}
}

func checkPattern(t *testing.T, seed uint64, c *cutting, values []int64, found []entry, holds, value, want int64) {
	t.Helper()
	worth := int64(0)
	for _, e := range found {
		worth += values[e.kind] * int64(e.count)
	}
	if value != want || worth != value || c.takenBy(found) > holds {
		t.Errorf("seed %d: %v worth %d, stated %d, best %d, takes %d of %d", seed, found, worth, value, want, c.takenBy(found), holds)
	}
}

// Hope must never be less than what the kinds left can really add.
func TestKnapsackHopeIsAnUpperBound(t *testing.T) {
	for seed := range uint64(300) {
		r := seeded(seed)
		c := randomCutting(r)
		values := make([]int64, len(c.kinds))
		for i := range values {
			values[i] = 1 + r.Int64N(100)
		}
		k := &knapsack{c: c, values: values, most: c.allNeeds().demand, have: make([]int, len(c.setup))}
		for i := range c.kinds {
			k.order = append(k.order, i)
		}
		k.arrange()
		if r.IntN(2) == 0 {
			k.buildLookup()
		}
		room := c.holds[0]
		if hope, best := k.hope(0, room), mostByTrying(c, values, k.most, room); hope < best {
			t.Errorf("seed %d: hope %d under the %d possible", seed, hope, best)
		}
	}
}

// Every way of cutting costs at least what is proved.
func TestCutsCostAtLeastTheBound(t *testing.T) {
	for seed := range uint64(200) {
		c := randomCutting(seeded(seed))
		all := c.allNeeds()
		bound := c.quickCost(all.demand)
		for name, got := range map[string]cuts{"first fit": c.firstFit(all), "greedy": c.greedy(cuts{}, all, c.takes(), &meter{})} {
			covered(t, seed, name, c, got)
			if got.uncut == 0 && got.cost < bound {
				t.Errorf("seed %d: %s costs %d, under the bound %d", seed, name, got.cost, bound)
			}
		}
		best, proved := c.solve(newClock(context.Background(), Effort{Work: 50_000}))
		covered(t, seed, "solve", c, best)
		if best.uncut == 0 && best.cost < proved {
			t.Errorf("seed %d: solved at %d, under the bound %d", seed, best.cost, proved)
		}
	}
}

func covered(t *testing.T, seed uint64, name string, c *cutting, got cuts) {
	t.Helper()
	counts, cost := make([]int, len(c.kinds)), int64(0)
	for _, u := range got.uses {
		cost += c.costs[u.stock] * int64(u.times)
		if c.takenBy(u.entries) > c.holds[u.stock] {
			t.Errorf("seed %d: %s: %v does not fit", seed, name, u)
		}
		for _, e := range u.entries {
			counts[e.kind] += e.count * u.times
		}
	}
	uncut := 0
	for k := range c.kinds {
		uncut += c.kinds[k].count - counts[k]
	}
	if cost != got.cost || uncut != got.uncut {
		t.Errorf("seed %d: %s: cost %d stated %d, uncut %d stated %d", seed, name, cost, got.cost, uncut, got.uncut)
	}
}

func TestFewerSetUpsKeepsTheCut(t *testing.T) {
	for seed := range uint64(100) {
		c := randomCutting(seeded(seed))
		before := c.greedy(cuts{}, c.allNeeds(), c.takes(), &meter{})
		after := c.fewerSetUps(before)
		covered(t, seed, "fewer set-ups", c, after)
		if len(after.uses) > len(before.uses) {
			t.Errorf("seed %d: %d set-ups became %d", seed, len(before.uses), len(after.uses))
		}
	}
}

// The simplex method on a programme with a known answer: cover 3 of a and 2 of b
// by patterns a, b and a+b at costs 2, 2 and 3: two of a+b and one of a cost 8.
func TestProgramme(t *testing.T) {
	p := newProgramme([]float64{3, 2}, nil)
	p.add(column{rows: []int{0}, by: []float64{1}, cost: 2})
	p.add(column{rows: []int{1}, by: []float64{1}, cost: 2})
	p.add(column{rows: []int{0, 1}, by: []float64{1, 1}, cost: 3})
	p.solve(&meter{})
	if v := p.value(); v < 7.999 || v > 8.001 {
		t.Errorf("value %v, want 8", v)
	}
}

// A limit on the cheap pattern must be kept.
func TestProgrammeWithLimit(t *testing.T) {
	p := newProgramme([]float64{3}, []float64{1})
	p.add(column{rows: []int{0, 1}, by: []float64{1, 1}, cost: 1})
	p.add(column{rows: []int{0}, by: []float64{1}, cost: 5})
	p.solve(&meter{})
	if v := p.value(); v < 10.999 || v > 11.001 {
		t.Errorf("value %v, want one at 1 and two at 5", v)
	}
}

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
		chosen, cost, ok := j.cheapestReels(need, seam)
		want := reelsByTrying(j, need, seam, 0)
		if ok != (want < noReels) || ok && cost != want {
			t.Errorf("seed %d: cost %d (%v), want %d", seed, cost, ok, want)
		}
		held := int64(0)
		for _, s := range chosen {
			held += j.stocks[s].Long - seam
		}
		if ok && held < need {
			t.Errorf("seed %d: %v hold %d of %d", seed, chosen, held, need)
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
		p := Piece{Wide: roll.Wide + 1 + r.Int64N(90), Deep: 5, Join: Join{How: JoinHow(1 + r.IntN(2)), Seam: r.Int64N(3)}}
		panels := roll.panels(p)
		if panels == nil {
			continue
		}
		total := int64(0)
		for _, q := range panels {
			total += q.wide
			if q.wide > roll.Wide || q.wide <= 0 {
				t.Errorf("seed %d: a panel of %d in cloth of %d", seed, q.wide, roll.Wide)
			}
		}
		if want := p.Wide + 2*p.Join.Seam*int64(len(panels)-1); total != want {
			t.Errorf("seed %d: panels of %d, want %d", seed, total, want)
		}
		if p.Join.How == JoinCentred && (len(panels) != 3 || panels[0].wide != panels[2].wide) {
			t.Errorf("seed %d: %+v is not centred", seed, panels)
		}
	}
}
