package eval

import (
	"strings"

	"squab/eval/check"
	"squab/eval/column"
	"squab/eval/quantity"
	"squab/lang"
	"squab/lang/diag"
)

// formula is a checked formula made ready to run. Where it faults it says so in the frame and gives the zero value.
type formula func(*frame) check.Value

// frame is what a formula runs in: the slots of one order, and the stack of the rules being worked out.
type frame struct {
	plan     *Plan
	slots    []check.Value
	stack    []check.Value
	base     int // the first stack slot of the rule being worked out
	top      int
	material []check.Value // the fields of the material being worked out
	fault    *Fault
	steps    int
	stock    column.Stock // for lists, sizes and points
	making   []check.Value
}

func (p *Plan) newFrame() *frame {
	return &frame{plan: p, slots: make([]check.Value, len(p.Slots)), stack: make([]check.Value, p.loopSize+16), top: p.loopSize}
}

// fail notes the first fault.
func (f *frame) fail(fault *Fault) check.Value {
	if f.fault == nil {
		f.fault = fault
	}
	return check.Value{}
}

// settle runs a formula and gives its value, or a poison.
func (f *frame) settle(run formula) check.Value {
	f.fault = nil
	v := run(f)
	if f.fault != nil {
		v = poison(f.fault)
		f.fault = nil
	}
	return v
}

// read passes a stored value on; a poison becomes a fault here.
func (f *frame) read(v check.Value) check.Value {
	if v.Obj != nil && v.Obj.Fault != nil {
		return f.fail(FaultOf(v))
	}
	return v
}

// reset takes back the stock for another order; what was made from it must no longer be used.
func (f *frame) reset() {
	f.stock.Reset()
	f.fault, f.steps = nil, 0
}

// step counts a rule called or a turn of a loop.
func (f *frame) step(at diag.Span) bool { return f.spend(1, at) }

// spend counts work, and faults where one order takes too much.
func (f *frame) spend(steps int, at diag.Span) bool {
	f.steps += steps
	if f.steps > f.plan.limits.Steps {
		f.fail(newFault("too-much-work", at, "this order takes more than %d steps to work out", f.plan.limits.Steps).fix("make the lists and the texts shorter"))
		return false
	}
	return f.fault == nil
}

// compiler makes formulas for one instance of a recipe, whose first slot is home.
type compiler struct {
	plan *Plan
	home int
}

func (c compiler) compile(e check.Expr) formula {
	switch e := e.(type) {
	case *check.Const:
		v := e.Value
		return func(*frame) check.Value { return v }
	case *check.CellRef:
		return c.cell(e)
	case *check.RuleCall:
		return c.ruleCall(e)
	case *check.FuncCall:
		return c.function(e)
	case *check.FieldOf:
		return c.fieldOf(e)
	case *check.ItemOf:
		return c.itemOf(e)
	case *check.Index:
		return c.index(e)
	}
	return c.operation(e)
}

func (c compiler) operation(e check.Expr) formula {
	switch e := e.(type) {
	case *check.Unary:
		return c.unary(e)
	case *check.Binary:
		return c.binary(e)
	case *check.Rounded:
		return c.rounded(e)
	case *check.If:
		return c.ifElse(e)
	case *check.ForEach:
		return c.forEach(e)
	case *check.ListOf:
		return c.listOf(e)
	case *check.TextOf:
		return c.textOf(e)
	}
	return c.bad(e)
}

// bad is a formula in which a problem was found.
func (c compiler) bad(e check.Expr) formula {
	var at diag.Span
	if e != nil {
		at = e.Span()
	}
	return func(f *frame) check.Value {
		return f.fail(newFault("formula-bad", at, "a problem was found in this formula, so nothing that rests on it can be worked out"))
	}
}

