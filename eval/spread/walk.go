package spread

import (
	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang"
)

// cut is a value of one input at which a condition turns.
type cut struct {
	input int
	at    quantity.Number
}

// walk works one order's cells out over a box: for each cell a range that no point of the box leaves.
type walk struct {
	sheet  *eval.Sheet
	plan   *eval.Plan
	asks   map[int]int // the input that a slot is
	fields map[eval.FieldOf]int
	box    *box
	cuts   []cut
	slots  map[int]value
	stock  map[eval.FieldOf]value
	calls  int
	result *eval.Result // as the order is given
	laid   bool         // its pieces are laid out; else they are reckoned by area
}

// mostCalls bounds the rules and loops gone through for one box; beyond it nothing is known.
const mostCalls = 200_000

func (w *walk) inputs() int { return len(w.box.sides) }

// place is where a formula stands: the first slot of its recipe's instance, the parameters and own cells of its rule, its material.
type place struct {
	home     int
	stack    []value
	material *check.Material
}

func (w *walk) slot(i int) value {
	if v, known := w.slots[i]; known {
		return v
	}
	v := w.workSlot(i)
	w.slots[i] = v
	return v
}

func (w *walk) workSlot(i int) value {
	if n, ok := w.asks[i]; ok {
		return w.input(n)
	}
	s := w.plan.Slots[i]
	if n, ok := w.sum(s.Name); ok {
		return value{number: n}
	}
	if w.sheet.Given(i) != nil || s.Formula == nil {
		v, fault := w.sheet.Value(i)
		if fault != nil {
			return value{}
		}
		return of(v, s.Cell.Type, w.inputs())
	}
	return w.expr(s.Formula.Expr, place{home: s.Home})
}

// input is an input itself; one whose side of the box is a single value moves nothing there.
func (w *walk) input(n int) value {
	if s := w.box.sides[n]; s.lo.Equal(s.hi) {
		return value{number: fixed(s.lo, w.inputs())}
	}
	line := make([]quantity.Number, w.inputs()+1)
	line[n] = quantity.Int(1)
	return value{number: straight(line, w.box)}
}

func (w *walk) field(m *check.Material, i int) value {
	key := eval.FieldOf{Material: m, Field: i}
	if n, ok := w.fields[key]; ok {
		return w.input(n)
	}
	if v, known := w.stock[key]; known {
		return v
	}
	var v value
	if cell := w.plan.FieldInForce(m, i); cell != nil && cell.Expr != nil {
		v = w.expr(cell.Expr, place{material: m})
	}
	w.stock[key] = v
	return v
}

func (w *walk) expr(e check.Expr, p place) value {
	switch e := e.(type) {
	case *check.Const:
		return of(e.Value, e.Type(), w.inputs())
	case *check.CellRef:
		return w.ref(e, p)
	case *check.RuleCall:
		return w.call(e, p)
	case *check.FuncCall:
		return w.function(e, p)
	case *check.FieldOf:
		return w.fieldOf(e, p)
	case *check.ItemOf:
		return item(w.expr(e.X, p), int64(e.Item)+1)
	case *check.Index:
		return w.index(e, p)
	case *check.Unary:
		return w.unary(e, p)
	case *check.Binary:
		return w.binary(e, p)
	case *check.Rounded:
		return w.rounded(e, p)
	case *check.If:
		return w.choose(w.expr(e.Cond, p), func() value { return w.expr(e.Then, p) }, func() value { return w.expr(e.Else, p) })
	case *check.ForEach:
		return w.list(e, p)
	case *check.ListOf:
		return w.listOf(e, p)
	}
	return value{} // a text, of which nothing is known
}

func (w *walk) fieldOf(e *check.FieldOf, p place) value {
	if m := w.expr(e.X, p).words.Material(); m != nil {
		return w.field(m, e.Field.Index)
	}
	return value{}
}

func (w *walk) index(e *check.Index, p place) value {
	if n, ok := w.expr(e.I, p).whole(); ok {
		return item(w.expr(e.X, p), n)
	}
	return value{}
}

func (w *walk) listOf(e *check.ListOf, p place) value {
	out := value{isList: true}
	for _, x := range e.Items {
		out.items = append(out.items, w.expr(x, p))
	}
	return out
}

