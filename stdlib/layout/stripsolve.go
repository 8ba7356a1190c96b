package layout

import (
	"slices"
	"time"
)

// solve lays every copy in the least length it finds and proves what it can.
func (s *strip) solve(c *clock) (best plan, bound int64, why string) {
	bound, why = s.lowerBound()
	best = s.byHand()
	for _, p := range s.greedy(c) {
		if p.top < best.top {
			best = p
		}
	}
	if best.top == bound || c.most == 1 {
		return best, bound, why
	}
	if bars := s.barBound(c); bars > bound {
		bound, why = bars, "what can lie side by side on any line across the cloth"
		if best.top == bound {
			return best, bound, why
		}
	}
	if s.total <= maxExact {
		var proved bool
		best = s.round(best, bound, firstWidth, 0, c)
		if best, proved = s.exact(best, bound, c); proved {
			return best, best.top, "a search of every way to lie"
		}
	}
	return s.improve(best, bound, c), bound, why
}

// byHand lays rows in decreasing width, as on a bench: the next piece goes into
// the row or starts a new one.
func (s *strip) byHand() plan {
	var spots []spot
	base, x, top := int64(0), int64(0), int64(0)
	for _, k := range s.order(func(o *option) int64 { return o.wide }) {
		p, ok := s.inRow(k, x, base)
		if !ok {
			base = top
			p, _ = s.inRow(k, 0, base)
		}
		spots = append(spots, p)
		x = p.x + s.option(p).wide
		top = max(top, p.y+s.option(p).deep)
	}
	return s.measure(spots)
}

func (s *strip) inRow(k int, from, base int64) (spot, bool) {
	for oi := range s.kinds[k].options {
		o := &s.kinds[k].options[oi]
		for parity := int64(0); parity < s.columns(o); parity++ {
			if x := s.upX(o, from, parity); x+o.wide <= s.wide {
				return spot{k, oi, x, s.upY(o, x, base, parity)}, true
			}
		}
	}
	return spot{}, false
}

// order lists a kind once for each copy, by decreasing key of its first option.
func (s *strip) order(key func(*option) int64) []int {
	var order []int
	for k := range s.kinds {
		order = append(order, slices.Repeat([]int{k}, len(s.kinds[k].copies))...)
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return compareInt(key(&s.kinds[b].options[0]), key(&s.kinds[a].options[0]))
	})
	return order
}

func (s *strip) orders() [][]int {
	return [][]int{
		s.order(func(o *option) int64 { return o.wide }),
		s.order(func(o *option) int64 { return o.deep }),
		s.order(func(o *option) int64 { return o.wide * o.deep }),
		s.order(func(o *option) int64 { return o.wide + o.deep }),
	}
}

func (s *strip) greedy(c *clock) []plan {
	var plans []plan
	if s.plain() {
		plans = append(plans, s.bestFit())
	}
	for _, order := range s.orders() {
		plans = append(plans, s.greedySkyline(order))
		c.work += int64(len(order)) * 4
	}
	return plans
}

// trial is one slice: a beam towards a target length.
type trial struct {
	target int64
	lean   int64
	rough  int64
	tight  bool // narrowest niche first
	flip   bool
}

// firstWidth is the width of the first round of beams; maxWidth keeps the states of a
// beam within memory.
const (
	firstWidth = 3
	maxWidth   = 1 << 17
)

// improve runs rounds of beams, each round twice as wide as the last, until the
// bound is met or the effort is spent. A counted round is run whole or not at all,
// so that a longer search begins with what a shorter one did; by the clock the last
// rounds are as wide as there is time for.
func (s *strip) improve(best plan, bound int64, c *clock) plan {
	cost, took := s.firstCost(), time.Duration(0)
	for width, round := firstWidth, 0; best.top > bound && !c.over() && width < maxWidth; width, round = width*2, round+1 {
		switch share := c.affords(cost, took); {
		case c.most > 0 && (share < firstShare || round > 0 && share < leastShare):
			return best
		case c.most == 0:
			width = int(int64(width) * share / 1024)
		}
		if width < 2 {
			return best
		}
		before, began := c.work, time.Now()
		best = s.round(best, bound, width, round, c)
		cost, took = (c.work-before)*2, time.Since(began)*2
		if c.effort.Progress != nil {
			c.effort.Progress(Progress{Work: c.work, Used: best.top - s.gap, Bound: bound - s.gap})
		}
	}
	return best
}

