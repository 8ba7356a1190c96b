package check

import (
	"slices"
	"strings"

	"squab/eval/quantity"
	"squab/lang"
	"squab/lang/diag"
)

// formula checks a formula where a value of kind want is asked, and reports it where it gives another; what names it in the message.
func (c *checker) formula(e lang.Expr, sc *scope, want Type, what string) Expr {
	x, _ := c.suit(c.infer(e, sc, &want), want, what)
	return x
}

// formulaFor is formula for a value that something declared elsewhere asks for.
func (c *checker) formulaFor(e lang.Expr, sc *scope, want Type, what string, asker *Cell) Expr {
	x, d := c.suit(c.infer(e, sc, &want), want, what)
	d.Note(asker.At, asker.Name+" is "+article(want))
	return x
}

// suit reports x where its kind does not suit want; the problem is of no account where it does.
func (c *checker) suit(x Expr, want Type, what string) (Expr, *diag.Diagnostic) {
	t := x.Type()
	if !t.Known() || !want.Known() || t.fits(want) && t.wholeFor(want) {
		return x, &diag.Diagnostic{}
	}
	unfit := &Bad{base{x.Span(), want}}
	if t.fits(want) {
		return unfit, c.fail("count-not-whole", x.Span(), "%s must be a whole number, and this need not be", what).Fix("say how to make it whole: … rounded up to 1")
	}
	d := c.fail(mismatchCode(t, want), x.Span(), "%s must be %s, and this is %s", what, article(want), described(x))
	c.hint(d, t, want)
	return unfit, d
}

// described says what a formula is: a bare number by its lack of a unit.
func described(x Expr) string {
	if k, ok := x.(*Const); ok && isPlain(k.t) {
		return "a number without a unit"
	}
	return article(x.Type())
}

func mismatchCode(t, want Type) string {
	if t.Base == Quantity && want.Base == Quantity {
		return "unit-mismatch"
	}
	return "kind-mismatch"
}

// hint says what one thing would mend a mismatch, where it is one.
func (c *checker) hint(d *diag.Diagnostic, t, want Type) {
	switch {
	case want.Base == ChoiceWord:
		d.Note(want.Choice.At, "its words: "+joinWords(want.Choice.Words))
	case t.Base == Quantity && want.Base == Quantity:
		measureHint(d, t, want)
	case want.Base == Size && t.Base == Quantity:
		d.Fix("a size is written with by: 46 in by 17 in")
	case want.Base == Point && t.Base == Size:
		d.Fix("a point is written with at: 4 in at 3 in")
	}
}

func measureHint(d *diag.Diagnostic, t, want Type) {
	x, y := t.Dim, want.Dim
	x.Count, y.Count = 0, 0
	factor, ok := want.Dim.Div(t.Dim)
	f := measure(factor)
	switch {
	case x == y:
		d.Fix("multiply or divide by how many: a rate per each needs a count")
	case isPlain(t):
		d.Fix("give it a unit, such as " + unitLike(want))
	case ok && isSimple(f):
		d.Fix("a factor that is " + article(f) + " is missing")
	}
}

// isSimple reports whether a kind is one of the named measures.
func isSimple(t Type) bool {
	for _, k := range plainKinds {
		if k.Base == Quantity && k.Dim == t.Dim {
			return true
		}
	}
	return false
}

// article puts a or an before a kind where that reads better.
func article(t Type) string {
	s := t.String()
	switch {
	case t.Base == ChoiceWord:
		return "a word of the choice " + s
	case t.Base == YesNo || t.Base == Text || strings.Contains(s, " per "):
		return s
	case s == "money" || s == "time" || s == "mass":
		return s
	case strings.ContainsRune("aeiou", rune(s[0])):
		return "an " + s
	}
	return "a " + s
}

// deepest is how many formulas may be checked within each other: by brackets, by long sums, or by cells that rest on cells.
const deepest = 100_000

