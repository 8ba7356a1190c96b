package spread

import (
	"squab/eval/check"
	"squab/eval/quantity"
)

// cells gives the range of each cut size and of how many are cut.
func (s *spreader) cells(a *Answer) {
	for _, p := range s.result.Pieces {
		for _, side := range []string{".wide", ".deep", ".long", ".count"} {
			slot := s.plan.Slot(p.Name + side)
			if slot < 0 {
				continue
			}
			v, _ := s.sheet.Value(slot)
			r := Range{Name: p.Name + side, Type: s.plan.Slots[slot].Cell.Type, Given: v.Num}
			s.find(a, r, target{
				over: func(w *walk) *number { return w.slot(slot).number },
				at:   func(p point) (quantity.Number, bool) { return s.slot(p, slot) },
			})
		}
	}
}

// find finds both ends of a range and takes it in.
func (s *spreader) find(a *Answer, r Range, t target) {
	r.Least, r.Most = s.end(t, true), s.end(t, false)
	for _, e := range []End{r.Least, r.Most} {
		p := s.given()
		for _, set := range e.Where {
			for i, in := range s.inputs {
				if in == set.Input {
					p[i] = set.Value
				}
			}
		}
		s.ends = append(s.ends, p)
	}
	a.Ranges = append(a.Ranges, r)
}

// lines gives the range of each purchase and of each line of the price.
func (s *spreader) lines(a *Answer) {
	s.ends = append(s.ends, s.extremes()...)
	for _, l := range s.result.Buy {
		m := l.Material
		s.find(a, Range{Name: "buy." + m.Name, Type: l.Type, Given: l.Buy}, target{
			over: func(w *walk) *number { n, _ := w.bought(m); return n },
			at:   func(p point) (quantity.Number, bool) { return s.buys(p, m) },
			made: true,
		})
	}
	for _, l := range s.result.Price {
		slot := s.plan.Slot("price." + l.Name)
		s.find(a, Range{Name: "price." + l.Name, Type: l.Type, Given: l.Value}, target{
			over: func(w *walk) *number { return w.slot(slot).number },
			at:   func(p point) (quantity.Number, bool) { return s.priced(p, slot) },
			made: true,
		})
	}
}

// extremes are the points at which every input is as low, or as high, as it can be.
func (s *spreader) extremes() []point {
	low, high := make(point, len(s.inputs)), make(point, len(s.inputs))
	for i, in := range s.inputs {
		low[i], high[i] = in.Low, in.High
	}
	return []point{low, high}
}

// buys gives how much of a material is bought at a point: nothing where none is.
func (s *spreader) buys(p point, m *check.Material) (quantity.Number, bool) {
	r := s.at(p).full()
	if r == nil {
		return quantity.Number{}, false
	}
	for _, l := range r.Buy {
		if l.Material == m {
			return l.Buy, true
		}
	}
	return quantity.Number{}, true
}

func (s *spreader) priced(p point, slot int) (quantity.Number, bool) {
	o := s.at(p)
	if o.full() == nil {
		return quantity.Number{}, false
	}
	v, fault := o.sheet.Value(slot)
	return v.Num, fault == nil
}

// sum gives a sum that the price is given, by its slot's name; false for any other slot.
func (w *walk) sum(name string) (*number, bool) {
	switch name {
	case "price.bought":
		return w.total(func(t *tally) { w.buying(t) }), true
	case "price.worked":
		return w.total(func(t *tally) { w.each(w.plan.Recipe, 0, t.works) }), true
	case "price.extras":
		return w.total(func(t *tally) { w.each(w.plan.Recipe, 0, t.charges) }), true
	}
	return nil, false
}

// tally adds numbers up; nil as soon as one of them is not known.
type tally struct {
	w   *walk
	sum *number
}

func (w *walk) total(fill func(*tally)) *number {
	t := &tally{w, fixed(quantity.Number{}, w.inputs())}
	fill(t)
	return t.sum
}

