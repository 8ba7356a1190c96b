package print

import (
	"fmt"
	"math/big"
	"strings"

	"squab/eval/audit"
	"squab/eval/quantity"
)

// amount is a quantity of the JSON, read back: so many of a unit, known to within a bound.
type amount struct {
	value, within quantity.Number
	unit          string
}

// amount reads a quantity; the first that cannot be read is the comparer's error.
func (c *resultsComparer) amount(id, name string, q Quantity) amount {
	a := amount{unit: q.Unit}
	var err error
	if a.value, err = quantity.Parse(q.Exact); err == nil && q.Within != "" {
		a.within, err = quantity.Parse(q.Within)
	}
	if err != nil && c.err == nil {
		c.err = fmt.Errorf("order %s, %s: %w", id, name, err)
	}
	return a
}

func (a amount) plus(b amount) amount {
	return amount{a.value.Add(b.value), a.within.Add(b.within), a.unit}
}

func (a amount) less(b amount) amount {
	return amount{a.value.Sub(b.value), a.within.Add(b.within), a.unit}
}

// resultPlaces is how many decimal places an approximation is written with.
const resultPlaces = 30

// decimals gives an approximation to some decimal places, and a bound that allows for the places left out.
func (a amount) decimals() (value, within string) {
	last := new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Exp(big.NewInt(10), big.NewInt(resultPlaces), nil))
	bound := last.Add(last, a.within.Rat())
	return a.value.Rat().FloatString(resultPlaces), bound.FloatString(resultPlaces + 1)
}

func (a amount) quantity() Quantity {
	q := Quantity{Exact: a.value.String(), Unit: a.unit, Shown: a.shown()}
	if !a.within.Equal(quantity.Number{}) {
		q.Exact, q.Within = a.decimals()
		q.Shown = "~" + strings.TrimPrefix(q.Shown, "~")
	}
	return q
}

// signed is the amount shown with its sign.
func (a amount) signed() *Quantity {
	q := a.quantity()
	q.Shown = withSign(q.Shown, a.value)
	return &q
}

// shown words an amount in its unit. The step of the shop that wrote it is not known: a step finer than any is.
func (a amount) shown() string {
	if quantity.IsCurrency(a.unit) {
		return quantity.Style{Currency: a.unit}.Show(a.value, quantity.MoneyDim).Text
	}
	if a.unit == "" {
		return quantity.Style{}.Show(a.value, quantity.Plain).Text
	}
	u, ok := (*quantity.Units)(nil).Lookup(a.unit)
	if !ok {
		return a.value.String() + " " + a.unit
	}
	return styleOf(u).Show(a.value.Mul(u.Factor), u.Dim).Text
}

// styleOf is the style of a shop that shows a unit.
func styleOf(u quantity.Unit) quantity.Style {
	stem := strings.TrimRight(u.Name, "23")
	switch {
	case stem == "kg" || stem == "g":
		return quantity.Style{Length: "m"}
	case stem == "mm" || stem == "cm" || stem == "m":
		return quantity.Style{Length: stem, Step: quantity.Frac(1, 100)}
	case stem == "in" || stem == "ft" || stem == "yd":
		return quantity.Style{Length: stem, Step: quantity.Frac(1, 64)}
	}
	return quantity.Style{}
}

// resultSum adds what facts of one name and unit come to on both sides.
type resultSum struct {
	name   string
	before amount
	after  amount
}

// sum adds the facts of an order that are added up over orders.
func (c *resultsComparer) sum(id string, facts []namedValue, after bool) {
	for _, f := range facts {
		if f.value.Quantity == nil || !audit.AddsUp(f.name, quantity.IsCurrency(f.value.Quantity.Unit)) {
			continue
		}
		a, s := c.amount(id, f.name, *f.value.Quantity), c.sumOf(f.name, f.value.Quantity.Unit)
		if after {
			s.after = s.after.plus(a)
			continue
		}
		s.before = s.before.plus(a)
	}
}

func (c *resultsComparer) sumOf(name, unit string) *resultSum {
	for _, s := range c.sums {
		if s.name == name && s.before.unit == unit {
			return s
		}
	}
	s := &resultSum{name, amount{unit: unit}, amount{unit: unit}}
	c.sums = append(c.sums, s)
	return s
}

func (s *resultSum) total() Total {
	return Total{s.name, s.before.quantity(), s.after.quantity(), s.after.less(s.before).signed()}
}
