package eval_test

import (
	"maps"
	"math/big"

	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
)

// slow works an order out by walking the checked formulas with math/big, each cell when it is first asked for. It shares nothing with the evaluator but the tree.
type slow struct {
	program *check.Program
	order   *check.Order
	day     int64
	slots   []check.Slot
	known   map[int]answer
}

// answer is a value, or the fault that stands in its place.
type answer struct {
	value slowValue
	fault *slowFault
}

type slowValue struct {
	num      *big.Rat
	text     string
	items    []slowValue
	material *check.Material
}

// slowFault is thrown by a panic and caught where a cell is settled.
type slowFault struct {
	code string
	at   diag.Span
}

func newSlow(b book, o *check.Order) *slow {
	return &slow{program: b.program, order: o, day: dayOf(o), slots: check.Layout(o.Recipe), known: map[int]answer{}}
}

// env is where a formula's names lead: the instance, the variables of rules and loops, the material in hand.
type env struct {
	s        *slow
	home     int
	vars     map[int]func() slowValue
	material *check.Material
}

func ratOf(n int64) slowValue { return slowValue{num: new(big.Rat).SetInt64(n)} }

func truth(b bool) slowValue {
	if b {
		return ratOf(1)
	}
	return ratOf(0)
}

func (v slowValue) yes() bool { return v.num.Sign() > 0 }

func throw(code string, at diag.Span) { panic(&slowFault{code, at}) }

// caught runs f and catches the fault it throws.
func caught(f func() slowValue) (a answer) {
	defer func() {
		if r := recover(); r != nil {
			fault, ok := r.(*slowFault)
			if !ok {
				panic(r)
			}
			a.fault = fault
		}
	}()
	a.value = f()
	return a
}

func (a answer) get() slowValue {
	if a.fault != nil {
		panic(a.fault)
	}
	return a.value
}

// slot settles a slot.
func (s *slow) slot(i int) answer {
	a, ok := s.known[i]
	if !ok {
		a = caught(func() slowValue { return s.work(i) })
		s.known[i] = a
	}
	return a
}

func (s *slow) work(i int) slowValue {
	slot := s.slots[i]
	at, in := slot.Home, slot.Formula
	if i == check.OffIndex {
		if s.order.Off == nil {
			return ratOf(1)
		}
		return env{s: s}.eval(s.order.Off)
	}
	if i == check.DateIndex {
		return ratOf(s.day)
	}
	if given := s.order.Given[i]; given != nil && slot.Base == 0 && i < len(s.order.Recipe.Cells) {
		in = given
	}
	v := env{s: s, home: at}.eval(in.Expr)
	if slot.Cell.Role == check.AskCell {
		s.within(slot.Cell, v, "ask-outside", diag.Span{})
	}
	return v
}

func (s *slow) within(cell *check.Cell, v slowValue, code string, at diag.Span) {
	if cell.From != nil && v.num.Cmp(env{s: s}.eval(cell.From).num) < 0 {
		throw(code, at)
	}
	if cell.To != nil && v.num.Cmp(env{s: s}.eval(cell.To).num) > 0 {
		throw(code, at)
	}
}

func (v env) eval(e check.Expr) slowValue {
	switch e := e.(type) {
	case *check.Const:
		return constant(e.Value)
	case *check.CellRef:
		return v.cell(e)
	case *check.RuleCall:
		return v.call(e)
	case *check.FuncCall:
		return v.function(e)
	case *check.FieldOf:
		m := v.eval(e.X).material
		return env{s: v.s, material: m}.field(e.Field.Index)
	case *check.ItemOf:
		return v.eval(e.X).items[e.Item]
	case *check.Index:
		return v.index(e)
	case *check.Unary:
		x := v.eval(e.X)
		if e.Op == check.Not {
			return truth(!x.yes())
		}
		return slowValue{num: new(big.Rat).Neg(x.num)}
	case *check.Binary:
		return v.binary(e)
	case *check.Rounded:
		return v.rounded(e)
	case *check.If:
		if v.eval(e.Cond).yes() {
			return v.eval(e.Then)
		}
		return v.eval(e.Else)
	case *check.ForEach:
		var items []slowValue
		v.loop(e, 0, &items)
		return slowValue{num: new(big.Rat), items: items}
	case *check.ListOf:
		return slowValue{num: new(big.Rat), items: v.all(e.Items)}
	case *check.TextOf:
		for _, p := range e.Parts {
			if p.Hole != nil {
				v.eval(p.Hole)
			}
		}
		return slowValue{num: new(big.Rat)}
	}
	throw("formula-bad", e.Span())
	return slowValue{}
}

func (v env) all(es []check.Expr) (values []slowValue) {
	for _, e := range es {
		values = append(values, v.eval(e))
	}
	return values
}

func constant(c check.Value) slowValue {
	v := slowValue{num: c.Num.Rat(), text: c.Text(), material: c.Material()}
	for _, item := range c.Items() {
		v.items = append(v.items, constant(item))
	}
	return v
}

