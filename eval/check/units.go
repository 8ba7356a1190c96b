package check

import (
	"slices"
	"strings"

	"squab/eval/quantity"
	"squab/lang"
	"squab/lang/diag"
)

// declareUnits takes in the shop's own units, each after those that it is so many of, in whatever order they stand.
func (c *checker) declareUnits(units []*lang.UnitDecl) {
	own := map[string]*lang.UnitDecl{}
	for _, d := range slices.Backward(units) {
		if _, known := c.p.Units.Lookup(d.Name.Text); !known {
			own[d.Name.Text] = d
		}
	}
	ordered, rings := sorted(units, func(d *lang.UnitDecl) []*lang.UnitDecl { return unitsUsed(d, own) })
	inRing := map[*lang.UnitDecl]bool{}
	for _, ring := range rings {
		c.unitRing(ring)
		for _, d := range ring.nodes {
			inRing[d] = true
		}
	}
	for _, d := range ordered {
		if !inRing[d] {
			c.declareUnit(d)
		}
	}
}

// unitsUsed lists the shop's own units that a unit is so many of, or of whose squares or cubes.
func unitsUsed(d *lang.UnitDecl, own map[string]*lang.UnitDecl) []*lang.UnitDecl {
	m, ok := d.Value.(*lang.Measure)
	if !ok {
		return nil
	}
	names := make([]lang.Name, 0, 2)
	for _, p := range m.Parts {
		names = append(names, p.Unit)
	}
	if m.Per != nil {
		names = append(names, *m.Per)
	}
	var used []*lang.UnitDecl
	for _, n := range names {
		for _, power := range []string{"", "2", "3", "²", "³"} {
			stem, ends := strings.CutSuffix(n.Text, power)
			if u := own[stem]; ends && u != nil {
				used = append(used, u)
				break
			}
		}
	}
	return used
}

// unitRing reports units of which each is so many of the next, and lets none of them count as known.
func (c *checker) unitRing(r ring[*lang.UnitDecl]) {
	if r.told {
		cells := make([]*Cell, len(r.nodes))
		for i, u := range r.nodes {
			cells[i] = &Cell{Name: u.Name.Text, At: u.Name.At}
		}
		c.reportRing(cells, func(cell *Cell) (string, diag.Span) { return cell.Name, cell.At }).
			Fix("declare one of them by a unit of the language: in, yd, each, …")
	}
	for _, u := range r.nodes {
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
