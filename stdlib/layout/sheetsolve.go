package layout

import (
	"cmp"
	"slices"
	"time"
)

// solve finds the cheapest plan it can and a proven cost.
func (b *board) solve(c *clock) (sheetPlan, int64, string) {
	bound, why := b.lowerBound()
	best := b.first(c)
	if b.met(best, bound) || c.most == 1 {
		return best, bound, why
	}
	if b.total <= maxShared {
		var proved bool
		best = b.round(best, bound, b.firstWidth(), c)
		if best, proved = b.share(best, bound, c); proved {
			return best, best.cost, "a search of every way to share out the pieces"
		}
	}
	return b.improve(best, bound, c), bound, why
}

// whole is true where every copy is laid.
func (b *board) whole(p sheetPlan) bool { return len(p.spots) == b.total }

// met is true where nothing can beat a plan.
func (b *board) met(p sheetPlan, bound int64) bool { return b.whole(p) && p.cost <= bound }

// first is the first answer.
func (b *board) first(c *clock) sheetPlan {
	best := b.shelves()
	if b.free && b.trials() <= maxBeamStart {
		if p := b.fillFree(1, c); p.better(best) {
			best = p
		}
	}
	return best
}

// firstWidth is the width of the first round of beams.
func (b *board) firstWidth() int { return max(1, min(8, 4000/(b.total+1))) }

// improve runs rounds of beams, each twice as wide as the last, until the bound is
// met or the effort is spent.
func (b *board) improve(best sheetPlan, bound int64, c *clock) sheetPlan {
	work, took := int64(b.total*len(b.kinds)*16), time.Duration(0)
	for width := b.firstWidth(); !b.met(best, bound) && !c.over() && width < maxWidth/4; width *= 2 {
		share := c.affords(work, took)
		if width = int(int64(width) * share / 1024); width < 1 {
			break
		}
		before, began := c.work, time.Now()
		best = b.round(best, bound, width, c)
		work, took = (c.work-before)*2, time.Since(began)*2
		if c.effort.Progress != nil {
			c.effort.Progress(Progress{Work: c.work, Used: best.cost, Bound: min(bound, best.cost)})
		}
	}
	return best
}

// round runs the beams of one width, over the cores.
func (b *board) round(best sheetPlan, bound int64, width int, c *clock) sheetPlan {
	leans := []int64{8, 64, 2}
	plans := make([]sheetPlan, len(leans)+1)
	var tasks []func(*meter) bool
	most := best.cost
	if !b.whole(best) {
		most = noWall
	}
	for i, lean := range leans {
		tasks = append(tasks, func(m *meter) bool {
			plans[i] = newSheetBeam(b, width, lean, most, m).run()
			return b.met(plans[i], bound)
		})
	}
	if b.free {
		tasks = append(tasks, func(m *meter) bool {
			plans[len(leans)] = b.fillFreeMetered(width, m)
			return b.met(plans[len(leans)], bound)
		})
	}
	won := c.slices(tasks)
	for i := range plans[:min(won+1, len(tasks))] {
		if plans[i].better(best) {
			best = plans[i]
		}
	}
	return best
}

// maxBeamStart is the most trials for which the first answer is a beam's. The beam of
// strips and rows tries other stocks only where a sheet ends.
const maxBeamStart = 10_000_000

// trials is how many times a copy is held against a stock while all are laid once.
func (b *board) trials() int { return b.total * len(b.kinds) * len(b.stocks) }

// shelves lays strips and rows by the narrowest beam, or plain rows where there are
// very many pieces, or not sheets enough for all.
func (b *board) shelves() sheetPlan {
	best := sheetPlan{}
	if b.total*len(b.kinds) <= maxBeamStart && b.trials() <= 10*maxBeamStart {
		best = newSheetBeam(b, 1, 8, noWall, &meter{}).run()
	}
	if !b.whole(best) {
		if p := b.rows(); p.better(best) {
			best = p
		}
	}
	return best
}

// rows lays rows, longest pieces first, on one sheet after another, the cheapest for
// their area first.
func (b *board) rows() sheetPlan {
	f := &rowFiller{b: b, left: b.counts()}
	for k := range b.kinds {
		f.order = append(f.order, k)
	}
	slices.SortStableFunc(f.order, func(p, q int) int {
		return cmp.Compare(b.kinds[q].options[0].deep, b.kinds[p].options[0].deep)
	})
	for _, s := range b.byCost() {
		for n := 0; n < b.stocks[s].limit && f.fillSheet(s); n++ {
		}
	}
	return f.plan
}

