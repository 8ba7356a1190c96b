package eval

import (
	"squab/eval/check"
)

// loop is one variable of a for each, made ready.
type loop struct {
	slot     int
	from, to formula
	of       formula
}

func (c compiler) forEach(e *check.ForEach) formula {
	loops := make([]loop, len(e.Loops))
	for i, l := range e.Loops {
		loops[i] = c.loop(l)
	}
	body := c.compile(e.Body)
	size := stackOf(loops)
	return func(f *frame) check.Value {
		top := f.reserve(size)
		from := len(f.making)
		run := listRun{f: f, e: e, loops: loops, body: body, from: from}
		run.nest(0)
		f.top = top
		items := f.stock.Items(len(f.making) - from)
		copy(items, f.making[from:])
		f.making = f.making[:from]
		return f.stock.Object(items)
	}
}

// stackOf gives how much of the stack the loops' variables take, those of the loops around them included.
func stackOf(loops []loop) int {
	size := 0
	for _, l := range loops {
		size = max(size, l.slot+1)
	}
	return size
}

// reserve keeps so many slots from the base of the stack free of rules, and gives the top that was: a formula outside recipes and rules has no frame that did so before.
func (f *frame) reserve(size int) (top int) {
	top = f.top
	f.top = max(f.top, f.base+size)
	f.grow()
	return top
}

// grow makes the stack reach its top.
func (f *frame) grow() {
	for len(f.stack) < f.top {
		f.stack = append(f.stack, make([]check.Value, len(f.stack)+16)...)
	}
}

func (c compiler) loop(l check.Loop) loop {
	made := loop{slot: l.Var.Index}
	if l.Of != nil {
		made.of = c.compile(l.Of)
		return made
	}
	made.from, made.to = c.compile(l.From), c.compile(l.To)
	return made
}

// listRun is a list being made. Its items gather at the end of the frame's stock of lists in the making, so that a list takes no memory of its own.
type listRun struct {
	f     *frame
	e     *check.ForEach
	loops []loop
	body  formula
	from  int // where its items begin
}

// nest runs the loops from depth on, the last fastest.
func (r *listRun) nest(depth int) {
	if depth == len(r.loops) {
		r.add(r.body(r.f))
		return
	}
	l := r.loops[depth]
	if l.of != nil {
		for _, item := range l.of(r.f).Items() {
			if !r.one(depth, item) {
				return
			}
		}
		return
	}
	from, ok := l.from(r.f).Num.Int64()
	to, ok2 := l.to(r.f).Num.Int64()
	if !ok || !ok2 {
		r.tooLong()
		return
	}
	for i := from; i <= to; i++ {
		if !r.one(depth, check.Num(intNumber(i))) || i == to { // past the last number of all there is no next
			return
		}
	}
}

// one runs the inner loops for one value of a variable; false where there is no going on.
func (r *listRun) one(depth int, v check.Value) bool {
	f := r.f
	if !f.step(r.e.Span()) {
		return false
	}
	f.stack[f.base+r.loops[depth].slot] = v
	r.nest(depth + 1)
	return f.fault == nil
}

func (r *listRun) add(v check.Value) {
	if len(r.f.making)-r.from >= r.f.plan.limits.ListItems {
		r.tooLong()
		return
	}
	r.f.making = append(r.f.making, v)
}

func (r *listRun) tooLong() {
	r.f.fail(newFault("list-too-long", r.e.Span(), "this list would be longer than %d items", r.f.plan.limits.ListItems))
}
