package check

import (
	"slices"

	"squab/eval/quantity"
	"squab/lang"
	"squab/lang/diag"
)

// formFields lists what the layout and the buying list need of each form; a supply's measure is settled by its price.
var formFields = map[Form][]struct {
	name string
	t    Type
}{
	Roll:  {{"usable", measure(quantity.LengthDim)}, {"price", measure(quantity.Dimension{Money: 1, Length: -1})}, {"sold", measure(quantity.LengthDim)}},
	Sheet: {{"wide", measure(quantity.LengthDim)}, {"deep", measure(quantity.LengthDim)}, {"price", measure(quantity.Dimension{Money: 1, Count: -1})}},
	Stick: {{"long", measure(quantity.LengthDim)}, {"price", measure(quantity.Dimension{Money: 1, Count: -1})}},
}

// checkKinds takes in the fields of each kind, amendments after, and then checks their defaults.
func (c *checker) checkKinds() {
	for _, t := range c.trees.kinds {
		if t.kind != nil {
			c.addFields(t.kind, t.decl)
		}
	}
	for _, t := range c.trees.kinds {
		if t.kind != nil {
			continue
		}
		k := c.kinds[t.decl.Name.Text]
		if k == nil {
			c.unknown("kind", t.decl.Name, namesOf(c.kinds))
			for _, f := range t.decl.Fields {
				c.lose(f.Name)
			}
			continue
		}
		c.addFields(k, t.decl)
	}
	for _, k := range c.p.Kinds {
		for _, f := range k.Fields {
			c.settle(f)
		}
		c.checkForm(k)
	}
}

func (c *checker) addFields(k *Kind, d *lang.KindDecl) {
	for _, p := range d.Fields {
		if before := k.byName[p.Name.Text]; before != nil {
			c.fail("field-twice", p.Name.At, "the kind %s has a field %s already", k.Name, p.Name.Text).Note(before.At, "here").Fix("take one out")
			continue
		}
		f := &Cell{Name: p.Name.Text, At: p.Name.At, Role: AskCell, Type: c.kindOf(p.Kind), Index: len(k.Fields), Help: quoted(p.Help), Why: why(p.Why)}
		c.ranges(f, p)
		f.Tolerance = c.tolerance(p.Tolerance, f.Type)
		if p.Default != nil {
			c.await(f, p.Default, &f.Type, k.scope(), "the field "+f.Name)
		}
		k.Fields = append(k.Fields, f)
		k.byName[f.Name] = f
	}
}

// scope is where a field's formula is looked up: the other fields of the same material.
func (k *Kind) scope() *scope {
	return &scope{frame: InMaterial, cells: k.byName, next: new(int)}
}

func (c *checker) checkForm(k *Kind) {
	for _, need := range formFields[k.Form] {
		c.needField(k, need.name, need.t)
	}
	if k.Form == Supply {
		c.checkSupply(k)
	}
}

func (c *checker) needField(k *Kind, name string, t Type) {
	f := k.byName[name]
	if f == nil {
		c.fail("form-field", k.At, "a %s needs the field %s: %s", k.Form, name, t).Fix("add to the kind: " + name + ": " + t.String())
		return
	}
	if f.Type.Known() && !f.Type.fits(t) {
		c.fail("form-field", f.At, "the %s of a %s must be %s, and this is %s", name, k.Form, article(t), article(f.Type)).Note(k.At, "the form is given here")
	}
}

// checkSupply checks that a supply's price is for the measure it is sold by.
func (c *checker) checkSupply(k *Kind) {
	price, sold := k.byName["price"], k.byName["sold"]
	if price == nil || sold == nil {
		c.fail("form-field", k.At, "a supply needs the fields price and sold").Fix("price: money per each and sold: count, or of any other measure")
		return
	}
	if !price.Type.Known() || !sold.Type.Known() {
		return
	}
	if t, ok := product(price.Type, sold.Type); !ok || !t.fits(measure(quantity.MoneyDim)) {
		c.fail("form-field", price.At, "a supply's price must be money for what it is sold by: the price is %s, and it is sold by %s", price.Type, sold.Type).Note(sold.At, "how it is sold")
	}
}

