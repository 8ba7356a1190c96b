package check

import (
	"squab/eval/quantity"
	"squab/lang"
	"squab/lang/diag"
)

// recipe checks a recipe, and first those that are parts of it.
func (c *checker) recipe(r *Recipe) {
	if r.state != fresh {
		return
	}
	r.state = checking
	d := c.trees.recipes[r]
	c.openRecipe(r)
	b := recipeBuilder{c: c, r: r, sc: &scope{frame: InRecipe, recipe: r, cells: r.byName, next: &r.LoopSize}}
	for _, s := range d.Stmts {
		b.declare(s)
	}
	b.finish()
	r.state = done
}

// openRecipe makes the two cells that every recipe has.
func (c *checker) openRecipe(r *Recipe) {
	r.byName, r.groups, r.parts = map[string]*Cell{}, map[string]bool{}, map[string]*Part{}
	r.lost, r.pieces = map[string]bool{}, map[string]*Piece{}
	for i, cell := range []*Cell{{Name: "off", Type: count, Help: "how many the order makes"}, {Name: "date", Type: date, Help: "the order's date"}} {
		cell.At, cell.Role, cell.Index = r.At, AskCell, i
		r.Cells = append(r.Cells, cell)
		r.byName[cell.Name] = cell
	}
}

// recipeBuilder turns a recipe's statements into cells, and what is made of them.
type recipeBuilder struct {
	c       *checker
	r       *Recipe
	sc      *scope
	pieces  []pieceTree
	marksOn [][]lang.Name // by the place of the marks in the recipe
	uses    []*lang.Use
}

// declare makes the cells of one statement; their formulas are checked when the first needs them, so that order does not matter. The parser has
// reported statements that do not belong in a recipe.
func (b *recipeBuilder) declare(s lang.Stmt) {
	switch s := s.(type) {
	case *lang.Ask:
		b.ask(s)
	case *lang.Cell:
		b.formula(s.Name, s.Value, s.Why)
	case *lang.Need:
		b.need(s)
	case *lang.Piece:
		b.piece(s)
	case *lang.Marks:
		b.marks(s)
	case *lang.Use:
		b.uses = append(b.uses, s)
	case *lang.Work:
		b.work(s)
	case *lang.Charge:
		b.charge(s)
	case *lang.Step:
		b.step(s)
	case *lang.Cautions:
		b.cautions(s)
	case *lang.Part:
		b.part(s)
	}
}

// finish checks every formula, places the parts and matches marks to pieces.
func (b *recipeBuilder) finish() {
	b.finishPieces()
	b.finishMarks()
	for _, s := range b.uses {
		b.use(s)
	}
	for _, cell := range b.r.Cells {
		b.c.settle(cell)
	}
	b.r.Size = len(b.r.Cells)
	for _, p := range b.r.Parts {
		for _, given := range p.cells() {
			b.c.settle(given)
		}
		p.Offset = b.r.Size
		b.r.Size += p.Recipe.Size
	}
}

// cells lists what a part is given, in the order of its recipe's asks.
func (p *Part) cells() []*Cell {
	var all []*Cell
	for _, ask := range p.Recipe.Asks {
		if cell := p.Given[ask.Index]; cell != nil {
			all = append(all, cell)
		}
	}
	return all
}

// add makes a cell. One whose name is taken is reported and hidden, so that its formula is checked even so.
func (b *recipeBuilder) add(cell *Cell) bool {
	free := cell.Role == HiddenCell || b.free(lang.Name{Text: cell.Name, At: cell.At})
	if !free {
		cell.Role = HiddenCell
	}
	cell.Index = len(b.r.Cells)
	b.r.Cells = append(b.r.Cells, cell)
	if cell.Role != HiddenCell {
		b.r.byName[cell.Name] = cell
	}
	return free
}

// aside has the formulas of a statement that has no place in the recipe checked even so.
func (b *recipeBuilder) aside(all ...lang.Expr) {
	for _, e := range all {
		if e != nil {
			b.hidden("aside", e, Type{}, "this")
		}
	}
}

// free reports a name that is taken.
func (b *recipeBuilder) free(n lang.Name) bool {
	before, taken := b.taken(n.Text)
	if !taken {
		return true
	}
	d := b.c.fail("name-twice", n.At, "%s is there already", n.Text).Fix("choose another name")
	if cell := b.r.byName[n.Text]; cell != nil && cell.Index <= DateIndex {
		d.Note(before, "every recipe has "+n.Text+": "+cell.Help)
		return false
	}
	d.Note(before, "first here")
	return false
}

