package column

// operand is a column of whole numbers or, with no register, one number for every order. Truths are 0 and -1, all bits set.
type operand struct {
	reg   int32 // constant where it is none
	depth int   // how many loops it is inside of
	b     bound
}

const none int32 = -1

func fixed(n int64) operand { return operand{reg: none, b: exactly(n)} }

func (x operand) isFixed() bool { return x.reg == none }

func (x operand) is(n int64) bool { return x.isFixed() && x.b.lo == n }

var (
	no  = fixed(0)
	yes = fixed(-1)
)

// instr is one operation on whole columns. Which of its parts count depends on op.
type instr struct {
	op         op
	dst        int32
	x, y, z    int32
	k, m       int64
	shift, off int64
	magic      uint64
	table      *table
	loop       *loop
}

// table is what gather looks values up in.
type table struct{ values []int64 }

// block is a run of operations: the program's own, or a loop's.
type block struct{ code []instr }

// builder makes the operations of a program. Registers are set once, so that equal operations can share one.
type builder struct {
	blocks  []*block // the program's, then those of the loops that are open
	same    map[instr]operand
	consts  map[int64]int32
	tables  map[string]*table
	regs    int32
	lists   int32
	nodes   int
	present operand // the orders for which the innermost open loop runs
	why     string  // why the formula in hand cannot be proven; "" where it can
}

func newBuilder() *builder {
	return &builder{blocks: []*block{{}}, same: map[instr]operand{}, consts: map[int64]int32{}, tables: map[string]*table{}, present: yes}
}

// fail notes why the formula in hand cannot be proven.
func (b *builder) fail(why string) {
	if b.why == "" {
		b.why = why
	}
}

func (b *builder) register() int32 {
	b.regs++
	return b.regs - 1
}

// load gives a register that holds an operand.
func (b *builder) load(x operand) int32 {
	if !x.isFixed() {
		return x.reg
	}
	reg, ok := b.consts[x.b.lo]
	if !ok {
		reg = b.register()
		b.consts[x.b.lo] = reg
	}
	return reg
}

// emit adds an operation where its operands are known: outside the loops that it does not depend on.
func (b *builder) emit(in instr, fits bool, result bound, operands ...operand) operand {
	if !fits {
		b.fail("its values may grow too large")
		return fixed(0)
	}
	if result.lo == result.hi {
		return fixed(result.lo)
	}
	if made, ok := b.same[in]; ok {
		return made
	}
	key := in
	in.dst = b.register()
	out := operand{reg: in.dst, depth: deepest(operands...), b: result}
	b.put(out.depth, in)
	b.same[key] = out
	return out
}

func deepest(operands ...operand) int {
	d := 0
	for _, x := range operands {
		d = max(d, x.depth)
	}
	return d
}

func (b *builder) put(depth int, in instr) {
	to := b.blocks[depth]
	to.code = append(to.code, in)
}

// scaled is x·k + m.
func (b *builder) scaled(x operand, k, m int64) operand {
	if k == 1 && m == 0 {
		return x
	}
	product, ok := x.b.scaled(k)
	result, ok2 := product.plus(exactly(m))
	return b.emit(instr{op: opScale, x: x.reg, k: k, m: m}, ok && ok2, result, x)
}

// sum is x·k + y·m.
func (b *builder) sum(x operand, k int64, y operand, m int64) operand {
	kx, ok := x.b.scaled(k)
	my, ok2 := y.b.scaled(m)
	result, ok3 := kx.plus(my)
	switch {
	case !ok || !ok2 || !ok3:
		b.fail("its values may grow too large")
		return fixed(0)
	case x.isFixed():
		return b.scaled(y, m, kx.lo)
	case y.isFixed():
		return b.scaled(x, k, my.lo)
	}
	in := instr{op: opSum, x: x.reg, y: y.reg, k: k, m: m}
	switch {
	case k == 1 && m == 1:
		in.op = opAdd
	case k == 1 && m == -1:
		in.op = opSub
	}
	return b.emit(in, true, result, x, y)
}

func (b *builder) product(x, y operand) operand {
	if x.isFixed() {
		x, y = y, x
	}
	if y.isFixed() {
		return b.scaled(x, y.b.lo, 0)
	}
	if y.reg < x.reg {
		x, y = y, x
	}
	result, ok := x.b.times(y.b)
	return b.emit(instr{op: opMul, x: x.reg, y: y.reg}, ok, result, x, y)
}

// less is the truth of x < y.
func (b *builder) less(x, y operand) operand {
	switch {
	case x.b.hi < y.b.lo:
		return yes
	case x.b.lo >= y.b.hi:
		return no
	case y.isFixed():
		return b.emit(instr{op: opLessThan, x: x.reg, k: y.b.lo}, true, truths, x)
	case x.isFixed():
		return b.not(b.less(y, fixed(x.b.lo+1)))
	}
	return b.emit(instr{op: opLess, x: x.reg, y: y.reg}, true, truths, x, y)
}

