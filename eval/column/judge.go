package column

import (
	"squab/eval/check"
	"squab/eval/quantity"
)

// judge finds the orders that nothing refuses: asks and needs, and what statements make, are as they must be. What laying out, buying and pricing may refuse is left out.
func (c *compiler) judge(unfit int32) *judge {
	j := &judge{c: c, refused: operand{reg: unfit, b: truths}}
	for i, s := range c.src.Slots[:c.src.Price.Base] {
		if s.Cell.Role == check.AskCell {
			j.read(i)
		}
	}
	for _, i := range c.src.Roots {
		j.read(i)
	}
	for _, in := range c.src.Parts {
		j.some(in)
		j.instance(in)
	}
	return j
}

// some refuses orders that make none of a part: what it then leaves out is left to the exact path.
func (j *judge) some(in Instance) {
	if in.Base > 0 {
		j.positive(j.read(in.Base+check.OffIndex), yes)
	}
}

// Judgement says what is asked for of whether orders are sound.
type Judgement uint8

const (
	NotJudged Judgement = iota
	Judged              // what laying out, buying and pricing may refuse is left out
	ByArea              // laid out by area alone, bought and priced
)

// judge gathers the orders that are refused.
type judge struct {
	c       *compiler
	refused operand
}

// refuse marks the orders of a mask.
func (j *judge) refuse(where operand) { j.refused = j.c.or(j.refused, where) }

// read gives a slot's value; an order for which it is not there is refused.
func (j *judge) read(i int) value {
	v := j.c.slot(i)
	j.refuse(v.taint)
	return v
}

// while gives where a statement's condition holds.
func (j *judge) while(in Instance, when *check.Cell) operand {
	if when == nil {
		return yes
	}
	return j.read(in.Base + when.Index).n
}

// readWhile reads a cell where a condition holds.
func (j *judge) readWhile(in Instance, cell *check.Cell, holds operand) value {
	if cell == nil {
		return text(0)
	}
	v := j.c.slot(in.Base + cell.Index)
	j.refuse(j.c.and(holds, v.taint))
	return v
}

func (j *judge) instance(in Instance) {
	c := j.c
	for _, n := range in.Recipe.Needs {
		if n.Cond != nil {
			j.refuse(c.not(j.read(in.Base + n.Cond.Index).n))
		}
	}
	for _, p := range in.Recipe.Pieces {
		j.piece(in, p)
	}
	for _, m := range in.Recipe.Marks {
		j.marks(in, m)
	}
	for _, u := range in.Recipe.Uses {
		holds := j.while(in, u.When)
		j.readWhile(in, u.Material, holds)
		j.notBelow(j.readWhile(in, u.Need, holds), 0, holds)
	}
	for _, w := range in.Recipe.Works {
		j.work(in, w)
	}
	for _, ch := range in.Recipe.Charges {
		j.readWhile(in, ch.Value, j.while(in, ch.When))
	}
	for _, s := range in.Recipe.Steps {
		j.readWhile(in, s.Text, j.while(in, s.When))
	}
}

// notBelow refuses the orders for which a measure is below a number while a condition holds.
func (j *judge) notBelow(v value, least int64, holds operand) {
	if v.form == measure {
		c := j.c
		j.refuse(c.and(holds, c.smaller(v, c.fixedValue(quantity.Int(least))).n))
	}
}

