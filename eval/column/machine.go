package column

import "slices"

// Machine runs a program for a block of orders. It is for one goroutine.
type Machine struct {
	p       *Program
	width   int     // the most orders in a block
	rows    int     // in the block in hand
	all     []int64 // the columns one after the other
	columns [][]int64
	lists   []buffer
	seen    []int64
}

// NewMachine makes a machine for blocks of at most width orders.
func (p *Program) NewMachine(width int) *Machine {
	m := &Machine{p: p, width: width, columns: make([][]int64, p.columns), lists: make([]buffer, p.lists), seen: make([]int64, width)}
	m.all = make([]int64, p.columns*width)
	for i := range m.columns {
		m.columns[i] = m.all[i*width : (i+1)*width : (i+1)*width]
	}
	for _, c := range p.consts {
		fill(m.columns[c.reg], c.value)
	}
	return m
}

func fill(column []int64, n int64) {
	for i := range column {
		column[i] = n
	}
}

// preset is a register that holds one number for every order.
type preset struct {
	reg   int32
	value int64
}

// finisher leaves out what nothing needs, and lets registers that are not needed at the same time share a column.
type finisher struct {
	live  []bool // registers
	lists []bool
	first []int // where a register is set
	last  []int // where it is last read
	loops []open
	at    int
	place []int32 // the column of each register
	free  []int32
	count int32
	ends  map[int][]int32
}

// open is a loop that is being walked: the registers from outside that it reads must outlive its last turn.
type open struct {
	start int
	reads []int32
}

// finish makes the program's final form.
func (b *builder) finish(p *Program, inputs []int32, read needs) {
	f := &finisher{live: make([]bool, b.regs), lists: make([]bool, b.lists), first: make([]int, b.regs), last: make([]int, b.regs), place: make([]int32, b.regs), ends: map[int][]int32{}}
	for _, reg := range read.regs {
		f.live[reg] = true
	}
	for _, l := range read.lists {
		f.lists[l] = true
	}
	main := b.blocks[0]
	f.sweep(main)
	f.walk(main)
	f.at++
	for _, reg := range slices.Concat(read.regs, inputs) {
		f.last[reg] = f.at
	}
	f.pin(b, p, inputs)
	for reg, end := range f.last {
		f.ends[end] = append(f.ends[end], int32(reg))
	}
	f.at = 0
	f.assign(main)
	p.main, p.columns, p.lists = main, int(f.count), int(b.lists)
	p.place = f.place
}

// pin gives inputs and constants columns of their own for good.
func (f *finisher) pin(b *builder, p *Program, inputs []int32) {
	for i := range f.place {
		f.place[i] = none
	}
	for _, reg := range inputs {
		f.place[reg] = f.column()
		f.last[reg] = -1
	}
	values := make([]int64, 0, len(b.consts))
	for v := range b.consts {
		values = append(values, v)
	}
	slices.Sort(values)
	for _, v := range values {
		reg := b.consts[v]
		if !f.live[reg] {
			continue
		}
		f.place[reg] = f.column()
		f.last[reg] = -1
		p.consts = append(p.consts, preset{f.place[reg], v})
	}
}

func (f *finisher) column() int32 {
	if n := len(f.free); n > 0 {
		c := f.free[n-1]
		f.free = f.free[:n-1]
		return c
	}
	f.count++
	return f.count - 1
}

// sweep keeps the operations of a block whose results are needed.
func (f *finisher) sweep(b *block) {
	var kept []instr
	for i := len(b.code) - 1; i >= 0; i-- {
		if in := b.code[i]; f.needed(&in) {
			for _, reg := range in.reads() {
				f.live[reg] = true
			}
			kept = append(kept, in)
		}
	}
	slices.Reverse(kept)
	b.code = kept
}

// needed reports whether anything needs an operation, and marks the lists that it reads.
func (f *finisher) needed(in *instr) bool {
	switch in.op {
	case opEmpty, opAppend:
		return f.lists[in.k]
	case opExtend:
		f.lists[in.m] = f.lists[in.m] || f.lists[in.k]
		return f.lists[in.k]
	case opLoop, opEach:
		f.sweep(in.loop.body)
		needed := len(in.loop.body.code) > 0
		if needed && in.op == opEach {
			f.lists[in.k] = true
		}
		return needed
	case opCount, opFold:
		f.lists[in.k] = f.lists[in.k] || f.live[in.dst]
	}
	return f.live[in.dst]
}

