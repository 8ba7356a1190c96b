package eval

import (
	"squab/eval/check"
	"squab/eval/column"
	"squab/lang/diag"
)

// Series works orders out as Engine.Work does, many at a time, and uses its room again. It is for one goroutine.
type Series struct {
	CutListOnly bool // a result need hold nothing but its pieces; a layout is then never asked for

	engine  *Engine
	builder resultBuilder
	batches map[*Plan]*Batch // by the plan that days share; nil where it has no columns
	sheets  map[*Plan]*Sheet
	counts  Counts
	columns Orders
	taken   []bool // the orders of the block in hand that a batch has taken
	batch   []*check.Order
	places  []int // of the batch's orders in the block
	plans   []*Plan
}

// NewSeries makes a series.
func (e *Engine) NewSeries() *Series {
	return &Series{engine: e, builder: resultBuilder{r: &Result{}}, batches: map[*Plan]*Batch{}, sheets: map[*Plan]*Sheet{}}
}

// enoughSideBySide is how many orders of one plan it takes to work them out by columns: a batch costs what some hundred orders do, once.
const enoughSideBySide = 128

// Counts tells what was worked out by columns so far, and what of it was not. Orders that came alone are not in it.
func (s *Series) Counts() Counts { return s.counts }

// Work works orders out, each by the rules of its day, and calls each for every one of them once, in an order of its own. A result is good until the next.
func (s *Series) Work(orders []*check.Order, days []int64, each func(i int, r *Result, problems []diag.Diagnostic)) {
	s.plans = s.plans[:0]
	for i, o := range orders {
		s.plans = append(s.plans, s.engine.Plan(o.Recipe, days[i], o))
	}
	s.taken = append(s.taken[:0], make([]bool, len(orders))...)
	for i, o := range orders {
		switch {
		case s.taken[i]:
		case len(orders)-i >= enoughSideBySide && s.take(i, orders):
			s.sideBySide(each)
		default:
			sheet := s.sheetOf(s.plans[i])
			sheet.Fill(o)
			r, problems := s.builder.finish(s.engine, sheet)
			each(i, r, problems)
		}
	}
}

// take gathers the orders that share the i-th one's plan but for the day; false where they are not worth a batch.
func (s *Series) take(i int, orders []*check.Order) bool {
	s.batch, s.places = s.batch[:0], s.places[:0]
	for j := i; j < len(orders); j++ {
		if s.plans[j].shared == s.plans[i].shared {
			s.batch, s.places = append(s.batch, orders[j]), append(s.places, j)
		}
	}
	if len(s.batch) < enoughSideBySide || s.batchOf(s.plans[i].shared) == nil {
		return false
	}
	for _, j := range s.places {
		s.taken[j] = true
	}
	return true
}

func (s *Series) batchOf(p *Plan) *Batch {
	b, known := s.batches[p]
	if !known {
		b, _ = s.newBatch(p) // without one, orders are worked out one by one
		s.batches[p] = b
	}
	return b
}

func (s *Series) newBatch(p *Plan) (*Batch, error) {
	if s.CutListOnly && s.engine.Lay == nil {
		b, err := p.batch(column.ByArea, p.pieceSlots())
		if err == nil && b.Unjudged() == "" {
			return b, nil
		}
	}
	return p.batch(column.NotJudged, p.sequence)
}

func (s *Series) sheetOf(p *Plan) *Sheet {
	sheet := s.sheets[p]
	if sheet == nil {
		sheet = p.NewSheet()
		s.sheets[p] = sheet
	}
	return sheet
}

// sideBySide works the orders out that were taken.
func (s *Series) sideBySide(each func(int, *Result, []diag.Diagnostic)) {
	b := s.batchOf(s.plans[s.places[0]].shared)
	b.counts = Counts{}
	s.giveColumns(b.plan.Recipe)
	b.Run(s.columns, func(i int, row Row) {
		sheet := s.sheetOf(s.plans[s.places[i]])
		r, problems := s.finish(row, sheet, s.batch[i])
		each(s.places[i], r, problems)
	})
	s.counts = s.counts.Plus(b.counts)
}

// finish makes a row's result. Where nothing refuses the order, the cells that its pieces are made of are enough for a cut list.
func (s *Series) finish(row Row, sheet *Sheet, o *check.Order) (*Result, []diag.Diagnostic) {
	switch {
	case row.b.judge == column.NotJudged:
		row.fill(sheet, o)
	case row.Sound():
		row.fillSound(sheet, o)
		return s.builder.cutList(sheet), nil
	default:
		s.counts.Apart++
		sheet.Fill(o)
	}
	return s.builder.finish(s.engine, sheet)
}

// giveColumns makes the columns of what the orders give.
func (s *Series) giveColumns(r *check.Recipe) {
	c := &s.columns
	c.Count = len(s.batch)
	c.Off, c.Days = c.Off[:0], c.Days[:0]
	for len(c.Asks) < len(r.Asks) {
		c.Asks = append(c.Asks, nil)
	}
	c.Asks = c.Asks[:len(r.Asks)]
	for k := range c.Asks {
		c.Asks[k] = c.Asks[k][:0]
	}
	for i, o := range s.batch {
		sheet := s.sheetOf(s.plans[s.places[i]])
		c.Off = append(c.Off, sheet.offOf(o))
		c.Days = append(c.Days, sheet.Plan.Day)
		for k, ask := range r.Asks {
			v := NotGiven()
			if cell := o.Given[ask.Index]; cell != nil {
				v = sheet.giveValue(cell)
			}
			c.Asks[k] = append(c.Asks[k], v)
		}
	}
}
