package print

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"squab/eval/audit"
	"squab/eval/quantity"
)

// CompareResults compares two results of cut, order by order. What made a change cannot be told from results, but for the asks that changed with it:
// these stand as the causes of all changes of their order, and a note says so. The error names the number that cannot be read.
func CompareResults(before, after Results) (Compared, error) {
	c := resultsComparer{out: Compared{Schema: Schema, Of: OfResults, Changes: []Change{}, Added: []string{}, Removed: []string{}, Totals: []Total{}},
		old: sidesOf(before), new: sidesOf(after)}
	for _, o := range c.old.order {
		c.compare(o)
	}
	for _, id := range c.new.order {
		if c.old.byID[id] == nil {
			c.out.Added = append(c.out.Added, id)
		}
	}
	for _, s := range c.sums {
		c.out.addTotal(s.total())
	}
	c.out.Total.Name = priceTotal
	c.out.settle()
	c.out.Notes = notesOf(before, after)
	return c.out, c.err
}

func notesOf(before, after Results) []string {
	if before.Rules == after.Rules {
		return []string{"Both results come of the same files of rules: what differs comes of the orders, of --set, or of the day."}
	}
	return []string{"The results come of different files. Which rule made a change cannot be told from results, only which asks changed with it: compare the files."}
}

// resultSide is the orders of one result: order holds their ids as they stand, the refused last.
type resultSide struct {
	order []string
	byID  map[string]*resultOrder
	again map[string]int // how many more times a number stands
}

// resultOrder is an order as it came out. worked is nil where it was refused.
type resultOrder struct {
	worked *Order
	facts  []namedValue
}

type namedValue struct {
	name  string
	value Value
}

func sidesOf(r Results) resultSide {
	s := resultSide{byID: map[string]*resultOrder{}, again: map[string]int{}}
	for i := range r.Orders {
		s.add(r.Orders[i].ID, &resultOrder{&r.Orders[i], r.Orders[i].facts()})
	}
	for _, refused := range r.Refused {
		why := ""
		if len(refused.Problems) > 0 {
			why = refused.Problems[0].Message
		}
		s.add(refused.Order, &resultOrder{nil, []namedValue{{audit.Refused, Value{Text: why}}}})
	}
	return s
}

// add takes an order in; of a number that stands twice, the further ones are told apart.
func (s *resultSide) add(id string, o *resultOrder) {
	name := id
	for s.byID[name] != nil {
		s.again[id]++
		name = fmt.Sprintf("%s (%d)", id, s.again[id]+1)
	}
	s.order = append(s.order, name)
	s.byID[name] = o
}

// factList is what an order comes to, under the names that audit.Facts gives.
type factList []namedValue

func (f *factList) add(name string, q Quantity) {
	*f = append(*f, namedValue{name, Value{Quantity: &q}})
}

func (o *Order) facts() []namedValue {
	var all factList
	for _, p := range o.Pieces {
		all.piece(p)
	}
	for _, m := range o.Marks {
		all.marks(m)
	}
	for _, l := range o.Buy {
		all.add("buy."+l.Material, l.Buy)
		all.add("cost."+l.Material, l.Cost)
	}
	for _, l := range o.Work {
		all.add("time."+l.Name, l.Time)
		all.add("work."+l.Name, l.Cost)
	}
	for _, l := range o.Charges {
		all.add("charge."+l.name, l.value)
	}
	for _, l := range o.Price {
		all.add("price."+l.name, l.value)
	}
	return all
}

func (f *factList) piece(p Piece) {
	f.add(p.Name+".wide", p.Wide)
	if p.Deep != nil {
		f.add(p.Name+".deep", *p.Deep)
	}
	if p.Thick != nil {
		f.add(p.Name+".thick", *p.Thick)
	}
	if p.Mitre != nil {
		f.add(p.Name+".mitre", *p.Mitre)
	}
	f.add(p.Name+".count", plainCount(p.Count))
	*f = append(*f, namedValue{p.Name + ".from", Value{Text: p.Material}})
	switch {
	case p.Deep == nil: // of a stick
	case p.Bias:
		*f = append(*f, namedValue{p.Name + ".up", Value{Text: "bias"}})
	default:
		*f = append(*f, namedValue{p.Name + ".up", Value{Text: p.Up}})
	}
}

func (f *factList) marks(m Marks) {
	f.add(m.Name+".count", plainCount(int64(len(m.Points))))
	if m.Hole != nil {
		f.add(m.Name+".hole", *m.Hole)
	}
	for i, at := range m.Points {
		f.add(fmt.Sprintf("%s[%d].x", m.Name, i+1), at.X)
		f.add(fmt.Sprintf("%s[%d].y", m.Name, i+1), at.Y)
	}
}

