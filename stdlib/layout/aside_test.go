package layout_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"
	"time"

	"squab/stdlib/layout"
	"squab/stdlib/layout/verify"
)

// Instances of the published families, drawn by their papers' rules (from memory)
// and not seen while the engines were made:
//   - strips cut from a rectangle with nothing lost, in the sizes of Hopper and
//     Turton 2001 (C) and Burke, Kendall and Whitwell 2004 (N);
//   - sticks of Falkenauer 1996, and Scholl, Klein and Jürgens 1997;
//   - sheets of Berkey and Wang 1987 and Martello and Vigo 1998;
//   - values of Beasley 1985, and of Christofides and Whitlock 1977.

type stripFamily struct {
	name       string
	wide, deep int64
	pieces     int
	least      int64 // the shortest side where pieces are cut anyhow; 0: the largest is cut first
}

var stripFamilies = []stripFamily{
	{"C1", 20, 20, 16, 0}, {"C2", 40, 15, 25, 0}, {"C3", 60, 30, 28, 0}, {"C4", 60, 60, 49, 0},
	{"C5", 60, 90, 73, 0}, {"C6", 80, 120, 97, 0}, {"C7", 160, 240, 196, 0},
	{"N1", 40, 40, 10, 4}, {"N2", 30, 50, 20, 3}, {"N3", 30, 50, 30, 3}, {"N4", 80, 80, 40, 4}, {"N5", 100, 100, 50, 4}, {"N6", 50, 100, 60, 3},
	{"N7", 80, 100, 70, 4}, {"N8", 100, 80, 80, 4}, {"N9", 50, 150, 100, 3}, {"N10", 70, 150, 200, 3},
}

// cutAnyhow cuts a rectangle into n pieces with nothing lost: any piece, any way,
// anywhere that leaves no side under least.
func cutAnyhow(seed uint64, wide, deep int64, n int, least int64) []layout.Piece {
	r := rand.New(rand.NewPCG(seed, 90))
	parts := []layout.Piece{{Wide: wide, Deep: deep, Count: 1}}
	for len(parts) < n {
		at := r.IntN(len(parts))
		p, q := parts[at], parts[at]
		switch across := r.IntN(2) == 0; {
		case across && p.Wide >= 2*least:
			p.Wide = within(r, least, p.Wide-least)
			q.Wide -= p.Wide
		case !across && p.Deep >= 2*least:
			p.Deep = within(r, least, p.Deep-least)
			q.Deep -= p.Deep
		default:
			continue
		}
		parts[at] = p
		parts = append(parts, q)
	}
	return parts
}

func (f stripFamily) draw(seed uint64) []layout.Piece {
	if f.least == 0 {
		return perfectCut(seed, f.wide, f.deep, f.pieces)
	}
	return cutAnyhow(seed, f.wide, f.deep, f.pieces, f.least)
}

func runAsideStrip(tb testing.TB, f stripFamily, seed uint64, e layout.Effort) outcome {
	roll, pieces := layout.Roll{Name: "strip", Wide: f.wide}, f.draw(seed)
	began := time.Now()
	got, err := layout.LayRoll(context.Background(), roll, pieces, e)
	if err != nil {
		tb.Fatal(err)
	}
	return outcome{fmt.Sprintf("%s.%d", f.name, seed), f.deep, got.Used, got.Proved, verify.Roll(roll, pieces, got) == nil, time.Since(began), got.Work, (got.Used - f.deep) * 10000 / f.deep}
}

type stickFamily struct {
	name string
	long int64
	draw func(*rand.Rand) []int64
}

// evenly draws n lengths from least to most.
func evenly(n int, least, most int64) func(*rand.Rand) []int64 {
	return func(r *rand.Rand) []int64 {
		out := make([]int64, n)
		for i := range out {
			out[i] = least + r.Int64N(most-least+1)
		}
		return out
	}
}