func (t *tally) add(n *number) {
	if n == nil || t.sum == nil {
		t.sum = nil
		return
	}
	t.sum = t.sum.plus(n, t.w.box)
}

// addWhen adds a number that is only charged where a condition holds.
func (t *tally) addWhen(home int, when *check.Cell, n func() *number) {
	switch t.w.made(home, when) {
	case holds:
		t.add(n())
	case open:
		t.sum = nil
	}
}

// made tells whether a statement of an instance counts: its condition holds, and of a part some are made.
func (w *walk) made(home int, when *check.Cell) truth {
	some := w.some(home)
	switch {
	case when == nil || some == fails:
		return some
	case some == holds || w.slot(home+when.Index).truth == fails:
		return w.slot(home + when.Index).truth
	}
	return open
}

func (w *walk) some(home int) truth {
	if home == 0 {
		return holds
	}
	off := w.off(home)
	switch none := (quantity.Number{}); {
	case off == nil:
		return open
	case less(none, off.lo):
		return holds
	case less(none, off.hi):
		return open
	}
	return fails
}

// each goes through a recipe and its parts.
func (w *walk) each(r *check.Recipe, home int, visit func(*check.Recipe, int)) {
	visit(r, home)
	for _, part := range r.Parts {
		w.each(part.Recipe, home+part.Offset, visit)
	}
}

func (t *tally) works(r *check.Recipe, home int) {
	for _, x := range r.Works {
		t.addWhen(home, x.When, func() *number {
			time := t.w.product(t.w.cell(home, x.Time), t.w.off(home))
			if x.Setup != nil {
				time = t.w.added(time, t.w.cell(home, x.Setup))
			}
			return cents(t.w.product(time, t.w.cell(home, x.Rate)))
		})
	}
}

func (t *tally) charges(r *check.Recipe, home int) {
	for _, x := range r.Charges {
		t.addWhen(home, x.When, func() *number { return t.w.cell(home, x.Value) })
	}
}

func (w *walk) cell(home int, c *check.Cell) *number { return w.slot(home + c.Index).number }

func (w *walk) off(home int) *number { return w.slot(home + check.OffIndex).number }

// product multiplies what is known.
func (w *walk) product(x, y *number) *number {
	if x == nil || y == nil {
		return nil
	}
	return x.times(y, w.box)
}

func (w *walk) added(x, y *number) *number {
	if x == nil || y == nil {
		return nil
	}
	return x.plus(y, w.box)
}

func (w *walk) quotient(x, y *number) *number {
	if x == nil || y == nil {
		return nil
	}
	return x.over(y, w.box)
}

func cents(n *number) *number {
	return roundedTo(n, quantity.Number.RoundNear, quantity.Frac(1, 100))
}

func roundedTo(n *number, round func(n, step quantity.Number) (quantity.Number, bool), step quantity.Number) *number {
	if n == nil {
		return nil
	}
	return n.rounded(round, step, false, false)
}

// buying adds up what the lines of the buying list cost.
func (w *walk) buying(t *tally) {
	for _, m := range w.plan.Program().Materials {
		_, cost := w.bought(m)
		t.add(cost)
	}
}

// bought gives how much of a material is bought, and what that costs; nil where it is not known, nothing where none is.
func (w *walk) bought(m *check.Material) (buy, cost *number) {
	need := w.need(m)
	if need == nil {
		return nil, nil
	}
	if isNothing(need) {
		return need, need
	}
	sold := w.step(m, "sold")
	charged := sold
	if m.Kind.Field("charged") != nil {
		charged = w.step(m, "charged")
	}
	return roundedUp(need, sold), cents(w.product(roundedUp(need, charged), w.named(m, "price")))
}

// roundedUp rounds up to a step, which no input may move.
func roundedUp(n, step *number) *number {
	if n == nil || step == nil {
		return nil
	}
	s, ok := step.constant()
	if !ok {
		return nil
	}
	return roundedTo(n, quantity.Number.RoundUp, s)
}

