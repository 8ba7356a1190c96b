package layout

import (
	"cmp"
	"math/bits"
	"slices"
)

// stickKind is a length as it uses up a stick: its own length less the nested
// mitre, with a kerf. Kinds of one class share a set-up length once a stick.
type stickKind struct {
	take  int64
	class int
	count int
	refs  []copyRef
}

// entry is a number of copies of one kind in a pattern.
type entry struct{ kind, count int }

// pattern is how one stick is cut.
type pattern struct {
	stock   int
	entries []entry
}

// cutting is the problem in one unit: what each stick holds, with a kerf, and costs.
type cutting struct {
	kinds  []stickKind
	holds  []int64
	costs  []int64
	limits []int
	setup  []int64 // of each class; class 0 is square and costs nothing
}

// knapsack finds the most valuable pattern for a stick.
type knapsack struct {
	c      *cutting
	values []int64
	most   []int
	order  []int
	items  []knapItem // of each place in order
	nodes  int64
	limit  int64
	enough int64
	others [][]entry
	meter  *meter
	have   []int
	taken  []entry
	value  int64
	best   int64
	found  []entry
	least  int64   // the shortest take
	shift  uint    // room is shifted by it to look up ones and twos
	ones   []int64 // the most that one more piece can be worth in a room
	twos   []int64 // and two more
}

// knapItem is a kind as the search reads it.
type knapItem struct{ take, value, most int64 }

// arrange puts the kinds in the order of the search.
func (k *knapsack) arrange() {
	slices.SortFunc(k.order, k.denser)
	k.items = make([]knapItem, len(k.order))
	for n, i := range k.order {
		k.items[n] = knapItem{k.c.kinds[i].take, k.values[i], int64(k.most[i])}
	}
}

// knapNodes is the search after which the table is tried instead.
const knapNodes = 60_000

// knapTable limits the table's cells.
const knapTable = 40_000_000

// maxOthers is how many good patterns one search passes on.
const maxOthers = 12

// worth is what a search for the most valuable pattern found: the patterns over
// what was enough, the best one last, its value, and whether none has more.
type worth struct {
	patterns [][]entry
	value    int64
	sure     bool
}

// mostValue seeks the most valuable pattern for a stick that holds so much. Where
// the search is cut short, a value over enough is taken unproved.
func (c *cutting) mostValue(values []int64, most []int, holds, enough int64, m *meter) worth {
	k := &knapsack{c: c, values: values, most: most, limit: knapNodes, enough: enough, meter: m, have: make([]int, len(c.setup))}
	for i, v := range values {
		if v > 0 && most[i] > 0 && c.kinds[i].take <= holds {
			k.order = append(k.order, i)
		}
	}
	k.arrange()
	k.search(0, holds)
	m.count(k.nodes)
	if k.nodes < k.limit || k.best > enough {
		return worth{append(k.others, k.found), k.best, k.nodes < k.limit}
	}
	if found, value, ok := k.table(holds); ok {
		return worth{append(k.others, found), value, true}
	}
	return worth{append(k.others, k.found), k.best, false}
}

// denser orders kinds by falling value for what they take.
func (k *knapsack) denser(a, b int) int {
	if c := k.compareDensity(b, a); c != 0 {
		return c
	}
	if c := cmp.Compare(k.c.kinds[b].take, k.c.kinds[a].take); c != 0 {
		return c
	}
	return a - b
}

// compareDensity compares value for what is taken; values may be below zero.
func (k *knapsack) compareDensity(a, b int) int {
	va, vb, ta, tb := k.values[a], k.values[b], k.c.kinds[a].take, k.c.kinds[b].take
	switch {
	case va >= 0 && vb >= 0:
		return cmpProducts(va, tb, vb, ta)
	case va < 0 && vb < 0:
		return cmpProducts(-vb, ta, -va, tb)
	}
	return cmp.Compare(va, vb)
}

func (k *knapsack) search(depth int, room int64) {
	if k.nodes++; k.nodes == lookupNodes && k.limit > fillNodes {
		k.buildLookup()
	}
	if k.value > k.best {
		k.best, k.found = k.value, slices.Clone(k.taken)
		if k.best > k.enough && len(k.others) < maxOthers {
			k.others = append(k.others, k.found)
		}
	}
	if k.nodes >= k.limit {
		return
	}
	for ; depth < len(k.order); depth++ {
		i := k.order[depth]
		if k.value+k.hope(depth, room) <= k.best {
			return
		}
		k.tryKind(depth, i, room)
	}
}

// hope is the most that the kinds from depth on can add: the densest whole, and a
// part of the first that no longer fits.
func (k *knapsack) hope(depth int, room int64) int64 {
	if k.ones != nil && room < 3*k.least {
		return k.lookup(room)
	}
	value := int64(0)
	for i := range k.items[depth:] {
		it := &k.items[depth+i]
		if it.value <= 0 {
			break
		}
		if it.take*it.most > room {
			n := room / it.take
			return value + n*it.value + boundValue(room-n*it.take, it.value, it.take)
		}
		value += it.most * it.value
		room -= it.take * it.most
	}
	return value
}

// lookupNodes is the search after which ones and twos are worth building.
const lookupNodes = 400

// lookupBits limits the rooms told apart.
const lookupBits = 16

// lookup is the most that one or two more pieces can add.
func (k *knapsack) lookup(room int64) int64 {
	switch {
	case room < k.least:
		return 0
	case room < 2*k.least:
		return k.ones[room>>k.shift]
	}
	return k.twos[room>>k.shift]
}

