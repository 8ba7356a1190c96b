package column

// loop is what runs once for each item of a list. A register in it is none where there is nothing to set.
type loop struct {
	body    *block
	outer   int32 // where the loop around it runs
	present int32 // set to where this one runs
	v       int32 // the variable of a counted loop
	from    int32
	to      int32
	most    int64   // no turn sets v past it, so that what reads it stays within its bound where the loop has ended
	vars    []int32 // the variables of a loop over a list, and the columns of an item that is appended
	scales  []int64 // of the columns of items that are added to another list
}

// fold is a way to make one column of a list's.
type fold int64

const (
	foldSum fold = iota
	foldMin
	foldMax
	foldFirst
	foldLast
	foldAt
)

// buffer holds a list for every order: its items in turn, each where it is present and then its columns.
type buffer struct {
	columns [][]int64
	arity   int
	items   int
}

// item gives where an item is present, and its columns.
func (b *buffer) item(i int) (present []int64, columns [][]int64) {
	at := i * (b.arity + 1)
	return b.columns[at], b.columns[at+1 : at+1+b.arity]
}

// add makes room for one item more.
func (b *buffer) add(width int) (present []int64, columns [][]int64) {
	b.items++
	for len(b.columns) < b.items*(b.arity+1) {
		b.columns = append(b.columns, make([]int64, width))
	}
	return b.item(b.items - 1)
}

func empty(m *Machine, in *instr) {
	m.lists[in.k].items = 0
	m.lists[in.k].arity = int(in.m)
}

func appendItem(m *Machine, in *instr) {
	present, columns := m.lists[in.k].add(m.width)
	copy(present, m.column(in.x))
	for c, reg := range in.loop.vars {
		copy(columns[c], m.column(reg))
	}
}

func extend(m *Machine, in *instr) {
	mask := m.column(in.x)
	from := &m.lists[in.m]
	for i := range from.items {
		there, columns := from.item(i)
		present, to := m.lists[in.k].add(m.width)
		for r := range mask {
			present[r] = there[r] & mask[r]
		}
		for c, k := range in.loop.scales {
			for r := range mask {
				to[c][r] = columns[c][r] * k
			}
		}
	}
}

// run runs a block of operations.
func (m *Machine) run(b *block) {
	if m.width == 1 {
		m.runOne(b)
		return
	}
	for i := range b.code {
		m.other(&b.code[i])
	}
}

// count runs a counted loop as often as the order that needs most turns.
func (m *Machine) count(l *loop) {
	from, to, outer := m.column(l.from), m.column(l.to), m.column(l.outer)
	v, present := m.column(l.v), m.column(l.present)
	turns := int64(0)
	for r := range from {
		turns = max(turns, (to[r]-from[r]+1)&outer[r])
	}
	for t := range turns {
		for r := range from {
			v[r] = min(from[r]+t, l.most)
			present[r] = outer[r] &^ ((to[r] - from[r] - t) >> 63)
		}
		m.run(l.body)
	}
}

// each runs a loop over the items of a list.
func (m *Machine) each(l *loop, list int) {
	outer, present := m.column(l.outer), m.column(l.present)
	for i := range m.lists[list].items {
		there, columns := m.lists[list].item(i)
		for r := range outer {
			present[r] = outer[r] & there[r]
		}
		for c, reg := range l.vars {
			copy(m.column(reg), columns[c])
		}
		m.run(l.body)
	}
}

func countItems(m *Machine, in *instr) {
	d := m.column(in.dst)
	clear(d)
	list := &m.lists[in.k]
	for i := range list.items {
		present, _ := list.item(i)
		for r := range d {
			d[r] -= present[r]
		}
	}
}

// foldList folds one column of a list. What no item decides is the item before, or the bound that the operation carries in off.
func foldList(m *Machine, in *instr) {
	d := m.column(in.dst)
	for r := range d {
		d[r] = in.off
	}
	var seen []int64
	if way := fold(in.shift); way == foldAt || way == foldFirst {
		seen = m.seen[:len(d)]
		clear(seen)
	}
	list := &m.lists[in.k]
	for i := range list.items {
		present, columns := list.item(i)
		m.foldItem(in, d, seen, present[:len(d)], columns[in.m][:len(d)])
	}
}

func (m *Machine) foldItem(in *instr, d, seen, present, x []int64) {
	switch fold(in.shift) {
	case foldSum:
		for r := range d {
			d[r] += x[r] & present[r]
		}
	case foldLast:
		for r := range d {
			d[r] ^= (d[r] ^ x[r]) & present[r]
		}
	case foldMin:
		for r := range d {
			d[r] ^= (d[r] ^ min(d[r], x[r])) & present[r]
		}
	case foldMax:
		for r := range d {
			d[r] ^= (d[r] ^ max(d[r], x[r])) & present[r]
		}
	case foldFirst:
		for r := range d {
			d[r] ^= (d[r] ^ x[r]) & present[r] &^ seen[r]
			seen[r] |= present[r]
		}
	case foldAt:
		at := m.column(in.x)[:len(d)]
		for r := range d {
			seen[r] -= present[r]
			d[r] ^= (d[r] ^ x[r]) & present[r] & isZero(seen[r]-at[r])
		}
	}
}
