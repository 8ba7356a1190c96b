package eval

import (
	"squab/eval/check"
	"squab/lang/diag"
)

// Proved is what came of a proof.
type Proved struct {
	Proof    *check.Order
	Sheet    *Sheet
	Lines    []ProvedLine
	Problems []diag.Diagnostic // why it could not be worked out at all
}

// ProvedLine is one expectation: Got and Want are shown as the page shows them.
type ProvedLine struct {
	Expect    *check.Expect
	Holds     bool
	Got, Want string
	Fault     *Fault
}

// Holds reports whether everything that the proof expects came out.
func (p Proved) Holds() bool {
	for _, l := range p.Lines {
		if !l.Holds {
			return false
		}
	}
	return len(p.Problems) == 0 && len(p.Lines) > 0
}

// Prove works a proof's order out on its date, or on the day given where it has none, and compares what it expects.
func (e *Engine) Prove(o *check.Order, day int64) Proved {
	if o.HasDate {
		day = o.Date
	}
	s := e.Plan(o.Recipe, day, o).NewSheet()
	s.Fill(o)
	p := Proved{Proof: o, Sheet: s}
	if o.Recipe != nil {
		_, p.Problems = e.finish(s)
	}
	for _, x := range o.Expects {
		p.Lines = append(p.Lines, s.expect(x))
	}
	return p
}

// expect works one expectation out in the proof's own recipe.
func (s *Sheet) expect(x *check.Expect) ProvedLine {
	line := ProvedLine{Expect: x}
	got, fault := s.Scope(0).Eval(x.Left)
	line.Fault = fault
	if fault != nil {
		return line
	}
	line.Got = s.Plan.Show(got, x.Left.Type())
	if x.Want == nil {
		line.Holds, line.Want = got.Yes(), "yes"
		return line
	}
	want, fault := s.Scope(0).Eval(x.Want)
	if line.Fault = fault; fault != nil {
		return line
	}
	line.Want = s.Plan.Show(want, x.Want.Type())
	line.Holds = got.Equal(want)
	return line
}
