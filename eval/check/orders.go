package check

import (
	"squab/lang"
	"squab/lang/diag"
)

// priceAsks are the sums that the price block is given.
var priceAsks = []struct{ name, help string }{
	{"bought", "the lines of the buying list, each rounded to the cent"},
	{"worked", "the work lines, each rounded to the cent"},
	{"extras", "the recipe's own charges, each rounded to the cent"},
}

// checkPrice checks the price block as a recipe whose asks are the sums of the order's lines.
func (c *checker) checkPrice() {
	d := c.trees.price
	if d == nil {
		return
	}
	r := &Recipe{Name: "price", At: d.At, Layer: c.layer(d.At)}
	c.openRecipe(r)
	c.p.Price = r
	b := recipeBuilder{c: c, r: r, sc: &scope{frame: InRecipe, recipe: r, cells: r.byName, next: &r.LoopSize}}
	money := plainKinds["money"]
	for _, ask := range priceAsks {
		cell := &Cell{Name: ask.name, At: d.At, Role: AskCell, Type: money, Help: ask.help}
		b.add(cell)
		r.Asks = append(r.Asks, cell)
	}
	c.addTotal(&b, d)
	for _, s := range d.Stmts {
		switch s := s.(type) {
		case *lang.Cell:
			b.formula(s.Name, s.Value, s.Why)
		case *lang.Charge:
			b.charge(s)
		default:
			c.fail("statement-misplaced", s.Span(), "the price holds cells and charges only")
		}
	}
	b.finish()
	if len(r.Charges) == 0 {
		c.fail("price-without-charge", d.At, "the price has no charge, so no total").Fix("charge material = material")
	}
	c.sumCharges(r)
}

// addTotal makes the cell total, whose formula is known once every charge is.
func (c *checker) addTotal(b *recipeBuilder, d *lang.PriceDecl) {
	b.add(&Cell{Name: "total", At: d.At, Type: plainKinds["money"], Why: Why{Because: "the sum of the charges, each rounded to the cent"}})
}

// sumCharges gives total its formula.
func (c *checker) sumCharges(r *Recipe) {
	total := r.byName["total"]
	for _, ch := range r.Charges {
		var line Expr = &CellRef{base{ch.At, plainKinds["money"]}, ch.Value, nil, InRecipe}
		if ch.When != nil {
			zero := &Const{base{ch.At, plainKinds["money"]}, Value{}}
			line = &If{base{ch.At, plainKinds["money"]}, &CellRef{base{ch.At, yesNo}, ch.When, nil, InRecipe}, line, zero}
		}
		if total.Expr == nil {
			total.Expr = line
			continue
		}
		total.Expr = &Binary{base{ch.At, plainKinds["money"]}, lang.Add, total.Expr, line}
	}
	if total.Expr == nil {
		total.Expr = bad(total.At)
	}
}

// checkOrders checks each order and proof by itself, so that what is wrong in one leaves the others be.
func (c *checker) checkOrders() {
	for _, t := range c.trees.orders {
		before := c.problems.Len()
		c.checkOrder(t)
		if c.problems.ErrorsSince(before) {
			t.order.Bad = true
		}
	}
}

func (c *checker) checkOrder(t orderTree) {
	o := t.order
	if t.make != nil {
		c.makeOf(o, t.make)
	} else if _, isOrder := t.decl.(*lang.OrderDecl); isOrder {
		c.fail("order-without-make", o.At, "the order %s makes nothing", o.ID).Fix("add: make RECIPE")
	}
	for _, s := range t.stmts {
		switch s := s.(type) {
		case *lang.Cell:
			c.orderCell(o, s)
		case *lang.Expect:
			c.expect(o, s)
		case *lang.AmendDecl:
		default:
			c.fail("statement-misplaced", s.Span(), "this does not belong in an order")
		}
	}
	if o.Recipe != nil {
		c.missingAsks(o.Recipe, o.Given, t.make.Recipe)
	}
}

func (c *checker) makeOf(o *Order, m *lang.Make) {
	o.Recipe = c.recipes[m.Recipe.Text]
	if o.Recipe == nil {
		c.unknown("recipe", m.Recipe, sortedKeys(c.recipes))
		return
	}
	if m.Off == nil {
		return
	}
	o.Off = c.formula(m.Off, &scope{next: new(int)}, count, "how many are made")
	if k, ok := o.Off.(*Const); ok {
		if s, _ := k.Value.Num.Sign(); s <= 0 {
			c.fail("off-none", m.Off.Span(), "an order makes at least one")
		}
	}
}