// leastShare is how much of a counted round's cost must be left for it to begin, in
// 1024ths: it may spend more than there is, since else half the effort would be lost.
// firstShare is that of the first round, without which many pieces lie as a hand would
// lay them.
const (
	leastShare = 256
	firstShare = 128
)

// firstCost is about what the first round costs.
func (s *strip) firstCost() int64 {
	options := int64(0)
	for k := range s.kinds {
		options += int64(len(s.kinds[k].options))
	}
	return options * int64(s.total) * firstWidth * 8
}

// Up to fewCopies are bettered by a shuffled order early on, in rounds up to
// shuffledWidth, each as long as in that one.
const (
	fewCopies     = 20
	shuffledWidth = 24
)

// round goes several ways at once and keeps the best of what they find. Each is ended
// by its width alone.
func (s *strip) round(best plan, bound int64, width, round int, c *clock) plan {
	var ways []func(*meter) plan
	for _, t := range s.trials(best.top, bound, round) {
		ways = append(ways, func(m *meter) plan { return s.try(t, width, m) })
	}
	few := s.total <= fewCopies && width <= shuffledWidth
	if !s.plain() || s.total > 60 || few {
		times := width
		if few {
			times = shuffledWidth
		}
		ways = append(ways, func(m *meter) plan { return s.shuffle(best, times*s.total/4, random(round+1), m) })
	}
	plans, tasks := make([]plan, len(ways)), make([]func(*meter) bool, len(ways))
	for i, way := range ways {
		tasks[i] = func(m *meter) bool {
			m.most = 0
			plans[i] = way(m)
			return plans[i].spots != nil && plans[i].top <= bound
		}
	}
	won := c.slices(tasks)
	for _, p := range plans[:min(won+1, len(plans))] {
		if p.spots != nil && p.top < best.top {
			best = p
		}
	}
	return best
}

// trials are the beams of a round: some at the bound, the rest between it and the best.
func (s *strip) trials(best, bound int64, round int) []trial {
	ts := []trial{{target: bound, lean: 32, tight: true}, {target: bound, lean: 32, tight: true, flip: true}}
	if round%2 == 0 {
		ts = append(ts, trial{target: bound, lean: 4})
	}
	gap := best - bound
	if gap > 1 {
		middle := bound + gap/2
		ts = append(ts, trial{middle, 512, 5, true, false}, trial{middle, 512, 5, false, false}, trial{middle, 32, 0, true, true})
	}
	if gap > 3 {
		ts = append(ts, trial{bound + gap/4, 128, 5, true, false}, trial{best - max(1, gap/8), 128, 5, false, false})
	}
	if !s.plain() {
		ts = slices.DeleteFunc(ts, func(t trial) bool { return t.flip })
	}
	return ts
}

func (s *strip) try(t trial, width int, m *meter) plan {
	on, limit := s, t.target
	if t.flip {
		on, limit = s.flip(t.target), s.wide
	}
	b := newBeam(on, limit, width, m)
	b.lean, b.rough = t.lean, t.rough
	if t.tight {
		b.pick = narrowest
	}
	p, ok := b.run()
	switch {
	case ok && t.flip:
		return s.unflip(p)
	case !ok && t.flip: // what lies past the limit lies off the cloth
		return plan{}
	case !ok:
		return b.finished()
	}
	return p
}

// shuffle improves an order of laying by so many small changes, keeping what is no worse.
func (s *strip) shuffle(best plan, changes int, r random, m *meter) plan {
	order := orderOf(best)
	now := s.greedySkyline(order)
	for i := 0; i < changes && !m.spent(); i++ {
		m.count(int64(s.total) * 4)
		tried := slices.Clone(order)
		a, b := r.below(len(tried)), r.below(len(tried))
		if r.next()%2 == 0 {
			tried[a], tried[b] = tried[b], tried[a]
		} else {
			k := tried[a]
			tried = slices.Insert(slices.Delete(tried, a, a+1), b, k)
		}
		if p := s.greedySkyline(tried); p.top <= now.top {
			now, order = p, tried
		}
		if now.top < best.top {
			best = now
		}
	}
	return best
}

func orderOf(p plan) []int {
	spots := slices.Clone(p.spots)
	slices.SortStableFunc(spots, func(a, b spot) int {
		if c := compareInt(a.y, b.y); c != 0 {
			return c
		}
		return compareInt(a.x, b.x)
	})
	order := make([]int, len(spots))
	for i, s := range spots {
		order[i] = s.kind
	}
	return order
}
