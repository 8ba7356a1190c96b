package column

import (
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang"
)

// scope is where the names of a formula lead: the instance that it stands in, and the variables of rules and loops.
type scope struct {
	home int
	vars map[int]func() value
}

// most nodes of formulas, rules put in the place of their calls, that a program may have.
const mostNodes = 100_000

// compile makes the operations of a formula. Where it cannot be proven the builder notes why.
func (c *compiler) compile(e check.Expr, sc scope) value {
	if c.nodes++; c.nodes > mostNodes {
		c.fail("the rules that it uses, written out, are too long")
	}
	if c.why != "" {
		return never()
	}
	return c.formula(e, sc)
}

func (c *compiler) formula(e check.Expr, sc scope) value {
	switch e := e.(type) {
	case *check.Const:
		return c.value(e.Value, e.Type())
	case *check.CellRef:
		return c.cell(e, sc)
	case *check.RuleCall:
		return c.call(e, sc)
	case *check.FuncCall:
		return c.function(e, sc)
	case *check.FieldOf:
		return c.field(e, sc)
	case *check.ItemOf:
		return c.part(e, sc)
	case *check.Index:
		return c.index(e, sc)
	}
	return c.operation(e, sc)
}

func (c *compiler) operation(e check.Expr, sc scope) value {
	switch e := e.(type) {
	case *check.Unary:
		return c.unary(e, sc)
	case *check.Binary:
		return c.binary(e, sc)
	case *check.Rounded:
		return c.rounding(e, sc)
	case *check.If:
		return c.branch(e, sc)
	case *check.ForEach:
		return c.forEach(e, sc)
	case *check.ListOf:
		return c.listOf(e, sc)
	case *check.TextOf:
		return c.text(e, sc)
	}
	c.fail("a problem was found in it")
	return never()
}

// value gives a value that is the same for every order.
func (c *compiler) value(v check.Value, t check.Type) value {
	switch t.Base {
	case check.Quantity, check.Date, check.ChoiceWord:
		return c.fixedValue(v.Num)
	case check.YesNo:
		if v.Yes() {
			return mask(yes)
		}
		return mask(no)
	case check.OfMaterial:
		if m := v.Material(); m != nil {
			return value{form: material, n: fixed(int64(m.Index)), taint: no}
		}
	case check.Size, check.Point:
		length := check.LengthType()
		return value{form: pair, parts: []value{c.value(v.Item(0), length), c.value(v.Item(1), length)}, taint: no}
	case check.Text:
		return text(int64(len(v.Text())))
	}
	c.fail("it holds a value that no column holds")
	return never()
}

func (c *compiler) cell(e *check.CellRef, sc scope) value {
	switch e.In {
	case check.InRecipe:
		return c.slot(e.At(sc.home))
	case check.InRule, check.InLoop:
		if v := sc.vars[e.Cell.Index]; v != nil {
			return v()
		}
	}
	c.fail("it reads what is not in the recipe")
	return never()
}

// slot gives a slot's value; what rests on one that could not be proven cannot be proven either.
func (c *compiler) slot(i int) value {
	s := c.slots[i]
	if s.why != "" {
		c.fail(s.why)
		return never()
	}
	return s.value
}

// field looks a field up by the material, among the fields of all materials of its kind.
func (c *compiler) field(e *check.FieldOf, sc scope) value {
	m := c.compile(e.X, sc)
	if m.form != material || c.why != "" {
		return never()
	}
	return c.fieldOf(m, e.Field)
}

func (c *compiler) fieldOf(m value, field *check.Cell) value {
	if m.n.isFixed() {
		v, ok := c.fieldValue(int(m.n.b.lo), field)
		if !ok {
			return never()
		}
		return v.tainted(m.taint, &c.builder)
	}
	all := make([]value, 0, m.n.b.hi-m.n.b.lo+1)
	for i := m.n.b.lo; i <= m.n.b.hi; i++ {
		v, ok := c.fieldValue(int(i), field)
		if !ok {
			v = never()
		}
		all = append(all, v)
	}
	return c.among(m.n, all).tainted(m.taint, &c.builder)
}

