package check

import (
	"fmt"
	"strings"

	"squab/eval/quantity"
	"squab/lang"
)

// most is how many boxes a proof may be made of before it is given up.
const most = 4096

// regions turns a condition into the boxes in which it holds; false where there would be too many.
func (t *terms) regions(cond Expr, holds bool) ([]box, bool) {
	switch e := resolve(cond).(type) {
	case nil:
		return []box{{}}, true
	case *Const:
		if e.Value.Yes() == holds {
			return []box{{}}, true
		}
		return nil, true
	case *Unary:
		if e.Op == Not {
			return t.regions(e.X, !holds)
		}
	case *Binary:
		switch e.Op {
		case lang.And, lang.Or:
			if (e.Op == lang.And) == holds {
				return t.all(e, holds)
			}
			return t.any(e, holds)
		case lang.Is, lang.IsNot, lang.Eq, lang.Lt, lang.Le, lang.Gt, lang.Ge:
			return t.atom(e, holds), true
		}
		return t.opaque(e, holds), true
	}
	return t.opaque(resolve(cond), holds), true
}

func (t *terms) all(e *Binary, holds bool) ([]box, bool) {
	xs, ok := t.regions(e.X, holds)
	ys, ok2 := t.regions(e.Y, holds)
	if !ok || !ok2 || len(xs)*len(ys) > most {
		return nil, false
	}
	var boxes []box
	for _, x := range xs {
		for _, y := range ys {
			if b, meets := t.meet(x, y); meets {
				boxes = append(boxes, b)
			}
		}
	}
	return boxes, true
}

func (t *terms) any(e *Binary, holds bool) ([]box, bool) {
	xs, ok := t.regions(e.X, holds)
	ys, ok2 := t.regions(e.Y, holds)
	return append(xs, ys...), ok && ok2 && len(xs)+len(ys) <= most
}

// resolve looks through a rule's own cells to their formulas, so that conditions by way of a cell are understood.
func resolve(e Expr) Expr {
	for range 100 {
		ref, ok := e.(*CellRef)
		if !ok || ref.In != InRule || ref.Cell.Role != FormulaCell || ref.Cell.Expr == nil {
			return e
		}
		e = ref.Cell.Expr
	}
	return e
}

// atom is a comparison: of a term with a fixed value where one side is fixed, else a yes/no that is known by its form alone.
func (t *terms) atom(e *Binary, holds bool) []box {
	x, y, op := resolve(e.X), resolve(e.Y), e.Op
	if _, fixed := x.(*Const); fixed {
		x, y, op = y, x, mirrored(op)
	}
	k, fixed := y.(*Const)
	if !fixed || !ordered(x.Type()) {
		return t.opaque(e, holds)
	}
	key := t.term(x)
	s := comparison(t.domain[key].whole, op, k.Value.Num)
	if !holds {
		s = s.complement()
	}
	s = s.and(t.domain[key])
	if s.empty() {
		return nil
	}
	return []box{{key: s}}
}

func mirrored(op lang.BinaryOp) lang.BinaryOp {
	switch op {
	case lang.Lt:
		return lang.Gt
	case lang.Le:
		return lang.Ge
	case lang.Gt:
		return lang.Lt
	case lang.Ge:
		return lang.Le
	}
	return op
}

// ordered reports whether a kind's values are numbers underneath.
func ordered(t Type) bool {
	switch t.Base {
	case Quantity, Date, ChoiceWord, YesNo:
		return true
	}
	return false
}

func comparison(whole bool, op lang.BinaryOp, n quantity.Number) set {
	end := edge{infinite: true}
	switch op {
	case lang.Lt:
		return between(whole, end, edge{at: n, open: true})
	case lang.Le:
		return between(whole, end, edge{at: n})
	case lang.Gt:
		return between(whole, edge{at: n, open: true}, end)
	case lang.Ge:
		return between(whole, edge{at: n}, end)
	case lang.IsNot:
		return exactly(whole, n).complement()
	}
	return exactly(whole, n)
}

// opaque is a condition that is known only by its form: the same form has the same answer.
func (t *terms) opaque(e Expr, holds bool) []box {
	key := t.term(e)
	n := int64(0)
	if holds {
		n = 1
	}
	return []box{{key: exactly(true, quantity.Int(n))}}
}

