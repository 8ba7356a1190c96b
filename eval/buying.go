package eval

import (
	"slices"

	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang/diag"
)

// useLine is a supply used: how much for the whole order.
type useLine struct {
	material *check.Material
	need     quantity.Number
	at       diag.Span
}

// BuyLine is a material to buy. Need, Buy and Charged are in base units of what it is sold by; Each is its price for one, Cost is rounded to the cent.
type BuyLine struct {
	Material *check.Material
	Type     check.Type // of Need, Buy and Charged
	Need     quantity.Number
	Buy      quantity.Number
	Charged  quantity.Number
	Each     quantity.Number
	EachType check.Type
	Cost     quantity.Number
}

// use gathers what is used of a supply.
func (b *resultBuilder) use(in instance, u *check.Use) {
	if !b.s.holds(in, u.When, &b.faults) {
		return
	}
	m := b.value(in, u.Material).Material()
	need := b.value(in, u.Need).Num.Mul(b.off(in))
	if s, _ := need.Sign(); s < 0 {
		b.problem("use-negative", u.At, "what is used of %s comes to less than nothing", u.Name)
	}
	if m == nil || !b.ok() {
		return
	}
	b.uses = append(b.uses, useLine{m, need, u.At})
}

// buy lays the pieces out, material by material, and makes the buying list.
func (b *resultBuilder) buy(lay LayFunc) {
	if lay == nil {
		lay = Reckon
	}
	b.materials = b.materials[:0]
	for i := range b.r.Pieces {
		b.take(b.r.Pieces[i].Material)
	}
	for _, u := range b.uses {
		b.take(u.material)
	}
	b.toBuy = b.toBuy[:0]
	for _, m := range b.materials {
		b.layOne(m, lay)
	}
	for _, n := range b.toBuy {
		line, fault := buyLine(b.plan.Stock(n.Material), n.Amount)
		b.faults.add(fault)
		b.r.Buy = append(b.r.Buy, line)
	}
}

// amounts is how much of each material is needed, in the order in which they are first named.
type amounts []Taken

func (n *amounts) add(m *check.Material, amount quantity.Number) {
	for i := range *n {
		if have := &(*n)[i]; have.Material == m {
			have.Amount = have.Amount.Add(amount)
			return
		}
	}
	*n = append(*n, Taken{m, amount})
}

// take lists a material that the order takes, where it is first named.
func (b *resultBuilder) take(m *check.Material) {
	if !slices.Contains(b.materials, m) {
		b.materials = append(b.materials, m)
	}
}

// layOne lays the pieces of a material out, and adds what they and the uses of it take.
func (b *resultBuilder) layOne(m *check.Material, lay LayFunc) {
	b.pieces = b.pieces[:0]
	for i := range b.r.Pieces {
		if b.r.Pieces[i].Material == m {
			b.pieces = append(b.pieces, b.r.Pieces[i])
		}
	}
	if len(b.pieces) > 0 {
		layout, err := lay(b.plan.Stock(m), b.pieces)
		if err != nil {
			b.problem("layout", m.At, "%v", err)
			return
		}
		b.r.Layouts = append(b.r.Layouts, layout)
		if layout.Taken == nil {
			b.toBuy.add(m, layout.Used)
		}
		for _, t := range layout.Taken {
			b.toBuy.add(t.Material, t.Amount)
		}
	}
	for _, u := range b.uses {
		if u.material == m {
			b.toBuy.add(m, u.need)
		}
	}
}

// buyLine rounds a need up to what is sold and to what is charged, and prices it.
func buyLine(s Stock, need quantity.Number) (BuyLine, *Fault) {
	m := s.Material
	line := BuyLine{Material: m, Type: soldType(m.Kind), Need: need, EachType: m.Kind.Field("price").Type}
	sold, ok := s.step("sold", m.Kind.Form)
	if !ok {
		return line, newFault("sold-nothing", m.At, "%s must be sold by more than nothing", m.Name)
	}
	charged, ok := s.step("charged", m.Kind.Form)
	if !ok || m.Kind.Field("charged") == nil {
		charged = sold
	}
	price, ok := s.Field("price")
	if !ok {
		return line, newFault("field-missing", m.At, "the price of %s cannot be worked out", m.Name)
	}
	line.Each = price.Num
	var decided [3]bool
	line.Buy, decided[0] = need.RoundUp(sold)
	line.Charged, decided[1] = need.RoundUp(charged)
	line.Cost, decided[2] = quantity.Cents(line.Charged.Mul(price.Num))
	if !decided[0] || !decided[1] || !decided[2] {
		return line, newFault("round-undecided", m.At, "the need of %s is known only within its bound, which straddles what is sold", m.Name)
	}
	return line, nil
}

