package check

import (
	"squab/eval/quantity"
	"squab/lang"
	"squab/lang/diag"
)

// declareShop reads the shop's settings; a later layer's shop wins over the trade's.
func (c *checker) declareShop(shops []*lang.Shop) {
	c.p.Style = quantity.Style{Length: "in"}
	for _, s := range shops {
		before := c.trees.shop
		if before != nil && c.layer(before.At) == c.layer(s.At) {
			c.fail("shop-twice", opening(s.At, "shop"), "there are two shop declarations").Note(opening(before.At, "shop"), "the first is here").Fix("keep one")
			continue
		}
		c.trees.shop = s
		c.p.Title = quoted(s.Title)
		c.settings(s)
	}
}

func (c *checker) settings(s *lang.Shop) {
	seen := map[string]diag.Span{}
	before := c.problems.Len()
	for _, setting := range s.Settings {
		if first, twice := seen[setting.Name.Text]; twice {
			c.fail("name-twice", setting.Name.At, "%s is set twice", setting.Name.Text).Note(first, "first here").Fix("keep one")
			continue
		}
		seen[setting.Name.Text] = setting.Name.At
		c.setting(setting)
	}
	if err := c.p.Style.Validate(); err != nil && c.problems.Len() == before {
		c.fail("setting-value", opening(s.At, "shop"), "%v", err).Fix("feet = yes goes with lengths in inches: shows = 1/16 in")
		c.p.Style.Feet, c.p.Style.Length = false, "in"
	}
}

func (c *checker) setting(s *lang.Cell) {
	if _, unread := s.Value.(*lang.Bad); unread {
		return
	}
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
		c.unknown("setting of the shop", s.Name, these("currency", "feet", "shows"))
	}
}

func (c *checker) setCurrency(s *lang.Cell) {
	id, ok := s.Value.(*lang.Ident)
	if !ok || !quantity.IsCurrency(id.Text) {
		c.fail("setting-value", s.Value.Span(), "a currency is given by its three-letter code").Fix("currency = USD")
		return
	}
	c.p.Style.Currency = id.Text
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