// infer checks a formula. want is what is asked where it stands, if that is known: it tells words of one choice from those of another.
func (c *checker) infer(e lang.Expr, sc *scope, want *Type) Expr {
	if c.depth >= deepest {
		c.fail("formula-too-deep", spanOf(e), "too many formulas rest on each other here, one within the other").Fix("name a part of it in a cell of its own, further up")
		return bad(spanOf(e))
	}
	c.depth++
	x := c.inferOne(e, sc, want)
	c.depth--
	return x
}

func (c *checker) inferOne(e lang.Expr, sc *scope, want *Type) Expr {
	switch e := e.(type) {
	case *lang.Measure:
		return c.constant(c.literal(e))
	case *lang.DateLit:
		return &Const{base{e.At, date}, Num(quantity.Int(c.day(e)))}
	case *lang.YesNo:
		return &Const{base{e.At, yesNo}, Bool(e.Value)}
	case *lang.TextExpr:
		return c.textOf(e, sc)
	case *lang.Ident:
		return c.ident(e.Name, sc, want)
	case *lang.Field:
		return c.field(e, sc)
	case *lang.Index:
		return c.index(e, sc)
	case *lang.Call:
		return c.call(e, sc, want)
	case *lang.If:
		return c.ifElse(e, sc, want)
	case *lang.ForEach:
		return c.forEach(e, sc, want)
	case *lang.List:
		return c.list(e, sc, want)
	case *lang.Paren:
		return c.infer(e.X, sc, want)
	}
	return c.operation(e, sc)
}

// operation is what gives the same whatever is asked where it stands.
func (c *checker) operation(e lang.Expr, sc *scope) Expr {
	switch e := e.(type) {
	case *lang.Negate:
		return c.negate(e, sc)
	case *lang.Not:
		return &Unary{base{e.At, yesNo}, Not, c.formula(e.X, sc, yesNo, "what follows not")}
	case *lang.Binary:
		return c.binary(e, sc)
	case *lang.Rounded:
		return c.rounded(e, sc)
	case *lang.PerUnit:
		return c.per(e, sc)
	}
	return bad(spanOf(e))
}

func spanOf(e lang.Expr) diag.Span {
	if e == nil {
		return diag.Span{}
	}
	return e.Span()
}

func bad(at diag.Span) Expr { return &Bad{base{at: at}} }

func (c *checker) constant(k *Const) Expr {
	if !k.t.Known() {
		return bad(k.at)
	}
	return k
}

// textOf is text; without holes it is a constant.
func (c *checker) textOf(e *lang.TextExpr, sc *scope) Expr {
	var parts []TextPart
	plain := true
	for _, p := range e.Parts {
		part := TextPart{Plain: p.Plain}
		if p.Hole != nil {
			part.Hole = c.infer(p.Hole, sc, nil)
			plain = false
		}
		parts = append(parts, part)
	}
	if !plain {
		return &TextOf{base{e.At, text}, parts}
	}
	whole := ""
	for _, p := range parts {
		whole += p.Plain
	}
	return &Const{base{e.At, text}, TextValue(whole)}
}

// ident finds what a name stands for: a cell in scope, a rule without parameters or a material, a choice's word.
func (c *checker) ident(n lang.Name, sc *scope, want *Type) Expr {
	if cell, in := sc.find(n.Text); cell != nil {
		return c.cellRef(n.At, cell, nil, in.frame)
	}
	if want != nil && want.Base == ChoiceWord && want.Choice.has(n.Text) {
		return want.Choice.value(n)
	}
	switch d := c.values[n.Text].(type) {
	case *Material:
		return &Const{base{n.At, Type{Base: OfMaterial, Kind: d.Kind}}, Value{Obj: &Object{Material: d}}}
	case *Rule:
		return c.callRule(d, n, nil, sc)
	}
	if n.Text == string(Pi) {
		return &FuncCall{base{n.At, number}, Pi, nil}
	}
	if owners := c.words[n.Text]; len(owners) > 0 {
		return c.word(n, owners, want)
	}
	c.unknownValue(n, sc, want)
	return bad(n.At)
}