// byCost lists the stocks, the cheapest for their area first.
func (b *board) byCost() []int {
	order := make([]int, len(b.stocks))
	for s := range order {
		order[s] = s
	}
	slices.SortStableFunc(order, func(p, q int) int {
		s, t := &b.stocks[p], &b.stocks[q]
		return cmpProducts(s.cost, t.wide*t.deep, t.cost, s.wide*s.deep)
	})
	return order
}

// rowFiller lays rows across sheets.
type rowFiller struct {
	b     *board
	left  []uint16
	order []int
	plan  sheetPlan
}

// fillSheet fills one sheet by rows; false where nothing more goes on it.
func (f *rowFiller) fillSheet(stock int) bool {
	st := f.b.stocks[stock]
	row := int64(0)
	for deep := int64(1); deep > 0; row += deep {
		deep = f.fillRow(st, row, len(f.plan.sheets))
	}
	if row > 0 {
		f.plan.sheets = append(f.plan.sheets, stock)
		f.plan.cost += st.cost
	}
	f.order = slices.DeleteFunc(f.order, func(k int) bool { return f.left[k] == 0 })
	return row > 0
}

// fillRow lays one row from row on and returns how long it is, 0 where nothing fits.
func (f *rowFiller) fillRow(st boardStock, row int64, sheet int) int64 {
	x, deep := int64(0), int64(0)
	for _, k := range f.order {
		way := f.b.kinds[k].wayOnto(st)
		if way < 0 {
			continue
		}
		o := &f.b.kinds[k].options[way]
		for f.left[k] > 0 && x+o.wide <= st.wide && row+o.deep <= st.deep && (x == 0 || f.b.stages >= 2) {
			f.left[k]--
			f.plan.spots = append(f.plan.spots, sheetSpot{spot{k, way, x, row}, sheet})
			x, deep = x+o.wide, max(deep, o.deep)
		}
	}
	return deep
}

// wayOnto is the first option that fits a sheet, -1 for none.
func (k *kind) wayOnto(st boardStock) int {
	return slices.IndexFunc(k.options, func(o option) bool { return o.wide <= st.wide && o.deep <= st.deep })
}

// fillFree fills sheets one after another by the free skyline beam.
func (b *board) fillFree(width int, c *clock) sheetPlan {
	m := c.meter()
	defer func() { c.work += m.work }()
	return b.fillFreeMetered(width, m)
}

func (b *board) fillFreeMetered(width int, m *meter) sheetPlan {
	rest := *b
	rest.kinds = slices.Clone(b.kinds)
	p := sheetPlan{}
	used := make([]int, len(b.stocks))
	for left := b.total; left > 0 && !m.spent(); {
		stock, spots, area := -1, []spot(nil), int64(0)
		for s := range b.stocks {
			if used[s] >= b.stocks[s].limit {
				continue
			}
			got, laid := rest.fullest(s, width, m)
			if laid > 0 && (stock < 0 || cmpProducts(laid, b.stocks[stock].cost, area, b.stocks[s].cost) > 0) {
				stock, spots, area = s, got, laid
			}
		}
		if stock < 0 {
			break
		}
		rest.take(&p, stock, spots)
		used[stock]++
		left -= len(spots)
	}
	return p
}

func (b *board) take(p *sheetPlan, stock int, spots []spot) {
	for _, sp := range spots {
		b.kinds[sp.kind].copies = b.kinds[sp.kind].copies[1:]
		p.spots = append(p.spots, sheetSpot{sp, len(p.sheets)})
	}
	p.sheets = append(p.sheets, stock)
	p.cost += b.stocks[stock].cost
}

// fullest lays as much area as it can on one sheet.
func (b *board) fullest(stock, width int, m *meter) ([]spot, int64) {
	st := b.stocks[stock]
	s := &strip{wide: st.wide, kinds: b.kinds}
	for k := range s.kinds {
		s.total += len(s.kinds[k].copies)
		s.area += s.kinds[k].area * int64(len(s.kinds[k].copies))
	}
	beam := newBeam(s, st.deep, width, m)
	beam.budget = st.wide * st.deep
	return beam.most()
}