func item(v value, n int64) value {
	if n < 1 || n > int64(len(v.items)) {
		return value{}
	}
	return v.items[n-1]
}

func (w *walk) ref(e *check.CellRef, p place) value {
	switch e.In {
	case check.InRecipe:
		return w.slot(e.At(p.home))
	case check.InPrice:
		return w.slot(w.plan.PriceSlot(e.Cell))
	case check.InMaterial:
		return w.field(p.material, e.Cell.Index)
	}
	if e.Cell.Index < len(p.stack) {
		return p.stack[e.Cell.Index]
	}
	return value{}
}

// choose gives what a condition leads to; what either branch gives where it is open.
func (w *walk) choose(cond value, then, otherwise func() value) value {
	switch cond.truth {
	case holds:
		return then()
	case fails:
		return otherwise()
	}
	if !isTruth(cond) {
		return value{}
	}
	return then().union(otherwise(), cond.on)
}

func (w *walk) unary(e *check.Unary, p place) value {
	x := w.expr(e.X, p)
	if e.Op == check.Not {
		return value{truth: x.truth.not(), on: x.on}
	}
	if x.number == nil {
		return value{}
	}
	return value{number: x.number.neg()}
}

func (w *walk) binary(e *check.Binary, p place) value {
	x := w.expr(e.X, p)
	switch e.Op {
	case lang.And:
		return w.both(x, func() value { return w.expr(e.Y, p) })
	case lang.Or:
		neither := w.both(value{truth: x.truth.not(), on: x.on}, func() value {
			y := w.expr(e.Y, p)
			return value{truth: y.truth.not(), on: y.on}
		})
		return value{truth: neither.truth.not(), on: neither.on}
	case lang.By, lang.At:
		return value{isList: true, items: []value{x, w.expr(e.Y, p)}}
	}
	y := w.expr(e.Y, p)
	if x.known && y.known {
		return value{truth: truthOf(x.words.Equal(y.words) == (e.Op == lang.Is))}
	}
	if x.truth != open && y.truth != open {
		return value{truth: truthOf((x.truth == y.truth) == (e.Op == lang.Is))}
	}
	if x.number == nil || y.number == nil {
		return value{}
	}
	return w.numbers(e.Op, x.number, y.number)
}

// both is an and; its second side is looked at only where the first does not fail.
func (w *walk) both(x value, other func() value) value {
	if x.truth == fails || !isTruth(x) {
		return x
	}
	y := other()
	switch {
	case x.truth == holds || y.truth == fails:
		return y
	case y.truth == holds:
		return x
	case !isTruth(y):
		return value{}
	}
	return value{on: x.on | y.on}
}

func (w *walk) numbers(op lang.BinaryOp, x, y *number) value {
	var n *number
	switch op {
	case lang.Add:
		n = x.plus(y, w.box)
	case lang.Sub:
		n = x.plus(y.neg(), w.box)
	case lang.Mul:
		n = x.times(y, w.box)
	case lang.Div:
		n = x.over(y, w.box)
	case lang.Mod:
		n = w.mod(x, y)
	default:
		return w.compare(op, x, y)
	}
	return value{number: n}
}

// mod is known where the whole range lies between two multiples.
func (w *walk) mod(x, y *number) *number {
	step, ok := y.constant()
	if !ok {
		return nil
	}
	low, ok := x.lo.RoundDown(step)
	high, ok2 := x.hi.RoundDown(step)
	if !ok || !ok2 {
		return nil
	}
	if low.Equal(high) {
		return x.plus(fixed(low.Neg(), w.inputs()), w.box)
	}
	out := hull(quantity.Number{}, step)
	out.ways = make([]way, len(x.ways))
	for i, way := range x.ways {
		if way != still {
			out.ways[i] = mixed
		}
	}
	return out
}

// compare settles a comparison where the ranges do; where one input alone moves it straight, the value at which it turns is noted.
func (w *walk) compare(op lang.BinaryOp, x, y *number) value {
	gap := x.plus(y.neg(), w.box)
	if t := sideOf(op, gap); t != open {
		return value{truth: t}
	}
	w.turn(gap)
	return value{on: gap.moves()}
}

