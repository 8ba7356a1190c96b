package layout_test

import (
	"math/rand/v2"
	"testing"

	"squab/stdlib/layout"
	"squab/stdlib/layout/verify"
)

// Two rectangles share a sheet only side by side or one beyond the other.
func TestPiecesThatCannotShareASheet(t *testing.T) {
	foam := func(price int64) layout.SheetStock {
		return layout.SheetStock{Name: "foam", Wide: 24 * 2, Deep: 82 * 2, Price: price}
	}
	for _, c := range []struct {
		name   string
		stocks []layout.SheetStock
		kerf   int64
		pieces []layout.Piece
		sheets int
	}{
		{"two cushions of 46 by 17 1/2 in from 24 by 82 in", []layout.SheetStock{foam(0)}, 0,
			[]layout.Piece{{Name: "cushion", Wide: 35, Deep: 92, Count: 2, Turn: true}}, 2},
		{"nor seven of them", []layout.SheetStock{foam(0)}, 0,
			[]layout.Piece{{Name: "cushion", Wide: 35, Deep: 92, Count: 7, Turn: true}}, 7},
		{"a cushion and a longer one", []layout.SheetStock{foam(1500)}, 0,
			[]layout.Piece{{Name: "cushion", Wide: 30, Deep: 82, Count: 1}, {Name: "long", Wide: 30, Deep: 83, Count: 1}}, 2},
		{"a cushion and one that still fits beyond it", []layout.SheetStock{foam(1500)}, 0,
			[]layout.Piece{{Name: "cushion", Wide: 30, Deep: 82, Count: 1}, {Name: "other", Wide: 30, Deep: 81, Count: 1}}, 1},
		{"the saw parts them", []layout.SheetStock{foam(1500)}, 2,
			[]layout.Piece{{Name: "cushion", Wide: 30, Deep: 82, Count: 1}, {Name: "other", Wide: 30, Deep: 82, Count: 1}}, 2},
	} {
		for _, rule := range []layout.SheetRule{{Kerf: c.kerf}, {Kerf: c.kerf, Guillotine: true}, {Kerf: c.kerf, Guillotine: true, Stages: 2}} {
			got := laySheets(t, c.stocks, rule, c.pieces)
			if len(got.Sheets) != c.sheets || !got.Proved {
				t.Errorf("%s, %+v: %d sheets (%s), proved %v", c.name, rule, len(got.Sheets), got.BoundRests, got.Proved)
			}
		}
	}
}

// sheetTrial tries every place for every piece of a set on one small sheet.
type sheetTrial struct {
	stock  layout.SheetStock
	rule   layout.SheetRule
	pieces []layout.Piece
	laid   []layout.Placed
}

func (s *sheetTrial) fits(at int) bool {
	if at == len(s.pieces) {
		return s.sound()
	}
	p := s.pieces[at]
	for _, lying := range waysToLie(p) {
		for x := int64(0); x+lying.wide <= s.stock.Wide; x++ {
			for y := int64(0); y+lying.deep <= s.stock.Deep; y++ {
				spot := layout.Placed{Item: at, Copy: 1, X: x, Y: y, Wide: lying.wide, Deep: lying.deep, Turned: lying.wide != p.Wide}
				if s.clear(spot) && s.with(spot, at+1) {
					return true
				}
			}
		}
	}
	return false
}

func (s *sheetTrial) clear(p layout.Placed) bool {
	r := layout.Rect{X: p.X, Y: p.Y, Wide: p.Wide, Deep: p.Deep}
	for _, o := range s.laid {
		if meets(r, layout.Rect{X: o.X, Y: o.Y, Wide: o.Wide, Deep: o.Deep}, s.rule.Kerf) {
			return false
		}
	}
	return true
}

func (s *sheetTrial) with(p layout.Placed, next int) bool {
	s.laid = append(s.laid, p)
	ok := s.fits(next)
	s.laid = s.laid[:len(s.laid)-1]
	return ok
}

// sound asks the verifier, which shares nothing with the engines.
func (s *sheetTrial) sound() bool {
	whole := s.stock.Wide * s.stock.Deep
	on := layout.Sheet{Name: s.stock.Name, Wide: s.stock.Wide, Deep: s.stock.Deep, Price: s.stock.Price}
	r := layout.Result{Used: whole, Waste: whole, Cost: on.Price, Placed: s.laid, Sheets: []layout.Sheet{on}}
	for _, p := range s.laid {
		r.Waste -= p.Wide * p.Deep
	}
	return verify.Sheets([]layout.SheetStock{s.stock}, s.rule, s.pieces, r) == nil
}

// leastCover is the least number of sets that may stand alone and together hold
// all of n things.
func leastCover(n int, alone func(set int) bool) int {
	least := make([]int, 1<<n)
	fits := make([]bool, len(least))
	for set := 1; set < len(least); set++ {
		fits[set], least[set] = alone(set), n+1
		for part := set; part > 0; part = (part - 1) & set {
			if fits[part] {
				least[set] = min(least[set], least[set&^part]+1)
			}
		}
	}
	return least[len(least)-1]
}

// leastCost is the least cost of sets that may stand alone and together hold all of
// n things; alone is a set's own cost, never where it cannot stand.
func leastCost(n int, alone func(set int) int64) int64 {
	least, cost := make([]int64, 1<<n), make([]int64, 1<<n)
	for set := 1; set < len(least); set++ {
		cost[set], least[set] = alone(set), never
		for part := set; part > 0; part = (part - 1) & set {
			least[set] = min(least[set], least[set&^part]+cost[part])
		}
	}
	return least[len(least)-1]
}

