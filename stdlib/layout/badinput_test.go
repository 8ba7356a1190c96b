package layout_test

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"squab/stdlib/layout"
	"squab/stdlib/layout/verify"
)

// A roll that makes no sense is refused with a reason, never laid on.
func TestUnusableRolls(t *testing.T) {
	for _, c := range []struct {
		name string
		roll layout.Roll
		want error
	}{
		{"no width", layout.Roll{}, layout.ErrMaterial},
		{"negative width", layout.Roll{Wide: -54}, layout.ErrMaterial},
		{"negative length", layout.Roll{Wide: 54, Long: -1}, layout.ErrMaterial},
		{"negative gap", layout.Roll{Wide: 54, Gap: -1}, layout.ErrMaterial},
		{"repeat wider than the cloth", layout.Roll{Wide: 54, Repeat: layout.Repeat{Across: 55}}, layout.ErrMaterial},
		{"negative repeat", layout.Roll{Wide: 54, Repeat: layout.Repeat{Along: -3}}, layout.ErrMaterial},
		{"half drop without a repeat", layout.Roll{Wide: 54, Repeat: layout.Repeat{HalfDrop: true}}, layout.ErrMaterial},
		{"half drop of an odd repeat", layout.Roll{Wide: 54, Repeat: layout.Repeat{Along: 9, Across: 9, HalfDrop: true}}, layout.ErrMaterial},
		{"flaw of no size", layout.Roll{Wide: 54, Flaws: []layout.Rect{{X: 1, Y: 1}}}, layout.ErrMaterial},
		{"remnant of no size", layout.Roll{Wide: 54, Remnants: []layout.Remnant{{Wide: 10}}}, layout.ErrMaterial},
		{"too many flaws", layout.Roll{Wide: 54, Flaws: slices.Repeat([]layout.Rect{{Wide: 1, Deep: 1}}, layout.MaxFlaws+1)}, layout.ErrTooLarge},
		{"width past the limit", layout.Roll{Wide: layout.MaxMeasure + 1}, layout.ErrTooLarge},
	} {
		_, err := layout.LayRoll(context.Background(), c.roll, nil, quick)
		if !errors.Is(err, c.want) {
			t.Errorf("%s: got %v, want %v", c.name, err, c.want)
		}
	}
}

func TestUnusableSheetsAndSticks(t *testing.T) {
	for _, c := range []struct {
		name  string
		stock []layout.SheetStock
		rule  layout.SheetRule
		want  error
	}{
		{"no stock", nil, layout.SheetRule{}, layout.ErrMaterial},
		{"no size", []layout.SheetStock{{Wide: 0, Deep: 5}}, layout.SheetRule{}, layout.ErrMaterial},
		{"negative kerf", []layout.SheetStock{{Wide: 5, Deep: 5}}, layout.SheetRule{Kerf: -1}, layout.ErrMaterial},
		{"negative stages", []layout.SheetStock{{Wide: 5, Deep: 5}}, layout.SheetRule{Stages: -1}, layout.ErrMaterial},
		{"negative price", []layout.SheetStock{{Wide: 5, Deep: 5, Price: -1}}, layout.SheetRule{}, layout.ErrMaterial},
		{"price past the limit", []layout.SheetStock{{Wide: 5, Deep: 5, Price: layout.MaxPrice + 1}}, layout.SheetRule{}, layout.ErrTooLarge},
	} {
		if _, err := layout.LaySheets(context.Background(), c.stock, c.rule, nil, quick); !errors.Is(err, c.want) {
			t.Errorf("sheets, %s: got %v, want %v", c.name, err, c.want)
		}
	}
	for _, c := range []struct {
		name  string
		stock []layout.StickStock
		rule  layout.StickRule
	}{
		{"no stock", nil, layout.StickRule{}},
		{"no length", []layout.StickStock{{}}, layout.StickRule{}},
		{"negative kerf", []layout.StickStock{{Long: 9}}, layout.StickRule{Kerf: -1}},
		{"a join as long as the reel", []layout.StickStock{{Long: 9}}, layout.StickRule{Join: true, JoinSeam: 9}},
		{"negative limit", []layout.StickStock{{Long: 9, Limit: -1}}, layout.StickRule{}},
	} {
		if _, err := layout.LaySticks(context.Background(), c.stock, c.rule, nil, quick); !errors.Is(err, layout.ErrMaterial) {
			t.Errorf("sticks, %s: got %v", c.name, err)
		}
	}
}