func (k *knapsack) buildLookup() {
	holds := int64(0)
	for _, h := range k.c.holds {
		holds = max(holds, h)
	}
	k.shift = uint(max(0, bits.Len64(uint64(holds))-lookupBits))
	size := holds>>k.shift + 1
	k.ones, k.twos = make([]int64, size), make([]int64, size)
	k.least = noWall
	for n, i := range k.order {
		k.least = min(k.least, k.c.kinds[i].take)
		k.lift(k.ones, k.c.kinds[i].take, k.values[i])
		for _, j := range k.order[n:] {
			k.lift(k.twos, k.c.kinds[i].take+k.c.kinds[j].take, k.values[i]+k.values[j])
		}
	}
	for b := range size {
		k.ones[b] = max(k.ones[b], k.ones[max(b-1, 0)])
		k.twos[b] = max(k.twos[b], k.ones[b], k.twos[max(b-1, 0)])
	}
}

func (k *knapsack) lift(table []int64, take, value int64) {
	if at := take >> k.shift; at < int64(len(table)) {
		table[at] = max(table[at], value)
	}
}

// tryKind takes as many of kind i as fit, then one less, down to one.
func (k *knapsack) tryKind(depth, i int, room int64) {
	kind := &k.c.kinds[i]
	if k.have[kind.class] == 0 {
		room -= k.c.setup[kind.class]
	}
	n := min(int64(k.most[i]), room/kind.take)
	k.have[kind.class]++
	for ; n > 0 && k.nodes < k.limit; n-- {
		k.taken = append(k.taken, entry{i, int(n)})
		k.value += n * k.values[i]
		k.search(depth+1, room-n*kind.take)
		k.value -= n * k.values[i]
		k.taken = k.taken[:len(k.taken)-1]
	}
	k.have[kind.class]--
}

// term is a block of copies of one kind, a power of two of them.
type term struct {
	kind, copies int
	reach        []uint64 // capacities at which the block is taken
}

// table solves the knapsack over every capacity.
func (k *knapsack) table(holds int64) ([]entry, int64, bool) {
	unit := holds
	for _, i := range k.order {
		unit = gcd(unit, k.c.kinds[i].take)
		unit = gcd(unit, k.c.setup[k.c.kinds[i].class])
	}
	size := int(holds/unit) + 1
	blocks := k.blocks()
	if unit == 0 || int64(size)*int64(len(blocks)+1) > knapTable {
		return nil, 0, false
	}
	k.meter.count(int64(size) * int64(len(blocks)) / 32)
	t := &knapTableau{k: k, unit: unit, size: size, value: make([]int64, size)}
	for class := range k.c.setup {
		t.addClass(class, blocks)
	}
	return t.trace(), t.value[size-1], true
}

func (k *knapsack) blocks() []term {
	var out []term
	for _, i := range k.order {
		for _, part := range halves(k.most[i]) {
			out = append(out, term{kind: i, copies: part})
		}
	}
	return out
}

// knapTableau is the table: the best value at each capacity, and how it arose.
type knapTableau struct {
	k     *knapsack
	unit  int64
	size  int
	value []int64
	done  []classStage
}

// classStage is one class: its blocks, and the capacities at which it is used.
type classStage struct {
	setup  int
	blocks []term
	used   []uint64
}

func (t *knapTableau) addClass(class int, blocks []term) {
	stage := classStage{setup: int(t.k.c.setup[class] / t.unit), used: make([]uint64, t.size/64+1)}
	for _, b := range blocks {
		if t.k.c.kinds[b.kind].class == class {
			stage.blocks = append(stage.blocks, b)
		}
	}
	if len(stage.blocks) == 0 {
		return
	}
	with := make([]int64, t.size)
	for c := range with {
		with[c] = -1
		if c >= stage.setup {
			with[c] = t.value[c-stage.setup]
		}
	}
	for i := range stage.blocks {
		t.addBlock(&stage.blocks[i], with)
	}
	for c := range with {
		if with[c] > t.value[c] {
			t.value[c] = with[c]
			stage.used[c/64] |= 1 << (c % 64)
		}
	}
	t.done = append(t.done, stage)
}

func (t *knapTableau) addBlock(b *term, with []int64) {
	take := int(t.k.c.kinds[b.kind].take * int64(b.copies) / t.unit)
	worth := t.k.values[b.kind] * int64(b.copies)
	b.reach = make([]uint64, t.size/64+1)
	for c := t.size - 1; c >= take; c-- {
		if before := with[c-take]; before >= 0 && before+worth > with[c] {
			with[c] = before + worth
			b.reach[c/64] |= 1 << (c % 64)
		}
	}
}

func (t *knapTableau) trace() []entry {
	counts := map[int]int{}
	at := t.size - 1
	for s := len(t.done) - 1; s >= 0; s-- {
		stage := &t.done[s]
		if stage.used[at/64]>>(at%64)&1 == 0 {
			continue
		}
		for i := len(stage.blocks) - 1; i >= 0; i-- {
			b := &stage.blocks[i]
			if b.reach[at/64]>>(at%64)&1 == 1 {
				counts[b.kind] += b.copies
				at -= int(t.k.c.kinds[b.kind].take * int64(b.copies) / t.unit)
			}
		}
		at -= stage.setup
	}
	var out []entry
	for _, i := range t.k.order {
		if counts[i] > 0 {
			out = append(out, entry{i, counts[i]})
		}
	}
	return out
}