func (b *recipeBuilder) taken(name string) (diag.Span, bool) {
	if cell := b.r.byName[name]; cell != nil {
		return cell.At, true
	}
	if p := b.r.parts[name]; p != nil {
		return p.At, true
	}
	if b.r.groups[name] {
		for _, cell := range b.r.Cells {
			if len(cell.Name) > len(name) && cell.Name[:len(name)+1] == name+"." {
				return cell.At, true
			}
		}
	}
	return diag.Span{}, false
}

func (b *recipeBuilder) formula(name lang.Name, value lang.Expr, w lang.Why) {
	cell := &Cell{Name: name.Text, At: name.At, Why: why(w)}
	b.add(cell)
	b.c.await(cell, value, nil, b.sc, name.Text)
}

// given makes a cell whose kind is asked; nil where there is no formula.
func (b *recipeBuilder) given(name string, at diag.Span, value lang.Expr, want Type, w lang.Why) *Cell {
	return b.cell(&Cell{Name: name, At: at, Why: why(w)}, value, want, name)
}

// hidden makes a cell that has no name of its own to be asked for; what is how a message calls it.
func (b *recipeBuilder) hidden(name string, value lang.Expr, want Type, what string) *Cell {
	return b.cell(&Cell{Name: name, At: spanOf(value), Role: HiddenCell}, value, want, what)
}

func (b *recipeBuilder) cell(cell *Cell, value lang.Expr, want Type, what string) *Cell {
	if value == nil {
		return nil
	}
	b.add(cell)
	b.c.await(cell, value, &want, b.sc, what)
	return cell
}

func (b *recipeBuilder) when(name string, cond lang.Expr) *Cell {
	return b.hidden(name+" when", cond, yesNo, "what follows when")
}

func (b *recipeBuilder) ask(s *lang.Ask) {
	cell := &Cell{Name: s.Name.Text, At: s.Name.At, Role: AskCell, Type: b.c.kindOf(s.Kind), Help: quoted(s.Help), Why: why(s.Why)}
	if cell.Type.Base == List {
		b.c.fail("ask-list", s.Kind.At, "an order cannot give a list").Fix("ask for what the list is made from")
	}
	b.c.ranges(cell, &s.Param)
	cell.Tolerance = b.c.tolerance(s.Tolerance, cell.Type)
	if b.add(cell) {
		b.r.Asks = append(b.r.Asks, cell)
	}
	if s.Default != nil {
		b.c.await(cell, s.Default, &cell.Type, b.sc, "the default of "+cell.Name)
	}
}

func (b *recipeBuilder) need(s *lang.Need) {
	n := &Need{At: s.At, Cond: b.hidden("need", s.Cond, yesNo, "what follows need")}
	if s.Else != nil {
		n.Else = b.hidden("need else", s.Else, text, "what follows else")
	}
	b.r.Needs = append(b.r.Needs, n)
}

func (b *recipeBuilder) work(s *lang.Work) {
	name := s.Name.Text
	if !b.group(s.Name) {
		b.aside(s.Time, s.Setup, s.Rate, s.When)
		return
	}
	rate := s.Rate
	if rate == nil {
		rate = &lang.Ident{Name: lang.Name{Text: labourRate, At: s.Name.At}}
	}
	w := &Work{At: s.At, Name: name, Time: b.given(name+".time", s.Name.At, s.Time, TimeType(), s.Why)}
	w.Setup = b.given(name+".setup", s.Name.At, s.Setup, TimeType(), lang.Why{})
	w.Rate = b.given(name+".rate", s.Name.At, rate, measure(quantity.Dimension{Money: 1, Time: -1}), lang.Why{})
	if s.Rate == nil {
		implied(w.Rate)
	}
	w.When = b.when(name, s.When)
	if w.Time != nil && w.Rate != nil {
		b.r.Works = append(b.r.Works, w)
	}
}

// implied marks a cell whose formula the recipe does not write.
func implied(cell *Cell) {
	if cell != nil {
		cell.Source = nil
	}
}

// labourRate is the rule that prices work that states no rate.
const labourRate = "labour_rate"

// group takes a name that is the front of several cells.
func (b *recipeBuilder) group(n lang.Name) bool {
	if !b.free(n) {
		return false
	}
	b.r.groups[n.Text] = true
	return true
}

