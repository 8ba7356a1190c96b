package check

import (
	"squab/eval/quantity"
	"squab/lang"
)

// declareUnits takes in the shop's own units. One may be so many of another, in any order; rounds go on while any is settled.
func (c *checker) declareUnits(units []*lang.UnitDecl) {
	own := map[string]bool{}
	for _, d := range units {
		own[d.Name.Text] = true
	}
	for len(units) > 0 {
		var later []*lang.UnitDecl
		for _, d := range units {
			if c.restsOnUnit(d, own) {
				later = append(later, d)
				continue
			}
			c.declareUnit(d)
			delete(own, d.Name.Text)
		}
		if len(later) == len(units) {
			c.unitRing(later)
			return
		}
		units = later
	}
}

// restsOnUnit reports whether a unit is so many of one that is yet to be declared.
func (c *checker) restsOnUnit(d *lang.UnitDecl, own map[string]bool) bool {
	m, ok := d.Value.(*lang.Measure)
	if !ok {
		return false
	}
	used := make([]lang.Name, 0, 2)
	for _, p := range m.Parts {
		used = append(used, p.Unit)
	}
	if m.Per != nil {
		used = append(used, *m.Per)
	}
	for _, u := range used {
		if _, known := c.p.Units.Lookup(u.Text); !known && own[u.Text] {
			return true
		}
	}
	return false
}

// unitRing reports units of which each is so many of the next.
func (c *checker) unitRing(ring []*lang.UnitDecl) {
	d := c.fail("cycle", ring[0].Name.At, "the unit %s rests on itself", ring[0].Name.Text)
	for _, other := range ring[1:] {
		d.Note(other.Name.At, "by way of "+other.Name.Text)
	}
	d.Fix("declare one of them by a unit of the language: in, yd, each, …")
	for _, u := range ring {
		c.lose(u.Name)
	}
}

func (c *checker) declareUnit(d *lang.UnitDecl) {
	dim, factor, ok := c.unitValue(d)
	if !ok {
		c.lose(d.Name)
		return
	}
	if err := c.p.Units.Define(d.Name.Text, quantity.Unit{Name: d.Name.Text, Dim: dim, Factor: factor}); err != nil {
		c.fail("unit-twice", d.Name.At, "%v", err).Fix("choose another name for the unit")
	}
}

// unitValue gives what one of a unit is: so many of another.
func (c *checker) unitValue(d *lang.UnitDecl) (dim quantity.Dimension, factor quantity.Number, ok bool) {
	if _, unread := d.Value.(*lang.Bad); unread {
		return dim, factor, false
	}
	m, isMeasure := d.Value.(*lang.Measure)
	if !isMeasure || m.Parts[0].Unit.Text == "" || m.Currency != "" {
		c.fail("unit-not-measure", d.Value.Span(), "a unit is declared as so many of another unit").Fix("write, say, unit gross = 144 each")
		return dim, factor, false
	}
	lit := c.literal(m)
	if !lit.t.Known() {
		return dim, factor, false
	}
	dim = lit.t.Dim
	if dim == quantity.Plain {
		dim = quantity.CountDim
	}
	if sign(lit.Value.Num) <= 0 {
		c.fail("unit-zero", d.Value.Span(), "a unit must be more than nothing").Fix("write, say, unit gross = 144 each")
		return dim, factor, false
	}
	return dim, lit.Value.Num, true
}
