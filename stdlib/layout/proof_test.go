package layout_test

import (
	"context"
	"math/rand/v2"
	"strconv"
	"testing"

	"squab/stdlib/layout"
	"squab/stdlib/layout/verify"
)

// everyPlacing is the least length found by trying every copy everywhere, for
// very small cases. It has nothing in common with the engines.
type everyPlacing struct {
	roll  layout.Roll
	left  []layout.Piece
	laid  []layout.Rect
	least int64
}

func (e *everyPlacing) try(at int, used int64) {
	if used >= e.least {
		return
	}
	if at == len(e.left) {
		e.least = used
		return
	}
	p := e.left[at]
	for _, lying := range waysToLie(p) {
		for y := int64(0); y+lying.deep < e.least; y++ {
			for x := int64(0); x+lying.wide <= e.roll.Wide; x++ {
				r := layout.Rect{X: x, Y: y, Wide: lying.wide, Deep: lying.deep}
				if e.free(r) && e.onMotif(p, lying, r) {
					e.laid = append(e.laid, r)
					e.try(at+1, max(used, y+lying.deep))
					e.laid = e.laid[:len(e.laid)-1]
				}
			}
		}
	}
}

func (e *everyPlacing) free(r layout.Rect) bool {
	for _, f := range e.roll.Flaws {
		if meets(r, f, 0) {
			return false
		}
	}
	for _, o := range e.laid {
		if meets(r, o, e.roll.Gap) {
			return false
		}
	}
	return true
}

func meets(a, b layout.Rect, gap int64) bool {
	return a.X < b.X+b.Wide+gap && b.X < a.X+a.Wide+gap && a.Y < b.Y+b.Deep+gap && b.Y < a.Y+a.Deep+gap
}

func (e *everyPlacing) onMotif(p layout.Piece, l lying, r layout.Rect) bool {
	rep := e.roll.Repeat
	if p.Match == nil || rep.Along == 0 && rep.Across == 0 {
		return true
	}
	x, y := r.X+l.match.X-rep.First.X, r.Y+l.match.Y-rep.First.Y
	if rep.Across > 0 && x%rep.Across != 0 {
		return false
	}
	if rep.HalfDrop && x/rep.Across%2 != 0 {
		y += rep.Along / 2
	}
	return rep.Along == 0 || y%rep.Along == 0
}

// lying is a piece as it lies: its size and where its match point is.
type lying struct {
	wide, deep int64
	match      layout.Point
}

func waysToLie(p layout.Piece) []lying {
	match := layout.Point{}
	if p.Match != nil {
		match = *p.Match
	}
	ways := []lying{{p.Wide, p.Deep, match}}
	if p.Turn {
		ways = append(ways, lying{p.Deep, p.Wide, layout.Point{X: p.Deep - match.Y, Y: match.X}})
	}
	if p.EndForEnd {
		for _, w := range ways {
			ways = append(ways, lying{w.wide, w.deep, layout.Point{X: w.wide - w.match.X, Y: w.deep - w.match.Y}})
		}
	}
	return ways
}

func tinyCase(seed uint64) (layout.Roll, []layout.Piece) {
	r := rand.New(rand.NewPCG(seed, 77))
	roll := layout.Roll{Wide: 5 + r.Int64N(4), Gap: r.Int64N(2)}
	if r.IntN(2) == 0 {
		roll.Repeat = layout.Repeat{Along: 2 * (1 + r.Int64N(2)), Across: r.Int64N(4), First: layout.Point{X: r.Int64N(3), Y: r.Int64N(3)}}
		roll.Repeat.HalfDrop = roll.Repeat.Across > 0 && r.IntN(2) == 0
	}
	if r.IntN(4) == 0 {
		roll.Flaws = []layout.Rect{{X: r.Int64N(4), Y: r.Int64N(5), Wide: 1 + r.Int64N(3), Deep: 1}}
	}
	var pieces []layout.Piece
	for range 3 {
		p := layout.Piece{Name: "scrap", Wide: 1 + r.Int64N(5), Deep: 1 + r.Int64N(4), Count: 1, Turn: r.IntN(2) == 0, EndForEnd: r.IntN(2) == 0}
		if r.IntN(2) == 0 {
			p.Match = &layout.Point{X: r.Int64N(p.Wide + 1), Y: r.Int64N(p.Deep + 1)}
		}
		pieces = append(pieces, p)
	}
	return roll, pieces
}