// word is a choice's word that is none of the choice asked for, or stands where nothing says which choice is meant.
func (c *checker) word(n lang.Name, owners []*Choice, want *Type) Expr {
	if len(owners) > 1 && want == nil {
		c.fail("word-ambiguous", n.At, "%s is a word of the choices %s and %s", n.Text, owners[0].Name, owners[1].Name).
			Note(owners[0].At, "declared here").Note(owners[1].At, "and here").Fix("let an ask or a rule of that choice give it, or rename one word")
		return bad(n.At)
	}
	return owners[0].value(n)
}

// unknownValue reports a name in a formula that nothing bears, or that no formula can be made of.
func (c *checker) unknownValue(n lang.Name, sc *scope, want *Type) {
	r := sc.recipeOf()
	switch _, isFunc := functions[Func(n.Text)]; {
	case isFunc:
		c.fail("call-bare", n.At, "%s is a function and wants something in brackets", n.Text).Fix(n.Text + "(…)")
	case r != nil && r.lost[n.Text]:
	case r != nil && (r.groups[n.Text] || r.parts[n.Text] != nil):
		c.fail("group-bare", n.At, "%s stands for several cells", n.Text).Fix("name one of them: " + n.Text + "." + c.firstOf(r, n.Text))
	case sc.makes != nil && sc.makes.Cell(n.Text) != nil:
		c.fail("cell-out-of-reach", n.At, "%s is a cell of %s, and what an order gives is known before any of these", n.Text, sc.makes.Name).
			Note(sc.makes.Cell(n.Text).At, "the cell").Fix("give the value itself, or use a rule")
	case want != nil && want.Base == ChoiceWord:
		words := names(func() []string { return want.Choice.Words })
		c.unknown("word of "+want.Choice.Name, n, words.and(c.formulaNames(sc))).Note(want.Choice.At, "its words: "+joinWords(want.Choice.Words))
	default:
		c.unknownName(n, sc)
	}
}

func (c *checker) unknownName(n lang.Name, sc *scope) {
	d := c.unknown("cell, rule or material", n, c.formulaNames(sc))
	if _, isUnit := c.p.Units.Lookup(n.Text); isUnit {
		d.Fix("if " + n.Text + " is meant as a unit, it stands right after a number")
	}
}

// formulaNames lists the names that a formula may use.
func (c *checker) formulaNames(sc *scope) names {
	return names(sc.known).and(namesOf(c.values), namesOf(c.words), functionNames)
}

// firstOf gives the last word of some cell that begins with a group's name.
func (c *checker) firstOf(r *Recipe, group string) string {
	if p := r.parts[group]; p != nil {
		group, r = "", p.Recipe
	}
	for _, cell := range r.Cells[DateIndex+1:] {
		if cell.Role == HiddenCell {
			continue
		}
		if name, ok := strings.CutPrefix(cell.Name, group+"."); ok || group == "" {
			return name
		}
	}
	return "…"
}

// cellRef refers to a cell, working out its kind first. A cell whose kind is being worked out closes a ring.
func (c *checker) cellRef(at diag.Span, cell *Cell, path []*Part, in Frame) Expr {
	if p := c.pending[cell]; p != nil && p.state == checking {
		c.closeRing(cell)
		return bad(at)
	}
	c.settle(cell)
	return &CellRef{base{at, cell.Type}, cell, path, in}
}

// closeRing reports the cells that are being settled, from the one that the last of them refers to, unless one of them is in a ring that was reported.
func (c *checker) closeRing(cell *Cell) {
	ring := c.settling[slices.Index(c.settling, cell):]
	told := slices.ContainsFunc(ring, func(cell *Cell) bool { return c.inRing[cell] })
	if told {
		return
	}
	for _, cell := range ring {
		c.inRing[cell] = true
	}
	c.reportRing(ring, func(cell *Cell) (string, diag.Span) { return cell.Name, cell.At })
}