// A piece that cannot be laid is named with what would let it fit, and the others
// are laid all the same.
func TestPiecesThatFitNowhere(t *testing.T) {
	good := layout.Piece{Name: "seat", Wide: 20, Deep: 20, Count: 1}
	for _, c := range []struct {
		name         string
		piece        layout.Piece
		reason, help string
	}{
		{"zero width", layout.Piece{Name: "bad", Deep: 3, Count: 1}, "not greater than zero", "give both sizes"},
		{"negative length", layout.Piece{Name: "bad", Wide: 3, Deep: -3, Count: 1}, "not greater than zero", "give both sizes"},
		{"negative count", layout.Piece{Name: "bad", Wide: 3, Deep: 3, Count: -1}, "count is less than zero", "one or more"},
		{"too wide, would fit turned", layout.Piece{Name: "bad", Wide: 60, Deep: 30, Count: 2}, "wider than the cloth", "turned"},
		{"too wide both ways", layout.Piece{Name: "bad", Wide: 60, Deep: 70, Count: 2, Turn: true}, "wider than the cloth", "joined"},
		{"past the limit", layout.Piece{Name: "bad", Wide: layout.MaxMeasure + 1, Deep: 3, Count: 1}, "past the limit", "coarser"},
	} {
		pieces := []layout.Piece{c.piece, good}
		roll := layout.Roll{Wide: 54}
		got, err := layout.LayRoll(context.Background(), roll, pieces, quick)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if len(got.Unplaced) != 1 || !strings.Contains(got.Unplaced[0].Reason, c.reason) || !strings.Contains(got.Unplaced[0].Help, c.help) {
			t.Errorf("%s: got %+v", c.name, got.Unplaced)
		}
		if len(got.Placed) != 1 || got.Placed[0].Piece != "seat" {
			t.Errorf("%s: the good piece is not laid: %+v", c.name, got.Placed)
		}
	}
}

func TestMatchPointWithNoPlace(t *testing.T) {
	// A piece 50 wide on a cloth 54 wide can start at 0 to 4, but its match point
	// puts it at 10, 30 or 50 only.
	roll := layout.Roll{Wide: 54, Repeat: layout.Repeat{Along: 20, Across: 20}}
	piece := layout.Piece{Name: "back", Wide: 50, Deep: 10, Count: 1, Match: &layout.Point{X: 10}}
	got, err := layout.LayRoll(context.Background(), roll, []layout.Piece{piece}, quick)
	if err != nil || len(got.Unplaced) != 1 || !strings.Contains(got.Unplaced[0].Reason, "motif") {
		t.Errorf("got %+v, %v", got.Unplaced, err)
	}
}

func TestSticksThatFitNowhere(t *testing.T) {
	pieces := []layout.StickPiece{{Name: "rail", Long: 100, Count: 1}, {Name: "stay", Long: 10, Count: 1, Mitre: 6}, {Name: "cleat", Long: 30, Count: 2}}
	got, err := layout.LaySticks(context.Background(), []layout.StickStock{{Long: 96}}, layout.StickRule{}, pieces, quick)
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Unplaced) != 2 || len(got.Placed) != 2 {
		t.Errorf("got %+v", got)
	}
	none, err := layout.LaySticks(context.Background(), []layout.StickStock{{Long: 96, Limit: 1}}, layout.StickRule{},
		[]layout.StickPiece{{Name: "rail", Long: 60, Count: 3}}, quick)
	if err != nil || len(none.Unplaced) != 1 || none.Unplaced[0].Count != 2 || none.Proved {
		t.Errorf("one stick only: got %+v, %v", none, err)
	}
}

func TestNothingToLay(t *testing.T) {
	roll, err := layout.LayRoll(context.Background(), layout.Roll{Wide: 54}, nil, layout.Effort{})
	if err != nil || !roll.Proved || roll.Used != 0 {
		t.Errorf("roll: %+v, %v", roll, err)
	}
	sheet, err := layout.LaySheets(context.Background(), []layout.SheetStock{{Wide: 9, Deep: 9}}, layout.SheetRule{}, nil, layout.Effort{})
	if err != nil || !sheet.Proved || sheet.Used != 0 {
		t.Errorf("sheet: %+v, %v", sheet, err)
	}
	stick, err := layout.LaySticks(context.Background(), []layout.StickStock{{Long: 9}}, layout.StickRule{}, nil, layout.Effort{})
	if err != nil || !stick.Proved || stick.Used != 0 {
		t.Errorf("stick: %+v, %v", stick, err)
	}
}

// Work 1 is what a command gives for no time at all: the first answer, at once.
func TestNoTimeStillAnswers(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	pieces := randomPieces(r, 20, 30)
	roll := layout.Roll{Wide: 54}
	got, err := layout.LayRoll(context.Background(), roll, pieces, layout.Effort{Work: 1})
	if err != nil || verify.Roll(roll, pieces, got) != nil || len(got.Placed) == 0 {
		t.Errorf("got %+v, %v", got, err)
	}
}

func TestCancelledKeepsTheAnswer(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	pieces := []layout.Piece{{Name: "seat", Wide: 20, Deep: 20, Count: 7}}
	got, err := layout.LayRoll(ctx, layout.Roll{Wide: 54}, pieces, layout.Effort{})
	if !errors.Is(err, context.Canceled) || len(got.Placed) != 7 {
		t.Errorf("got %d placed, %v", len(got.Placed), err)
	}
}