func (c *checker) orderCell(o *Order, s *lang.Cell) {
	if s.Name.Text == "date" {
		day, ok := s.Value.(*lang.DateLit)
		if !ok {
			c.fail("kind-mismatch", s.Value.Span(), "an order's date is a date").Fix("date = 2026-04-02")
			return
		}
		o.Date, o.HasDate = c.day(day), true
		return
	}
	if o.Recipe == nil {
		return
	}
	ask := c.askOf(o.Recipe, s.Name)
	if ask == nil {
		return
	}
	if before := o.Given[ask.Index]; before != nil {
		c.fail("ask-twice", s.Name.At, "%s is given twice", ask.Name).Note(before.At, "first here").Fix("take one out")
		return
	}
	o.Given[ask.Index] = c.givenCell(ask, s)
}

func (c *checker) givenCell(ask *Cell, s *lang.Cell) *Cell {
	cell := &Cell{Name: ask.Name, At: s.Name.At, Type: ask.Type, Why: why(s.Why), Source: s.Value, Index: ask.Index}
	cell.Expr = c.formula(s.Value, &scope{next: new(int)}, ask.Type, ask.Name)
	c.constRange(ask, cell.Expr)
	return cell
}

// constRange reports a fixed value outside its ask's range at once; others are found when the order is worked out.
func (c *checker) constRange(ask *Cell, x Expr) {
	k, ok := x.(*Const)
	if !ok || ask.Type.Base != Quantity {
		return
	}
	if lo, ok := ask.From.(*Const); ok && less(k.Value.Num, lo.Value.Num) {
		c.outside(ask, x)
	}
	if hi, ok := ask.To.(*Const); ok && less(hi.Value.Num, k.Value.Num) {
		c.outside(ask, x)
	}
}

func (c *checker) outside(ask *Cell, x Expr) {
	c.fail("ask-outside", x.Span(), "%s must lie %s", ask.Name, c.p.RangeText(ask)).Note(ask.At, "asked here")
}

// RangeText says a cell's range as it is written: from 10 in to 8 ft.
func (p *Program) RangeText(cell *Cell) string {
	s := ""
	if cell.From != nil {
		s = "from " + p.Files.Text(cell.From.Span())
	}
	if cell.To != nil {
		if s != "" {
			s += " "
		}
		s += "up to " + p.Files.Text(cell.To.Span())
	}
	return s
}

// expect checks a line of a proof; its formulas see the cells of the recipe that the proof makes, and those of the price.
func (c *checker) expect(o *Order, s *lang.Expect) {
	sc := &scope{next: &o.LoopSize}
	if o.Recipe != nil {
		sc = &scope{frame: InRecipe, recipe: o.Recipe, cells: o.Recipe.byName, next: &o.LoopSize, price: true}
	}
	x := &Expect{At: s.At, Text: c.p.Files.Text(s.At)}
	if s.Want == nil {
		x.Left = c.formula(s.Left, sc, yesNo, "what a proof expects")
		o.Expects = append(o.Expects, x)
		return
	}
	x.Left = c.infer(s.Left, sc, nil)
	t := x.Left.Type()
	t.Whole = false
	x.Want = c.formula(s.Want, sc, t, "what is expected")
	o.Expects = append(o.Expects, x)
}

// CheckValue checks one formula given for an ask from outside the book's own files: a cell of a CSV or JSON line, a --set. It may use rules and materials.
func (p *Program) CheckValue(ask *Cell, tree lang.Expr, problems *diag.List) *Cell {
	c := p.checker(problems)
	cell := &Cell{Name: ask.Name, At: spanOf(tree), Type: ask.Type, Source: tree, Index: ask.Index}
	cell.Expr = c.formula(tree, &scope{next: new(int)}, ask.Type, ask.Name)
	c.constRange(ask, cell.Expr)
	return cell
}

// checker makes a checker that knows the book's names, for a formula that comes later.
func (p *Program) checker(problems *diag.List) *checker {
	c := *p.known
	c.problems = problems
	return &c
}

// Recipe finds a recipe by name.
func (p *Program) Recipe(name string) *Recipe {
	if p.known == nil {
		return nil
	}
	return p.known.recipes[name]
}

// Rule finds a rule or table by name.
func (p *Program) Rule(name string) *Rule {
	r, _ := p.known.values[name].(*Rule)
	return r
}

// Material finds a material by name.
func (p *Program) Material(name string) *Material {
	m, _ := p.known.values[name].(*Material)
	return m
}