// sideOf tells whether a difference is on one side of nothing all over the box.
func sideOf(op lang.BinaryOp, gap *number) truth {
	low, _ := gap.lo.Sign()
	high, _ := gap.hi.Sign()
	over, under := low > 0 || low == 0 && gap.loOpen, high < 0 || high == 0 && gap.hiOpen
	notUnder, notOver := low >= 0, high <= 0
	switch op {
	case lang.Lt:
		return either(under, notUnder)
	case lang.Le:
		return either(notOver, over)
	case lang.Gt:
		return either(over, notOver)
	case lang.Ge:
		return either(notUnder, under)
	}
	return either(low == 0 && high == 0, over || under)
}

func either(yes, no bool) truth {
	switch {
	case yes:
		return holds
	case no:
		return fails
	}
	return open
}

// turn notes where a difference that one input alone moves straight is nothing.
func (w *walk) turn(gap *number) {
	if input, ok := w.only(gap); ok {
		if at, ok := gap.line[w.inputs()].Neg().Div(gap.line[input]); ok {
			w.cuts = append(w.cuts, cut{input, at})
		}
	}
}

// only gives the one input that moves a number that runs straight.
func (w *walk) only(x *number) (input int, ok bool) {
	if x.line == nil {
		return 0, false
	}
	for i, rise := range x.line[:w.inputs()] {
		if s, _ := rise.Sign(); s != 0 {
			if ok {
				return 0, false
			}
			input, ok = i, true
		}
	}
	return input, ok
}

// mostJumps is at how many jumps of one rounding a box may be parted.
const mostJumps = 8

// jumps notes where a rounding goes to its next step: at the multiples, or midway between them.
func (w *walk) jumps(x *number, step quantity.Number, way lang.RoundWay) {
	first, ok := x.lo.RoundDown(step)
	if _, alone := w.only(x); !ok || !alone {
		return
	}
	if way == lang.RoundTo {
		first = first.Add(step.Mul(quantity.Frac(1, 2)))
	}
	for n := 0; n < mostJumps && !less(x.hi, first); n++ {
		if !less(first, x.lo) {
			w.turn(x.plus(fixed(first.Neg(), w.inputs()), w.box))
		}
		first = first.Add(step.Abs())
	}
}

func (w *walk) rounded(e *check.Rounded, p place) value {
	x, s := w.expr(e.X, p).number, w.expr(e.Step, p).number
	if x == nil || s == nil {
		return value{}
	}
	step, ok := s.constant()
	if !ok {
		return value{}
	}
	round := quantity.Number.RoundNear
	switch e.Way {
	case lang.RoundUp:
		round = quantity.Number.RoundUp
	case lang.RoundDown:
		round = quantity.Number.RoundDown
	}
	w.jumps(x, step, e.Way)
	return value{number: x.rounded(round, step, e.Way == lang.RoundUp, e.Way == lang.RoundDown)}
}

// list works a list's items out where how many there are is certain.
func (w *walk) list(e *check.ForEach, p place) value {
	p.stack = append([]value(nil), p.stack...)
	out := value{isList: true}
	if !w.nest(e, 0, p, &out) {
		return value{}
	}
	return out
}

func (w *walk) nest(e *check.ForEach, depth int, p place, out *value) bool {
	if w.calls++; w.calls > mostCalls {
		return false
	}
	if depth == len(e.Loops) {
		out.items = append(out.items, w.expr(e.Body, p))
		return true
	}
	l := e.Loops[depth]
	items, ok := w.turns(l, p)
	for len(p.stack) <= l.Var.Index {
		p.stack = append(p.stack, value{})
	}
	for _, v := range items {
		p.stack[l.Var.Index] = v
		ok = ok && w.nest(e, depth+1, p, out)
	}
	return ok
}

// turns lists what a loop's variable is, one after another.
func (w *walk) turns(l check.Loop, p place) ([]value, bool) {
	if l.Of != nil {
		v := w.expr(l.Of, p)
		return v.items, v.isList
	}
	from, ok := w.expr(l.From, p).whole()
	to, ok2 := w.expr(l.To, p).whole()
	if !ok || !ok2 || from <= to && uint64(to)-uint64(from) > mostCalls { // which holds where to - from is past int64
		return nil, false
	}
	var all []value
	for n := range max(0, to-from+1) {
		all = append(all, value{number: fixed(quantity.Int(from+n), w.inputs())})
	}
	return all, true
}