// among is the value of several, each the same for every order, that a place from the least on leads to.
func (c *compiler) among(place operand, all []value) value {
	out := c.ofOneUnit(all)
	if out.form == pair || out.form == list || out.form == nothing {
		return c.amongParts(place, all)
	}
	values, missing := make([]int64, len(all)), make([]int64, len(all))
	for i, v := range all {
		switch {
		case v.form == nothing:
			missing[i] = -1
		case v.form == measure:
			values[i] = c.stepsOf(v, out.unit)
		default:
			values[i] = v.n.b.lo
		}
	}
	out.n, out.taint = c.gather(place, values), c.gather(place, missing)
	return out
}

// ofOneUnit is the first value that is there, its unit one of which all measures are whole multiples. Nothing is a multiple of every unit, so it has no say.
func (c *compiler) ofOneUnit(all []value) value {
	out := never()
	for _, v := range all {
		switch {
		case v.form == nothing:
		case out.form == nothing || out.form == measure && out.n.is(0):
			out = v
		case v.form == measure:
			out.unit, _, _ = c.units(out, v)
		}
	}
	return out
}

// stepsOf is how many of a unit make a measure that is the same for every order.
func (c *compiler) stepsOf(v value, unit ratio) int64 {
	if v.n.is(0) {
		return 0
	}
	k, ok := v.unit.steps(unit)
	n, fits := mul(k, v.n.b.lo)
	if !ok || !fits {
		c.fail("its unit grows too fine")
	}
	return n
}

// amongParts is among for values of more than one column.
func (c *compiler) amongParts(place operand, all []value) value {
	out := all[len(all)-1]
	for i := len(all) - 2; i >= 0; i-- {
		out = c.choose(mask(c.equal(place, fixed(place.b.lo+int64(i)))), all[i], out)
	}
	return out
}

// fieldValue gives a field of the i-th material; false where it has none, or it could not be worked out.
func (c *compiler) fieldValue(i int, field *check.Cell) (value, bool) {
	m := c.src.Materials[i]
	if field.Index >= len(m.Kind.Fields) || m.Kind.Fields[field.Index] != field {
		return value{}, false
	}
	v, ok := c.src.Field(m, field.Index)
	if !ok {
		return value{}, false
	}
	return c.value(v, field.Type).plain(), true
}

func (c *compiler) part(e *check.ItemOf, sc scope) value {
	x := c.compile(e.X, sc)
	if x.form != pair {
		return never()
	}
	return x.parts[e.Item].tainted(x.taint, &c.builder)
}

func (c *compiler) unary(e *check.Unary, sc scope) value {
	x := c.compile(e.X, sc)
	switch {
	case x.form == nothing:
		return x
	case e.Op == check.Not:
		return c.opposite(x)
	}
	return c.negate(x)
}

func (c *compiler) binary(e *check.Binary, sc scope) value {
	x := c.compile(e.X, sc)
	y := c.compile(e.Y, sc)
	switch {
	case x.form == nothing || c.why != "":
		return x
	case e.Op == lang.And:
		return c.choose(x, y, mask(no))
	case e.Op == lang.Or:
		return c.choose(x, mask(yes), y)
	case y.form == nothing:
		return y
	case e.Op == lang.By || e.Op == lang.At:
		taint := c.or(x.taint, y.taint)
		return value{form: pair, parts: []value{x, y}, taint: taint}
	case e.Op == lang.Is:
		return c.sameWord(x, y)
	case e.Op == lang.IsNot:
		return c.opposite(c.sameWord(x, y))
	}
	return c.measured(e.Op, x, y)
}

func (c *compiler) measured(op lang.BinaryOp, x, y value) value {
	switch op {
	case lang.Add:
		return c.add(x, y, 1)
	case lang.Sub:
		return c.add(x, y, -1)
	case lang.Mul:
		return c.times(x, y)
	case lang.Div:
		return c.over(x, y)
	case lang.Mod:
		return c.modulo(x, y)
	case lang.Eq:
		return c.equals(x, y)
	case lang.Lt:
		return c.smaller(x, y)
	case lang.Gt:
		return c.smaller(y, x)
	case lang.Le:
		return c.opposite(c.smaller(y, x))
	case lang.Ge:
		return c.opposite(c.smaller(x, y))
	}
	c.fail("it has an operation that columns lack")
	return never()
}