// settle checks a cell's formula the first time that its kind is asked for.
func (c *checker) settle(cell *Cell) {
	p := c.pending[cell]
	if p == nil || p.state != fresh {
		return
	}
	p.state = checking
	c.settling = append(c.settling, cell)
	c.work(cell, p)
	c.settling = c.settling[:len(c.settling)-1]
	p.state = done
}

func (c *checker) work(cell *Cell, p *pending) {
	before := *p.scope.next
	if p.want != nil {
		cell.Expr = c.formula(p.tree, p.scope, *p.want, p.what)
		c.constRange(outsideCode(cell), p.what, cell, cell.Expr)
	} else {
		cell.Expr = c.infer(p.tree, p.scope, nil)
		cell.Type = cell.Expr.Type()
	}
	if p.scope.frame == InMaterial {
		c.fewLoops(*p.scope.next-before, cell.Expr)
	}
	if p.cents {
		cell.Expr = charged(cell.Expr, p.when)
	}
}

// charged is a charge rounded to the cent, or nothing where its condition does not hold. The step and the nothing are not written, so they have no place.
func charged(x Expr, when *Cell) Expr {
	cent := &Const{base{t: MoneyType()}, Num(quantity.Frac(1, 100))}
	rounded := &Rounded{base{x.Span(), MoneyType()}, lang.RoundTo, x, cent}
	if when == nil {
		return rounded
	}
	cond := &CellRef{base{when.At, yesNo}, when, nil, InRecipe}
	return &If{base{x.Span(), MoneyType()}, cond, rounded, &Const{base{t: MoneyType()}, Value{}}}
}

// outsideCode tells a default outside its range from what a part gives for an ask.
func outsideCode(cell *Cell) string {
	if cell.Role == AskCell {
		return "default-outside"
	}
	return "ask-outside"
}

// alone checks a formula that stands on its own: an order's value, a range, a test.
func (c *checker) alone(e lang.Expr, sc *scope, want Type, what string) Expr {
	x := c.formula(e, sc, want, what)
	c.fewLoops(*sc.next, x)
	return x
}

// fewLoops reports a formula with more loops than the stack has room for where it is worked out.
func (c *checker) fewLoops(n int, x Expr) {
	if n > mostLoops {
		c.fail("loops-too-many", x.Span(), "for each may have at most %d variables here, and this has %d", mostLoops, n).Fix("make the list in a rule")
	}
}

// await puts a cell's formula down to be checked when its kind is asked for. With want its kind is given; what names it in a message.
func (c *checker) await(cell *Cell, tree lang.Expr, want *Type, sc *scope, what string) {
	if want != nil {
		cell.Type = *want
	}
	cell.Source = tree
	c.pending[cell] = &pending{tree: tree, want: want, scope: sc, what: what}
}

// field is `x.name`: a dotted cell, a part's cell, a material's field, or a part of a size or point.
func (c *checker) field(e *lang.Field, sc *scope) Expr {
	if ref := c.dotted(e, sc); ref != nil {
		return ref
	}
	x := c.infer(e.X, sc, nil)
	t := x.Type()
	switch t.Base {
	case Unknown:
		return bad(e.At)
	case OfMaterial:
		if f := t.Kind.Field(e.Name.Text); f != nil {
			return &FieldOf{base{e.At, f.Type}, x, f}
		}
		c.unknown("field of "+article(t), e.Name, namesOf(t.Kind.byName)).Note(t.Kind.At, "the kind is declared here")
	case Size:
		return c.item(e, x, "wide", "deep")
	case Point:
		return c.item(e, x, "x", "y")
	default:
		c.fail("field-of-none", e.Name.At, "%s has no parts, so nothing called %s", article(t), e.Name.Text).Note(x.Span(), article(t))
	}
	return bad(e.At)
}