// triplets draws n lengths, three of which fill a stick of 1000 each time.
func triplets(n int) func(*rand.Rand) []int64 {
	return func(r *rand.Rand) []int64 {
		var out []int64
		for len(out) < n {
			a := 380 + r.Int64N(111)
			b := 250 + r.Int64N((1000-a)/2-249)
			out = append(out, a, b, 1000-a-b)
		}
		return out
	}
}

var stickFamilies = []stickFamily{
	{"u120", 150, evenly(120, 20, 100)}, {"u250", 150, evenly(250, 20, 100)}, {"u500", 150, evenly(500, 20, 100)}, {"u1000", 150, evenly(1000, 20, 100)},
	{"t60", 1000, triplets(60)}, {"t120", 1000, triplets(120)}, {"t249", 1000, triplets(249)}, {"t501", 1000, triplets(501)},
	{"N1C1W1", 100, evenly(50, 1, 100)}, {"N2C2W2", 120, evenly(100, 20, 100)}, {"N3C3W4", 150, evenly(200, 30, 100)}, {"N4C1W1", 100, evenly(500, 1, 100)},
	{"N1W1B1", 1000, evenly(50, 266, 400)}, {"N2W2B2", 1000, evenly(100, 100, 300)}, {"N3W3B3", 1000, evenly(200, 14, 272)}, {"N4W4B1", 1000, evenly(500, 88, 134)},
	{"HARD", 100000, evenly(200, 20000, 35000)},
	{"WG", 10000, evenly(100, 1, 5000)}, {"WGs", 10000, evenly(120, 1000, 2500)},
}

func runAsideStick(tb testing.TB, f stickFamily, seed uint64, e layout.Effort) outcome {
	stocks := []layout.StickStock{{Name: "stick", Long: f.long, Price: 1}}
	var pieces []layout.StickPiece
	for i, long := range f.draw(rand.New(rand.NewPCG(seed, 83))) {
		pieces = append(pieces, layout.StickPiece{Name: strconv.Itoa(i), Long: long, Count: 1})
	}
	began := time.Now()
	got, err := layout.LaySticks(context.Background(), stocks, layout.StickRule{}, pieces, e)
	if err != nil {
		tb.Fatal(err)
	}
	return outcome{fmt.Sprintf("%s.%d", f.name, seed), got.CostBound, got.Cost, got.Proved, verify.Sticks(stocks, layout.StickRule{}, pieces, got) == nil, time.Since(began), got.Work, (got.Cost - got.CostBound) * 10000 / got.CostBound}
}

type sheetFamily struct {
	name  string
	sheet int64
	draw  func(*rand.Rand) (wide, deep int64)
}

func within(r *rand.Rand, least, most int64) int64 { return least + r.Int64N(most-least+1) }

// square draws both sides from 1 to most (Berkey and Wang's classes).
func square(most int64) func(*rand.Rand) (int64, int64) {
	return func(r *rand.Rand) (int64, int64) { return within(r, 1, most), within(r, 1, most) }
}

// mixed draws seven in ten of one of four kinds, the rest of the others (Martello
// and Vigo's classes): wide and flat, high and narrow, large, small.
func mixed(most int) func(*rand.Rand) (int64, int64) {
	return func(r *rand.Rand) (int64, int64) {
		kind := most
		if r.IntN(10) >= 7 {
			kind = (most + 1 + r.IntN(3)) % 4
		}
		switch kind {
		case 0:
			return within(r, 67, 100), within(r, 1, 50)
		case 1:
			return within(r, 1, 50), within(r, 67, 100)
		case 2:
			return within(r, 50, 100), within(r, 50, 100)
		}
		return within(r, 1, 50), within(r, 1, 50)
	}
}

var sheetFamilies = []sheetFamily{
	{"class 1", 10, square(10)}, {"class 2", 30, square(10)}, {"class 3", 40, square(35)}, {"class 4", 100, square(35)},
	{"class 5", 100, square(100)}, {"class 6", 300, square(100)},
	{"class 7", 100, mixed(0)}, {"class 8", 100, mixed(1)}, {"class 9", 100, mixed(2)}, {"class 10", 100, mixed(3)},
}

