package column

import (
	"maps"

	"squab/eval/check"
	"squab/lang"
)

// items is a list whose columns the machine keeps. In item a register stands for a column of the list, in turn.
type items struct {
	id    int32
	depth int
	most  int64 // how many items it may have
	item  value
	arity int
	count operand
}

const (
	mostItems  = 4096 // of one list, for its columns to be worth keeping
	fewerItems = 64   // turns of each loop, where all that they may be would be more
)

// listing is a list being made.
type listing struct {
	c     *compiler
	e     *check.ForEach
	id    int32
	most  int64
	item  value
	taint operand // of what is known before the first loop
	found int32   // the register in which the taints of the turns are gathered

	gathered bool
}

func (c *compiler) forEach(e *check.ForEach, sc scope) value {
	l := &listing{c: c, e: e, id: c.lists, most: 1, taint: no, found: c.register(), item: never()}
	c.lists++
	depth := len(c.blocks) - 1
	outer := c.blocks[depth]
	from := len(outer.code)
	l.loops(0, sc)
	if c.why != "" {
		return never()
	}
	start := []instr{{op: opZero, dst: l.found}, {op: opEmpty, k: int64(l.id), m: int64(arityOf(l.item))}}
	outer.code = append(outer.code[:from:from], append(start, outer.code[from:]...)...)
	found := no
	if l.gathered {
		found = operand{reg: l.found, depth: depth, b: truths}
	}
	return c.listValue(l.id, depth, l.most, l.item).tainted(c.or(l.taint, found), &c.builder)
}

func (b *builder) listValue(id int32, depth int, most int64, item value) value {
	made := &items{id: id, depth: depth, most: most, item: columnsOf(item), arity: arityOf(item), count: no}
	if most > 0 {
		made.count = b.emit(instr{op: opCount, k: int64(id)}, true, bound{0, most}, operand{depth: depth})
	}
	return value{form: list, list: made, taint: no}
}

// loops makes the loops from the i-th on, and what they run.
func (l *listing) loops(i int, sc scope) {
	c := l.c
	switch {
	case c.why != "" || l.most == 0:
	case i == len(l.e.Loops):
		l.append(c.compile(l.e.Body, sc))
	case l.e.Loops[i].Of != nil:
		l.over(i, c.compile(l.e.Loops[i].Of, sc), sc)
	default:
		from := c.compile(l.e.Loops[i].From, sc)
		to := c.compile(l.e.Loops[i].To, sc)
		l.taints(i, c.or(from.taint, to.taint))
		if from.form == measure && to.form == measure {
			l.counted(i, c.wholeOf(from), c.wholeOf(to), sc)
			return
		}
		l.most = 0
	}
}

// wholeOf is a count as a whole number.
func (b *builder) wholeOf(x value) operand {
	return b.rounded(x, whole(fixed(1), one), lang.RoundDown).n
}

// taints notes the orders whose list is not there: for the outermost loop it is known before any turn.
func (l *listing) taints(i int, taint operand) {
	switch {
	case taint.is(0):
	case i == 0:
		l.taint = l.c.or(l.taint, taint)
	default:
		c := l.c
		l.gathered = true
		c.put(len(c.blocks)-1, instr{op: opGatherOr, dst: l.found, x: c.load(c.present), y: c.load(taint)})
	}
}

func (l *listing) counted(i int, from, to operand, sc scope) {
	c := l.c
	turns := max(0, to.b.hi-from.b.lo+1)
	if turns > mostItems || l.most*turns > mostItems {
		turns = fewerItems
		last := c.scaled(from, 1, turns-1)
		l.taints(i, c.less(last, to))
		to = c.lesser(to, last)
	}
	if !l.enter(turns) {
		return
	}
	v := operand{reg: c.register(), depth: len(c.blocks), b: bound{from.b.lo, max(from.b.lo, to.b.hi)}}
	run := &loop{v: v.reg, from: c.load(from), to: c.load(to), most: v.b.hi}
	l.inside(i, instr{op: opLoop, loop: run}, whole(v, one), turns, sc)
}

// over runs over the items of another list.
func (l *listing) over(i int, of value, sc scope) {
	c := l.c
	l.taints(i, of.taint)
	if of.form != list {
		l.most = 0
		return
	}
	if !l.enter(of.list.most) {
		return
	}
	run := &loop{v: none, from: none, to: none}
	depth := len(c.blocks)
	v := of.list.item.each(func(x operand) operand {
		x.reg, x.depth = c.register(), depth
		run.vars = append(run.vars, x.reg)
		return x
	})
	l.inside(i, instr{op: opEach, k: int64(of.list.id), loop: run}, v, of.list.most, sc)
}

// enter counts the turns of a further loop; false where there are none, or too many.
func (l *listing) enter(turns int64) bool {
	l.most *= turns
	if l.most > int64(l.c.src.MaxItems) || l.most > mostItems {
		l.c.fail("its list may be too long")
	}
	return l.most > 0 && l.c.why == ""
}

// inside makes what a loop runs.
func (l *listing) inside(i int, in instr, v value, turns int64, sc scope) {
	c := l.c
	in.loop.outer, in.loop.present = c.load(c.present), c.register()
	in.loop.body = &block{}
	before, often := c.present, c.often
	c.blocks = append(c.blocks, in.loop.body)
	c.present = operand{reg: in.loop.present, depth: len(c.blocks) - 1, b: truths}
	c.often *= turns
	c.step()
	inner := scope{home: sc.home, vars: maps.Clone(sc.vars)}
	if inner.vars == nil {
		inner.vars = map[int]func() value{}
	}
	inner.vars[l.e.Loops[i].Var.Index] = func() value { return v }
	l.loops(i+1, inner)
	c.present, c.often = before, often
	c.blocks = c.blocks[:len(c.blocks)-1]
	c.put(len(c.blocks)-1, in)
}

