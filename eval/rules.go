package eval

import (
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang/diag"
)

// rule is a rule made ready for a plan: the amendments in force on its day, topmost first, then its base.
type rule struct {
	of       *check.Rule
	bodies   []body
	ranges   []span
	defaults []formula
	anyRange bool
}

type body struct {
	of     *check.Body
	locals []local
	cases  []ruleCase
}

type local struct {
	slot int
	run  formula
}

type ruleCase struct {
	of    *check.Case
	when  formula // nil takes every value
	value formula
}

// InForce lists the bodies of a rule that hold on the plan's day, topmost first.
func (p *Plan) InForce(r *check.Rule) []*check.Body {
	var all []*check.Body
	for _, a := range r.Amends {
		if a.Holds(p.Day, p.order) {
			all = append(all, a.Body)
		}
	}
	if r.Base != nil {
		all = append(all, r.Base)
	}
	return all
}

// rule gives a rule made ready; rules do not rest on themselves, so this ends.
func (p *Plan) rule(r *check.Rule) *rule {
	if made := p.rules[r]; made != nil {
		return made
	}
	made := &rule{of: r}
	p.rules[r] = made
	c := compiler{p, 0}
	for _, param := range r.Params {
		s := p.spanOf(param)
		made.ranges = append(made.ranges, s)
		made.anyRange = made.anyRange || !s.holdsAll()
		var d formula
		if param.Expr != nil {
			d = c.compile(param.Expr)
		}
		made.defaults = append(made.defaults, d)
	}
	force := p.InForce(r)
	for i, b := range p.bodiesOf(r) {
		made.bodies = append(made.bodies, c.body(b))
		made.bodies[i].stands(force[i])
	}
	return made
}

func (c compiler) body(b *check.Body) body {
	made := body{of: b}
	for _, l := range b.Locals {
		made.locals = append(made.locals, local{l.Index, c.compile(l.Expr)})
	}
	for _, k := range b.Cases {
		rc := ruleCase{of: k, value: c.compile(k.Value)}
		if k.When != nil {
			rc.when = c.compile(k.When)
		}
		made.cases = append(made.cases, rc)
	}
	return made
}

// stands takes the place of a body of the book, so that a trace finds it there.
func (b *body) stands(of *check.Body) {
	b.of = of
	for i := range b.cases {
		b.cases[i].of = of.Cases[i]
	}
}

func (c compiler) ruleCall(e *check.RuleCall) formula {
	r := c.plan.rule(e.Rule)
	args := make([]formula, len(e.Args))
	for i, a := range e.Args {
		if !takesDefault(e.Rule, i, a) {
			args[i] = c.compile(a)
		}
	}
	at := e.Span()
	return func(f *frame) check.Value {
		if !f.step(at) {
			return check.Value{}
		}
		home, top := f.enter(e.Rule.FrameSize)
		for i, a := range args {
			if a != nil {
				v := a(f)
				f.stack[home+i] = v
			}
		}
		caller := f.base
		f.base = home
		v := r.work(f, args, at)
		f.base, f.top = caller, top
		return v
	}
}

// takesDefault reports whether an argument is its parameter's default, which is worked out among the rule's own parameters and not where the call stands.
func takesDefault(r *check.Rule, i int, a check.Expr) bool { return a == nil || a == r.Params[i].Expr }

// enter makes room for a rule on the stack.
func (f *frame) enter(size int) (home, top int) {
	home, top = f.top, f.top
	f.top += size
	f.grow()
	return home, top
}

// work gives a rule's value for the arguments on the stack; those not given take their defaults.
func (r *rule) work(f *frame, given []formula, at diag.Span) check.Value {
	for i, d := range r.defaults {
		if given[i] == nil && d != nil {
			f.stack[f.base+i] = d(f)
		}
	}
	if f.fault != nil || r.anyRange && !r.inRange(f, at) {
		return check.Value{}
	}
	for i := range r.bodies {
		if v, found := r.bodies[i].work(f, r.of); found {
			return v
		}
		if f.fault != nil {
			return check.Value{}
		}
	}
	return f.fail(r.none(f, at))
}

func (r *rule) none(f *frame, at diag.Span) *Fault {
	if r.of.Base == nil {
		return newFault("rule-not-given", at, "%s is for the house to give", r.of.Name).note(r.of.At, "asked for here").
			fix("write: amend " + r.of.Name + " = …")
	}
	return newFault("no-case", at, "no case of %s takes these values", r.of.Name).note(r.of.At, "declared here")
}

func (r *rule) inRange(f *frame, at diag.Span) bool {
	for i, s := range r.ranges {
		if s.holdsAll() {
			continue
		}
		if s.fault != nil {
			f.fail(s.fault)
			return false
		}
		if v := f.stack[f.base+i]; s.outside(v.Num) {
			p := r.of.Params[i]
			f.fail(newFault("parameter-outside", at, "%s's %s must lie %s, and is %s", r.of.Name, p.Name, f.plan.program.RangeText(p), f.plan.Show(v, p.Type)).note(p.At, "its range"))
			return false
		}
	}
	return true
}

// work gives the value of the first case that holds.
func (b *body) work(f *frame, r *check.Rule) (check.Value, bool) {
	for _, l := range b.locals {
		f.stack[f.base+l.slot] = f.settle(l.run)
	}
	if b.of.Hit == check.Interpolated {
		return b.interpolate(f)
	}
	for _, k := range b.cases {
		if k.when == nil || k.when(f).Yes() {
			return k.value(f), true
		}
		if f.fault != nil {
			break
		}
	}
	return check.Value{}, false
}

// interpolate finds the two rows of the band that the value lies between, and runs straight from one to the other.
func (b *body) interpolate(f *frame) (check.Value, bool) {
	x := f.stack[f.base+b.of.Axis].Num
	below, above := b.neighbours(f, x)
	if below == nil || above == nil || f.fault != nil {
		return check.Value{}, false
	}
	y0 := below.value(f).Num
	if below == above {
		return check.Num(y0), true
	}
	y1 := above.value(f).Num
	along, _ := x.Sub(below.of.Knot).Div(above.of.Knot.Sub(below.of.Knot))
	return check.Num(y0.Add(y1.Sub(y0).Mul(along))), true
}

// neighbours gives the nearest rows at or below and at or above a place, among those whose other tests hold.
func (b *body) neighbours(f *frame, x quantity.Number) (below, above *ruleCase) {
	for i := range b.cases {
		k := &b.cases[i]
		if k.when != nil && !k.when(f).Yes() {
			continue
		}
		order, decided := k.of.Knot.Cmp(x)
		if !decided {
			f.undecided(k.of.Value)
			return nil, nil
		}
		if order <= 0 && (below == nil || lessThan(below.of.Knot, k.of.Knot)) {
			below = k
		}
		if order >= 0 && (above == nil || lessThan(k.of.Knot, above.of.Knot)) {
			above = k
		}
	}
	return below, above
}

func lessThan(a, b quantity.Number) bool {
	order, _ := a.Cmp(b)
	return order < 0
}