func (c compiler) cell(e *check.CellRef) formula {
	i := e.Cell.Index
	switch e.In {
	case check.InRecipe:
		i = e.At(c.home)
	case check.InPrice:
		i += c.plan.priceFrom
	case check.InMaterial:
		return func(f *frame) check.Value { return f.read(f.material[i]) }
	default:
		return func(f *frame) check.Value { return f.read(f.stack[f.base+i]) }
	}
	return func(f *frame) check.Value {
		v := f.slots[i]
		if v.Obj != nil && v.Obj.Fault != nil {
			return f.fail(FaultOf(v))
		}
		return v
	}
}

func (c compiler) fieldOf(e *check.FieldOf) formula {
	x, i := c.compile(e.X), e.Field.Index
	return func(f *frame) check.Value {
		m := x(f).Material()
		if m == nil {
			return check.Value{}
		}
		return f.read(f.plan.fields(m)[i])
	}
}

func (c compiler) itemOf(e *check.ItemOf) formula {
	x, i := c.compile(e.X), e.Item
	return func(f *frame) check.Value { return x(f).Item(i) }
}

func (c compiler) index(e *check.Index) formula {
	x, n := c.compile(e.X), c.compile(e.I)
	return func(f *frame) check.Value {
		items := x(f).Items()
		at := n(f).Num
		i, ok := at.Int64()
		if f.fault != nil {
			return check.Value{}
		}
		if !ok || i < 1 || i > int64(len(items)) {
			return f.fail(newFault("index-outside", e.Span(), "the list has %d items, and number %s is asked for", len(items), at))
		}
		return items[i-1]
	}
}

func (c compiler) unary(e *check.Unary) formula {
	x := c.compile(e.X)
	if e.Op == check.Not {
		return func(f *frame) check.Value { return check.Bool(!x(f).Yes()) }
	}
	return func(f *frame) check.Value { return check.Num(x(f).Num.Neg()) }
}

func (c compiler) binary(e *check.Binary) formula {
	x, y := c.compile(e.X), c.compile(e.Y)
	switch e.Op {
	case lang.And:
		return func(f *frame) check.Value { return check.Bool(x(f).Yes() && y(f).Yes()) }
	case lang.Or:
		return func(f *frame) check.Value { return check.Bool(x(f).Yes() || y(f).Yes()) }
	case lang.Is:
		return func(f *frame) check.Value { return check.Bool(sameWord(x(f), y(f))) }
	case lang.IsNot:
		return func(f *frame) check.Value { return check.Bool(!sameWord(x(f), y(f))) }
	case lang.By, lang.At:
		return func(f *frame) check.Value { return f.stock.Pair(x(f), y(f)) }
	case lang.Add, lang.Sub, lang.Mul, lang.Div, lang.Mod:
		return arithmetic(e, x, y)
	}
	return comparison(e, x, y)
}

func sameWord(x, y check.Value) bool {
	if x.Obj == nil && y.Obj == nil {
		return x.Num.Equal(y.Num)
	}
	return x.Text() == y.Text() && x.Material() == y.Material()
}

func arithmetic(e *check.Binary, x, y formula) formula {
	switch e.Op {
	case lang.Add:
		return func(f *frame) check.Value { return f.bounded(x(f).Num.Add(y(f).Num), e) }
	case lang.Sub:
		return func(f *frame) check.Value { return f.bounded(x(f).Num.Sub(y(f).Num), e) }
	case lang.Mul:
		return func(f *frame) check.Value { return f.bounded(x(f).Num.Mul(y(f).Num), e) }
	case lang.Div:
		return func(f *frame) check.Value {
			n, ok := x(f).Num.Div(y(f).Num)
			if !ok {
				return f.fail(newFault("zero-divisor", e.Span(), "this divides by nothing").note(e.Y.Span(), "this came to 0").fix("keep it from being 0 with a need, or choose another formula with if"))
			}
			return f.bounded(n, e)
		}
	}
	return func(f *frame) check.Value {
		n, ok := x(f).Num.Mod(y(f).Num)
		if !ok {
			return f.fail(newFault("zero-divisor", e.Span(), "mod by nothing").note(e.Y.Span(), "this came to 0"))
		}
		return check.Num(n)
	}
}