func (b *recipeBuilder) use(s *lang.Use) {
	u := &Use{At: s.At, Name: materialName(s.Material)}
	u.Material = b.hidden("use of "+u.Name, s.Material, Type{}, "a material")
	if u.Material == nil || s.Need == nil {
		return
	}
	b.c.settle(u.Material)
	u.Material.Type = u.Material.Expr.Type()
	want, ok := b.soldBy(u.Material, s.Material)
	u.Need = b.cell(&Cell{Name: "use " + u.Name, At: s.At, Role: HiddenCell, Why: why(s.Why)}, s.Need, want, "what is used of "+u.Name)
	u.When = b.when("use "+u.Name, s.When)
	if ok {
		b.r.Uses = append(b.r.Uses, u)
	}
}

// soldBy gives the measure by which a material is used.
func (b *recipeBuilder) soldBy(cell *Cell, e lang.Expr) (Type, bool) {
	t := cell.Expr.Type()
	if !b.isMaterial(cell, e) {
		return Type{}, false
	}
	if t.Kind.Form == Sheet || t.Kind.Form == Stick {
		return count, true
	}
	sold := t.Kind.byName["sold"]
	if sold == nil {
		return Type{}, false
	}
	return sold.Type.loose(), true
}

func (b *recipeBuilder) isMaterial(cell *Cell, e lang.Expr) bool {
	t := cell.Expr.Type()
	if t.Base == OfMaterial {
		return true
	}
	if t.Known() {
		b.c.fail("not-a-material", e.Span(), "a material belongs here, and this is %s", article(t)).Fix("name a material, or an ask of a material's kind")
	}
	return false
}

// materialName is how a material is written, for the name of a line.
func materialName(e lang.Expr) string {
	if names := dottedNames(e); names != nil {
		s := names[0].Text
		for _, n := range names[1:] {
			s += "." + n.Text
		}
		return s
	}
	return "a material"
}

// charge makes the cell of a line of the price. It is rounded to the cent where it is charged, so that whatever reads it, and the total, add up with the page.
func (b *recipeBuilder) charge(s *lang.Charge) {
	ch := &Charge{At: s.At, Name: s.Name.Text}
	if s.Value == nil {
		return
	}
	ch.Value = b.given(s.Name.Text, s.Name.At, s.Value, MoneyType(), s.Why)
	ch.When = b.when(s.Name.Text, s.When)
	p := b.c.pending[ch.Value]
	p.cents, p.when = true, ch.When
	if ch.When != nil && mentions(s.When, s.Name.Text) {
		b.conditionOnAmount(ch, s)
	}
	b.r.Charges = append(b.r.Charges, ch)
}

// conditionOnAmount is for a charge whose condition names the charge itself: it means the amount, whether or not it is charged.
func (b *recipeBuilder) conditionOnAmount(ch *Charge, s *lang.Charge) {
	amount := b.hidden(s.Name.Text+" amount", s.Value, MoneyType(), s.Name.Text)
	b.c.pending[amount].cents = true
	sc := b.sc.inner()
	sc.frame = InRecipe
	sc.cells[s.Name.Text] = amount
	b.c.pending[ch.When].scope = sc
}

// mentions reports whether a formula names something.
func mentions(e lang.Expr, name string) bool {
	found := false
	lang.Walk(e, func(n lang.Node) bool {
		if id, ok := n.(*lang.Ident); ok && id.Text == name {
			found = true
		}
		return !found
	})
	return found
}

func (b *recipeBuilder) step(s *lang.Step) {
	if s.Text == nil {
		return
	}
	st := &Step{At: s.At, Text: b.hidden("step", s.Text, text, "a step"), When: b.when("step", s.When)}
	b.r.Steps = append(b.r.Steps, st)
}

func (b *recipeBuilder) cautions(s *lang.Cautions) {
	st := &Step{At: s.At, When: b.when("caution", s.When)}
	for _, n := range s.Names {
		caution := b.c.cautions[n.Text]
		if caution == nil {
			b.c.unknown("caution", n, namesOf(b.c.cautions)).Notes = []string{"a caution is declared with: caution " + n.Text + ` "…"`}
			continue
		}
		st.Cautions = append(st.Cautions, caution)
	}
	b.r.Steps = append(b.r.Steps, st)
}

func (c *checker) checkCautions() {
	for _, t := range c.trees.cautions {
		if t.decl.Text != nil {
			t.caution.Text = c.alone(t.decl.Text, global(), text, "a caution")
		}
	}
}