func (b *builder) equal(x, y operand) operand {
	if x.isFixed() {
		x, y = y, x
	}
	switch {
	case x.b.hi < y.b.lo || y.b.hi < x.b.lo:
		return no
	case x.isFixed() || x == y:
		return yes
	case y.isFixed():
		return b.emit(instr{op: opEqualTo, x: x.reg, k: y.b.lo}, true, truths, x)
	}
	return b.emit(instr{op: opEqual, x: x.reg, y: y.reg}, true, truths, x, y)
}

func (b *builder) not(x operand) operand {
	if x.isFixed() {
		return fixed(^x.b.lo)
	}
	return b.emit(instr{op: opNot, x: x.reg}, true, truths, x)
}

func (b *builder) and(x, y operand) operand {
	switch {
	case x.is(0) || y.is(0):
		return no
	case x.is(-1) || x == y:
		return y
	case y.is(-1):
		return x
	}
	return b.emit(instr{op: opAnd, x: x.reg, y: y.reg}, true, truths, x, y)
}

func (b *builder) or(x, y operand) operand {
	switch {
	case x.is(-1) || y.is(-1):
		return yes
	case x.is(0) || x == y:
		return y
	case y.is(0):
		return x
	}
	return b.emit(instr{op: opOr, x: x.reg, y: y.reg}, true, truths, x, y)
}

// pick is x where the mask is set and y elsewhere.
func (b *builder) pick(mask, x, y operand) operand {
	switch {
	case mask.is(-1) || x == y:
		return x
	case mask.is(0):
		return y
	case x.b == y.b && x.b.lo == x.b.hi:
		return fixed(x.b.lo)
	}
	if x.b.within(truths) == x.b && y.b.within(truths) == y.b {
		if out, ok := b.pickTruth(mask, x, y); ok {
			return out
		}
	}
	in := instr{op: opPick, x: b.load(x), y: b.load(y), z: mask.reg}
	return b.emit(in, true, x.b.and(y.b), mask, x, y)
}

// pickTruth is pick for two truths of which one is fixed.
func (b *builder) pickTruth(mask, x, y operand) (operand, bool) {
	switch {
	case x.is(0):
		return b.and(b.not(mask), y), true
	case y.is(0):
		return b.and(mask, x), true
	case x.is(-1):
		return b.or(mask, y), true
	case y.is(-1):
		return b.or(b.not(mask), x), true
	}
	return operand{}, false
}

// lesser and greater are the least and the most of two.
func (b *builder) lesser(x, y operand) operand {
	result := bound{min(x.b.lo, y.b.lo), min(x.b.hi, y.b.hi)}
	return b.extreme(opMin, x, y, result)
}

func (b *builder) greater(x, y operand) operand {
	result := bound{max(x.b.lo, y.b.lo), max(x.b.hi, y.b.hi)}
	return b.extreme(opMax, x, y, result)
}

func (b *builder) extreme(o op, x, y operand, result bound) operand {
	switch {
	case x == y:
		return x
	case result == x.b && (o == opMin && x.b.hi <= y.b.lo || o == opMax && x.b.lo >= y.b.hi):
		return x
	case result == y.b && (o == opMin && y.b.hi <= x.b.lo || o == opMax && y.b.lo >= x.b.hi):
		return y
	}
	return b.emit(instr{op: o, x: b.load(x), y: b.load(y)}, true, result, x, y)
}

func (b *builder) abs(x operand) operand {
	if x.b.lo >= 0 {
		return x
	}
	if x.b.hi <= 0 {
		return b.scaled(x, -1, 0)
	}
	return b.emit(instr{op: opAbs, x: x.reg}, true, bound{0, max(-x.b.lo, x.b.hi)}, x)
}

// signed is x with its sign turned where y is below 0.
func (b *builder) signed(x, y operand) operand {
	switch {
	case y.b.lo >= 0:
		return x
	case y.b.hi < 0:
		return b.scaled(x, -1, 0)
	}
	m := max(magnitude(x.b.lo), magnitude(x.b.hi))
	return b.emit(instr{op: opSigned, x: b.load(x), y: y.reg}, true, bound{-int64(m), int64(m)}, x, y)
}

// gather looks x up in values, whose first is for the least that x may be.
func (b *builder) gather(x operand, values []int64) operand {
	if x.isFixed() {
		return fixed(values[0])
	}
	result := exactly(values[0])
	for _, v := range values {
		result = result.and(exactly(v))
	}
	return b.emit(instr{op: opGather, x: x.reg, k: x.b.lo, table: b.intern(values)}, true, result, x)
}

// intern gives one table for equal values.
func (b *builder) intern(values []int64) *table {
	key := make([]byte, 0, 8*len(values))
	for _, v := range values {
		for s := 0; s < 64; s += 8 {
			key = append(key, byte(v>>s))
		}
	}
	t := b.tables[string(key)]
	if t == nil {
		t = &table{values}
		b.tables[string(key)] = t
	}
	return t
}