// sameWord compares words of a choice, materials and truths.
func (c *compiler) sameWord(x, y value) value {
	taint := c.or(x.taint, y.taint)
	switch {
	case x.form == words || y.form == words:
		c.fail("it compares texts")
		return never()
	case x.form == measure:
		return c.equals(x, y)
	case x.form == truth && (x.n.isFixed() || y.n.isFixed()):
		return mask(c.pick(x.n, y.n, c.not(y.n))).tainted(taint, &c.builder)
	}
	return mask(c.equal(x.n, y.n)).tainted(taint, &c.builder)
}

func (c *compiler) rounding(e *check.Rounded, sc scope) value {
	x := c.compile(e.X, sc)
	step := c.compile(e.Step, sc)
	switch {
	case x.form == nothing || c.why != "":
		return x
	case step.form == nothing:
		return step
	}
	return c.rounded(x, step, e.Way)
}

func (c *compiler) branch(e *check.If, sc scope) value {
	cond := c.compile(e.Cond, sc)
	switch {
	case cond.form == nothing || c.why != "":
		return cond
	case cond.n.is(-1):
		return c.compile(e.Then, sc).tainted(cond.taint, &c.builder)
	case cond.n.is(0):
		return c.compile(e.Else, sc).tainted(cond.taint, &c.builder)
	}
	return c.choose(cond, c.compile(e.Then, sc), c.compile(e.Else, sc))
}

// shownLength is more than any value that columns hold takes to show.
const shownLength = 64

// text holds nothing but its greatest length and what would keep it from being written.
func (c *compiler) text(e *check.TextOf, sc scope) value {
	length, taint := int64(0), no
	for _, p := range e.Parts {
		length += int64(len(p.Plain))
		if p.Hole == nil {
			continue
		}
		v := c.compile(p.Hole, sc)
		taint = c.or(taint, v.taint)
		switch v.form {
		case words:
			length += v.n.b.hi
		case list:
			length += v.list.most * 2 * shownLength
		default:
			length += 2 * shownLength
		}
	}
	c.spend(length)
	return text(length).tainted(taint, &c.builder)
}

func (c *compiler) function(e *check.FuncCall, sc scope) value {
	var args []value
	for _, a := range e.Args {
		v := c.compile(a, sc)
		if v.form == nothing || c.why != "" {
			return v
		}
		args = append(args, v)
	}
	switch e.Func {
	case check.Abs:
		args[0].n = c.abs(args[0].n)
		return args[0]
	case check.MinOf, check.MaxOf:
		if len(args) > 1 {
			return c.extremeOfAll(args, e.Func == check.MaxOf)
		}
	}
	if len(args) == 1 && args[0].form == list {
		return c.listFunction(e.Func, args[0])
	}
	c.fail("it uses " + string(e.Func) + ", which is not exact")
	return never()
}

func (c *compiler) extremeOfAll(args []value, greater bool) value {
	best := args[0]
	for _, x := range args[1:] {
		best = c.extremeOf(best, x, greater)
	}
	return best
}

// inRange marks the orders for which a measure lies outside a range, and gives it a value inside there, so that what follows stays within its bound.
func (c *compiler) inRange(v value, r Range) value {
	if r.Untold {
		c.fail("its range cannot be told")
		return never()
	}
	if v.form != measure {
		return v
	}
	if r.HasFrom {
		v = c.limit(v, r.From, false)
	}
	if r.HasTo {
		v = c.limit(v, r.To, true)
	}
	return v
}

func (c *compiler) limit(v value, end quantity.Number, above bool) value {
	stop := c.fixedValue(end)
	past := c.smaller(v, stop)
	if above {
		past = c.smaller(stop, v)
	}
	if past.n.is(0) {
		return v
	}
	out := c.choose(mask(past.n), stop, v)
	if at, ok := stop.unit.times(ratio{stop.n.b.lo, 1}); ok && out.d.is(1) {
		if n, ok := at.steps(out.unit); ok && out.n.b.has(n) {
			if above {
				out.n.b.hi = n
			} else {
				out.n.b.lo = n
			}
		}
	}
	out.taint = c.or(v.taint, past.n)
	return out
}
