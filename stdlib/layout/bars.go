package layout

import "slices"

// A bar is a straight line across the cloth. What lies on any one bar fits side by
// side, so prices that make no bar worth more than one make the pieces, each worth
// its price times its length, prove a length (the bar relaxation of Scheithauer
// 1999, from memory). A linear programme proposes the prices; whole numbers prove.

// way is an option of a kind as a bar crosses it.
type way struct {
	kind  int
	wide  int64
	from  int64 // where it may start across, modulo the repeat
	pitch int64 // its length, up to where another piece may start next
}

// bars seeks prices for the copies of a strip.
type bars struct {
	strip  *strip
	meter  *meter
	ways   []way
	most   []int // copies of each way
	counts []int // of each kind
	unit   int64 // the longest pitch: the programme's unit of length
	first  int64 // no copy starts before it
	over   int64 // the most that a pitch is over a length
	p      *programme
}

// Limits on the programme of the bars. The least that it may work is the same for
// every effort, so that a longer search has the targets of a shorter one.
const (
	maxBarKinds   = 150
	maxBarTable   = 1 << 16
	barsWork      = 600_000
	leastBarsWork = 60_000
)

// barScale turns the programme's prices into whole numbers; maxBarValue keeps the
// value of a bar inside int64.
const (
	barScale    = 1 << 24
	maxBarValue = 1 << 40
)

// barBound is a length, with the far gap, that no laying can beat; 0 where nothing
// is proved within the effort.
func (s *strip) barBound(c *clock) int64 {
	b := &bars{strip: s, meter: &meter{ctx: c.ctx, deadline: c.deadline, most: barsWork}}
	if c.most > 0 {
		b.meter.most = min(barsWork, max(leastBarsWork, (c.most-c.work)/4))
	}
	if len(s.kinds) > maxBarKinds || s.patternedAcross() && s.wide > maxBarTable {
		return 0
	}
	b.gather()
	best := b.improve()
	c.work += b.meter.work
	return best
}

func (s *strip) patternedAcross() bool { return s.repeat.Across > 0 && !s.plain() }

func (b *bars) gather() {
	for k := range b.strip.kinds {
		n := len(b.strip.kinds[k].copies)
		b.counts = append(b.counts, n)
		for i := range b.strip.kinds[k].options {
			o := &b.strip.kinds[k].options[i]
			b.ways = append(b.ways, way{kind: k, wide: o.wide, from: b.strip.fromAcross(o), pitch: o.deep})
			b.most = append(b.most, n)
		}
	}
	b.stretch()
	for _, w := range b.ways {
		b.unit = max(b.unit, w.pitch)
	}
}

// fromAcross is where an option may start across, modulo the repeat; -1 for anywhere.
func (s *strip) fromAcross(o *option) int64 {
	if !o.matched || s.repeat.Across == 0 {
		return -1
	}
	return upTo(0, s.repeat.First.X-o.match.X, s.repeat.Across)
}

// stretch lengthens pitches to where the motif lets another copy start. Every
// layout so stretched is longer by no more than the longest stretch.
func (b *bars) stretch() {
	s, starts := b.strip, []int64{}
	if s.repeat.Along == 0 {
		return
	}
	for _, w := range s.options() {
		if !w.matched {
			return
		}
		starts = append(starts, upTo(0, s.repeat.First.Y-w.match.Y, s.motifStep()))
	}
	b.first = slices.Min(starts)
	for i := range b.ways {
		long := b.ways[i].pitch
		b.ways[i].pitch = b.nextStart(i, starts)
		b.over = max(b.over, b.ways[i].pitch-long)
	}
}

// nextStart is the least pitch at which another copy may follow a way.
func (b *bars) nextStart(at int, starts []int64) int64 {
	w, least := &b.ways[at], noWall
	for j, start := range starts {
		if b.ways[j].kind != w.kind || b.counts[w.kind] > 1 {
			least = min(least, upTo(starts[at]+w.pitch, start, b.strip.motifStep())-starts[at])
		}
	}
	if least == noWall {
		return w.pitch
	}
	return least
}

