package column

import (
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang"
)

// Price is the price block, laid out from Base on.
type Price struct {
	Recipe *check.Recipe
	Base   int
	Order  []int // of its slots
	Roots  []int
}

// bill gathers what an order takes and costs where its pieces are reckoned by area alone, to find which orders that refuses. Where it cannot tell, it refuses more.
type bill struct {
	*judge
	taken  []taking
	worked value
	extras value
}

// judgeByArea gives the truth of the orders that nothing refuses, their buying and price included.
func (c *compiler) judgeByArea(j *judge) value {
	b := &bill{judge: j, worked: c.fixedValue(quantity.Int(0)), extras: c.fixedValue(quantity.Int(0))}
	for _, in := range c.src.Parts {
		b.instance(in)
	}
	b.sticks()
	b.price(c.src.Price)
	return mask(c.not(j.refused))
}

// taking is what a statement takes of a material: the area of pieces, or their length for a stick, or an amount used.
type taking struct {
	holds    operand
	material value
	kind     *check.Kind
	isPiece  bool
	amount   value
	longest  value // of a piece of a stick
}

// instance takes in what a recipe or a part of it takes.
func (b *bill) instance(in Instance) {
	off := b.read(in.Base + check.OffIndex)
	for _, p := range in.Recipe.Pieces {
		b.piece(in, p, off)
	}
	for _, u := range in.Recipe.Uses {
		holds := b.while(in, u.When)
		b.take(in, u.Material, taking{holds: holds, amount: b.product(b.readWhile(in, u.Need, holds), off)})
	}
	for _, w := range in.Recipe.Works {
		b.work(in, w, off)
	}
	for _, ch := range in.Recipe.Charges {
		holds := b.while(in, ch.When)
		b.extras = b.sum(b.extras, b.where(holds, b.readWhile(in, ch.Value, holds)))
	}
}

func (b *bill) piece(in Instance, p *check.Piece, off value) {
	holds := b.while(in, p.When)
	wide := b.readWhile(in, p.Wide, holds)
	count := b.product(b.readWhile(in, p.Count, holds), off)
	t := taking{holds: b.c.and(holds, b.c.smaller(b.nothing(), count).n), isPiece: true, longest: wide, amount: b.product(wide, count)}
	if p.Deep != nil {
		t.amount = b.product(t.amount, b.readWhile(in, p.Deep, holds))
	}
	b.take(in, p.Material, t)
}

func (b *bill) work(in Instance, w *check.Work, off value) {
	holds := b.while(in, w.When)
	time := b.product(b.readWhile(in, w.Time, holds), off)
	if w.Setup != nil {
		time = b.sum(time, b.readWhile(in, w.Setup, holds))
	}
	b.worked = b.sum(b.worked, b.where(holds, b.cents(b.product(time, b.readWhile(in, w.Rate, holds)))))
}

// take notes what is taken of a material while a condition holds.
func (b *bill) take(in Instance, cell *check.Cell, t taking) {
	t.material, t.kind = b.readWhile(in, cell, t.holds), cell.Type.Kind
	if t.material.form != material || t.kind == nil {
		b.c.fail("what it is made of is not proven")
		return
	}
	b.taken = append(b.taken, t)
}

// where is a measure where a condition holds, and nothing elsewhere.
func (b *bill) where(holds operand, v value) value { return b.c.choose(mask(holds), v, b.nothing()) }

func (b *bill) nothing() value { return b.c.fixedValue(quantity.Int(0)) }

func (b *bill) one() value { return b.c.fixedValue(quantity.Int(1)) }

// product and sum want measures, as the statements that they are made of do.
func (b *bill) product(x, y value) value {
	if x.form != measure || y.form != measure {
		return never()
	}
	return b.c.times(x, y)
}

func (b *bill) sum(x, y value) value {
	if x.form != measure || y.form != measure {
		return never()
	}
	return b.c.add(x, y, 1)
}

func (b *bill) over(x, y value) value {
	if x.form != measure || y.form != measure {
		return never()
	}
	return b.c.over(x, y)
}

func (b *bill) roundedUp(x, step value) value {
	if x.form != measure || step.form != measure {
		return never()
	}
	return b.c.rounded(x, step, lang.RoundUp)
}

func (b *bill) cents(v value) value {
	if v.form != measure {
		return never()
	}
	return b.c.rounded(v, b.c.fixedValue(quantity.Frac(1, 100)), lang.RoundTo)
}