func runAsideSheet(tb testing.TB, f sheetFamily, seed uint64, turn bool, e layout.Effort) outcome {
	stocks := []layout.SheetStock{{Name: "sheet", Wide: f.sheet, Deep: f.sheet}}
	rule, r := layout.SheetRule{Guillotine: true, Stages: 3}, rand.New(rand.NewPCG(seed, 84))
	var pieces []layout.Piece
	for i := range 20 {
		wide, deep := f.draw(r)
		pieces = append(pieces, layout.Piece{Name: strconv.Itoa(i), Wide: wide, Deep: deep, Count: 1, Turn: turn})
	}
	began := time.Now()
	got, err := layout.LaySheets(context.Background(), stocks, rule, pieces, e)
	if err != nil {
		tb.Fatal(err)
	}
	want, used := got.Bound/(f.sheet*f.sheet), int64(len(got.Sheets))
	return outcome{fmt.Sprintf("%s.%d turned %v", f.name, seed, turn), want, used, got.Proved, verify.Sheets(stocks, rule, pieces, got) == nil, time.Since(began), got.Work, (used - want) * 10000 / want}
}

type valueFamily struct {
	name       string
	wide, deep int64
	kinds      int
	draw       func(*rand.Rand) layout.Valued
}

// quarters draws sides from a quarter to three quarters of the sheet, worth their area.
func quarters(side int64) func(*rand.Rand) layout.Valued {
	return func(r *rand.Rand) layout.Valued {
		v := layout.Valued{Wide: within(r, side/4, side*3/4), Deep: within(r, side/4, side*3/4)}
		v.Value = v.Wide * v.Deep
		return v
	}
}

// limited draws pieces of which only so many are wanted.
func limited(least, most int64, worth int64) func(*rand.Rand) layout.Valued {
	return func(r *rand.Rand) layout.Valued {
		v := layout.Valued{Wide: within(r, least, most), Deep: within(r, least, most), Most: 1 + r.IntN(4)}
		v.Value = v.Wide * v.Deep
		if worth > 0 {
			v.Value = max(1, v.Value*within(r, 1, 2*worth)/worth)
		}
		return v
	}
}

var valueFamilies = []valueFamily{
	{"gcut 250 of 20", 250, 250, 20, quarters(250)}, {"gcut 500 of 50", 500, 500, 50, quarters(500)},
	{"gcut 1000 of 10", 1000, 1000, 10, quarters(1000)}, {"gcut 1000 of 50", 1000, 1000, 50, quarters(1000)}, {"gcut 3000 of 32", 3000, 3000, 32, quarters(3000)},
	{"cgcut 15 by 10", 15, 10, 7, limited(2, 8, 3)}, {"cgcut 40 by 70", 40, 70, 10, limited(9, 33, 3)}, {"cgcut 40 by 70 of 20", 40, 70, 20, limited(9, 33, 3)},
	{"wang 70 by 40", 70, 40, 20, limited(9, 33, 0)}, {"OF 70 by 40", 70, 40, 10, limited(9, 33, 0)},
}

func runAsideValue(tb testing.TB, f valueFamily, seed uint64, e layout.Effort) outcome {
	r := rand.New(rand.NewPCG(seed, 85))
	var items []layout.Valued
	for i := range f.kinds {
		v := f.draw(r)
		v.Name = strconv.Itoa(i)
		items = append(items, v)
	}
	size := layout.Size{Wide: f.wide, Deep: f.deep}
	began := time.Now()
	got, err := layout.BestCut(context.Background(), size, 0, items, e)
	if err != nil {
		tb.Fatal(err)
	}
	return outcome{fmt.Sprintf("%s.%d", f.name, seed), got.Bound, got.Value, got.Proved, verify.BestCut(size, 0, items, got) == nil, time.Since(began), got.Work, (got.Bound - got.Value) * 10000 / got.Bound}
}