// A bound is a proof: no placing at all beats it, and what is proved is the least.
func TestBoundsAgainstEveryPlacing(t *testing.T) {
	proved := 0
	for seed := range uint64(250) {
		roll, pieces := tinyCase(seed)
		got := layRoll(t, roll, pieces, layout.Effort{Work: 100_000})
		if len(got.Unplaced) > 0 {
			continue
		}
		e := &everyPlacing{roll: roll, left: pieces, least: got.Used + 1}
		e.try(0, 0)
		if got.Bound > e.least || got.Proved && got.Used != e.least {
			t.Errorf("seed %d: used %d bound %d proved %v, but %d is possible\n%+v\n%+v", seed, got.Used, got.Bound, got.Proved, e.least, roll, pieces)
		}
		if got.Proved {
			proved++
		}
	}
	if proved < 100 {
		t.Errorf("only %d proved", proved)
	}
}

// leastByParts is the least cost by trying every set of pieces on every stock: a
// table over sets, for a dozen pieces at most.
func leastByParts(stocks []layout.StickStock, rule layout.StickRule, lengths []layout.StickPiece) (cost int64, possible bool) {
	const never = int64(1) << 50
	fits := make([]int64, 1<<len(lengths))
	for set := range fits {
		fits[set] = never
		long := lengthTogether(rule, lengths, set)
		for _, s := range stocks {
			if long <= s.Long {
				fits[set] = min(fits[set], s.Price)
			}
		}
	}
	least := make([]int64, len(fits))
	for set := 1; set < len(least); set++ {
		least[set] = never
		for part := set; part > 0; part = (part - 1) & set {
			least[set] = min(least[set], least[set&^part]+fits[part])
		}
	}
	cost = least[len(least)-1]
	return cost, cost < never
}

// lengthTogether is the stick that a set of pieces needs, mitres of a size nested.
func lengthTogether(rule layout.StickRule, lengths []layout.StickPiece, set int) int64 {
	long, pieces, mitres := int64(0), int64(0), map[int64]int64{}
	for i, p := range lengths {
		if set>>i&1 == 1 {
			long += p.Long
			pieces++
			mitres[p.Mitre]++
		}
	}
	if rule.Nest {
		for mitre, n := range mitres {
			long -= mitre * (n - 1)
		}
	}
	return long + rule.Kerf*max(0, pieces-1)
}

func TestStickCostsAgainstEverySet(t *testing.T) {
	proved := 0
	for seed := range uint64(120) {
		r := rand.New(rand.NewPCG(seed, 78))
		var stocks []layout.StickStock
		for range 1 + r.IntN(3) {
			stocks = append(stocks, layout.StickStock{Name: "lath", Long: 30 + r.Int64N(40), Price: 10 + r.Int64N(90)})
		}
		rule := layout.StickRule{Kerf: r.Int64N(2), Nest: r.IntN(2) == 0}
		var pieces []layout.StickPiece
		for range 4 + r.IntN(6) {
			pieces = append(pieces, layout.StickPiece{Name: "rail", Long: 8 + r.Int64N(22), Count: 1, Mitre: r.Int64N(3) * 2})
		}
		got := laySticks(t, stocks, rule, pieces)
		want, _ := leastByParts(stocks, rule, pieces)
		if got.CostBound > want || got.Proved && got.Cost != want {
			t.Errorf("seed %d: cost %d bound %d proved %v, least %d", seed, got.Cost, got.CostBound, got.Proved, want)
		}
		for i := range stocks {
			stocks[i].Price = stocks[i].Long
		}
		if long, _ := leastByParts(stocks, rule, pieces); got.Bound > long {
			t.Errorf("seed %d: bound %d, but a length of %d is enough", seed, got.Bound, long)
		}
		if got.Cost != want {
			t.Logf("seed %d: cost %d, least %d", seed, got.Cost, want)
		}
		if got.Proved {
			proved++
		}
	}
	if proved < 100 {
		t.Errorf("only %d of 120 proved", proved)
	}
}