// bought is what all materials cost, each with what it is sold by.
func (b *bill) bought() value {
	sum := b.nothing()
	for i := range b.taken {
		first := b.taken[i].holds
		for j := range i {
			first = b.c.and(first, b.c.not(b.together(i, j)))
		}
		sum = b.sum(sum, b.where(first, b.cost(i, first)))
	}
	b.refuse(sum.taint)
	return sum
}

// together is where two takings are of one material.
func (b *bill) together(i, j int) operand {
	x, y := &b.taken[i], &b.taken[j]
	if x.kind != y.kind {
		return no
	}
	both := b.c.and(x.holds, y.holds)
	return b.c.and(both, b.c.equal(x.material.n, y.material.n))
}

// cost is what a line of the buying list costs, for the material of the i-th taking.
func (b *bill) cost(i int, first operand) value {
	t := &b.taken[i]
	pieces, used := b.nothing(), b.nothing()
	for j := range b.taken {
		amount := b.where(b.together(i, j), b.taken[j].amount)
		if b.taken[j].isPiece {
			pieces = b.sum(pieces, amount)
			continue
		}
		used = b.sum(used, amount)
	}
	need := b.sum(b.reckoned(t, first, pieces), used)
	sold := b.soldBy(t, first, "sold", b.one())
	charged := b.roundedUp(need, b.soldBy(t, first, "charged", sold))
	return b.cents(b.product(charged, b.field(t, "price")))
}

// reckoned is how much of a material pieces of an area or a length take, as eval.Reckon has it.
func (b *bill) reckoned(t *taking, first operand, pieces value) value {
	switch t.kind.Form {
	case check.Roll:
		return b.over(pieces, b.above(t, first, "usable"))
	case check.Sheet:
		sheet := b.product(b.above(t, first, "wide"), b.above(t, first, "deep"))
		return b.roundedUp(b.over(pieces, sheet), b.one())
	case check.Stick:
		return b.roundedUp(b.over(pieces, b.above(t, first, "long")), b.one())
	}
	return b.nothing()
}

// soldBy is the step that a material is sold or charged by; a kind that does not say has another.
func (b *bill) soldBy(t *taking, first operand, name string, other value) value {
	if t.kind.Field(name) == nil {
		return other
	}
	return b.above(t, first, name)
}

// above is a field of a taking's material; where it is nothing or less while a condition holds, the order is refused.
func (b *bill) above(t *taking, holds operand, name string) value {
	v := b.field(t, name)
	b.positive(v, holds)
	return v
}

func (b *bill) field(t *taking, name string) value {
	f := t.kind.Field(name)
	if f == nil {
		b.c.fail(t.kind.Name + " has no " + name)
		return never()
	}
	return b.c.fieldOf(t.material, f)
}

// sticks refuses pieces that are longer than what they are cut from.
func (b *bill) sticks() {
	for i := range b.taken {
		t := &b.taken[i]
		if !t.isPiece || t.kind.Form != check.Stick {
			continue
		}
		if long := b.field(t, "long"); long.form == measure && t.longest.form == measure {
			b.refuse(b.c.and(t.holds, b.c.smaller(long, t.longest).n))
		}
	}
}

// price works the price block out on the sums, and refuses the orders for which it cannot be.
func (b *bill) price(p Price) {
	c := b.c
	if p.Recipe == nil {
		return
	}
	for _, i := range []int{check.OffIndex, check.DateIndex} {
		c.slots[p.Base+i] = c.slots[i]
	}
	sums := map[string]value{"bought": b.bought(), "worked": b.worked, "extras": b.extras}
	for _, ask := range p.Recipe.Asks {
		c.slots[p.Base+ask.Index] = slot{value: sums[ask.Name]}
	}
	for _, i := range p.Order {
		if c.slots[i].value.form == nothing {
			c.makeSlot(i)
		}
	}
	for _, i := range p.Roots {
		b.read(i)
	}
	b.priceLines(Instance{p.Recipe, p.Base})
}

// priceLines reads what the lines of the price show.
func (b *bill) priceLines(in Instance) {
	for _, ch := range in.Recipe.Charges {
		b.readWhile(in, ch.Value, b.while(in, ch.When))
	}
	for _, cell := range in.Recipe.Cells {
		if cell.Role == check.FormulaCell && cell.Type.Base == check.Quantity && cell.Type.ShownDim() == quantity.MoneyDim && !isCharge(in.Recipe, cell) {
			b.read(in.Base + cell.Index)
		}
	}
}

func isCharge(r *check.Recipe, cell *check.Cell) bool {
	for _, ch := range r.Charges {
		if ch.Value == cell {
			return true
		}
	}
	return false
}