// step gives the least amount by which a material is sold or charged: one, for sheets and sticks that do not say.
func (s Stock) step(name string, form check.Form) (quantity.Number, bool) {
	if s.Material.Kind.Field(name) == nil {
		if form == check.Sheet || form == check.Stick {
			return intNumber(1), true
		}
		return intNumber(1), name == "charged"
	}
	n, ok := s.Measure(name)
	sign, _ := n.Sign()
	return n, ok && sign > 0
}

// soldType is the kind of what a material is bought by.
func soldType(k *check.Kind) check.Type {
	if f := k.Field("sold"); f != nil {
		return f.Type
	}
	return check.CountType()
}

// price works the price block out from the sums of the order's rounded lines.
func (b *resultBuilder) price() {
	p := b.plan
	r := p.program.Price
	if r == nil {
		return
	}
	f := b.s.f
	f.slots[p.priceFrom+check.OffIndex] = f.slots[check.OffIndex]
	f.slots[p.priceFrom+check.DateIndex] = f.slots[check.DateIndex]
	for _, ask := range r.Asks {
		f.slots[p.priceFrom+ask.Index] = check.Num(b.sumOf(ask.Name))
	}
	for _, i := range p.priceOrder {
		if p.run[i] != nil {
			f.slots[i] = f.settle(p.run[i])
		}
	}
	b.priceLines(r)
	b.unread(p.priceFrom, len(p.Slots))
}

// sumOf gives what the price block may read of the order's lines.
func (b *resultBuilder) sumOf(name string) quantity.Number {
	switch name {
	case "bought":
		return b.bought()
	case "worked":
		return b.worked()
	case "extras":
		return b.extras()
	}
	return quantity.Number{}
}

func (b *resultBuilder) bought() (sum quantity.Number) {
	for _, l := range b.r.Buy {
		sum = sum.Add(l.Cost)
	}
	return sum
}

func (b *resultBuilder) worked() (sum quantity.Number) {
	for _, l := range b.r.Work {
		sum = sum.Add(l.Cost)
	}
	return sum
}

func (b *resultBuilder) extras() (sum quantity.Number) {
	for _, l := range b.r.Charges {
		sum = sum.Add(l.Value)
	}
	return sum
}

// priceLines lists the charges, the total, and then the block's other cells of money.
func (b *resultBuilder) priceLines(r *check.Recipe) {
	in := instance{r, "", b.plan.priceFrom}
	for _, c := range r.Charges {
		if !b.s.holds(in, c.When, &b.faults) {
			continue
		}
		b.r.Price = append(b.r.Price, PriceLine{Name: c.Name, Value: b.value(in, c.Value).Num, Type: check.MoneyType()})
	}
	total := r.Cell("total")
	b.r.Price = append(b.r.Price, PriceLine{Name: "total", Value: b.value(in, total).Num, Type: check.MoneyType(), IsTotal: true})
	for _, cell := range r.Cells {
		if cell.Role == check.FormulaCell && cell != total && !isCharged(r, cell) && cell.Type.ShownDim() == check.MoneyType().Dim && cell.Type.Base == check.Quantity {
			b.r.Price = append(b.r.Price, PriceLine{Name: cell.Name, Value: b.value(in, cell).Num, Type: cell.Type, IsNote: true})
		}
	}
}

func isCharged(r *check.Recipe, cell *check.Cell) bool {
	return slices.ContainsFunc(r.Charges, func(c *check.Charge) bool { return c.Value == cell })
}
