package layout_test

import (
	"context"
	"testing"

	"squab/stdlib/layout"
	"squab/stdlib/layout/verify"
)

// A sheet that holds every piece, though not by rows, is enough where it is the only one.
func TestTheLastSheetIsFilledAsItCanBe(t *testing.T) {
	roundAndRound := []layout.Size{{12, 2}, {3, 10}, {9, 3}, {2, 7}, {7, 2}, {3, 5}, {4, 5}}
	pinwheel := []layout.Size{{3, 2}, {2, 3}, {3, 2}, {2, 3}, {1, 1}}
	for _, c := range []struct {
		name  string
		stock layout.SheetStock
		rule  layout.SheetRule
		sizes []layout.Size
		laid  int
	}{
		{"by six stages", layout.SheetStock{Wide: 12, Deep: 12, Limit: 1}, layout.SheetRule{Guillotine: true}, roundAndRound, 7},
		{"by six stages, and a whole one", layout.SheetStock{Wide: 12, Deep: 12, Limit: 2}, layout.SheetRule{Guillotine: true}, append(roundAndRound, layout.Size{12, 12}), 8},
		{"by three stages not all", layout.SheetStock{Wide: 12, Deep: 12, Limit: 1}, layout.SheetRule{Guillotine: true, Stages: 3}, roundAndRound, 6},
		{"a pinwheel by free cuts", layout.SheetStock{Wide: 5, Deep: 5, Limit: 1, Price: 7}, layout.SheetRule{}, pinwheel, 5},
		{"a pinwheel by straight cuts not all", layout.SheetStock{Wide: 5, Deep: 5, Limit: 1, Price: 7}, layout.SheetRule{Guillotine: true}, pinwheel, 4},
	} {
		var pieces []layout.Piece
		for _, s := range c.sizes {
			pieces = append(pieces, layout.Piece{Name: "part", Wide: s.Wide, Deep: s.Deep, Count: 1})
		}
		got := laySheets(t, []layout.SheetStock{c.stock}, c.rule, pieces)
		if len(got.Placed) != c.laid || got.Proved != (c.laid == len(pieces)) {
			t.Errorf("%s: %d laid, proved %v, want %d of %d", c.name, len(got.Placed), got.Proved, c.laid, len(pieces))
		}
	}
}

// No piece is refused where trying every place finds sheets enough for all.
func TestSheetsInShortSupplyAgainstEveryPlacing(t *testing.T) {
	for seed := range uint64(60) {
		stock, rule, pieces := sheetCase(seed)
		stock.Limit = leastCover(len(pieces), func(set int) bool {
			trial := &sheetTrial{stock: stock, rule: rule}
			for i := range pieces {
				if set>>i&1 == 1 {
					trial.pieces = append(trial.pieces, pieces[i])
				}
			}
			return trial.fits(0)
		})
		if got := laySheets(t, []layout.SheetStock{stock}, rule, pieces); len(got.Unplaced) > 0 || !got.Proved {
			t.Errorf("seed %d: %+v of %d sheets, proved %v\n%+v %+v %+v", seed, got.Unplaced, stock.Limit, got.Proved, stock, rule, pieces)
		}
	}
}

// Very many pieces are laid in plain rows, on the sheets cheapest for their area
// whichever is named first; on others when those run out.
func TestManyPiecesGoOnTheCheapestSheets(t *testing.T) {
	var pieces []layout.Piece
	for i := range int64(3300) {
		pieces = append(pieces, layout.Piece{Name: "part", Wide: 20 + i%60, Deep: 20 + i/60, Count: 1})
	}
	dear, cheap := layout.SheetStock{Name: "dear", Wide: 960, Deep: 1920, Price: 900}, layout.SheetStock{Name: "cheap", Wide: 960, Deep: 1920, Price: 600}
	for limit, dearOnes := range map[int]bool{0: false, 1: true} {
		cheap.Limit = limit
		got, err := layout.LaySheets(context.Background(), []layout.SheetStock{dear, cheap}, layout.SheetRule{Guillotine: true}, pieces, layout.Effort{Work: 1})
		report(t, 0, limit, verify.Sheets([]layout.SheetStock{dear, cheap}, layout.SheetRule{Guillotine: true}, pieces, got))
		opened := map[string]int{}
		for _, s := range got.Sheets {
			opened[s.Name]++
		}
		if err != nil || len(got.Unplaced) > 0 || (opened["dear"] > 0) != dearOnes || opened["cheap"] == 0 {
			t.Errorf("limit %d: %v opened, %d unplaced, %v", limit, opened, len(got.Unplaced), err)
		}
	}
}
