package layout

// maxOnSheet is the most copies on one sheet that the oracle tells about.
const maxOnSheet = 10

// oracle tells whether a set of copies can be cut from one sheet. What it cannot
// tell ends the search that asks: it spends the meter.
type oracle struct {
	fronts
	free  bool
	known map[set]answer
}

type answer struct {
	fits  bool
	spots []spot // where only a free layout does
}

func newOracle(b *board, stock int, copies copySet, m *meter) *oracle {
	st := &b.stocks[stock]
	o := &oracle{free: b.free, known: map[set]answer{}}
	o.fronts = fronts{copySet: copies, kinds: b.kinds, whole: Size{st.wide, st.deep}, stages: b.most, meter: m, known: map[set][][2]front{}}
	if b.free {
		o.stages = 0
	}
	return o
}

// fits is true where the copies can lie on one sheet, or where it cannot tell.
func (o *oracle) fits(s set) bool {
	s = o.plain(s)
	known, ok := o.known[s]
	if !ok {
		known = o.find(s)
		o.known[s] = known
	}
	return known.fits
}

func (o *oracle) find(s set) answer {
	switch {
	case o.areaOf(s) > o.whole.Wide*o.whole.Deep:
		return answer{}
	case s.size() > maxOnSheet:
		o.meter.over = true
		return answer{fits: true}
	case o.cuttable(s):
		return answer{fits: true}
	case o.free:
		return o.search(s)
	}
	return answer{}
}

func (o *oracle) areaOf(s set) int64 {
	total := int64(0)
	for rest := s; rest != 0; rest &= rest - 1 {
		total += o.kinds[o.kind[rest.first()]].area
	}
	return total
}

// search looks for a layout without straight cuts.
func (o *oracle) search(s set) answer {
	on := &strip{wide: o.whole.Wide, kinds: make([]kind, len(o.kinds)), total: s.size(), area: o.areaOf(s)}
	e := envelope{strip: on, bound: o.whole.Deep, meter: o.meter, best: plan{top: o.whole.Deep + 1}, rest: on.area}
	for k := range o.kinds {
		on.kinds[k] = o.kinds[k]
		e.left = append(e.left, (s & o.ranges[k]).size())
	}
	e.search()
	return answer{fits: e.best.spots != nil || o.meter.over, spots: e.best.spots}
}

// lay tells where the copies of a set that fits lie.
func (o *oracle) lay(s set) []spot {
	s = o.plain(s)
	if known := o.known[s]; known.spots != nil {
		return known.spots
	}
	return o.fronts.lay(s)
}
