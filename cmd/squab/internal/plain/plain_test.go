package plain

import (
	"context"
	"strings"
	"testing"

	"squab/eval"
	"squab/eval/quantity"
)

func settled(t *testing.T, j Job) *Job {
	t.Helper()
	if j.Shows == "" {
		j.Shows = "1/16 in"
	}
	if j.Effort == 0 {
		j.Effort = 5_000
	}
	if err := j.Settle(); err != nil {
		t.Fatal(err)
	}
	return &j
}

func pieces(t *testing.T, j *Job, text string) []Piece {
	t.Helper()
	all, problems, err := j.Read(strings.NewReader(text), "pieces")
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	return all
}

// TestFormsReadAlike gives the same pieces as CSV, as JSON lines and as a JSON list.
func TestFormsReadAlike(t *testing.T) {
	j := settled(t, Job{Form: "roll", Wide: "54 in"})
	want := []Piece{{Name: `seat "front"`, Order: "7", Wide: quantity.Int(30), Deep: quantity.Frac(49, 2), Count: 2}, {Name: "back", Wide: quantity.Int(22), Deep: quantity.Int(18), Count: 1, Turn: true}}
	for name, text := range map[string]string{
		"CSV":        "order,name,wide,deep,count,turn\n7,\"seat \"\"front\"\"\",30 in,24 1/2 in,2,no\n,back,22 in,18 in,,yes\n",
		"JSON lines": `{"order":7,"name":"seat \"front\"","wide":"30 in","deep":"24 1/2 in","count":2}` + "\n" + `{"name":"back","wide":"22 in","deep":"18 in","turn":true}`,
		"JSON list":  `[{"order":7,"name":"seat \"front\"","wide":"30 in","deep":"24 1/2 in","count":2}, {"name":"back","wide":"22 in",` + "\n" + `"deep":"18 in","turn":true}]`,
	} {
		got := pieces(t, j, text)
		if len(got) != len(want) {
			t.Errorf("%s: %d pieces", name, len(got))
			continue
		}
		for i := range got {
			if got[i] != want[i] {
				t.Errorf("%s: %+v, want %+v", name, got[i], want[i])
			}
		}
	}
}

// TestLaidPiecesLieApart checks a layout by itself: every copy is there once, inside its sheet, and none lies on another or nearer than the kerf.
func TestLaidPiecesLieApart(t *testing.T) {
	j := settled(t, Job{Form: "sheet", Wide: "48 in", Deep: "96 in", Kerf: "1/8 in", Guillotine: true})
	list := "name,wide,deep,count,turn\nside,14 5/8 in,30 in,6,yes\nshelf,29 1/4 in,13 7/8 in,5,no\nback,31 in,47 in,1,yes\n"
	laid, err := j.Lay(context.Background(), pieces(t, j, list))
	if err != nil {
		t.Fatal(err)
	}
	if n := len(laid.Layout.Placed); n != 12 {
		t.Errorf("12 pieces gave %d", n)
	}
	kerf := quantity.Frac(1, 8)
	for i, a := range laid.Layout.Placed {
		if over(a.X.Add(a.Wide), quantity.Int(48)) || over(a.Y.Add(a.Deep), quantity.Int(96)) {
			t.Errorf("%s %d lies off its sheet", a.Piece, a.Copy)
		}
		for _, b := range laid.Layout.Placed[:i] {
			if a.Sheet == b.Sheet && near(a, b, kerf) {
				t.Errorf("%s %d lies on %s %d", a.Piece, a.Copy, b.Piece, b.Copy)
			}
		}
	}
	if over(laid.Layout.Bound, laid.Layout.Used) {
		t.Error("the bound is above what is used")
	}
}

func over(a, b quantity.Number) bool {
	order, _ := a.Cmp(b)
	return order > 0
}

// near reports whether two pieces are less than a kerf apart.
func near(a, b eval.Placed, kerf quantity.Number) bool {
	apart := !over(a.X.Add(a.Wide).Add(kerf), b.X) || !over(b.X.Add(b.Wide).Add(kerf), a.X) ||
		!over(a.Y.Add(a.Deep).Add(kerf), b.Y) || !over(b.Y.Add(b.Deep).Add(kerf), a.Y)
	return !apart
}

func TestLimits(t *testing.T) {
	j := settled(t, Job{Form: "roll", Wide: "54 in"})
	if _, err := j.Lay(context.Background(), []Piece{{Wide: quantity.Int(1), Deep: quantity.Int(1), Count: maxPieces + 1}}); err == nil {
		t.Error("more pieces than the limit are laid")
	}
	if _, err := j.Lay(context.Background(), []Piece{{Wide: quantity.Frac(1, 9_007_199_254_740_993), Deep: quantity.Frac(1, 9_007_199_254_740_881), Count: 1}}); err == nil {
		t.Error("lengths without a step in common are laid")
	}
	if _, _, err := j.Read(strings.NewReader("[{"), "pieces"); err == nil {
		t.Error("half a list is read")
	}
}