// perfectCut cuts a rectangle into n pieces with nothing lost, so its length is
// the least that the pieces can be laid in.
func perfectCut(seed uint64, wide, deep int64, n int) []layout.Piece {
	r := rand.New(rand.NewPCG(seed, 80))
	parts := []layout.Size{{Wide: wide, Deep: deep}}
	for len(parts) < n {
		at := r.IntN(len(parts))
		for i, p := range parts {
			if p.Wide*p.Deep > parts[at].Wide*parts[at].Deep && r.IntN(3) > 0 {
				at = i
			}
		}
		p := parts[at]
		if p.Wide >= p.Deep && p.Wide > 3 {
			cut := 2 + r.Int64N(p.Wide-3)
			parts[at] = layout.Size{Wide: cut, Deep: p.Deep}
			parts = append(parts, layout.Size{Wide: p.Wide - cut, Deep: p.Deep})
		} else if p.Deep > 3 {
			cut := 2 + r.Int64N(p.Deep-3)
			parts[at] = layout.Size{Wide: p.Wide, Deep: cut}
			parts = append(parts, layout.Size{Wide: p.Wide, Deep: p.Deep - cut})
		}
	}
	var pieces []layout.Piece
	for i, p := range parts {
		pieces = append(pieces, layout.Piece{Name: strconv.Itoa(i), Wide: p.Wide, Deep: p.Deep, Count: 1})
	}
	return pieces
}

func TestPerfectCuts(t *testing.T) {
	for _, n := range []int{10, 20, 40, 80, 200} {
		got := layRoll(t, layout.Roll{Wide: 108}, perfectCut(uint64(n), 108, 120, n), layout.Effort{Work: 200_000})
		if got.Bound != 120 {
			t.Errorf("%d pieces: bound %d, not the 120 they were cut from", n, got.Bound)
		}
		if got.Used > 132 {
			t.Errorf("%d pieces: used %d, over 10 %% more than 120", n, got.Used)
		}
	}
}

// BenchmarkPerfectCuts reports how far over the known least length a second gets,
// in hundredths of a percent.
func BenchmarkPerfectCuts(b *testing.B) {
	for _, n := range []int{20, 40, 60, 100, 150, 200} {
		b.Run(strconv.Itoa(n), func(b *testing.B) {
			over := int64(0)
			for range b.N {
				over = 0
				for seed := range uint64(3) {
					got, err := layout.LayRoll(context.Background(), layout.Roll{Wide: 108}, perfectCut(seed, 108, 200, n), layout.Effort{Work: 6_000_000})
					if err != nil {
						b.Fatal(err)
					}
					over += (got.Used - 200) * 10000 / 200
				}
			}
			b.ReportMetric(float64(over)/300, "%-over")
			b.ReportMetric(0, "ns/op")
		})
	}
}

// Without limits the table is exact; with a limit that does not bind it must agree.
func TestBestCutAgreesWithLooseLimits(t *testing.T) {
	for seed := range uint64(30) {
		r := rand.New(rand.NewPCG(seed, 81))
		size := layout.Size{Wide: 10 + r.Int64N(15), Deep: 10 + r.Int64N(15)}
		var free, limited []layout.Valued
		for range 4 {
			v := layout.Valued{Name: "blank", Wide: 3 + r.Int64N(8), Deep: 3 + r.Int64N(8), Value: 1 + r.Int64N(60), Turn: r.IntN(2) == 0}
			free = append(free, v)
			v.Most = 1 + r.IntN(3)
			limited = append(limited, v)
		}
		kerf := r.Int64N(2)
		a, errA := layout.BestCut(context.Background(), size, kerf, free, layout.Effort{})
		b, errB := layout.BestCut(context.Background(), size, kerf, limited, layout.Effort{})
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		report(t, seed, "free", verify.BestCut(size, kerf, free, a))
		report(t, seed, "limited", verify.BestCut(size, kerf, limited, b))
		if b.Value > a.Value {
			t.Errorf("seed %d: limits raised the value from %d to %d", seed, a.Value, b.Value)
		}
	}
}