// reads lists the registers that an operation reads.
func (in *instr) reads() []int32 {
	switch in.op {
	case opSum, opAdd, opSub, opMul, opLess, opEqual, opAnd, opOr, opMin, opMax, opSigned, opFloor, opMod:
		return []int32{in.x, in.y}
	case opPick:
		return []int32{in.x, in.y, in.z}
	case opGatherOr:
		return []int32{in.dst, in.x, in.y}
	case opZero, opEmpty, opCount:
		return nil
	case opAppend:
		return append([]int32{in.x}, in.loop.vars...)
	case opLoop:
		return []int32{in.loop.from, in.loop.to, in.loop.outer}
	case opEach:
		return []int32{in.loop.outer}
	case opFold:
		if fold(in.shift) != foldAt {
			return nil
		}
	}
	return []int32{in.x}
}

// sets lists the registers that an operation sets.
func (in *instr) sets() []int32 {
	switch in.op {
	case opEmpty, opAppend, opExtend:
		return nil
	case opLoop:
		return []int32{in.loop.present, in.loop.v}
	case opEach:
		return append([]int32{in.loop.present}, in.loop.vars...)
	}
	return []int32{in.dst}
}

// walk notes where each register is first set and last read.
func (f *finisher) walk(b *block) {
	for i := range b.code {
		in := &b.code[i]
		f.at++
		for _, reg := range in.reads() {
			f.read(reg)
		}
		for _, reg := range in.sets() {
			if f.first[reg] == 0 {
				f.first[reg] = f.at
			}
			f.last[reg] = max(f.last[reg], f.at)
		}
		if in.op == opLoop || in.op == opEach {
			f.walkLoop(in)
		}
	}
}

func (f *finisher) read(reg int32) {
	f.last[reg] = f.at
	if n := len(f.loops); n > 0 && f.first[reg] < f.loops[n-1].start {
		f.loops[n-1].reads = append(f.loops[n-1].reads, reg)
	}
}

func (f *finisher) walkLoop(in *instr) {
	f.loops = append(f.loops, open{start: f.at})
	f.walk(in.loop.body)
	f.at++
	closed := f.loops[len(f.loops)-1]
	f.loops = f.loops[:len(f.loops)-1]
	for _, reg := range append(append(closed.reads, in.reads()...), in.sets()...) {
		f.read(reg)
	}
}

// assign gives every register a column, and frees it after it is last read.
func (f *finisher) assign(b *block) {
	for i := range b.code {
		in := &b.code[i]
		f.at++
		before := *in
		if in.op != opFold {
			f.release()
		}
		for _, reg := range in.sets() {
			if f.place[reg] == none {
				f.place[reg] = f.column()
			}
		}
		if in.op == opFold {
			f.release()
		}
		f.rename(in)
		if before.op == opLoop || before.op == opEach {
			f.assign(in.loop.body)
			f.at++
			f.release()
		}
	}
}

// release frees the columns of registers that are read here for the last time.
func (f *finisher) release() {
	for _, reg := range f.ends[f.at] {
		if f.place[reg] != none {
			f.free = append(f.free, f.place[reg])
		}
	}
}

// rename puts columns in the place of registers.
func (f *finisher) rename(in *instr) {
	for _, reg := range []*int32{&in.dst, &in.x, &in.y, &in.z} {
		if *reg != none && int(*reg) < len(f.place) {
			*reg = f.place[*reg]
		}
	}
	if in.loop == nil {
		return
	}
	l := *in.loop
	for _, reg := range []*int32{&l.outer, &l.present, &l.v, &l.from, &l.to} {
		if *reg != none {
			*reg = f.place[*reg]
		}
	}
	l.vars = slices.Clone(l.vars)
	for i, reg := range l.vars {
		l.vars[i] = f.place[reg]
	}
	in.loop = &l
}