// asked is the effort that SQUAB_SECONDS or SQUAB_WORK asks for.
func asked(tb testing.TB, e layout.Effort) layout.Effort {
	if text := os.Getenv("SQUAB_SECONDS"); text != "" {
		e.Time = time.Duration(whole(tb, text)) * time.Second
	}
	if text := os.Getenv("SQUAB_WORK"); text != "" {
		e.Work = whole(tb, text)
	}
	return e
}

// asideTable runs seeds of every family and prints each line.
func asideTable[F any](b *testing.B, name string, families []F, seeds uint64, run func(F, uint64) outcome) {
	var found []outcome
	for _, f := range families {
		for seed := range seeds {
			o := run(f, seed)
			found = append(found, o)
			fmt.Println(o)
		}
	}
	s := sum(found)
	fmt.Printf("%s: %d of %d at the bound, %d proved, %d sound, mean over %.2f %%\n\n", name, s.met, s.count, s.proved, s.sound, float64(s.over)/100/float64(max(1, s.count)))
	b.ReportMetric(float64(s.proved)*100/float64(max(1, s.count)), name+"-proved-%")
	if name == "strip" {
		b.ReportMetric(float64(s.overC)/100/float64(max(1, s.count-s.ns)), "C-over-%")
		b.ReportMetric(float64(s.overN)/100/float64(max(1, s.ns)), "N-over-%")
	}
}

// BenchmarkAside prints the table over instances kept aside, SQUAB_SECONDS each.
func BenchmarkAside(b *testing.B) {
	short, long := asked(b, layout.Effort{Time: time.Second}), asked(b, layout.Effort{Time: 2 * time.Second})
	b.Run("strip", func(b *testing.B) {
		asideTable(b, "strip", stripFamilies, 3, func(f stripFamily, seed uint64) outcome { return runAsideStrip(b, f, seed, short) })
	})
	b.Run("stick", func(b *testing.B) {
		asideTable(b, "stick", stickFamilies, 5, func(f stickFamily, seed uint64) outcome { return runAsideStick(b, f, seed, long) })
	})
	b.Run("sheet", func(b *testing.B) {
		asideTable(b, "sheet", sheetFamilies, 5, func(f sheetFamily, seed uint64) outcome { return runAsideSheet(b, f, seed, false, short) })
		asideTable(b, "turned", sheetFamilies, 5, func(f sheetFamily, seed uint64) outcome { return runAsideSheet(b, f, seed, true, short) })
	})
	b.Run("value", func(b *testing.B) {
		asideTable(b, "value", valueFamilies, 3, func(f valueFamily, seed uint64) outcome { return runAsideValue(b, f, seed, long) })
	})
}

// The short form of the benchmark: one of each family at a small counted effort.
func TestInstancesKeptAside(t *testing.T) {
	if testing.Short() {
		t.Skip("short")
	}
	var strips, others []outcome
	e := layout.Effort{Work: 150_000}
	for _, f := range stripFamilies[:12] {
		strips = append(strips, runAsideStrip(t, f, 100, e))
	}
	for _, f := range stickFamilies {
		others = append(others, runAsideStick(t, f, 100, layout.Effort{Work: 1_000_000}))
	}
	for _, f := range sheetFamilies {
		others = append(others, runAsideSheet(t, f, 100, false, e), runAsideSheet(t, f, 101, true, e))
	}
	for _, f := range valueFamilies {
		others = append(others, runAsideValue(t, f, 100, layout.Effort{Work: 1_000_000}))
	}
	proved := 0
	for _, o := range append(strips, others...) {
		if !o.sound || o.overHundredths < 0 {
			t.Errorf("%v: not sound, or below what is known to be least", o)
		}
	}
	for _, o := range others {
		if o.proved {
			proved++
		}
	}
	if proved*10 < len(others)*8 {
		t.Errorf("%d of %d proved", proved, len(others))
	}
	for _, o := range strips {
		if o.overHundredths > 1000 {
			t.Errorf("%v: over 10 %% from the optimum", o)
		}
	}
}
