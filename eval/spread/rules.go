package spread

import (
	"sort"

	"squab/eval/check"
	"squab/eval/quantity"
)

// call works a rule out: by the bodies in force, topmost first, as a run does.
func (w *walk) call(e *check.RuleCall, p place) value {
	if w.calls++; w.calls > mostCalls {
		return value{}
	}
	r := e.Rule
	inside := place{stack: make([]value, r.FrameSize+len(r.Params))}
	for i, a := range e.Args {
		if a == nil || a == r.Params[i].Expr {
			inside.stack[i] = w.expr(r.Params[i].Expr, inside)
			continue
		}
		inside.stack[i] = w.expr(a, p)
	}
	return w.bodies(w.plan.InForce(r), inside)
}

func (w *walk) bodies(all []*check.Body, p place) value {
	if len(all) == 0 {
		return value{never: true}
	}
	b := all[0]
	for _, l := range b.Locals {
		p.stack[l.Index] = w.expr(l.Expr, p)
	}
	beneath := func() value { return w.bodies(all[1:], place{stack: append([]value(nil), p.stack...)}) }
	if b.Hit == check.Interpolated {
		return w.between(b, p, beneath)
	}
	return w.cases(b.Cases, p, beneath)
}

func (w *walk) cases(all []*check.Case, p place, beneath func() value) value {
	if len(all) == 0 {
		return beneath()
	}
	k := all[0]
	if k.When == nil {
		return w.expr(k.Value, p)
	}
	cond := w.expr(k.When, p)
	return w.choose(cond, func() value { return w.expr(k.Value, p) }, func() value { return w.cases(all[1:], p, beneath) })
}

// between works an interpolated table out: it runs straight from each row to the next.
func (w *walk) between(b *check.Body, p place, beneath func() value) value {
	x := p.stack[b.Axis].number
	rows, ok := w.rows(b, p)
	if x == nil || !ok {
		return value{}
	}
	if len(rows) == 0 || less(x.hi, rows[0].Knot) || less(rows[len(rows)-1].Knot, x.lo) {
		return beneath()
	}
	if less(x.lo, rows[0].Knot) || less(rows[len(rows)-1].Knot, x.hi) {
		return value{}
	}
	return w.runs(rows, x, p)
}

// runs joins what each run gives that the range reaches.
func (w *walk) runs(rows []*check.Case, x *number, p place) value {
	out := w.expr(rows[0].Value, p) // of a table of one row
	first := true
	for i := 1; i < len(rows); i++ {
		if less(rows[i].Knot, x.lo) || less(x.hi, rows[i-1].Knot) {
			continue
		}
		w.turn(x.plus(fixed(rows[i].Knot.Neg(), w.inputs()), w.box))
		run := w.run(rows[i-1], rows[i], x, p)
		if !first {
			run = out.union(run, x.moves())
		}
		out, first = run, false
	}
	return out
}

// rows lists the rows whose other tests hold, by their places on the axis; false where that is not certain.
func (w *walk) rows(b *check.Body, p place) ([]*check.Case, bool) {
	var rows []*check.Case
	for _, k := range b.Cases {
		if k.When != nil {
			switch w.expr(k.When, p).truth {
			case fails:
				continue
			case open:
				return nil, false
			}
		}
		rows = append(rows, k)
	}
	sort.SliceStable(rows, func(i, j int) bool { return less(rows[i].Knot, rows[j].Knot) })
	return rows, true
}

// run is the straight run between two rows, over that part of the range that lies between them.
func (w *walk) run(low, high *check.Case, x *number, p place) value {
	y0, y1 := w.expr(low.Value, p).number, w.expr(high.Value, p).number
	if y0 == nil || y1 == nil {
		return value{}
	}
	share, ok := quantity.Int(1).Div(high.Knot.Sub(low.Knot))
	if !ok {
		return value{}
	}
	along := x.within(low.Knot, high.Knot).plus(fixed(low.Knot.Neg(), w.inputs()), w.box).scaled(share, w.box)
	rise := y1.plus(y0.neg(), w.box).times(along, w.box)
	return value{number: y0.plus(rise, w.box)}
}