func (c *checker) item(e *lang.Field, x Expr, names ...string) Expr {
	for i, name := range names {
		if e.Name.Text == name {
			return &ItemOf{base{e.At, plainKinds["length"]}, x, i, name}
		}
	}
	c.unknown("part of "+article(x.Type()), e.Name, these(names...))
	return bad(e.At)
}

// dotted finds a dotted name among the recipe's cells and its parts' cells; nil where it is none.
func (c *checker) dotted(e *lang.Field, sc *scope) Expr {
	names := dottedNames(e)
	if names != nil && names[0].Text == "price" && sc.price && c.p.Price != nil {
		return c.priceCell(e, names[1:])
	}
	r := sc.recipeOf()
	if names == nil || r == nil {
		return nil
	}
	if cell, _ := sc.find(names[0].Text); cell != nil && !(r.groups[names[0].Text] && cell == r.byName[names[0].Text]) {
		return nil // a field of its value; only marks are a value and have cells beneath their name
	}
	var path []*Part
	if r.lost[names[0].Text] {
		return bad(e.At)
	}
	for len(names) > 1 && r.parts[names[0].Text] != nil {
		p := r.parts[names[0].Text]
		path = append(path, p)
		r = p.Recipe
		names = names[1:]
	}
	if len(path) == 0 && !r.groups[names[0].Text] {
		return nil
	}
	return c.dottedCell(e, names, r, path)
}

// priceCell is a cell of the price block, for a proof.
func (c *checker) priceCell(e *lang.Field, names []lang.Name) Expr {
	if len(names) != 1 {
		return nil
	}
	cell := c.p.Price.byName[names[0].Text]
	if cell == nil {
		c.unknown("line of the price", names[0], c.p.Price.visibleNames)
		return bad(e.At)
	}
	return c.cellRef(e.At, cell, nil, InPrice)
}

// dottedCell finds the rest of a dotted name in the recipe that it led to; a further dot may be a field of the cell's value.
func (c *checker) dottedCell(e *lang.Field, names []lang.Name, r *Recipe, path []*Part) Expr {
	name := names[0].Text
	if r.groups[name] && len(names) > 1 {
		name += "." + names[1].Text
		names = names[1:]
	}
	cell := r.byName[name]
	if cell == nil || cell.Role == HiddenCell {
		if !r.lost[names[0].Text] && !r.lost[name] {
			c.unknown("cell of "+r.Name, lang.Name{Text: name, At: names[0].At}, r.visibleNames)
		}
		return bad(e.At)
	}
	if len(names) > 1 {
		return nil // a field of a part's cell: settled by inferring what stands before the dot
	}
	return c.cellRef(e.At, cell, path, InRecipe)
}

func (r *Recipe) visibleNames() []string {
	var all []string
	for _, cell := range r.Cells {
		if cell.Role != HiddenCell {
			all = append(all, cell.Name)
		}
	}
	return all
}

// dottedNames lists the names of a.b.c; nil where the front is no name.
func dottedNames(e lang.Expr) []lang.Name {
	switch e := e.(type) {
	case *lang.Ident:
		return []lang.Name{e.Name}
	case *lang.Field:
		if front := dottedNames(e.X); front != nil {
			return append(front, e.Name)
		}
	}
	return nil
}

func (c *checker) index(e *lang.Index, sc *scope) Expr {
	x := c.infer(e.X, sc, nil)
	i := c.formula(e.I, sc, count, "the place in a list")
	t := x.Type()
	if !t.Known() {
		return bad(e.At)
	}
	if t.Base != List {
		c.fail("index-of-none", e.X.Span(), "only a list has places to count, and this is %s", article(t)).Fix("leave out the [ ]")
		return bad(e.At)
	}
	return &Index{base{e.At, *t.Elem}, x, i}
}
