package eval_test

import (
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/evaltest"
)

// sameCall holds a rule worked out in its place against the cell that is nothing but the call.
func sameCall(s *eval.Sheet, slot int, e *check.RuleCall) error {
	want, fault := s.Value(slot)
	call := s.Scope(s.Plan.Slots[slot].Home).Call(e.Rule, e.Args, e.Span())
	switch {
	case (fault == nil) != (call.Fault == nil), fault != nil && fault.Code != call.Fault.Code:
		return fmt.Errorf("%s: fault %v, want %v", s.Plan.Slots[slot].Name, call.Fault, fault)
	case fault == nil && !call.Value.Equal(want):
		return fmt.Errorf("%s: %v, want %v", s.Plan.Slots[slot].Name, call.Value, want)
	}
	return nil
}

// checkCalls holds the calls of a book's cells, and counts them and those that fault.
func checkCalls(b book, calls, faults *int) error {
	for _, o := range b.program.Orders {
		s := b.engine.Plan(o.Recipe, dayOf(o), o).NewSheet()
		s.Fill(o)
		for i, slot := range s.Plan.Slots {
			if slot.Formula == nil || s.Given(i) != nil {
				continue
			}
			e, ok := slot.Formula.Expr.(*check.RuleCall)
			if !ok {
				continue
			}
			*calls++
			if _, fault := s.Value(i); fault != nil {
				*faults++
			}
			if err := sameCall(s, i, e); err != nil {
				return fmt.Errorf("order %s: %w", o.ID, err)
			}
		}
	}
	return nil
}

func TestCallsGiveWhatARunGives(t *testing.T) {
	n := 400
	if testing.Short() {
		n = 100
	}
	calls, faults := 0, 0
	manyBooks(t, n, func(_ *testing.T, b book) error { return checkCalls(b, &calls, &faults) })
	t.Logf("%d calls, of which %d fault", calls, faults)
	if calls < n/2 || faults == 0 {
		t.Errorf("%d calls of %d books, of which %d fault: this proves too little", calls, n, faults)
	}
}

func TestCallsOutsideARange(t *testing.T) {
	rules := `
rule narrow(w: length from 1 in to 20 in): length = w
table ramp(w: length from 0 in to 20 in): length interpolated {
  w     | gives
  0 in  | 1 in
  20 in | 3 in
}
`
	for _, formula := range []string{"narrow(wide)", "narrow(wide - 24 in)", "narrow(wide - 10 in)", "ramp(wide)", "ramp(wide - 10 in)", "ramp(sqrt(2) * sqrt(2) * 10 in)"} {
		calls, faults := 0, 0
		if err := checkCalls(read(t, pad("  x = "+formula, rules)), &calls, &faults); err != nil || calls != 1 {
			t.Errorf("%s: %v (%d calls)", formula, err, calls)
		}
	}
}

// An ask may be changed again and again: what one change takes to work out is no charge on the next.
func TestChangesDoNotAddUp(t *testing.T) {
	b := read(t, pad("  x = sum(for each i from 1 to n: i)", ""))
	b.engine.Limits = eval.Limits{Steps: 20}
	s := b.fill(t, "1")
	for i := range 40 {
		s.Set(b.give(t, s.Plan.Recipe, "n", fmt.Sprint(3+i%7)))
		if n := 3 + i%7; shown(t, s, "x") != fmt.Sprint(n*(n+1)/2) {
			t.Fatalf("change %d: the sum to %d is %s", i, n, shown(t, s, "x"))
		}
	}
}

// A caution is told once, whatever calls for it.
func TestCautionsAreToldOnce(t *testing.T) {
	text := evaltest.Trade + `
caution blades "Cut away from the hand."
caution dust   "Wear a mask."
recipe side {
  ask wide: length
  caution blades
}
recipe frame {
  ask wide: length
  part left = side { wide = wide }
  part right = side { wide = wide }
  caution dust, blades
  step "saw it"
  caution blades when wide > 1 in
}
order 1 {
  make frame
  wide = 10 in
}
`
	r, problems := read(t, text).work(t, "1")
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	want := []eval.Caution{{Name: "dust", Text: "Wear a mask."}, {Name: "blades", Text: "Cut away from the hand."}}
	if diff := cmp.Diff(want, r.Cautions); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// An ask's range is whole only where both of its ends are stated.
func TestRangesOfAsks(t *testing.T) {
	b := read(t, pad("  ask deep: length = 3 in", ""))
	p := b.fill(t, "1").Plan
	for ask, want := range map[string]bool{"wide": true, "n": true, "deep": false, "welted": false} {
		if r, ok := p.RangeOf(p.Recipe.Cell(ask)); ok != want || r.HasFrom != want {
			t.Errorf("%s has a range: %v (%+v)", ask, ok, r)
		}
	}
}