// smallBits is more than any small number takes.
const smallBits = 128

// bounded faults where an exact value has grown too large to go on with.
func (f *frame) bounded(n quantity.Number, e check.Expr) check.Value {
	if most := f.plan.limits.Bits; (!n.Small() || most < smallBits) && n.Bits() > most {
		return f.fail(newFault("number-too-large", e.Span(), "this value takes more than %d bits to hold exactly", f.plan.limits.Bits))
	}
	return check.Num(n)
}

func comparison(e *check.Binary, x, y formula) formula {
	holds := map[lang.BinaryOp]func(int) bool{
		lang.Eq: func(o int) bool { return o == 0 },
		lang.Lt: func(o int) bool { return o < 0 },
		lang.Le: func(o int) bool { return o <= 0 },
		lang.Gt: func(o int) bool { return o > 0 },
		lang.Ge: func(o int) bool { return o >= 0 },
	}[e.Op]
	return func(f *frame) check.Value {
		order, decided := x(f).Num.Cmp(y(f).Num)
		if !decided {
			return f.fail(newFault("compare-undecided", e.Span(), "these two are too close to tell apart: at least one is known only within its bound"))
		}
		return check.Bool(holds(order))
	}
}

func (c compiler) rounded(e *check.Rounded) formula {
	x, step := c.compile(e.X), c.compile(e.Step)
	round := map[lang.RoundWay]func(a, b quantity.Number) (quantity.Number, bool){
		lang.RoundUp: quantity.Number.RoundUp, lang.RoundDown: quantity.Number.RoundDown, lang.RoundTo: quantity.Number.RoundNear,
	}[e.Way]
	return func(f *frame) check.Value {
		a, by := x(f).Num, step(f).Num
		n, ok := round(a, by)
		if !ok && f.fault == nil {
			return f.cannotRound(e, by)
		}
		return check.Num(n)
	}
}

func (f *frame) cannotRound(e *check.Rounded, by quantity.Number) check.Value {
	if s, _ := by.Sign(); s <= 0 {
		return f.fail(newFault("round-to-nothing", e.Step.Span(), "the step of a rounding came to %s, and must be more than nothing", by))
	}
	return f.fail(newFault("round-undecided", e.Span(), "this is known only within its bound, which straddles a step of the rounding"))
}

func (c compiler) ifElse(e *check.If) formula {
	cond, then, other := c.compile(e.Cond), c.compile(e.Then), c.compile(e.Else)
	return func(f *frame) check.Value {
		if cond(f).Yes() {
			return then(f)
		}
		return other(f)
	}
}

func (c compiler) listOf(e *check.ListOf) formula {
	runs := make([]formula, len(e.Items))
	for i, item := range e.Items {
		runs[i] = c.compile(item)
	}
	return func(f *frame) check.Value {
		items := f.stock.Items(len(runs))
		for i, run := range runs {
			items[i] = run(f)
		}
		return f.stock.Object(items)
	}
}

// textOf joins the parts of a text; what stands in braces is written as the page shows it. Texts put into texts may double with every cell, so their length is work.
func (c compiler) textOf(e *check.TextOf) formula {
	runs := make([]formula, len(e.Parts))
	for i, p := range e.Parts {
		if p.Hole != nil {
			runs[i] = c.compile(p.Hole)
		}
	}
	return func(f *frame) check.Value {
		var b strings.Builder
		for i, p := range e.Parts {
			b.WriteString(p.Plain)
			if runs[i] == nil {
				continue
			}
			if v := runs[i](f); f.spend(len(p.Plain)+textLength(v), e.Span()) {
				b.WriteString(f.plan.Show(v, p.Hole.Type()))
			}
		}
		return check.TextValue(b.String())
	}
}

// textLength is how long the texts in a value are.
func textLength(v check.Value) int {
	n := len(v.Text())
	for _, item := range v.Items() {
		n += textLength(item)
	}
	return n
}