// improve adds bars to the programme until none is worth more than one.
func (b *bars) improve() int64 {
	demand := make([]float64, len(b.counts))
	for k, n := range b.counts {
		demand[k] = float64(n)
	}
	b.p = newProgramme(demand, nil)
	best := int64(0)
	for !b.meter.spent() {
		b.p.solve(b.meter)
		values := b.values()
		bar, value, sure := b.dearest(values)
		if sure && value > 0 {
			best = max(best, b.proved(values, value))
		}
		if bar == nil || value <= barScale+barScale/100_000 || !b.add(bar) {
			break
		}
	}
	return best
}

// values are the ways' worth a unit of bar.
func (b *bars) values() []int64 {
	values := make([]int64, len(b.ways))
	for i, w := range b.ways {
		price := int64(max(0, min(dearest, b.p.price[w.kind])) * barScale)
		values[i] = min(maxBarValue, mulDiv(price, b.unit, w.pitch))
	}
	return values
}

// proved is the length that values prove where no bar is worth more than most.
func (b *bars) proved(values []int64, most int64) int64 {
	worth := slices.Repeat([]int64{noWall}, len(b.counts))
	for i, w := range b.ways {
		worth[w.kind] = min(worth[w.kind], mulDiv(values[i], w.pitch, 1))
	}
	one := cutting{costs: []int64{1}}
	return b.first + one.provenCost(worth, b.counts, []int64{most}) - b.over
}

func (b *bars) add(bar []entry) bool {
	c := column{cost: 1, cut: -1, by: make([]float64, len(b.counts))}
	for k := range b.counts {
		c.rows = append(c.rows, k)
	}
	for _, e := range bar {
		w := &b.ways[e.kind]
		c.by[w.kind] += float64(float64(e.count) * float64(b.unit) / float64(w.pitch))
	}
	if b.p.reduced(&c) >= -tiny {
		return false
	}
	b.p.add(c)
	return true
}

// dearest is the most valuable bar.
func (b *bars) dearest(values []int64) (bar []entry, value int64, sure bool) {
	if b.strip.patternedAcross() {
		bar, value = b.onMotif(values)
		return bar, value, true
	}
	c := &cutting{holds: []int64{b.strip.wide}, setup: []int64{0}}
	for _, w := range b.ways {
		c.kinds = append(c.kinds, stickKind{take: w.wide})
	}
	w := c.mostValue(values, b.most, b.strip.wide, noWall, b.meter)
	b.meter.count(int64(len(b.ways)))
	return w.patterns[len(w.patterns)-1], w.value, w.sure
}

// onMotif is the most valuable bar where ways start on the motif, from every place
// across; a way may come more often than it has copies.
func (b *bars) onMotif(values []int64) ([]entry, int64) {
	value, how := make([]int64, b.strip.wide+1), make([]int, b.strip.wide+1)
	b.meter.count(int64(len(value)*len(b.ways)) / 16)
	for x := int64(1); x < int64(len(value)); x++ {
		value[x], how[x] = value[x-1], -1
		for i := range b.ways {
			w := &b.ways[i]
			at := x - w.wide
			if at < 0 || w.from >= 0 && at%b.strip.repeat.Across != w.from {
				continue
			}
			if v := value[at] + values[i]; v > value[x] {
				value[x], how[x] = v, i
			}
		}
	}
	return b.trace(how), value[len(value)-1]
}

func (b *bars) trace(how []int) []entry {
	counts := make([]int, len(b.ways))
	for x := int64(len(how) - 1); x > 0; {
		if how[x] < 0 {
			x--
			continue
		}
		counts[how[x]]++
		x -= b.ways[how[x]].wide
	}
	var out []entry
	for i, n := range counts {
		if n > 0 {
			out = append(out, entry{i, n})
		}
	}
	return out
}
