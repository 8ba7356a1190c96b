package eval_test

import (
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval/check"
)

func TestProofs(t *testing.T) {
	const rules = `
rule strip(w: length): length = w / 3
rule share(n: count): number = 1 / n
`
	tests := []struct {
		name, expects string
		holds         bool
		lines         []string
	}{
		{"an equation", "expect strip(wide) = 8 in", true, []string{"8 in, want 8 in"}},
		{"an equation that is out", "expect strip(wide) = 8 1/16 in", false, []string{"8 in, want 8 1/16 in"}},
		{"out by less than is shown", "expect strip(wide) = 8 in + 1/1000 in", false, []string{"8 in, want ~8 in"}},
		{"a condition", "expect strip(wide) > 7 in", true, []string{"yes, want yes"}},
		{"a condition that does not hold", "expect strip(wide) > 8 in", false, []string{"no, want yes"}},
		{"one of two", "expect strip(wide) = 8 in\n  expect 1 in = 2 in", false, []string{"8 in, want 8 in", "1 in, want 2 in"}},
		{"one that faults", "expect share(n - 3) = 1", false, []string{"zero-divisor"}},
		{"one whose other side faults", "expect 1 = share(n - 3)", false, []string{"zero-divisor"}},
		{"a list", "expect [1 in, wide / 2] = [1 in, 1 ft]", true, []string{"[1 in, 12 in], want [1 in, 12 in]"}},
	}
	for _, tt := range tests {
		b := read(t, pad("", rules)+"proof \"tried\" {\n  make pad\n  wide = 2 ft\n  "+tt.expects+"\n}\n")
		proved := b.engine.Prove(b.program.Proofs[0], day)
		var lines []string
		for _, l := range proved.Lines {
			if l.Fault != nil {
				lines = append(lines, l.Fault.Code)
				continue
			}
			lines = append(lines, fmt.Sprintf("%s, want %s", l.Got, l.Want))
		}
		if diff := cmp.Diff(tt.lines, lines); diff != "" || proved.Holds() != tt.holds {
			t.Errorf("%s holds: %v (-want +got):\n%s", tt.name, proved.Holds(), diff)
		}
	}
}

// A proof whose order is refused does not hold, whatever its expectations come to; nor does one that expects nothing.
func TestProofsThatProveNothing(t *testing.T) {
	b := read(t, pad("  need wide < 3 ft else \"too wide\"", "")+"proof \"refused\" {\n  make pad\n  wide = 4 ft\n  expect 1 in = 1 in\n}\n")
	refused := b.engine.Prove(b.program.Proofs[0], day)
	if refused.Holds() || codes(refused.Problems) != "need-failed" {
		t.Errorf("a proof of a refused order holds: %v %s", refused.Holds(), codes(refused.Problems))
	}
	silent := *b.program.Proofs[0]
	silent.Given, silent.Expects = b.program.Orders[0].Given, nil
	if proved := b.engine.Prove(&silent, day); proved.Holds() || len(proved.Problems) > 0 {
		t.Errorf("a proof of nothing holds: %v", proved.Problems)
	}
}

// What lies under the body that gave a value is told, but for what another order says for itself alone.
func TestWhatLiesBeneathACall(t *testing.T) {
	const text = trade + `
rule inset: length = 5 in
amend inset from 2026-01-01 { 4 in otherwise }
amend inset from 2026-03-01 until 2026-03-20 { 3 in otherwise }
amend inset from 2027-01-01 { 2 in otherwise }
recipe pad {
  ask wide: length
  x = inset
}
order 1 {
  make pad
  date = 2026-04-01
  wide = 1 ft
  amend inset = 6 in
}
order 2 {
  make pad
  date = 2026-04-01
  wide = 1 ft
  amend inset = 7 in
}
order 3 {
  make pad
  date = 2026-04-01
  wide = 1 ft
}
`
	tests := []struct {
		order, value    string
		passed, beneath []string
	}{
		{"1", "6 in", nil, []string{"out of its time", "out of its time", "4 in", "5 in"}},
		{"2", "7 in", nil, []string{"out of its time", "out of its time", "4 in", "5 in"}},
		{"3", "4 in", []string{"out of its time", "out of its time"}, []string{"5 in"}},
	}
	for _, tt := range tests {
		s := read(t, text).fill(t, tt.order)
		e := s.Plan.Slots[s.Plan.Slot("x")].Formula.Expr.(*check.RuleCall)
		call := s.Scope(0).Call(e.Rule, e.Args, e.Span())
		var passed, beneath []string
		for range call.Passed {
			passed = append(passed, "out of its time")
		}
		for _, u := range call.Beneath() {
			if u.Case == nil {
				beneath = append(beneath, "out of its time")
				continue
			}
			beneath = append(beneath, s.Plan.Show(u.Value, e.Type()))
		}
		if s.Plan.Show(call.Value, e.Type()) != tt.value || !cmp.Equal(tt.passed, passed) {
			t.Errorf("order %s: %s past %v, want %s past %v", tt.order, s.Plan.Show(call.Value, e.Type()), passed, tt.value, tt.passed)
		}
		if diff := cmp.Diff(tt.beneath, beneath); diff != "" {
			t.Errorf("order %s (-want +got):\n%s", tt.order, diff)
		}
	}
}