const never = int64(1) << 50

// What is proved is the least cost where sheets come in sizes at prices.
func TestSheetCostsAgainstEveryPlacing(t *testing.T) {
	proved, cases := 0, uint64(40)
	for seed := range cases {
		stock, rule, pieces := sheetCase(seed + 1000)
		r := rand.New(rand.NewPCG(seed, 96))
		stocks, pieces := []layout.SheetStock{stock, {Name: "small", Wide: stock.Wide - 1, Deep: 4}}, pieces[:4]
		for i := range stocks {
			stocks[i].Price = within(r, 3, 6)
		}
		want := leastCost(len(pieces), func(set int) int64 {
			least := never
			for _, s := range stocks {
				trial := &sheetTrial{stock: s, rule: rule}
				for i := range pieces {
					if set>>i&1 == 1 {
						trial.pieces = append(trial.pieces, pieces[i])
					}
				}
				if s.Price < least && trial.fits(0) {
					least = s.Price
				}
			}
			return least
		})
		got := laySheets(t, stocks, rule, pieces)
		if got.CostBound > want || got.Proved && got.Cost != want {
			t.Errorf("seed %d: cost %d, bound %d, proved %v, least %d\n%+v %+v %+v", seed, got.Cost, got.CostBound, got.Proved, want, stocks, rule, pieces)
		}
		if got.Proved {
			proved++
		}
	}
	if proved*10 < int(cases)*9 {
		t.Errorf("only %d of %d proved", proved, cases)
	}
}

func sheetCase(seed uint64) (layout.SheetStock, layout.SheetRule, []layout.Piece) {
	r := rand.New(rand.NewPCG(seed, 82))
	stock := layout.SheetStock{Name: "board", Wide: 5 + r.Int64N(2), Deep: 5 + r.Int64N(2)}
	rule := layout.SheetRule{Kerf: r.Int64N(2), Guillotine: r.IntN(4) > 0, Stages: r.IntN(4)}
	var pieces []layout.Piece
	for range 5 {
		pieces = append(pieces, layout.Piece{Wide: 1 + r.Int64N(4), Deep: 1 + r.Int64N(4), Count: 1, Turn: r.IntN(3) == 0})
	}
	return stock, rule, pieces
}

// What is proved is the least number of sheets, and no bound is over it, against
// every sharing out of the pieces and every place on a sheet.
func TestSheetCountsAgainstEveryPlacing(t *testing.T) {
	proved, cases := 0, uint64(60)
	for seed := range cases {
		stock, rule, pieces := sheetCase(seed)
		want := leastCover(len(pieces), func(set int) bool {
			trial := &sheetTrial{stock: stock, rule: rule}
			for i := range pieces {
				if set>>i&1 == 1 {
					trial.pieces = append(trial.pieces, pieces[i])
				}
			}
			return trial.fits(0)
		})
		got := laySheets(t, []layout.SheetStock{stock}, rule, pieces)
		if whole := stock.Wide * stock.Deep; got.Bound > int64(want)*whole || got.Proved && len(got.Sheets) != want {
			t.Errorf("seed %d: %d sheets, bound %d, proved %v, least %d\n%+v %+v %+v", seed, len(got.Sheets), got.Bound/whole, got.Proved, want, stock, rule, pieces)
		}
		if got.Proved {
			proved++
		}
	}
	if proved != int(cases) {
		t.Errorf("only %d of %d proved", proved, cases)
	}
}

// Pieces cut off one side after the other, round and round: no three stages do it.
func TestManyStagesWhereTheyAreAllowed(t *testing.T) {
	stocks := []layout.SheetStock{{Name: "board", Wide: 12, Deep: 12}}
	var pieces []layout.Piece
	for i, size := range []layout.Size{{12, 2}, {3, 10}, {9, 3}, {2, 7}, {7, 2}, {3, 5}, {4, 5}} {
		pieces = append(pieces, layout.Piece{Name: "part", Wide: size.Wide, Deep: size.Deep, Count: 1, Order: string(rune('a' + i))})
	}
	for stages, want := range map[int]int{0: 1, 3: 2, 6: 1} {
		got := laySheets(t, stocks, layout.SheetRule{Guillotine: true, Stages: stages}, pieces)
		if len(got.Sheets) != want || !got.Proved {
			t.Errorf("%d stages: %d sheets, proved %v, want %d", stages, len(got.Sheets), got.Proved, want)
		}
	}
}

// Sixty pads of 4 cover 240, which costs 13.3 at the dearer board's 10 for 180. Boards of 6 and of 10 come to 12 or to
// 16, never to 14.
func TestProvenSheetCostsAreSumsOfPrices(t *testing.T) {
	stocks := []layout.SheetStock{{Name: "small", Wide: 10, Deep: 10, Price: 6}, {Name: "large", Wide: 10, Deep: 18, Price: 10}}
	got := laySheets(t, stocks, layout.SheetRule{Guillotine: true}, []layout.Piece{{Name: "pad", Wide: 2, Deep: 2, Count: 60}})
	if got.Cost != 16 || !got.Proved {
		t.Errorf("cost %d, bound %d, proved %v", got.Cost, got.CostBound, got.Proved)
	}
}
