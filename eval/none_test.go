package eval_test

import (
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/evaltest"
)

const doors = evaltest.Trade + `
recipe door {
  ask wide: length from 2 in to 9 ft
  need wide < 40 in  else "too wide for the frame"
  piece panel from quay_vinyl, 2 off = wide by 30 in
  marks knob on panel = [1 in at 1 in]
  use 1 yd of waxed
  work hanging at $60 per h = 10 min, setup 1 h
  charge trip = $7
  step "hang a door {wide} wide"
}
recipe doors {
  ask n: count from 0 to 9
  part hung, n off = door { wide = 90 in / n }
}
recipe cupboard {
  ask n: count from 0 to 9
  part front = doors { n = n }
  part leaves, n off = door { wide = 20 in }
  piece back from quay_vinyl = 20 in by 10 in
}
order bare { make bare date = 2026-04-02 }
recipe bare { piece back from quay_vinyl = 20 in by 10 in }
order 0 {
  make cupboard
  date = 2026-04-02
  n    = 0
}
order 3 {
  make cupboard
  date = 2026-04-02
  n    = 3
}
order 2 {
  make cupboard
  date = 2026-04-02
  n    = 2
}
`

// made tells what comes of an order, in a line each.
func made(r *eval.Result) []string {
	var all []string
	for _, p := range r.Pieces {
		all = append(all, fmt.Sprintf("%d %s %s by %s", p.Count, p.Name, p.Wide, p.Deep))
	}
	for _, m := range r.Marks {
		all = append(all, fmt.Sprintf("marks %s", m.Name))
	}
	for _, l := range r.Buy {
		all = append(all, fmt.Sprintf("buy %s of %s", l.Need, l.Material.Name))
	}
	for _, w := range r.Work {
		all = append(all, fmt.Sprintf("work %s %s", w.Name, w.Time))
	}
	for _, c := range r.Charges {
		all = append(all, fmt.Sprintf("charge %s", c.Name))
	}
	return append(all, r.Steps...)
}

// A part of which none are made asks for nothing and adds nothing, whatever its formulas would come to; nor do its own parts.
func TestPartsOfWhichNoneAreMade(t *testing.T) {
	b := read(t, doors)
	works := func(id string) []string {
		r, problems := b.work(t, id)
		if r == nil {
			return []string{codes(problems)}
		}
		return made(r)
	}
	if diff := cmp.Diff(works("bare"), works("0")); diff != "" {
		t.Errorf("with no doors (-a cupboard without them +got):\n%s", diff)
	}
	want := []string{"1 back 20 by 10", "6 front.hung.panel 30 by 30", "6 leaves.panel 20 by 30"}
	if diff := cmp.Diff(want, works("3")[:3]); diff != "" {
		t.Errorf("with three (-want +got):\n%s", diff)
	}
	if got := works("2"); got[0] != "need-failed" {
		t.Errorf("with two, 45 in wide: %v, want the need of a door to fail", got)
	}
}

// A row that makes none of a part is left to the exact path, which leaves the part out.
func TestRowsThatMakeNoneOfAPart(t *testing.T) {
	b := read(t, doors)
	orders := []*check.Order{b.order(t, "0"), b.order(t, "3")}
	batch, err := b.engine.Plan(orders[0].Recipe, dayOf(orders[0]), nil).Batch()
	if err != nil {
		t.Fatal(err)
	}
	var sound []bool
	batch.Run(columnsOf(orders), func(_ int, r eval.Row) { sound = append(sound, r.Sound()) })
	if diff := cmp.Diff([]bool{false, true}, sound); diff != "" {
		t.Errorf("sound rows (-want +got):\n%s", diff)
	}
}
