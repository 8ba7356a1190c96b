package check

import (
	"strings"

	"squab/eval/quantity"
	"squab/lang"
)

// notMeasure reports an operand that no arithmetic works on.
func (c *checker) notMeasure(op string, x Expr) {
	c.fail("not-a-measure", x.Span(), "%s works on measures and numbers, and this is %s", op, article(x.Type()))
}

// quantityOperand checks an operand that must be a measure or number.
func (c *checker) quantityOperand(e lang.Expr, sc *scope, op string) (Expr, bool) {
	x := c.infer(e, sc, nil)
	t := x.Type()
	if !t.Known() {
		return x, false
	}
	if t.Base != Quantity {
		c.notMeasure(op, x)
		return x, false
	}
	return x, true
}

func (c *checker) negate(e *lang.Negate, sc *scope) Expr {
	x, ok := c.quantityOperand(e.X, sc, "-")
	if !ok {
		return bad(e.At)
	}
	return &Unary{base{e.At, x.Type()}, Minus, x}
}

func (c *checker) per(e *lang.PerUnit, sc *scope) Expr {
	x, ok := c.quantityOperand(e.X, sc, "per")
	u, found := c.unit(e.Unit)
	if !ok || !found {
		return bad(e.At)
	}
	divisor := measure(u.Dim)
	t, fine := quotient(x.Type(), divisor)
	if !fine {
		return c.tooMany(e)
	}
	one := &Const{base{e.Unit.At, divisor}, Num(u.Factor)}
	return &Binary{base{e.At, t}, lang.Div, x, one}
}

func (c *checker) tooMany(e lang.Expr) Expr {
	c.fail("dimension-too-high", e.Span(), "this has more factors of one dimension than any measure can").Fix("divide before multiplying further, so that lengths do not pile up")
	return bad(e.Span())
}

func (c *checker) binary(e *lang.Binary, sc *scope) Expr {
	switch e.Op {
	case lang.Or, lang.And:
		x := c.formula(e.X, sc, yesNo, "what stands before "+string(e.Op))
		y := c.formula(e.Y, sc, yesNo, "what stands after "+string(e.Op))
		return &Binary{base{e.At, yesNo}, e.Op, x, y}
	case lang.Is, lang.IsNot:
		return c.is(e, sc)
	case lang.Eq, lang.Lt, lang.Le, lang.Gt, lang.Ge:
		return c.compare(e, sc)
	case lang.By, lang.At:
		return c.pair(e, sc)
	case lang.Add, lang.Sub:
		return c.addition(e, sc)
	case lang.Mul, lang.Div:
		return c.multiplication(e, sc)
	case lang.Mod:
		return c.modulo(e, sc)
	}
	return bad(e.At)
}

func (c *checker) addition(e *lang.Binary, sc *scope) Expr {
	x, ok := c.quantityOperand(e.X, sc, string(e.Op))
	y, ok2 := c.quantityOperand(e.Y, sc, string(e.Op))
	if !ok || !ok2 {
		return bad(e.At)
	}
	t, fits := common(x.Type(), y.Type())
	if !fits {
		return c.mismatch(e, x, y, map[lang.BinaryOp]string{
			lang.Add: "%[2]s cannot be added to %[1]s", lang.Sub: "%[2]s cannot be taken from %[1]s",
		}[e.Op])
	}
	return &Binary{base{e.At, t}, e.Op, x, y}
}

// mismatch reports two operands whose dimensions do not agree, and says the fix that is likeliest. format takes what each of them is.
func (c *checker) mismatch(e *lang.Binary, x, y Expr, format string) Expr {
	d := c.fail("unit-mismatch", e.At, format, described(x), described(y)).Note(x.Span(), described(x)).Note(y.Span(), described(y))
	switch {
	case e.Op == lang.Sub && isWholeLiteral(e.X) && isFractionLiteral(e.Y):
		d.Fix("a mixed number is written without spaces round the hyphen: 4-5/8 in")
	case isPlain(x.Type()) && literalOf(x):
		d.Fix("give the number a unit, such as " + unitLike(y.Type()))
	case isPlain(y.Type()) && literalOf(y):
		d.Fix("give the number a unit, such as " + unitLike(x.Type()))
	default:
		c.hint(d, y.Type(), x.Type())
	}
	return bad(e.At)
}

func isPlain(t Type) bool { return t.Base == Quantity && t.Dim == quantity.Plain }

func literalOf(x Expr) bool { _, ok := x.(*Const); return ok }

func isWholeLiteral(e lang.Expr) bool {
	m, ok := e.(*lang.Measure)
	return ok && len(m.Parts) == 1 && m.Parts[0].Unit.Text == "" && m.Currency == ""
}

func isFractionLiteral(e lang.Expr) bool {
	m, ok := e.(*lang.Measure)
	return ok && len(m.Parts) == 1 && m.Parts[0].Unit.Text != "" && m.Per == nil
}

func unitLike(t Type) string {
	switch t.Dim {
	case quantity.LengthDim:
		return "in"
	case quantity.TimeDim:
		return "min"
	case quantity.MassDim:
		return "lb"
	case quantity.AngleDim:
		return "deg"
	case quantity.AreaDim:
		return "ft2"
	case quantity.MoneyDim:
		return "a currency sign"
	}
	return "that of " + t.String()
}