func manyPieces(n int) []layout.Piece {
	r := rand.New(rand.NewPCG(1, 10))
	var pieces []layout.Piece
	for i := range n {
		pieces = append(pieces, layout.Piece{Name: fmt.Sprint(i), Wide: 16 + r.Int64N(400), Deep: 16 + r.Int64N(400), Count: 1, Turn: i%2 == 0})
	}
	return pieces
}

// Ten thousand pieces, all different, are laid within 1 GiB and some seconds, on
// whatever material.
func TestTenThousandPieces(t *testing.T) {
	if testing.Short() {
		t.Skip("short")
	}
	pieces, roll, lath := manyPieces(10_000), layout.Roll{Wide: 864}, []layout.StickStock{{Name: "lath", Long: 1536}}
	patterned := layout.Roll{Wide: 864, Repeat: layout.Repeat{Along: 288, Across: 216}}
	stocks, saw := []layout.SheetStock{{Name: "board", Wide: 960, Deep: 1920}}, layout.SheetRule{Guillotine: true, Stages: 3, Kerf: 2}
	for name, lay := range map[string]func() (layout.Result, []error, error){
		"roll": func() (layout.Result, []error, error) {
			got, err := layout.LayRoll(context.Background(), roll, pieces, layout.Effort{})
			return got, verify.Roll(roll, pieces, got), err
		},
		"patterned roll": func() (layout.Result, []error, error) {
			matched := matchedPieces(pieces)
			got, err := layout.LayRoll(context.Background(), patterned, matched, layout.Effort{Work: 100_000})
			return got, verify.Roll(patterned, matched, got), err
		},
		"sheets": func() (layout.Result, []error, error) {
			got, err := layout.LaySheets(context.Background(), stocks, saw, pieces, layout.Effort{})
			return got, verify.Sheets(stocks, saw, pieces, got), err
		},
		"free sheets": func() (layout.Result, []error, error) {
			got, err := layout.LaySheets(context.Background(), stocks, layout.SheetRule{}, pieces, layout.Effort{})
			return got, verify.Sheets(stocks, layout.SheetRule{}, pieces, got), err
		},
		"sticks": func() (layout.Result, []error, error) {
			sticks := manySticks(10_000)
			got, err := layout.LaySticks(context.Background(), lath, layout.StickRule{Kerf: 2}, sticks, layout.Effort{})
			return got, verify.Sticks(lath, layout.StickRule{Kerf: 2}, sticks, got), err
		},
	} {
		began := time.Now()
		got, errs, err := lay()
		report(t, 0, name, errs)
		if err != nil || got.Bound <= 0 || got.Bound > got.Used || len(got.Placed) != 10_000 {
			t.Errorf("%s: %d placed, used %d, bound %d, %v", name, len(got.Placed), got.Used, got.Bound, err)
		}
		t.Logf("%s: %v, used %d, bound %d", name, time.Since(began), got.Used, got.Bound)
	}
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	if m.Sys > 1<<30 {
		t.Errorf("%d MiB taken from the system", m.Sys>>20)
	}
	t.Logf("%d MiB taken from the system", m.Sys>>20)
}

// matchedPieces has every piece show the motif at its middle.
func matchedPieces(pieces []layout.Piece) []layout.Piece {
	var out []layout.Piece
	for _, p := range pieces {
		p.Match = &layout.Point{X: p.Wide / 2, Y: p.Deep / 2}
		out = append(out, p)
	}
	return out
}

func manySticks(n int) []layout.StickPiece {
	r := rand.New(rand.NewPCG(2, 10))
	var pieces []layout.StickPiece
	for i := range n {
		pieces = append(pieces, layout.StickPiece{Name: fmt.Sprint(i), Long: 16 + r.Int64N(900), Count: 1})
	}
	return pieces
}

func TestTooManyCopies(t *testing.T) {
	pieces := []layout.Piece{{Name: "tab", Wide: 1, Deep: 1, Count: layout.MaxCopies}, {Name: "tab", Wide: 1, Deep: 1, Count: 1}}
	if _, err := layout.LayRoll(context.Background(), layout.Roll{Wide: 54}, pieces, quick); !errors.Is(err, layout.ErrTooLarge) {
		t.Errorf("roll: got %v", err)
	}
	if _, err := layout.LaySheets(context.Background(), []layout.SheetStock{{Wide: 9, Deep: 9}}, layout.SheetRule{}, pieces, quick); !errors.Is(err, layout.ErrTooLarge) {
		t.Errorf("sheets: got %v", err)
	}
	sticks := []layout.StickPiece{{Name: "dowel", Long: 1, Count: layout.MaxCopies + 1}}
	if _, err := layout.LaySticks(context.Background(), []layout.StickStock{{Long: 9}}, layout.StickRule{}, sticks, quick); !errors.Is(err, layout.ErrTooLarge) {
		t.Errorf("sticks: got %v", err)
	}
}