func (v env) cell(e *check.CellRef) slowValue {
	switch e.In {
	case check.InRecipe:
		return v.s.slot(e.At(v.home)).get()
	case check.InMaterial:
		return v.field(e.Cell.Index)
	}
	return v.vars[e.Cell.Index]()
}

// field works a field of the material in hand out: the topmost amendment in force, what the material gives, or its kind's default.
func (v env) field(i int) slowValue {
	m := v.material
	cell := m.Kind.Fields[i]
	if g := m.Given[i]; g != nil {
		cell = g
	}
	var best *check.FieldAmend
	for _, a := range m.Amends {
		if a.Field.Index == i && v.s.inForce(a.Window) && (best == nil || over(a.Window, best.Window)) {
			best = a
		}
	}
	if best != nil {
		cell = best.Cell
	}
	if cell.Expr == nil {
		throw("field-missing", diag.Span{})
	}
	value := v.eval(cell.Expr)
	if m.Kind.Fields[i].Type.Base == check.Quantity {
		v.s.within(m.Kind.Fields[i], value, "field-outside", diag.Span{})
	}
	return value
}

func (s *slow) inForce(w check.Window) bool {
	return (w.OrderOnly == nil || w.OrderOnly == s.order) && (!w.HasFrom || w.From <= s.day) && (!w.HasUntil || s.day < w.Until)
}

// over reports whether a lies over b: by layer, then by the day from which it holds, no day being the earliest.
func over(a, b check.Window) bool {
	switch {
	case a.Layer != b.Layer:
		return a.Layer > b.Layer
	case !a.HasFrom:
		return false
	case !b.HasFrom:
		return true
	}
	return a.From > b.From
}

// call chooses among the bodies in force by trying the topmost that is left, until a case holds.
func (v env) call(e *check.RuleCall) slowValue {
	r := e.Rule
	in := env{s: v.s, vars: map[int]func() slowValue{}}
	for i, a := range e.Args {
		if a != r.Params[i].Expr {
			in.set(i, v.eval(a))
		}
	}
	for i, p := range r.Params {
		if in.vars[i] == nil {
			in.set(i, in.eval(p.Expr))
		}
	}
	for i, p := range r.Params {
		if p.From != nil || p.To != nil {
			v.s.within(p, in.vars[i](), "parameter-outside", e.Span())
		}
	}
	left := append([]*check.Amendment{}, r.Amends...)
	for len(left) > 0 {
		top := 0
		for i, a := range left {
			if over(a.Window, left[top].Window) {
				top = i
			}
		}
		a := left[top]
		left = append(left[:top:top], left[top+1:]...)
		if !v.s.inForce(a.Window) {
			continue
		}
		if value, found := in.body(a.Body); found {
			return value
		}
	}
	if r.Base == nil {
		throw("rule-not-given", e.Span())
	}
	value, found := in.body(r.Base)
	if !found {
		throw("no-case", e.Span())
	}
	return value
}

func (v env) set(i int, value slowValue) { v.vars[i] = func() slowValue { return value } }

func (v env) body(b *check.Body) (slowValue, bool) {
	for _, l := range b.Locals {
		v.vars[l.Index] = func() slowValue { return v.eval(l.Expr) }
	}
	if b.Hit == check.Interpolated {
		return v.interpolate(b)
	}
	for _, k := range b.Cases {
		if k.When == nil || v.eval(k.When).yes() {
			return v.eval(k.Value), true
		}
	}
	return slowValue{}, false
}

func (v env) interpolate(b *check.Body) (slowValue, bool) {
	x := v.vars[b.Axis]().num
	var below, above *check.Case
	for _, k := range b.Cases {
		if k.When != nil && !v.eval(k.When).yes() {
			continue
		}
		at := k.Knot.Rat()
		if at.Cmp(x) <= 0 && (below == nil || at.Cmp(below.Knot.Rat()) > 0) {
			below = k
		}
		if at.Cmp(x) >= 0 && (above == nil || at.Cmp(above.Knot.Rat()) < 0) {
			above = k
		}
	}
	if below == nil || above == nil {
		return slowValue{}, false
	}
	low := v.eval(below.Value).num
	if below == above {
		return slowValue{num: low}, true
	}
	high := v.eval(above.Value).num
	share := new(big.Rat).Sub(x, below.Knot.Rat())
	share.Quo(share, new(big.Rat).Sub(above.Knot.Rat(), below.Knot.Rat()))
	rise := new(big.Rat).Sub(high, low)
	return slowValue{num: rise.Add(low, rise.Mul(rise, share))}, true
}