func (c *checker) multiplication(e *lang.Binary, sc *scope) Expr {
	x, ok := c.quantityOperand(e.X, sc, string(e.Op))
	y, ok2 := c.quantityOperand(e.Y, sc, string(e.Op))
	if !ok || !ok2 {
		return bad(e.At)
	}
	if e.Op == lang.Div && c.isZero(y) {
		return bad(e.At)
	}
	t, fine := product(x.Type(), y.Type())
	if e.Op == lang.Div {
		t, fine = quotient(x.Type(), y.Type())
	}
	if !fine {
		return c.tooMany(e)
	}
	return &Binary{base{e.At, t}, e.Op, x, y}
}

// isZero reports a divisor that is written as nothing.
func (c *checker) isZero(y Expr) bool {
	k, fixed := y.(*Const)
	if !fixed || sign(k.Value.Num) != 0 {
		return false
	}
	c.fail("zero-divisor", y.Span(), "this divides by nothing").Fix("divide by something other than 0")
	return true
}

func (c *checker) modulo(e *lang.Binary, sc *scope) Expr {
	x, ok := c.quantityOperand(e.X, sc, "mod")
	y, ok2 := c.quantityOperand(e.Y, sc, "mod")
	if !ok || !ok2 || c.isZero(y) {
		return bad(e.At)
	}
	t, fits := common(x.Type(), y.Type())
	if !fits {
		return c.mismatch(e, x, y, "mod tells what is left over between like and like, not of %s by %s")
	}
	return &Binary{base{e.At, t}, lang.Mod, x, y}
}

func (c *checker) compare(e *lang.Binary, sc *scope) Expr {
	x := c.infer(e.X, sc, nil)
	tx := x.Type()
	y := c.infer(e.Y, sc, &tx)
	ty := y.Type()
	if !tx.Known() || !ty.Known() {
		return bad(e.At)
	}
	if isWord(tx) || isWord(ty) {
		d := c.fail("compare-words", e.At, "%s compares measures, and here is %s", e.Op, article(wordOf(tx, ty)))
		if e.Op == lang.Eq {
			d.Fix("write is in place of =")
		}
		return bad(e.At)
	}
	if tx.Base != ty.Base || tx.Base != Quantity && tx.Base != Date {
		if tx.Base == ty.Base {
			c.fail("compare-kind", e.At, "%s cannot be compared with %s", article(tx), e.Op).Fix("compare its parts, one by one")
			return bad(e.At)
		}
		return c.mismatch(e, x, y, "%s cannot be compared with %s")
	}
	if !tx.fits(ty) {
		return c.mismatch(e, x, y, "%s cannot be compared with %s")
	}
	return &Binary{base{e.At, yesNo}, e.Op, x, y}
}

// wordOf gives the one of two kinds that is compared with is.
func wordOf(a, b Type) Type {
	if isWord(a) {
		return a
	}
	return b
}

// isWord reports whether values of a kind are compared with is.
func isWord(t Type) bool {
	switch t.Base {
	case Text, YesNo, ChoiceWord, OfMaterial:
		return true
	}
	return false
}

func (c *checker) is(e *lang.Binary, sc *scope) Expr {
	x, y := c.inferBoth(e, sc)
	tx, ty := x.Type(), y.Type()
	if !tx.Known() || !ty.Known() {
		return bad(e.At)
	}
	if !isWord(tx) {
		d := c.fail("is-measure", e.At, "%s compares words, and this is %s", e.Op, article(tx))
		if tx.Base == Quantity || tx.Base == Date {
			d.Fix("write = for measures and numbers")
		}
		return bad(e.At)
	}
	if !ty.fits(tx) {
		d := c.fail("kind-mismatch", y.Span(), "%s cannot be %s", article(tx), article(ty)).Note(x.Span(), article(tx))
		if tx.Base == ChoiceWord {
			d.Notes = append(d.Notes, tx.Choice.Name+" is one of: "+joinWords(tx.Choice.Words))
		}
		return bad(e.At)
	}
	return &Binary{base{e.At, yesNo}, e.Op, x, y}
}

// inferBoth checks two operands, of which each may tell whose word the other is. A bare word of several choices comes second.
func (c *checker) inferBoth(e *lang.Binary, sc *scope) (x, y Expr) {
	id, bare := unwrap(e.X).(*lang.Ident)
	if cell, _ := sc.find(identName(id)); bare && cell == nil && len(c.words[id.Text]) > 1 {
		y = c.infer(e.Y, sc, nil)
		ty := y.Type()
		return c.infer(e.X, sc, &ty), y
	}
	x = c.infer(e.X, sc, nil)
	tx := x.Type()
	return x, c.infer(e.Y, sc, &tx)
}

func identName(id *lang.Ident) string {
	if id == nil {
		return ""
	}
	return id.Text
}

func joinWords(words []string) string { return strings.Join(words, ", ") }

