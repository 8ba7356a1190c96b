package check

import (
	"slices"
	"time"

	"squab/eval/quantity"
	"squab/lang"
)

// symbols gives the currency codes that a sign may stand for.
var symbols = map[string][]string{
	"$": {"USD", "CAD", "AUD", "NZD"},
	"£": {"GBP"},
	"€": {"EUR"},
}

// literal works out a literal; where it cannot be read, a problem is reported and the kind is unknown.
func (c *checker) literal(m *lang.Measure) *Const {
	lit := &Const{base: base{at: m.At}}
	sum, t, ok := c.parts(m)
	if !ok {
		return lit
	}
	if m.Currency != "" {
		if t.Dim != quantity.Plain || m.Parts[0].Unit.Text != "" {
			c.fail("money-unit", m.At, "an amount of money has no unit of its own").Fix("a price for each of something is written with per: " + m.Currency + m.Parts[0].Number + " per " + m.Parts[0].Unit.Text)
			return lit
		}
		c.rightCurrency(m)
		t = measure(quantity.MoneyDim)
	}
	if m.Percent {
		sum, t = sum.Mul(quantity.Frac(1, 100)), number
	}
	if m.Per != nil {
		if sum, t, ok = c.perUnit(sum, t, *m.Per); !ok {
			return lit
		}
	}
	lit.t, lit.Value = t, Num(sum)
	return lit
}

// rightCurrency reports money in another currency than the shop's, or, where it names none, than the first amount's.
func (c *checker) rightCurrency(m *lang.Measure) {
	const fix = "one shop keeps one currency; give a rule the rate and its date to convert"
	code := c.p.Style.Currency
	switch {
	case code == "" && c.currency == nil:
		c.currency = m
	case code == "" && c.currency.Currency != m.Currency:
		c.fail("currency", m.At, "%s is another currency than %s, and the shop names neither", m.Currency, c.currency.Currency).
			Note(c.currency.At, "money in "+c.currency.Currency).Fix(fix)
	case code != "" && !slices.Contains(symbols[m.Currency], code):
		c.fail("currency", m.At, "%s is not the shop's currency, %s", m.Currency, code).Note(opening(c.trees.shop.At, "shop"), "the shop's currency is set here").Fix(fix)
	}
}

// parts adds up a literal's numbers with their units: `3 ft 4 5/8 in`.
func (c *checker) parts(m *lang.Measure) (quantity.Number, Type, bool) {
	var sum quantity.Number
	var t Type
	var last quantity.Number
	for i, part := range m.Parts {
		n, one, ok := c.part(part)
		if !ok {
			return sum, t, false
		}
		if i == 0 {
			t = one.t
		}
		if i > 0 && (one.t.Dim != t.Dim || !less(one.factor, last)) {
			c.fail("measure-mixed", m.At, "the parts of a measure must fall within one dimension: %s after %s", part.Unit.Text, m.Parts[i-1].Unit.Text).
				Fix("write larger units first: 3 ft 4 5/8 in")
			return sum, t, false
		}
		last, sum = one.factor, sum.Add(n)
		t.Whole = t.Whole && one.t.Whole
	}
	return sum, t, true
}

type partType struct {
	t      Type
	factor quantity.Number
}

func (c *checker) part(p lang.MeasurePart) (quantity.Number, partType, bool) {
	n, err := quantity.Parse(p.Number)
	if err != nil {
		if !c.spoiled(p.At) {
			c.fail("number-malformed", p.At, "%v", err).Fix("write it as 5, 4 5/8 or 2.5")
		}
		return n, partType{}, false
	}
	if p.Unit.Text == "" {
		return n, partType{plainType(n), quantity.Int(1)}, true
	}
	u, ok := c.unit(p.Unit)
	if !ok {
		return n, partType{}, false
	}
	t := measure(u.Dim)
	if u.Dim == quantity.CountDim {
		t = plainType(n.Mul(u.Factor))
		t.Slack = 1
	}
	return n.Mul(u.Factor), partType{t, u.Factor}, true
}

// plainType is the kind of a number without unit: a whole one may stand for a count.
func plainType(n quantity.Number) Type {
	if n.IsInt() {
		return count
	}
	return number
}

func (c *checker) unit(name lang.Name) (quantity.Unit, bool) {
	u, ok := c.p.Units.Lookup(name.Text)
	if ok || c.lost[name.Text] {
		return u, ok
	}
	fix := "a shop adds a unit with: unit " + name.Text + " = …"
	if near := c.nearest(name.Text, c.p.Units.Names); near != "" {
		fix = "did you mean " + near + "? A shop adds a unit with: unit " + name.Text + " = …"
	}
	c.fail("unit-unknown", name.At, "there is no unit called %s", name.Text).Fix(fix)
	return u, false
}

// perUnit makes n for each one of a unit.
func (c *checker) perUnit(n quantity.Number, t Type, name lang.Name) (quantity.Number, Type, bool) {
	u, ok := c.unit(name)
	if !ok || t.Base != Quantity {
		return n, Type{}, false
	}
	if u.Dim == quantity.CountDim {
		t.Slack = 0 // so many per each is meant just as it is written
	}
	rate, ok := quotient(t, measure(u.Dim))
	each, ok2 := n.Div(u.Factor)
	return each, rate, ok && ok2
}

// day gives the days since 1970-01-01 of a date; the parser has reported one that the calendar lacks.
func (c *checker) day(d *lang.DateLit) int64 {
	return time.Date(d.Year, time.Month(d.Month), d.Day, 0, 0, 0, 0, time.UTC).Unix() / 86400
}

// DateText writes days since 1970-01-01 as YYYY-MM-DD.
func DateText(day int64) string {
	return time.Unix(day*86400, 0).UTC().Format(time.DateOnly)
}

func less(a, b quantity.Number) bool {
	order, decided := a.Cmp(b)
	return decided && order < 0
}

var plainKinds = map[string]Type{
	"number": number, "count": count, "text": text, "yes/no": yesNo, "date": date, "size": size, "point": point,
	"length": measure(quantity.LengthDim), "area": measure(quantity.AreaDim), "volume": measure(quantity.VolumeDim),
	"mass": measure(quantity.MassDim), "time": measure(quantity.TimeDim), "angle": measure(quantity.AngleDim), "money": measure(quantity.MoneyDim),
	"each": count,
}

// kindOf finds the kind that is written.
func (c *checker) kindOf(k *lang.KindRef) Type {
	if k == nil {
		return Type{}
	}
	if k.ListOf != nil {
		return listOf(c.kindOf(k.ListOf))
	}
	t, ok := c.namedKind(k.Name)
	if !ok || k.Per == nil {
		return t
	}
	per, ok := c.namedKind(*k.Per)
	if !ok {
		return Type{}
	}
	if t.Base != Quantity || per.Base != Quantity {
		c.fail("rate-of-words", k.At, "a rate needs measures on both sides of per, not %s per %s", t, per)
		return Type{}
	}
	if per.isCount() {
		per.Dim.Count, per.Slack, t.Slack = 1, 0, 0
	}
	rate, _ := quotient(t, per)
	return rate
}

func (c *checker) namedKind(name lang.Name) (Type, bool) {
	if t, ok := plainKinds[name.Text]; ok {
		return t, true
	}
	if ch := c.choices[name.Text]; ch != nil {
		return Type{Base: ChoiceWord, Choice: ch}, true
	}
	if k := c.kinds[name.Text]; k != nil {
		return Type{Base: OfMaterial, Kind: k}, true
	}
	c.unknown("kind", name, namesOf(plainKinds).and(namesOf(c.choices), namesOf(c.kinds)))
	return Type{}, false
}