// term takes a formula in as a term and gives its key.
func (t *terms) term(e Expr) string {
	key := form(e)
	if _, known := t.domain[key]; !known {
		t.domain[key] = domainOf(e)
		t.sample[key] = e
	}
	return key
}

// domainOf is every value that a term can have: its kind's, within its declared range.
func domainOf(e Expr) set {
	switch x := e.(type) {
	case *CellRef:
		return domainOfCell(x.Cell)
	case *FieldOf:
		return domainOfCell(x.Field)
	}
	return domainOfType(e.Type())
}

func domainOfType(t Type) set {
	switch t.Base {
	case YesNo:
		return between(true, edge{at: quantity.Int(0)}, edge{at: quantity.Int(1)})
	case ChoiceWord:
		return between(true, edge{at: quantity.Int(0)}, edge{at: quantity.Int(int64(len(t.Choice.Words) - 1))})
	}
	return everything(t.Whole || t.Base == Date)
}

func domainOfCell(c *Cell) set {
	s := domainOfType(c.Type)
	if k, ok := c.From.(*Const); ok {
		s = s.and(between(s.whole, edge{at: k.Value.Num}, edge{infinite: true}))
	}
	if k, ok := c.To.(*Const); ok {
		s = s.and(between(s.whole, edge{infinite: true}, edge{at: k.Value.Num}))
	}
	return s
}

// form writes the shape of a formula, so that the same formula is known again: parameters by place, whatever an amendment calls them.
func form(e Expr) string {
	e = resolve(e)
	switch e := e.(type) {
	case *CellRef:
		return fmt.Sprintf("cell%d.%d", e.In, e.Cell.Index)
	case *FieldOf:
		return form(e.X) + "." + e.Field.Name
	case *ItemOf:
		return form(e.X) + "." + e.Name
	case *Const:
		return constForm(e)
	case *Binary:
		return "(" + form(e.X) + " " + string(e.Op) + " " + form(e.Y) + ")"
	case *RuleCall:
		return e.Rule.Name + formsOf(e.Args)
	case *FuncCall:
		return string(e.Func) + formsOf(e.Args)
	}
	return fmt.Sprintf("%T%s", e, formsOf(Children(e)))
}

func constForm(k *Const) string {
	if m := k.Value.Material(); m != nil {
		return m.Name
	}
	return k.Value.Num.String() + k.Value.Text()
}

func formsOf(all []Expr) string {
	parts := make([]string, len(all))
	for i, e := range all {
		if e != nil {
			parts[i] = form(e)
		}
	}
	return "(" + strings.Join(parts, ", ") + ")"
}

// example writes one value for each term of a box.
func (c *checker) example(t *terms, b box) string {
	var parts []string
	for _, key := range boxKeys(b) {
		s := t.of(b, key)
		if s.empty() {
			continue
		}
		parts = append(parts, c.termText(t.sample[key], s.sample()))
	}
	return strings.Join(parts, ", ")
}

func (c *checker) termText(e Expr, n quantity.Number) string {
	name := c.p.Files.Text(e.Span())
	switch x := e.(type) {
	case *CellRef:
		name = x.Cell.Name
	case *FieldOf:
		name = c.termName(x)
	}
	t := e.Type()
	switch t.Base {
	case ChoiceWord:
		if i, ok := n.Int64(); ok && int(i) < len(t.Choice.Words) && i >= 0 {
			return name + " = " + t.Choice.Words[i]
		}
	case YesNo:
		if s, _ := n.Sign(); s > 0 {
			return name + " = yes"
		}
		return name + " = no"
	case Date:
		if d, ok := n.Int64(); ok {
			return name + " = " + DateText(d)
		}
	}
	return name + " = " + c.p.Style.Show(n, t.ShownDim()).Text
}

func (c *checker) termName(f *FieldOf) string {
	if x, ok := f.X.(*CellRef); ok {
		return x.Cell.Name + "." + f.Field.Name
	}
	return c.p.Files.Text(f.at)
}

// ShownDim is the dimension under which a value of the kind is shown: a count may stand as a plain number.
func (t Type) ShownDim() quantity.Dimension {
	d := t.Dim
	if d.Count <= 0 && d.Count+t.Slack >= 0 {
		d.Count = 0
	}
	return d
}