// loop runs the loops of a for each from depth on.
func (v env) loop(e *check.ForEach, depth int, items *[]slowValue) {
	if depth == len(e.Loops) {
		*items = append(*items, v.eval(e.Body))
		return
	}
	l := e.Loops[depth]
	for _, x := range v.valuesOf(l) {
		inner := v
		inner.vars = maps.Clone(v.vars)
		if inner.vars == nil {
			inner.vars = map[int]func() slowValue{}
		}
		inner.set(l.Var.Index, x)
		inner.loop(e, depth+1, items)
	}
}

func (v env) valuesOf(l check.Loop) (values []slowValue) {
	if l.Of != nil {
		return v.eval(l.Of).items
	}
	from, to := v.eval(l.From).num, v.eval(l.To).num
	for i := new(big.Rat).Set(from); i.Cmp(to) <= 0; i = new(big.Rat).Add(i, big.NewRat(1, 1)) {
		values = append(values, slowValue{num: i})
	}
	return values
}

func (v env) index(e *check.Index) slowValue {
	items := v.eval(e.X).items
	i := v.eval(e.I).num
	if !i.IsInt() || i.Sign() <= 0 || i.Cmp(big.NewRat(int64(len(items)), 1)) > 0 {
		throw("index-outside", e.Span())
	}
	return items[i.Num().Int64()-1]
}

func (v env) binary(e *check.Binary) slowValue {
	x := v.eval(e.X)
	switch e.Op {
	case lang.And:
		return truth(x.yes() && v.eval(e.Y).yes())
	case lang.Or:
		return truth(x.yes() || v.eval(e.Y).yes())
	}
	y := v.eval(e.Y)
	switch e.Op {
	case lang.Is, lang.IsNot:
		same := x.num.Cmp(y.num) == 0 && x.text == y.text && x.material == y.material
		return truth(same == (e.Op == lang.Is))
	case lang.By, lang.At:
		return slowValue{num: new(big.Rat), items: []slowValue{x, y}}
	case lang.Eq:
		return truth(x.num.Cmp(y.num) == 0)
	case lang.Lt:
		return truth(x.num.Cmp(y.num) < 0)
	case lang.Le:
		return truth(x.num.Cmp(y.num) <= 0)
	case lang.Gt:
		return truth(x.num.Cmp(y.num) > 0)
	case lang.Ge:
		return truth(x.num.Cmp(y.num) >= 0)
	}
	return slowValue{num: calculate(e, x.num, y.num)}
}

func calculate(e *check.Binary, x, y *big.Rat) *big.Rat {
	z := new(big.Rat)
	switch e.Op {
	case lang.Add:
		return z.Add(x, y)
	case lang.Sub:
		return z.Sub(x, y)
	case lang.Mul:
		return z.Mul(x, y)
	}
	if y.Sign() == 0 {
		throw("zero-divisor", e.Span())
	}
	z.Quo(x, y)
	if e.Op == lang.Mod {
		times := new(big.Rat).SetInt(floorOf(z))
		z.Sub(x, times.Mul(times, y))
	}
	return z
}

// floorOf is the greatest whole number not above r: Euclid's division by a denominator above 0.
func floorOf(r *big.Rat) *big.Int { return new(big.Int).Div(r.Num(), r.Denom()) }

func (v env) rounded(e *check.Rounded) slowValue {
	x, step := v.eval(e.X).num, v.eval(e.Step).num
	if step.Sign() <= 0 {
		throw("round-to-nothing", e.Step.Span())
	}
	ratio := new(big.Rat).Quo(x, step)
	times := new(big.Int)
	switch e.Way {
	case lang.RoundDown:
		times = floorOf(ratio)
	case lang.RoundUp:
		times.Neg(floorOf(ratio.Neg(ratio)))
	case lang.RoundTo:
		sign := int64(ratio.Sign())
		times = floorOf(ratio.Add(ratio.Abs(ratio), big.NewRat(1, 2)))
		times.Mul(times, big.NewInt(sign))
	}
	return slowValue{num: new(big.Rat).Mul(new(big.Rat).SetInt(times), step)}
}

func (v env) function(e *check.FuncCall) slowValue {
	args := v.all(e.Args)
	switch e.Func {
	case check.Abs:
		return slowValue{num: new(big.Rat).Abs(args[0].num)}
	case check.CountOf:
		return ratOf(int64(len(args[0].items)))
	case check.Sum:
		total := new(big.Rat)
		for _, item := range args[0].items {
			total.Add(total, item.num)
		}
		return slowValue{num: total}
	}
	if len(args) == 1 {
		args = args[0].items
	}
	if len(args) == 0 {
		throw("index-outside", e.Span())
	}
	switch e.Func {
	case check.FirstOf:
		return args[0]
	case check.LastOf:
		return args[len(args)-1]
	case check.MinOf:
		return furthest(args, -1)
	case check.MaxOf:
		return furthest(args, 1)
	}
	panic("the slow evaluator has no " + string(e.Func))
}

func furthest(values []slowValue, way int) slowValue {
	best := values[0]
	for _, x := range values[1:] {
		if x.num.Cmp(best.num)*way > 0 {
			best = x
		}
	}
	return best
}