// ranges checks the range of a parameter, ask or field in the book's own scope.
func (c *checker) ranges(cell *Cell, p *lang.Param) {
	if p.From == nil && p.To == nil {
		return
	}
	if cell.Type.Known() && cell.Type.Base != Quantity && cell.Type.Base != Date {
		c.fail("range-of-words", spanOf(p.From).To(spanOf(p.To)), "%s has no least and most, so no range", article(cell.Type)).Fix("leave out from … to …")
		return
	}
	cell.From = c.bound(p.From, cell.Type, "the least of "+cell.Name)
	cell.To = c.bound(p.To, cell.Type, "the most of "+cell.Name)
	lo, isLow := cell.From.(*Const)
	hi, isHigh := cell.To.(*Const)
	if isLow && isHigh && less(hi.Value.Num, lo.Value.Num) {
		c.fail("range-empty", lo.at.To(hi.at), "this range holds nothing: its least is more than its most").Fix("swap the two")
		cell.From, cell.To = nil, nil
	}
}

// bound checks one end of a range; nil where there is none, or it was found wrong.
func (c *checker) bound(e lang.Expr, t Type, what string) Expr {
	if e == nil {
		return nil
	}
	x := fold(c.alone(e, global(), t.loose(), what))
	if _, isBad := x.(*Bad); isBad {
		return nil
	}
	return x
}

// signed works out a literal with a minus before it.
func signed(x Expr) Expr {
	if _, isMinus := x.(*Unary); isMinus {
		return fold(x)
	}
	return x
}

// constRange reports a written value outside a cell's range at once; others are found when an order is worked out.
func (c *checker) constRange(code, what string, cell *Cell, x Expr) {
	k, ok := signed(x).(*Const)
	if !ok || cell.Type.Base != Quantity && cell.Type.Base != Date {
		return
	}
	lo, hasLow := cell.From.(*Const)
	hi, hasHigh := cell.To.(*Const)
	if hasLow && less(k.Value.Num, lo.Value.Num) || hasHigh && less(hi.Value.Num, k.Value.Num) {
		c.fail(code, x.Span(), "%s must lie %s, and is %s", what, c.p.RangeText(cell), c.shown(k.Value.Num, cell.Type)).Note(cell.At, "its range is given here")
	}
}

// checkMaterials checks what each material gives and each amendment changes.
func (c *checker) checkMaterials() {
	for _, t := range c.trees.materials {
		if t.material == nil {
			c.amendMaterial(t.decl)
			continue
		}
		t.material.Given = make([]*Cell, len(t.material.Kind.Fields))
		for _, cell := range t.decl.Cells {
			c.giveField(t.material, cell)
		}
		if !c.spoiled(t.decl.At) {
			c.missingFields(t.material)
		}
	}
	for _, m := range c.p.Materials {
		byPriority(m.Amends, func(a *FieldAmend) Window { return a.Window })
		c.fieldClashes(m)
	}
}

func (c *checker) giveField(m *Material, given *lang.Cell) {
	f := c.fieldOf(m, given)
	if f == nil {
		return
	}
	if before := m.Given[f.Index]; before != nil {
		c.fail("field-twice", given.Name.At, "%s is given twice", f.Name).Note(before.At, "first here").Fix("take one out")
		return
	}
	m.Given[f.Index] = c.fieldCell(m, f, given)
}

func (c *checker) fieldOf(m *Material, given *lang.Cell) *Cell {
	f := m.Kind.byName[given.Name.Text]
	if f == nil {
		c.unknown("field of "+m.Kind.Name, given.Name, namesOf(m.Kind.byName)).Note(m.Kind.At, "the kind is declared here")
	}
	return f
}

