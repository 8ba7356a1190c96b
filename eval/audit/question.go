package audit

import (
	"errors"
	"fmt"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang/diag"
)

// Question is about one cell of one order: a cell's dotted name, or another fact of what the order comes to ("buy.NAME", "price.total").
// Day holds for an order without a date. Ask is for Seek.
type Question struct {
	Engine *eval.Engine
	Order  *check.Order
	Day    int64
	Cell   string
	Ask    string
	Share  bool // for Leans: lengths too are moved by a hundredth of themselves
}

// Kinds gives the kinds of the cell and of the ask; the error names what is near.
func (of Question) Kinds() (cell, ask check.Type, err error) {
	asked, err := newQuestion(of)
	if err != nil {
		return cell, ask, err
	}
	x, err := askCalled(asked.plan.Recipe, of.Ask)
	if err != nil {
		return cell, ask, err
	}
	return asked.kind, x.Type, nil
}

// question works one cell of one order out for other values of an ask.
type question struct {
	engine *eval.Engine
	sheet  *eval.Sheet
	plan   *eval.Plan
	slot   int    // of the cell; -1 where it is a fact of the whole result
	fact   string // its name then
	kind   check.Type
}

// newQuestion fills the order's sheet in and finds the cell.
func newQuestion(of Question) (*question, error) {
	o, day := of.Order, of.Day
	if o.Recipe == nil || o.Bad {
		return nil, fmt.Errorf("order %s cannot be worked out", o.ID)
	}
	if o.HasDate {
		day = o.Date
	}
	q := &question{engine: of.Engine, plan: of.Engine.Plan(o.Recipe, day, o)}
	q.sheet = q.plan.NewSheet()
	q.sheet.Fill(o)
	q.slot = q.plan.Slot(of.Cell)
	if q.slot < 0 {
		return q, q.findFact(of.Cell)
	}
	if q.kind = q.plan.Slots[q.slot].Cell.Type; q.kind.Base != check.Quantity {
		return nil, fmt.Errorf("%s is no measure but %s", of.Cell, q.kind)
	}
	return q, nil
}

// findFact looks a name up among what the whole result comes to.
func (q *question) findFact(name string) error {
	q.fact = name
	r, problems := q.engine.Finish(q.sheet)
	facts := Facts(r, nil)
	names := make([]string, len(facts))
	for i, f := range facts {
		if names[i] = f.Name; f.Name == name && f.Type.Base == check.Quantity {
			q.kind = f.Type
			return nil
		}
	}
	for _, s := range q.plan.Slots {
		if s.Cell.Role != check.HiddenCell {
			names = append(names, s.Name)
		}
	}
	near := check.Nearest(name, names)
	switch {
	case near == name:
		return fmt.Errorf("%s is no measure", name)
	case near != "":
		return fmt.Errorf("there is no cell called %s; did you mean %s?", name, near)
	case len(problems) > 0:
		return fmt.Errorf("there is no cell called %s, and no line, for order %s is refused: %s", name, q.sheet.Order.ID, problems[0].Message)
	}
	return fmt.Errorf("there is no cell called %s", name)
}

// inRecipe reports whether the cell is one of the recipe, which is worked out without what the order comes to.
func (q *question) inRecipe() bool { return q.slot >= 0 && q.slot < q.plan.PriceFrom() }

// value gives the cell as the sheet now stands; the error says why the order is refused or the cell cannot be worked out.
func (q *question) value() (quantity.Number, error) {
	if problems := q.sheet.Refused(); len(problems) > 0 {
		return quantity.Number{}, errors.New(problems[0].Message)
	}
	var r *eval.Result
	if !q.inRecipe() {
		made, problems := q.engine.Finish(q.sheet)
		if len(problems) > 0 {
			return quantity.Number{}, errors.New(problems[0].Message)
		}
		r = made
	}
	if q.slot < 0 {
		return measureOf(r, q.fact)
	}
	v, fault := q.sheet.Value(q.slot)
	if fault != nil {
		return quantity.Number{}, fault
	}
	return v.Num, nil
}

// measureOf finds a measure among what a result comes to.
func measureOf(r *eval.Result, name string) (quantity.Number, error) {
	for _, f := range Facts(r, nil) {
		if f.Name == name {
			return f.Value.Num, nil
		}
	}
	return quantity.Number{}, fmt.Errorf("the order has no %s", name)
}

// with gives the cell for another value of an ask.
func (q *question) with(ask *check.Cell, x quantity.Number) (quantity.Number, error) {
	q.sheet.Set(&check.Cell{Name: ask.Name, At: ask.At, Type: ask.Type, Index: ask.Index, Expr: check.Literal(check.Num(x), ask.Type, diag.Span{})})
	return q.value()
}

// current gives an ask's value as the order has it.
func (q *question) current(ask *check.Cell) (quantity.Number, bool) {
	v, fault := q.sheet.Value(ask.Index)
	return v.Num, fault == nil
}

// askCalled finds an ask of a recipe that is a measure or a count.
func askCalled(r *check.Recipe, name string) (*check.Cell, error) {
	var names []string
	for _, a := range r.Asks {
		if a.Name == name && a.Type.Base == check.Quantity {
			return a, nil
		}
		if a.Type.Base == check.Quantity {
			names = append(names, a.Name)
		}
	}
	if near := check.Nearest(name, names); near != "" {
		return nil, fmt.Errorf("%s asks for no measure called %s; did you mean %s?", r.Name, name, near)
	}
	return nil, fmt.Errorf("%s asks for no measure called %s", r.Name, name)
}
