package check

import (
	"squab/eval/quantity"
	"squab/lang"
)

// difference is the term x - y, by which a comparison of two formulas is known.
type difference struct {
	base
	X, Y Expr
}

// regions turns a condition into the boxes in which it holds; false where there would be too many.
func (t *terms) regions(cond Expr, holds bool) ([]box, bool) {
	if t.work++; t.spent() {
		return nil, false
	}
	switch e := resolve(cond).(type) {
	case nil:
		return []box{{}}, true
	case *Const:
		if e.Value.Yes() == holds {
			return []box{{}}, true
		}
		return nil, true
	case *Unary:
		return t.regions(e.X, !holds)
	case *Binary:
		if e.Op == lang.And || e.Op == lang.Or {
			return t.joined(e, holds)
		}
		return t.atom(e, holds), true
	default:
		return t.opaque(e, holds), true
	}
}

// joined is and, or: not (x and y) is not x or not y.
func (t *terms) joined(e *Binary, holds bool) ([]box, bool) {
	xs, ok := t.regions(e.X, holds)
	ys, ok2 := t.regions(e.Y, holds)
	if !ok || !ok2 {
		return nil, false
	}
	if (e.Op == lang.And) != holds {
		return append(xs, ys...), len(xs)+len(ys) <= mostBoxes
	}
	var boxes []box
	for _, x := range xs {
		for _, y := range ys {
			if b, meets := t.meet(x, y); meets {
				boxes = append(boxes, b)
			}
		}
		if len(boxes) > mostBoxes || t.spent() {
			return nil, false
		}
	}
	return boxes, true
}

// resolve looks through a rule's own cells to their formulas, so that conditions by way of a cell are understood.
func resolve(e Expr) Expr {
	for {
		ref, ok := e.(*CellRef)
		if !ok || !isLocal(ref) {
			return e
		}
		e = ref.Cell.Expr
	}
}

// isLocal reports whether a reference is to a rule's own cell. Rings of these are broken before anything is proved.
func isLocal(ref *CellRef) bool {
	return ref.In == InRule && ref.Cell.Role == FormulaCell && ref.Cell.Expr != nil
}

// atom is a comparison: of a term with a fixed value where one side is fixed, else of the difference with nothing.
func (t *terms) atom(e *Binary, holds bool) []box {
	x, y, op := fold(resolve(e.X)), fold(resolve(e.Y)), e.Op
	if _, fixed := x.(*Const); fixed {
		x, y, op = y, x, mirrored(op)
	}
	k, fixed := y.(*Const)
	if fixed {
		return t.comparison(x, op, t.place(k), holds)
	}
	if t.form(x) > t.form(y) {
		x, y, op = y, x, mirrored(op)
	}
	if op == lang.Is || op == lang.IsNot {
		same := &Binary{base{e.at, yesNo}, lang.Is, x, y}
		return t.opaque(same, holds == (op == lang.Is))
	}
	return t.comparison(&difference{base{e.at, e.Y.Type()}, x, y}, op, quantity.Number{}, holds)
}

// comparison is the box in which a term stands so to a number.
func (t *terms) comparison(x Expr, op lang.BinaryOp, n quantity.Number, holds bool) []box {
	i := t.term(x)
	s := compared(t.domain[i].whole, op, n)
	if !holds {
		s = s.complement()
	}
	if s = s.and(t.domain[i]); s.empty() {
		return nil
	}
	return []box{box{}.with(i, s)}
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

// compared is the set of the values that stand so to a number.
func compared(whole bool, op lang.BinaryOp, n quantity.Number) set {
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
	n := quantity.Int(0)
	if holds {
		n = quantity.Int(1)
	}
	return []box{box{}.with(t.term(e), exactly(true, n))}
}

// fold works out a formula of literals alone, such as -1 in; any other is given back as it is.
func fold(e Expr) Expr {
	var n quantity.Number
	ok := false
	switch e := e.(type) {
	case *Unary:
		if x, isConst := fold(e.X).(*Const); isConst && e.Op == Minus {
			n, ok = x.Value.Num.Neg(), true
		}
	case *Binary:
		x, isConst := fold(e.X).(*Const)
		y, isConst2 := fold(e.Y).(*Const)
		if isConst && isConst2 {
			n, ok = worked(e.Op, x.Value.Num, y.Value.Num)
		}
	}
	if !ok {
		return e
	}
	return &Const{base{e.Span(), e.Type()}, Num(n)}
}

func worked(op lang.BinaryOp, x, y quantity.Number) (quantity.Number, bool) {
	switch op {
	case lang.Add:
		return x.Add(y), true
	case lang.Sub:
		return x.Sub(y), true
	case lang.Mul:
		return x.Mul(y), true
	case lang.Div:
		return x.Div(y)
	}
	return x, false
}
