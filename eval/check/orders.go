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
	for _, ask := range priceAsks {
		cell := &Cell{Name: ask.name, At: d.At, Role: AskCell, Type: MoneyType(), Help: ask.help}
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
		}
	}
	b.finish()
	if len(r.Charges) == 0 && !c.spoiled(d.At) {
		c.fail("price-without-charge", opening(d.At, "price"), "the price has no charge, so no total").Fix("add, say: charge material = bought")
	}
	c.sumCharges(r)
}

// addTotal makes the cell total, whose formula is known once every charge is.
func (c *checker) addTotal(b *recipeBuilder, d *lang.PriceDecl) {
	b.add(&Cell{Name: "total", At: d.At, Type: MoneyType(), Why: Why{Because: "the sum of the charges, each rounded to the cent"}})
}

// sumCharges gives total its formula.
func (c *checker) sumCharges(r *Recipe) {
	total := r.byName["total"]
	total.Expr = bad(total.At)
	for i, ch := range r.Charges {
		var line Expr = &CellRef{base{ch.Value.At, MoneyType()}, ch.Value, nil, InRecipe}
		if i > 0 {
			line = &Binary{base{ch.At, MoneyType()}, lang.Add, total.Expr, line}
		}
		total.Expr = line
	}
}

// checkOrders checks each order and proof by itself.
func (c *checker) checkOrders() {
	for _, t := range c.trees.orders {
		c.checkOrder(t)
	}
}

func (c *checker) checkOrder(t orderTree) {
	o := t.order
	if t.make != nil && !c.makeOf(o, t.make) {
		return
	}
	for _, s := range t.stmts {
		switch s := s.(type) {
		case *lang.Cell:
			c.orderCell(t, s)
		case *lang.Expect:
			c.expect(o, s)
		}
	}
	if o.Recipe != nil {
		c.missingAsks(o.Recipe, o.Given, t.make.Recipe, t.decl.Span())
	}
}

// makeOf finds the recipe that an order makes; false where there is none of that name.
func (c *checker) makeOf(o *Order, m *lang.Make) bool {
	o.Recipe = c.recipes[m.Recipe.Text]
	if o.Recipe == nil {
		c.unknown("recipe", m.Recipe, namesOf(c.recipes))
		return false
	}
	if m.Off == nil {
		return true
	}
	o.Off = c.alone(m.Off, global(), count, "how many are made")
	if k, ok := fold(o.Off).(*Const); ok && sign(k.Value.Num) <= 0 {
		c.fail("off-none", m.Off.Span(), "an order makes at least one").Fix("leave out how many for one")
	}
	return true
}

func (c *checker) orderCell(t orderTree, s *lang.Cell) {
	o := t.order
	switch {
	case s.Name.Text == "date":
		c.orderDate(o, s)
	case t.make == nil:
		if _, isProof := t.decl.(*lang.ProofDecl); isProof {
			c.fail("ask-without-make", s.Name.At, "this proof makes nothing, so nothing asks for %s", s.Name.Text).Fix("add: make RECIPE")
		}
	default:
		c.giveOrder(o, s)
	}
}

func (c *checker) orderDate(o *Order, s *lang.Cell) {
	c.tolerance(s.Tolerance, Type{Base: Date})
	switch day := s.Value.(type) {
	case *lang.Bad:
	case *lang.DateLit:
		if o.HasDate {
			c.fail("ask-twice", s.Name.At, "date is given twice").Note(o.dateAt, "first here").Fix("take one out")
		}
		o.Date, o.HasDate, o.dateAt = c.day(day), true, s.Name.At
	default:
		c.fail("kind-mismatch", s.Value.Span(), "an order's date must be a date as it stands").Fix("date = 2026-04-02")
	}
}

func (c *checker) giveOrder(o *Order, s *lang.Cell) {
	ask := c.askOf(o.Recipe, s.Name)
	if ask == nil {
		return
	}
	if before := o.Given[ask.Index]; before != nil {
		c.fail("ask-twice", s.Name.At, "%s is given twice", ask.Name).Note(before.At, "first here").Fix("take one out")
		return
	}
	cell := &Cell{Name: ask.Name, At: s.Name.At, Why: why(s.Why)}
	c.giveValue(cell, ask, s.Value, &scope{next: new(int), makes: o.Recipe})
	cell.Tolerance = c.tolerance(s.Tolerance, ask.Type)
	o.Given[ask.Index] = cell
}

// giveValue checks what is given for an ask.
func (c *checker) giveValue(cell, ask *Cell, value lang.Expr, sc *scope) {
	cell.Type, cell.Source, cell.Index = ask.Type, value, ask.Index
	cell.Expr = c.formulaFor(value, sc, ask.Type, ask.Name, ask)
	c.fewLoops(*sc.next, cell.Expr)
	c.constRange("ask-outside", ask.Name, ask, cell.Expr)
}

// RangeText says a cell's range as it is written: from 10 in to 8 ft.
func (p *Program) RangeText(cell *Cell) string {
	switch {
	case cell.From == nil && cell.To == nil:
		return "anywhere"
	case cell.To == nil:
		return "at " + p.Files.Text(cell.From.Span()) + " or over"
	case cell.From == nil:
		return "at " + p.Files.Text(cell.To.Span()) + " or under"
	}
	return "from " + p.Files.Text(cell.From.Span()) + " to " + p.Files.Text(cell.To.Span())
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
	x.Want = c.formula(s.Want, sc, x.Left.Type().loose(), "what is expected")
	o.Expects = append(o.Expects, x)
}

// CheckValue checks one formula given for an ask from outside the book's own files: a cell of a CSV or JSON line, a --set. It may use rules and materials.
func (p *Program) CheckValue(ask *Cell, tree lang.Expr, problems *diag.List) *Cell {
	cell := &Cell{Name: ask.Name, At: spanOf(tree)}
	p.checker(problems).giveValue(cell, ask, tree, global())
	return cell
}

// CheckFormula checks a formula that is asked about from outside the book's own files: it may read the cells of a recipe (nil for none) and of the price.
func (p *Program) CheckFormula(r *Recipe, tree lang.Expr, problems *diag.List) Expr {
	c, sc := p.checker(problems), global()
	if r != nil {
		sc = &scope{frame: InRecipe, recipe: r, cells: r.byName, next: new(int), price: true}
	}
	e := c.infer(tree, sc, nil)
	c.fewLoops(*sc.next, e)
	return e
}

// checker makes a checker that knows the book's names, for a formula that comes later.
func (p *Program) checker(problems *diag.List) *checker {
	c := *p.known
	c.problems, c.guesses, c.depth, c.spoilt, c.settling = problems, 0, 0, nil, nil
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