func (c *checker) pair(e *lang.Binary, sc *scope) Expr {
	length := plainKinds["length"]
	what, t := "each side of by", size
	if e.Op == lang.At {
		what, t = "each side of at", point
	}
	x := c.formula(e.X, sc, length, what)
	y := c.formula(e.Y, sc, length, what)
	return &Binary{base{e.At, t}, e.Op, x, y}
}

func (c *checker) rounded(e *lang.Rounded, sc *scope) Expr {
	x, ok := c.quantityOperand(e.X, sc, "rounded")
	step, ok2 := c.quantityOperand(e.Step, sc, "rounded")
	if !ok || !ok2 {
		return bad(e.At)
	}
	t, fits := common(x.Type(), step.Type())
	if !fits {
		c.fail("unit-mismatch", e.At, "%s cannot be rounded to a step that is %s", article(x.Type()), article(step.Type())).
			Note(x.Span(), article(x.Type())).Note(step.Span(), article(step.Type())).Fix("round to a step in the same unit: … rounded up to 1/4 yd")
		return bad(e.At)
	}
	if k, isConst := fold(step).(*Const); isConst && sign(k.Value.Num) <= 0 {
		c.fail("round-to-nothing", step.Span(), "the step of a rounding must be more than nothing").Fix("round to a step such as 1/16 in, or 1 for whole numbers")
		return bad(e.At)
	}
	return &Rounded{base{e.At, wholeIf(t, step.Type().Whole)}, e.Way, x, step}
}

// wholeIf marks a plain number as whole, so that it may stand for a count.
func wholeIf(t Type, whole bool) Type {
	t.Whole = whole
	if whole && t.Dim == quantity.Plain && t.Slack == 0 {
		t.Slack = 1
	}
	return t
}

func (c *checker) ifElse(e *lang.If, sc *scope, want *Type) Expr {
	cond := c.formula(e.Cond, sc, yesNo, "what follows if")
	then := c.infer(e.Then, sc, want)
	if want == nil {
		t := then.Type()
		want = &t
	}
	other := c.infer(e.Else, sc, want)
	t, ok := common(then.Type(), other.Type())
	if !ok {
		c.fail("branches-differ", e.At, "then gives %s and else gives %s", article(then.Type()), article(other.Type())).
			Note(then.Span(), article(then.Type())).Note(other.Span(), article(other.Type())).Fix("both must give the same kind")
		return bad(e.At)
	}
	return &If{base{e.At, t}, cond, then, other}
}

func (c *checker) forEach(e *lang.ForEach, sc *scope, want *Type) Expr {
	var loops []Loop
	for _, l := range e.Loops {
		loop := c.loop(l, sc)
		sc = sc.inner()
		loop.Var.Index = *sc.next
		*sc.next++
		sc.cells[l.Name.Text] = loop.Var
		loops = append(loops, loop)
	}
	var item *Type
	if want != nil && want.Base == List {
		item = want.Elem
	}
	body := c.infer(e.Body, sc, item)
	return &ForEach{base{e.At, listOf(body.Type())}, loops, body}
}

func (c *checker) loop(l *lang.Loop, sc *scope) Loop {
	v := &Cell{Name: l.Name.Text, At: l.Name.At}
	if l.Of == nil {
		v.Type = count
		return Loop{Var: v, From: c.formula(l.From, sc, count, "where for each begins"), To: c.formula(l.To, sc, count, "where for each ends")}
	}
	of := c.infer(l.Of, sc, nil)
	switch t := of.Type(); t.Base {
	case List:
		v.Type = *t.Elem
	case Unknown:
	default:
		c.fail("loop-of-none", of.Span(), "for each runs over a list, and this is %s", article(t)).Fix("for each i from 1 to n: …")
	}
	return Loop{Var: v, Of: of}
}

func (c *checker) list(e *lang.List, sc *scope, want *Type) Expr {
	if want != nil && want.Base == List && want.Known() {
		return c.listOfKind(e, sc, *want.Elem)
	}
	if len(e.Items) == 0 {
		c.fail("list-empty", e.At, "nothing says what this empty list holds").Fix("for each i from 1 to 0: … gives an empty list of a kind")
		return bad(e.At)
	}
	items := make([]Expr, len(e.Items))
	var item Type
	var like *Type // nothing before the first item says what it is
	for i, it := range e.Items {
		x := c.infer(it, sc, like)
		t, ok := common(item, x.Type())
		if !ok {
			c.fail("list-mixed", x.Span(), "a list holds one kind, and here is %s beside %s", described(x), article(item)).
				Note(items[0].Span(), "the list begins with "+article(items[0].Type())).Fix("make two lists")
			return bad(e.At)
		}
		items[i], item, like = x, t, &item
	}
	return &ListOf{base{e.At, listOf(item)}, items}
}

// listOfKind is a list where the kind of its items is asked.
func (c *checker) listOfKind(e *lang.List, sc *scope, item Type) Expr {
	items := make([]Expr, len(e.Items))
	for i, it := range e.Items {
		items[i] = c.formula(it, sc, item, "each of the list")
	}
	return &ListOf{base{e.At, listOf(item)}, items}
}