func (w *walk) named(m *check.Material, field string) *number {
	f := m.Kind.Field(field)
	if f == nil {
		return nil
	}
	return w.field(m, f.Index).number
}

// step is what a material is sold or charged by: one, for sheets and sticks that do not say.
func (w *walk) step(m *check.Material, field string) *number {
	if m.Kind.Field(field) == nil {
		return fixed(quantity.Int(1), w.inputs())
	}
	return w.named(m, field)
}

// need is how much of a material the order takes.
func (w *walk) need(m *check.Material) *number {
	t := &tally{w, fixed(quantity.Number{}, w.inputs())}
	if w.laid {
		w.layouts(t, m)
	} else {
		t.add(w.byArea(m, w.area(m)))
	}
	w.each(w.plan.Recipe, 0, func(r *check.Recipe, home int) { t.uses(r, home, m) })
	return t.sum
}

// area is that of the pieces that are cut from a material, or for a stick their length.
func (w *walk) area(m *check.Material) *number {
	return w.total(func(t *tally) {
		w.each(w.plan.Recipe, 0, func(r *check.Recipe, home int) { t.pieces(r, home, m) })
	})
}

// layouts adds what the order's layouts take of a material: as they were made, where no input moves what was laid, else nothing is known.
func (w *walk) layouts(t *tally, m *check.Material) {
	laid := false
	for i := range w.result.Layouts {
		l := &w.result.Layouts[i]
		laid = laid || l.Material == m
		for _, taken := range l.Takes() {
			if taken.Material != m {
				continue
			}
			if !w.unmoved(l) {
				t.sum = nil
				return
			}
			t.add(fixed(taken.Amount, w.inputs()))
		}
	}
	if area := w.area(m); !laid && (area == nil || !isNothing(area)) {
		t.sum = nil
	}
}

func isNothing(n *number) bool {
	k, ok := n.constant()
	return ok && k.Equal(quantity.Number{})
}

// from adds what is taken of a material; a material that is not certain makes the sum unknown.
func (t *tally) from(home int, material, when *check.Cell, m *check.Material, n func() *number) {
	if t.w.made(home, when) == fails {
		return
	}
	of := t.w.slot(home + material.Index)
	if of.known && of.words.Material() != m {
		return
	}
	if !of.known && material.Type.Kind != m.Kind {
		return
	}
	if !of.known {
		t.sum = nil
		return
	}
	t.addWhen(home, when, n)
}

// pieces adds the areas of pieces, or for sticks their lengths.
func (t *tally) pieces(r *check.Recipe, home int, m *check.Material) {
	for _, x := range r.Pieces {
		t.from(home, x.Material, x.When, m, func() *number {
			n := t.w.product(t.w.product(t.w.cell(home, x.Wide), t.w.cell(home, x.Count)), t.w.off(home))
			if x.Deep != nil {
				n = t.w.product(n, t.w.cell(home, x.Deep))
			}
			return n
		})
	}
}

func (t *tally) uses(r *check.Recipe, home int, m *check.Material) {
	for _, x := range r.Uses {
		t.from(home, x.Material, x.When, m, func() *number { return t.w.product(t.w.cell(home, x.Need), t.w.off(home)) })
	}
}

// byArea turns the area of pieces into what is taken of their material, as eval.Reckon does.
func (w *walk) byArea(m *check.Material, area *number) *number {
	switch m.Kind.Form {
	case check.Roll:
		return w.quotient(area, w.named(m, "usable"))
	case check.Sheet:
		return roundedUp(w.quotient(area, w.product(w.named(m, "wide"), w.named(m, "deep"))), fixed(quantity.Int(1), w.inputs()))
	case check.Stick:
		return roundedUp(w.quotient(area, w.named(m, "long")), fixed(quantity.Int(1), w.inputs()))
	}
	return area
}