func (l *listing) append(item value) {
	c := l.c
	l.taints(len(l.e.Loops), item.taint)
	if item.form == list || item.form == words {
		c.fail("it is a list of what no column holds")
		return
	}
	l.item = item
	c.appendItem(l.id, c.present, item)
}

// appendItem puts an item into a list where the mask is set.
func (b *builder) appendItem(id int32, where operand, item value) {
	var regs []int32
	item.each(func(x operand) operand {
		regs = append(regs, b.load(x))
		return x
	})
	b.put(len(b.blocks)-1, instr{op: opAppend, k: int64(id), x: b.load(where), loop: &loop{vars: regs}})
}

// each calls f for every operand of a value that an item of a list keeps a column for, and gives the value with what f gave in its place. A divisor of 1 has no column.
func (v value) each(f func(operand) operand) value {
	switch v.form {
	case measure:
		v.n = f(v.n)
		if !v.d.is(1) {
			v.d = f(v.d)
		}
	case truth, material:
		v.n = f(v.n)
	case pair:
		parts := make([]value, len(v.parts))
		for i, p := range v.parts {
			parts[i] = p.each(f)
		}
		v.parts = parts
	}
	v.taint = no
	return v
}

func arityOf(item value) int {
	n := 0
	item.each(func(x operand) operand {
		n++
		return x
	})
	return n
}

// columnsOf puts the places of an item's columns in the place of its registers.
func columnsOf(item value) value {
	n := int32(-1)
	return item.each(func(x operand) operand {
		n++
		x.reg = n
		return x
	})
}

func (c *compiler) listOf(e *check.ListOf, sc scope) value {
	var all []value
	taint := no
	for _, item := range e.Items {
		v := c.compile(item, sc)
		if v.form == list || v.form == words {
			c.fail("it is a list of what no column holds")
		}
		if c.why != "" || v.form == nothing {
			return never()
		}
		taint = c.or(taint, v.taint)
		all = append(all, v)
	}
	item := never()
	for _, v := range all {
		item = c.template(item, v)
	}
	id, depth := c.lists, len(c.blocks)-1
	c.lists++
	c.put(depth, instr{op: opEmpty, k: int64(id), m: int64(arityOf(item))})
	for _, v := range all {
		c.appendItem(id, yes, c.shaped(v, item))
	}
	out := c.listValue(id, depth, int64(len(all)), item).tainted(taint, &c.builder)
	out.list.count = fixed(int64(len(all)))
	return out
}

// template gives the form that holds items of both.
func (b *builder) template(x, y value) value {
	switch {
	case x.form == nothing:
		return y
	case y.form == nothing:
		return x
	case x.form == measure:
		unit, kx, ky := b.units(x, y)
		bx, ok := x.n.b.scaled(kx)
		by, ok2 := y.n.b.scaled(ky)
		if !ok || !ok2 || x.d.is(1) != y.d.is(1) {
			b.fail("its items have no unit in common")
		}
		out := value{form: measure, n: operand{b: bx.and(by)}, d: fixed(1), unit: unit, taint: no}
		if !x.d.is(1) {
			out.d = operand{b: x.d.b.and(y.d.b)}
		}
		return out
	case x.form == pair:
		out := value{form: pair, taint: no}
		for i := range x.parts {
			out.parts = append(out.parts, b.template(x.parts[i], y.parts[i]))
		}
		return out
	}
	return value{form: x.form, n: operand{b: x.n.b.and(y.n.b)}, taint: no}
}

// shaped brings an item to the unit of a template.
func (b *builder) shaped(v, template value) value {
	switch v.form {
	case measure:
		if !v.n.is(0) {
			k, _ := v.unit.steps(template.unit)
			v.n = b.scaled(v.n, k, 0)
		}
		v.unit = template.unit
	case pair:
		parts := make([]value, len(v.parts))
		for i, p := range v.parts {
			parts[i] = b.shaped(p, template.parts[i])
		}
		v.parts = parts
	}
	return v
}

// mergeLists makes a list that is x where the mask is set and y elsewhere.
func (b *builder) mergeLists(cond operand, x, y *items) *items {
	item := b.template(x.item, y.item)
	id, depth := b.lists, len(b.blocks)-1
	b.lists++
	b.put(depth, instr{op: opEmpty, k: int64(id), m: int64(arityOf(item))})
	b.extend(id, x, item, cond)
	b.extend(id, y, item, b.not(cond))
	out := b.listValue(id, depth, x.most+y.most, item).list
	out.count = b.pick(cond, x.count, y.count)
	return out
}

func (b *builder) extend(id int32, from *items, item value, where operand) {
	if from.most == 0 || from.item.form == nothing {
		return
	}
	b.put(len(b.blocks)-1, instr{op: opExtend, k: int64(id), m: int64(from.id), x: b.load(where), loop: &loop{scales: scales(from.item, item)}})
}

// scales lists how many of the template's units make one of each column's.
func scales(from, item value) []int64 {
	switch from.form {
	case measure:
		k, ok := from.unit.steps(item.unit)
		if !ok || from.n.is(0) {
			k = 1
		}
		if from.d.is(1) {
			return []int64{k}
		}
		return []int64{k, 1}
	case pair:
		var all []int64
		for i, p := range from.parts {
			all = append(all, scales(p, item.parts[i])...)
		}
		return all
	}
	return []int64{1}
}
