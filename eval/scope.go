package eval

import (
	"iter"
	"slices"

	"squab/eval/check"
	"squab/lang/diag"
)

// Scope is where a formula of a filled sheet can be worked out again: for a trace, a proof, a question. It stores nothing.
type Scope struct {
	Sheet    *Sheet
	Home     int           // the first slot of the instance in whose recipe the formula stands
	Stack    []check.Value // the parameters and own cells of the rule in which it stands
	Material *check.Material
}

// Scope gives the scope of an instance's own formulas, by its first slot.
func (s *Sheet) Scope(home int) Scope { return Scope{Sheet: s, Home: home} }

// Eval works a formula out in the scope.
func (sc Scope) Eval(e check.Expr) (check.Value, *Fault) {
	p := sc.Sheet.Plan
	p.late.Lock()
	run := compiler{p, sc.Home}.compile(e)
	p.late.Unlock()
	f := sc.frame()
	v := f.settle(run)
	return v, FaultOf(v)
}

// frame makes a frame of its own, so that the sheet's is left as it is.
func (sc Scope) frame() *frame {
	p := sc.Sheet.Plan
	f := &frame{plan: p, slots: sc.Sheet.f.slots}
	size := max(p.loopSize, len(sc.Stack))
	if sc.Sheet.Order != nil {
		size = max(size, sc.Sheet.Order.LoopSize)
	}
	f.stack = make([]check.Value, size+16)
	copy(f.stack, sc.Stack)
	f.top = size
	if sc.Material != nil {
		f.material = p.fields(sc.Material)
	}
	return f
}

func (sc Scope) text(e check.Expr) string {
	v, _ := sc.Eval(e)
	return v.Text()
}

// Call is a rule worked out for some arguments, with how its value was chosen.
type Call struct {
	Rule   *check.Rule
	Args   []check.Value
	Scope  Scope // in which the bodies' formulas can be worked out
	Body   *check.Body
	Case   *check.Case
	Above  *check.Case // the upper row of an interpolation; nil otherwise
	Passed []Passed    // what came before and did not take these values
	Value  check.Value
	Fault  *Fault
}

// Passed is a case or row that did not hold, or a body that was not in force.
type Passed struct {
	Body   *check.Body
	Case   *check.Case
	Window *check.Window // set for an amendment that was not in force
}

// Call works a rule out for arguments and tells which case was chosen. A nil among args takes the parameter's default.
func (sc Scope) Call(r *check.Rule, args []check.Expr, at diag.Span) Call {
	p := sc.Sheet.Plan
	call := Call{Rule: r, Args: make([]check.Value, len(args))}
	call.Scope = Scope{Sheet: sc.Sheet, Stack: make([]check.Value, r.FrameSize)}
	for i := range args {
		a, from := call.Argument(i, args, sc)
		v, fault := from.Eval(a)
		if fault != nil && call.Fault == nil {
			call.Fault = fault
		}
		call.Args[i] = v
		call.Scope.Stack[i] = v
	}
	if call.Fault != nil {
		return call
	}
	p.late.Lock()
	made := p.rule(r)
	p.late.Unlock()
	f := call.Scope.frame()
	if made.anyRange && !made.inRange(f, at) {
		call.Fault = f.fault
		return call
	}
	call.choose(made, f, at)
	return call
}

// Argument gives the formula of an argument and the scope in which it is worked out: one of args where the call stands, in sc; for one that is left out
// the parameter's default, among the rule's own parameters.
func (c Call) Argument(i int, args []check.Expr, sc Scope) (check.Expr, Scope) {
	if takesDefault(c.Rule, i, args[i]) {
		return c.Rule.Params[i].Expr, c.Scope
	}
	return args[i], sc
}

// choose goes through the bodies as a run does, and keeps what was passed over.
func (c *Call) choose(r *rule, f *frame, at diag.Span) {
	inForce := map[*check.Body]*body{}
	for i := range r.bodies {
		inForce[r.bodies[i].of] = &r.bodies[i]
	}
	for _, a := range c.Rule.Amends {
		b := inForce[a.Body]
		if b == nil {
			if a.OrderOnly == nil || a.OrderOnly == c.Scope.Sheet.Order {
				c.Passed = append(c.Passed, Passed{Body: a.Body, Window: &a.Window})
			}
			continue
		}
		if c.tryBody(b, f) {
			return
		}
	}
	if b := inForce[c.Rule.Base]; b != nil && c.tryBody(b, f) {
		return
	}
	if c.Fault == nil {
		c.Fault = r.none(f, at)
	}
}

func (c *Call) tryBody(b *body, f *frame) bool {
	for _, l := range b.locals {
		f.stack[l.slot] = f.settle(l.run)
		c.Scope.Stack[l.slot] = f.stack[l.slot]
	}
	if b.of.Hit == check.Interpolated {
		return c.tryRows(b, f)
	}
	for _, k := range b.cases {
		holds := k.when == nil || k.when(f).Yes()
		if f.fault != nil { // which a condition may have and yet come to yes
			c.Fault = f.fault
			return true
		}
		if !holds {
			c.Passed = append(c.Passed, Passed{Body: b.of, Case: k.of})
			continue
		}
		c.Body, c.Case = b.of, k.of
		c.Value = f.settle(k.value)
		c.Fault = FaultOf(c.Value)
		return true
	}
	return false
}

func (c *Call) tryRows(b *body, f *frame) bool {
	below, above := b.neighbours(f, f.stack[b.of.Axis].Num)
	if f.fault != nil {
		c.Fault = f.fault
		return true
	}
	if below == nil || above == nil {
		return false
	}
	c.Body, c.Case = b.of, below.of
	if above != below {
		c.Above = above.of
	}
	c.Value = f.settle(func(f *frame) check.Value { v, _ := b.interpolate(f); return v })
	c.Fault = FaultOf(c.Value)
	return true
}

// Iteration gives the scope of the n-th item (from 1) of a list: the loops' variables as they stood when it was made.
func (sc Scope) Iteration(e *check.ForEach, n int) (Scope, bool) {
	for inside := range sc.Iterations(e) {
		if n--; n == 0 {
			return inside, true
		}
	}
	return Scope{}, false
}

// Iterations gives the scope of each item of a list in turn: the loops' variables as they stand when it is made.
func (sc Scope) Iterations(e *check.ForEach) iter.Seq[Scope] {
	return func(yield func(Scope) bool) { sc.iterate(e, yield) }
}

func (sc Scope) iterate(e *check.ForEach, visit func(Scope) bool) {
	p := sc.Sheet.Plan
	p.late.Lock()
	c := compiler{p, sc.Home}
	loops := make([]loop, len(e.Loops))
	for i, l := range e.Loops {
		loops[i] = c.loop(l)
	}
	p.late.Unlock()
	f := sc.frame()
	f.reserve(stackOf(loops))
	more := true
	run := listRun{f: f, e: e, loops: loops, body: func(f *frame) check.Value {
		if more {
			inside := sc
			inside.Stack = slices.Clone(f.stack[f.base:])
			more = visit(inside)
		}
		return check.Value{}
	}}
	run.nest(0)
}
