package check

import (
	"time"

	"squab/eval/quantity"
	"squab/lang"
	"squab/lang/diag"
)

func unitOf(name string, dim quantity.Dimension, factor quantity.Number) quantity.Unit {
	return quantity.Unit{Name: name, Dim: dim, Factor: factor}
}

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

// rightCurrency reports money in another currency than the shop's.
func (c *checker) rightCurrency(m *lang.Measure) {
	if c.p.Style.Currency == "" || contains(symbols[m.Currency], c.p.Style.Currency) {
		return
	}
	d := c.fail("currency", m.At, "%s is not the shop's currency, %s", m.Currency, c.p.Style.Currency).Fix("one shop keeps one currency; give a rule the rate and its date to convert")
	if c.trees.shop != nil {
		d.Note(c.trees.shop.At, "the shop's currency is set here")
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
		c.fail("number-malformed", p.At, "%s is not a number: %v", clip(p.Number), err)
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
	if !ok {
		d := c.fail("unit-unknown", name.At, "there is no unit called %s", name.Text)
		if near := Nearest(name.Text, c.p.Units.Names()); near != "" {
			d.Fix("did you mean " + near + "? A shop adds a unit with: unit " + name.Text + " = …")
		} else {
			d.Fix("a shop adds a unit with: unit " + name.Text + " = …")
		}
	}
	return u, ok
}

// perUnit makes n for each one of a unit.
func (c *checker) perUnit(n quantity.Number, t Type, name lang.Name) (quantity.Number, Type, bool) {
	u, ok := c.unit(name)
	if !ok || t.Base != Quantity {
		return n, Type{}, false
	}
	t.Slack = 0 // a rate is meant just as it is written
	t.Dim.Count = 0
	rate, ok := quotient(t, measure(u.Dim))
	each, ok2 := n.Div(u.Factor)
	return each, rate, ok && ok2
}

// day gives the days since 1970-01-01 of a date, and reports one that the calendar lacks.
func (c *checker) day(d *lang.DateLit) int64 {
	t := time.Date(d.Year, time.Month(d.Month), d.Day, 0, 0, 0, 0, time.UTC)
	if t.Day() != d.Day || int(t.Month()) != d.Month {
		c.fail("date-impossible", d.At, "the calendar has no %04d-%02d-%02d", d.Year, d.Month, d.Day)
	}
	return t.Unix() / 86400
}

// DateText writes days since 1970-01-01 as YYYY-MM-DD.
func DateText(day int64) string {
	return time.Unix(day*86400, 0).UTC().Format(time.DateOnly)
}

func less(a, b quantity.Number) bool {
	order, decided := a.Cmp(b)
	return decided && order < 0
}

// clip shortens what a file holds for a message.
func clip(s string) string {
	const most = 40
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
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
		per.Dim.Count, per.Slack = 1, 0
	}
	t.Slack = 0
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
	known := append(sortedKeys(plainKinds), append(sortedKeys(c.choices), sortedKeys(c.kinds)...)...)
	c.unknown("kind", name, known)
	return Type{}, false
}

// declareShop reads the shop's settings; a later layer's shop wins over the trade's.
func (c *checker) declareShop(shops []*lang.Shop) {
	c.p.Style = quantity.Style{Length: "in"}
	for _, s := range shops {
		before := c.trees.shop
		if before != nil && c.layer(before.At) == c.layer(s.At) {
			c.fail("shop-twice", s.At, "there are two shop declarations").Note(before.At, "the first is here").Fix("keep one")
			continue
		}
		c.trees.shop = s
		c.p.Title = quoted(s.Title)
		for _, setting := range s.Settings {
			c.setting(setting)
		}
	}
}

func (c *checker) setting(s *lang.Cell) {
	switch s.Name.Text {
	case "currency":
		c.setCurrency(s)
	case "shows":
		c.setShows(s)
	case "feet":
		yes, ok := s.Value.(*lang.YesNo)
		if !ok {
			c.fail("setting-value", s.Value.Span(), "feet is yes or no").Fix("feet = yes shows 3 ft 4 5/8 in")
			return
		}
		c.p.Style.Feet = yes.Value
	default:
		c.unknown("setting of the shop", s.Name, []string{"currency", "feet", "shows"})
	}
}

func (c *checker) setCurrency(s *lang.Cell) {
	id, ok := s.Value.(*lang.Ident)
	if !ok || !isCurrencyCode(id.Text) {
		c.fail("setting-value", s.Value.Span(), "a currency is given by its three-letter code").Fix("currency = USD")
		return
	}
	c.p.Style.Currency = id.Text
}

func isCurrencyCode(s string) bool {
	if len(s) != 3 {
		return false
	}
	for _, r := range s {
		if r < 'A' || r > 'Z' {
			return false
		}
	}
	return true
}

func (c *checker) setShows(s *lang.Cell) {
	m, ok := s.Value.(*lang.Measure)
	if !ok || len(m.Parts) != 1 {
		c.fail("setting-value", s.Value.Span(), "shows is the step to which lengths are shown").Fix("shows = 1/16 in")
		return
	}
	lit := c.literal(m)
	u, found := c.p.Units.Lookup(m.Parts[0].Unit.Text)
	sign, _ := lit.Value.Num.Sign()
	if !lit.t.Known() || !lit.t.IsLength() || !found || sign <= 0 {
		c.fail("setting-value", s.Value.Span(), "shows is the step to which lengths are shown").Fix("shows = 1/16 in")
		return
	}
	step, _ := lit.Value.Num.Div(u.Factor)
	c.p.Style.Length, c.p.Style.Step = lengthUnit(u.Name), step
}

// lengthUnit gives the name of a unit that is written as a mark.
func lengthUnit(name string) string {
	switch name {
	case `"`:
		return "in"
	case `'`:
		return "ft"
	}
	return name
}

// unitAt is where a measure's last unit stands, for a message.
func unitAt(m *lang.Measure) diag.Span {
	if p := m.Parts[len(m.Parts)-1]; p.Unit.Text != "" {
		return p.Unit.At
	}
	return m.At
}