func plainCount(n int64) Quantity {
	text := quantity.Int(n).String()
	return Quantity{Exact: text, Shown: text}
}

// asks names what an order gives on either side: how many are made, on what day, and the asks.
func asks(before, after *Order) []string {
	names := append([]string{"off", "date"}, before.Given...)
	for _, name := range after.Given {
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return names
}

// ask is the value of a cell; nil where it has none.
func (o *Order) ask(name string) *Value {
	raw, ok := o.Cells.find(name)
	if !ok {
		return nil
	}
	v := valueOf(raw)
	return &v
}

// valueOf reads a value of the JSON; what is no quantity becomes a text as a page shows it.
func valueOf(raw json.RawMessage) Value {
	var q Quantity
	var text string
	var yes bool
	switch {
	case json.Unmarshal(raw, &q) == nil && q.Shown != "":
		return Value{Quantity: &q}
	case json.Unmarshal(raw, &text) == nil:
		return Value{Text: text}
	case json.Unmarshal(raw, &yes) == nil && yes:
		return Value{Text: "yes"}
	case json.Unmarshal(raw, &yes) == nil:
		return Value{Text: "no"}
	}
	return Value{Text: strings.TrimSpace(string(raw))}
}

// unlike writes two values so that they are told apart: exactly where they are shown alike.
func unlike(was, is *Value) (before, after string) {
	before, after = was.orNothing(), is.orNothing()
	if was != nil && is != nil && before == after && was.Quantity != nil && is.Quantity != nil {
		return was.Quantity.exactly(), is.Quantity.exactly()
	}
	return before, after
}

// orNothing is the value as a page shows it; "" where there is none.
func (v *Value) orNothing() string {
	if v == nil {
		return ""
	}
	return v.Shown()
}

func (q *Quantity) exactly() string { return strings.TrimSpace(q.Exact + " " + q.Unit) }

// resultsComparer compares two results; the first error is kept.
type resultsComparer struct {
	out      Compared
	old, new resultSide
	sums     []*resultSum
	err      error
}

func (c *resultsComparer) compare(id string) {
	before, after := c.old.byID[id], c.new.byID[id]
	if after == nil {
		c.out.Removed = append(c.out.Removed, id)
		return
	}
	c.out.Orders++
	switch {
	case before.worked == nil && after.worked == nil:
		c.out.Refused++
	case before.worked != nil && after.worked != nil:
		c.sum(id, before.facts, false)
		c.sum(id, after.facts, true)
	}
	causes := changedAsks(id, before.worked, after.worked)
	was, is := valuesByName(before.facts), valuesByName(after.facts)
	for _, f := range before.facts {
		if !sameValues(was[f.name], is[f.name]) {
			c.change(id, f.name, was[f.name], is[f.name], causes)
		}
	}
	for _, f := range after.facts {
		if was[f.name] == nil {
			c.change(id, f.name, nil, is[f.name], causes)
		}
	}
}

func valuesByName(facts []namedValue) map[string]*Value {
	m := make(map[string]*Value, len(facts))
	for i := range facts {
		m[facts[i].name] = &facts[i].value
	}
	return m
}

func sameValues(v, w *Value) bool {
	switch {
	case v == nil || w == nil:
		return v == w
	case v.Quantity == nil || w.Quantity == nil:
		return v.Quantity == w.Quantity && v.Text == w.Text
	}
	return v.Quantity.Exact == w.Quantity.Exact && v.Quantity.Unit == w.Quantity.Unit && v.Quantity.Within == w.Quantity.Within
}

func (c *resultsComparer) change(id, name string, was, is *Value, causes []Cause) {
	ch := Change{Order: id, Name: name, Before: was, After: is, Causes: causes}
	if was != nil && is != nil && was.Quantity != nil && is.Quantity != nil && was.Quantity.Unit == is.Quantity.Unit {
		now, before := c.amount(id, name, *is.Quantity), c.amount(id, name, *was.Quantity)
		ch.Difference = now.less(before).signed()
	}
	c.out.Changes = append(c.out.Changes, ch)
}

// changedAsks lists the asks that differ; none where the order was refused on a side.
func changedAsks(id string, before, after *Order) []Cause {
	causes := []Cause{}
	if before == nil || after == nil {
		return causes
	}
	for _, name := range asks(before, after) {
		if was, is := before.ask(name), after.ask(name); !sameValues(was, is) {
			cause := Cause{Label: "order " + id + ", " + name}
			cause.Before, cause.After = unlike(was, is)
			causes = append(causes, cause)
		}
	}
	return causes
}
