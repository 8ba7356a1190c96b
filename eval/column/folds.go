package column

import (
	"squab/eval/check"
)

// listFunction works a function of one list out.
func (c *compiler) listFunction(f check.Func, v value) value {
	l := v.list
	switch {
	case f == check.CountOf:
		return whole(l.count, one).tainted(v.taint, &c.builder)
	case f == check.Sum && l.item.form == nothing:
		return whole(fixed(0), one).tainted(v.taint, &c.builder)
	case l.item.form == nothing:
		return never()
	case f == check.FirstOf:
		return c.itemOf(v, foldFirst, no)
	case f == check.LastOf:
		return c.itemOf(v, foldLast, no)
	}
	return c.folded(f, v)
}

// folded is the sum, the least or the most of a list of measures.
func (c *compiler) folded(f check.Func, v value) value {
	l := v.list
	if l.item.form != measure || !l.item.d.is(1) {
		c.fail("it adds up or compares quotients of a list")
		return never()
	}
	b := l.item.n.b
	out := l.item
	out.taint = c.or(v.taint, c.equal(l.count, fixed(0)))
	switch f {
	case check.Sum:
		all, ok := b.and(exactly(0)).scaled(l.most)
		if !ok {
			c.fail("its values may grow too large")
		}
		out.taint = v.taint
		out.n = c.fold(l, 0, foldSum, all.and(exactly(0)), 0, no)
	case check.MinOf:
		out.n = c.fold(l, 0, foldMin, b, b.hi, no)
	case check.MaxOf:
		out.n = c.fold(l, 0, foldMax, b, b.lo, no)
	}
	return out
}

// fold folds one column of a list, which has what start says where no item decides.
func (c *compiler) fold(l *items, column int32, way fold, result bound, start int64, at operand) operand {
	in := instr{op: opFold, k: int64(l.id), m: int64(column), shift: int64(way), off: start}
	if way == foldAt {
		in.x = c.load(at)
	}
	return c.emit(in, true, result, operand{depth: l.depth}, at)
}

// itemOf is the first, the last or a certain item of a list; an order whose list is too short for it is marked.
func (c *compiler) itemOf(v value, way fold, at operand) value {
	l := v.list
	out := l.item.each(func(x operand) operand { return c.fold(l, x.reg, way, x.b, x.b.lo, at) })
	out.taint = c.or(v.taint, c.equal(l.count, fixed(0)))
	if way == foldAt {
		out.taint = c.or(v.taint, c.or(c.less(at, fixed(1)), c.less(l.count, at)))
	}
	return out
}

func (c *compiler) index(e *check.Index, sc scope) value {
	x := c.compile(e.X, sc)
	at := c.compile(e.I, sc)
	if x.form != list || at.form != measure || c.why != "" || x.list.item.form == nothing {
		return never()
	}
	return c.itemOf(x, foldAt, c.wholeOf(at)).tainted(at.taint, &c.builder)
}
