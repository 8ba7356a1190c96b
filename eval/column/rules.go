package column

import (
	"slices"

	"squab/eval/check"
	"squab/eval/quantity"
)

// call puts a rule in the place of its call.
func (c *compiler) call(e *check.RuleCall, sc scope) value {
	c.step()
	r := e.Rule
	inner := scope{vars: map[int]func() value{}}
	taint := no
	set := func(i int, v value) {
		taint = c.or(taint, v.taint)
		inner.vars[i] = func() value { return v }
	}
	for i, a := range e.Args {
		if a != nil && a != r.Params[i].Expr {
			set(i, c.compile(a, sc))
		}
	}
	for i, p := range r.Params {
		if inner.vars[i] == nil {
			set(i, c.compile(p.Expr, inner))
		}
	}
	for i, p := range r.Params {
		if r := c.src.Range(p); r.HasFrom || r.HasTo || r.Untold {
			set(i, c.inRange(inner.vars[i](), r))
		}
	}
	return c.bodies(c.src.Bodies(r), inner).tainted(taint, &c.builder)
}

// bodies gives the value of the first case that holds; past the last there is none.
func (c *compiler) bodies(all []*check.Body, sc scope) value {
	if len(all) == 0 || c.why != "" {
		return never()
	}
	body := all[0]
	for _, l := range body.Locals {
		c.local(l, sc)
	}
	if body.Hit == check.Interpolated {
		return c.interpolated(body, all[1:], sc)
	}
	return c.cases(body.Cases, all[1:], sc)
}

// local works a rule's own cell out where its body begins; that it cannot be proven matters only where it is read.
func (c *compiler) local(l *check.Cell, sc scope) {
	v := c.compile(l.Expr, sc)
	why := c.why
	c.why = ""
	sc.vars[l.Index] = func() value {
		if why != "" {
			c.fail(why)
		}
		return v
	}
}

func (c *compiler) cases(left []*check.Case, beneath []*check.Body, sc scope) value {
	if len(left) == 0 {
		return c.bodies(beneath, sc)
	}
	k := left[0]
	if k.When == nil {
		return c.compile(k.Value, sc)
	}
	when := c.compile(k.When, sc)
	switch {
	case when.form == nothing || c.why != "":
		return when
	case when.n.is(-1):
		return c.compile(k.Value, sc).tainted(when.taint, &c.builder)
	case when.n.is(0):
		return c.cases(left[1:], beneath, sc).tainted(when.taint, &c.builder)
	}
	return c.choose(when, c.compile(k.Value, sc), c.cases(left[1:], beneath, sc))
}

// interpolated runs straight between the rows on either side. Rows that other tests guard are left to the exact path.
func (c *compiler) interpolated(body *check.Body, beneath []*check.Body, sc scope) value {
	rows := slices.Clone(body.Cases)
	for _, k := range rows {
		if k.When != nil {
			c.fail("it interpolates between rows that further tests choose")
			return never()
		}
	}
	slices.SortFunc(rows, func(a, b *check.Case) int {
		order, _ := a.Knot.Cmp(b.Knot)
		return order
	})
	x := sc.vars[body.Axis]()
	outside := c.or(c.smaller(x, c.fixedValue(rows[0].Knot)).n, c.smaller(c.fixedValue(rows[len(rows)-1].Knot), x).n)
	if outside.is(-1) {
		return c.bodies(beneath, sc)
	}
	inside := c.straight(rows, x, sc)
	if outside.is(0) {
		return inside
	}
	return c.choose(mask(outside), c.bodies(beneath, sc), inside)
}

// straight gives the value between the first two rows where x lies there, and else between those after. A row that may not be there taints all.
func (c *compiler) straight(rows []*check.Case, x value, sc scope) value {
	low := c.compile(rows[0].Value, sc)
	if len(rows) == 1 || c.why != "" {
		return low
	}
	high := c.compile(rows[1].Value, sc)
	if !low.taint.is(0) || !high.taint.is(0) {
		c.fail("it interpolates between values that may not be there")
		return never()
	}
	run, _ := quantity.Int(1).Div(rows[1].Knot.Sub(rows[0].Knot))
	along := c.times(c.add(x, c.fixedValue(rows[0].Knot), -1), c.fixedValue(run))
	between := c.add(low, c.times(c.add(high, low, -1), along), 1)
	if len(rows) == 2 {
		return between
	}
	return c.choose(c.smaller(c.fixedValue(rows[1].Knot), x), c.straight(rows[1:], x, sc), between)
}