func (c *checker) fieldCell(m *Material, f *Cell, given *lang.Cell) *Cell {
	cell := &Cell{Name: f.Name, At: given.Name.At, Type: f.Type, Index: f.Index, Why: why(given.Why), Source: given.Value}
	sc := m.Kind.scope()
	cell.Expr = c.formulaFor(given.Value, sc, f.Type, m.Name+"'s "+f.Name, f)
	c.fewLoops(*sc.next, cell.Expr)
	c.constRange("field-outside", m.Name+"'s "+f.Name, f, cell.Expr)
	cell.Tolerance = c.tolerance(given.Tolerance, f.Type)
	return cell
}

func (c *checker) missingFields(m *Material) {
	for _, f := range m.Kind.Fields {
		if m.Given[f.Index] == nil && f.Expr == nil && c.pending[f] == nil {
			c.fail("field-missing", m.At, "%s has no %s", m.Name, f.Name).Note(f.At, "every "+m.Kind.Name+" has one, and it has no default").Fix("add: " + f.Name + " = " + exampleOf(f.Type))
		}
	}
}

// exampleOf writes a value of a kind, to show how it is written.
func exampleOf(t Type) string {
	switch t.Base {
	case YesNo:
		return "yes"
	case ChoiceWord:
		if len(t.Choice.Words) > 0 {
			return t.Choice.Words[0]
		}
	case Text:
		return `"…"`
	case Quantity:
		if u := unitLike(Type{Dim: t.Dim}); t.Dim != quantity.Plain && len(u) <= 3 {
			return "… " + u
		}
	}
	return "… (" + t.String() + ")"
}

func (c *checker) amendMaterial(d *lang.MaterialDecl) {
	m, ok := c.values[d.Name.Text].(*Material)
	if !ok {
		if _, isRule := c.values[d.Name.Text].(*Rule); isRule {
			c.fail("amend-kind", d.Name.At, "%s is a rule", d.Name.Text).Fix("write: amend " + d.Name.Text + " = …")
			return
		}
		c.unknown("material", d.Name, c.materialNames)
		return
	}
	w := c.window(d.Window, d.Name.At, nil)
	for _, given := range d.Cells {
		if f := c.fieldOf(m, given); f != nil {
			m.Amends = append(m.Amends, &FieldAmend{w, f, c.fieldCell(m, f, given)})
		}
	}
}

func (c *checker) materialNames() []string {
	var all []string
	for _, m := range c.p.Materials {
		all = append(all, m.Name)
	}
	slices.Sort(all)
	return all
}

// window reads the days on which an amendment holds.
func (c *checker) window(w lang.Window, at diag.Span, order *Order) Window {
	win := Window{Layer: c.layer(at), At: at, OrderOnly: order}
	if order != nil {
		win.Layer = diag.Order
	}
	if w.From != nil {
		win.HasFrom, win.From = true, c.day(w.From)
	}
	if w.Until != nil {
		win.HasUntil, win.Until = true, c.day(w.Until)
	}
	if win.isEmpty() {
		c.fail("window-empty", w.From.At.To(w.Until.At), "this amendment never holds: until is not after from").Fix("until is the first day on which it no longer holds")
	}
	return win
}

// fieldClashes reports two amendments of one field that apply equally.
func (c *checker) fieldClashes(m *Material) {
	type fieldLevel struct {
		field *Cell
		level level
	}
	before := map[fieldLevel]*FieldAmend{}
	for _, a := range m.Amends {
		at := fieldLevel{a.Field, a.level()}
		if b := before[at]; b != nil && !a.isEmpty() {
			c.fail("amend-clash", a.Cell.At, "two amendments of %s's %s apply equally%s", m.Name, a.Field.Name, a.onDay()).
				Note(b.Cell.At, "the other is here").Fix("give one a later from")
		}
		if !a.isEmpty() {
			before[at] = a
		}
	}
}

// isEmpty reports whether the window holds on no day.
func (w Window) isEmpty() bool { return w.HasFrom && w.HasUntil && w.Until <= w.From }

// onDay names a day on which the window holds, if it has a first.
func (w Window) onDay() string {
	if !w.HasFrom {
		return ""
	}
	return ", on " + DateText(w.From) + " for one"
}