// piece refuses a piece that cannot be cut. One that is cut no times is not looked at further, so its size is held against nothing only where it is cut.
func (j *judge) piece(in Instance, p *check.Piece) {
	c := j.c
	holds := j.while(in, p.When)
	of := j.readWhile(in, p.Material, holds)
	wide, deep := j.readWhile(in, p.Wide, holds), j.readWhile(in, p.Deep, holds)
	j.readWhile(in, p.Turn, holds)
	j.readWhile(in, p.Match, holds)
	allowances := make([]value, 0, 6)
	for _, cell := range p.Allowances() {
		allowances = append(allowances, j.readWhile(in, cell, holds))
	}
	count := j.readWhile(in, p.Count, holds)
	off := j.read(in.Base + check.OffIndex)
	if count.form != measure || off.form != measure {
		return
	}
	count = c.times(count, off)
	j.notBelow(count, 0, holds)
	j.refuse(c.and(holds, c.smaller(c.fixedValue(quantity.Int(mostPieces)), count).n))
	cut := c.and(holds, c.smaller(c.fixedValue(quantity.Int(0)), count).n)
	j.positive(wide, cut)
	j.positive(deep, cut)
	j.thick(p, of, cut)
	for _, v := range allowances {
		j.notBelow(v, 0, cut)
	}
	if mitre := j.readWhile(in, p.Mitre, holds); mitre.form == measure && wide.form == measure {
		j.refuse(c.and(cut, c.smaller(wide, c.times(mitre, c.fixedValue(quantity.Int(2)))).n))
	}
}

// thick refuses a piece of a material whose thickness is not there.
func (j *judge) thick(p *check.Piece, of value, cut operand) {
	kind := p.Material.Type.Kind
	if kind == nil || of.form != material {
		return
	}
	if f := kind.Field("thick"); f != nil && f.Type.IsLength() {
		j.refuse(j.c.and(cut, j.c.fieldOf(of, f).taint))
	}
}

// positive refuses the orders for which a measure is nothing or less while a condition holds.
func (j *judge) positive(v value, holds operand) {
	if v.form == measure {
		c := j.c
		j.refuse(c.and(holds, c.not(c.smaller(c.fixedValue(quantity.Int(0)), v).n)))
	}
}

// mostPieces is the limit of the language reference on pieces in one layout.
const mostPieces = 10_000

func (j *judge) work(in Instance, w *check.Work) {
	c := j.c
	holds := j.while(in, w.When)
	time := j.readWhile(in, w.Time, holds)
	setup := j.readWhile(in, w.Setup, holds)
	j.readWhile(in, w.Rate, holds)
	off := j.read(in.Base + check.OffIndex)
	if time.form != measure || off.form != measure {
		return
	}
	all := c.times(time, off)
	if setup.form == measure {
		all = c.add(all, setup, 1)
	}
	j.notBelow(all, 0, holds)
}

// marks refuses marks that do not lie on their piece.
func (j *judge) marks(in Instance, m *check.Marks) {
	c := j.c
	holds := j.while(in, m.When)
	points := j.readWhile(in, m.Points, holds)
	j.positive(j.readWhile(in, m.Hole, holds), holds)
	for _, p := range m.On {
		there := c.and(holds, j.while(in, p.When))
		wide, deep := j.readWhile(in, p.Wide, there), j.readWhile(in, p.Deep, there)
		if points.form == list && points.list.item.form == pair && wide.form == measure && deep.form == measure {
			j.refuse(c.and(there, c.offPiece(points.list, wide, deep)))
		}
	}
}

// offPiece is where an item of a list of points does not lie from 0 to wide and from 0 to deep.
func (c *compiler) offPiece(l *items, wide, deep value) operand {
	found := c.register()
	c.put(0, instr{op: opZero, dst: found})
	run := &loop{v: none, from: none, to: none, outer: c.load(yes), present: c.register(), body: &block{}}
	c.blocks = append(c.blocks, run.body)
	point := l.item.each(func(x operand) operand {
		x.reg, x.depth = c.register(), 1
		run.vars = append(run.vars, x.reg)
		return x
	})
	off := no
	for i, side := range []value{wide, deep} {
		below := c.smaller(point.parts[i], c.fixedValue(quantity.Int(0))).n
		off = c.or(off, c.or(below, c.smaller(side, point.parts[i]).n))
	}
	c.put(1, instr{op: opGatherOr, dst: found, x: run.present, y: c.load(off)})
	c.blocks = c.blocks[:1]
	c.put(0, instr{op: opEach, k: int64(l.id), loop: run})
	return operand{reg: found, b: truths}
}
