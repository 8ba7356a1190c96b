package check

import (
	"squab/eval/quantity"
	"squab/lang"
	"squab/lang/diag"
)

// Expr is a checked formula.
type Expr interface {
	Type() Type
	Span() diag.Span
}

type base struct {
	at diag.Span
	t  Type
}

func (b base) Type() Type      { return b.t }
func (b base) Span() diag.Span { return b.at }

// The checked formulas.
type (
	// Const is a literal, a choice's word, a material.
	Const struct {
		base
		Value Value
	}
	// CellRef is a cell of the recipe, of the rule (parameters and own cells) or of the material in hand. Part leads to a part's cell.
	CellRef struct {
		base
		Cell *Cell
		Path []*Part // outermost first; empty for a cell of one's own
		In   Frame
	}
	// RuleCall is a rule or a table with its arguments, in the order of its parameters.
	RuleCall struct {
		base
		Rule *Rule
		Args []Expr
	}
	// FuncCall is a function of the language.
	FuncCall struct {
		base
		Func Func
		Args []Expr
	}
	// FieldOf is a field of a material.
	FieldOf struct {
		base
		X     Expr
		Field *Cell
	}
	// ItemOf is a part of a size or a point: 0 for wide and x, 1 for deep and y.
	ItemOf struct {
		base
		X    Expr
		Item int
		Name string
	}
	// Index is an item of a list, counted from 1.
	Index struct {
		base
		X, I Expr
	}
	// Unary is -x or not x.
	Unary struct {
		base
		Op UnaryOp
		X  Expr
	}
	// Binary is x op y.
	Binary struct {
		base
		Op   lang.BinaryOp
		X, Y Expr
	}
	// Rounded is one of the roundings.
	Rounded struct {
		base
		Way  lang.RoundWay
		X    Expr
		Step Expr
	}
	// If is a condition.
	If struct {
		base
		Cond, Then, Else Expr
	}
	// ForEach makes a list.
	ForEach struct {
		base
		Loops []Loop
		Body  Expr
	}
	// ListOf is a list written out; Pair is a size or a point.
	ListOf struct {
		base
		Items []Expr
	}
	// TextOf joins plain text and formulas.
	TextOf struct {
		base
		Parts []TextPart
	}
	// Bad stands where a problem was found; working it out is a fault that points there.
	Bad struct{ base }
)

// Implied reports whether the rounding is a charge's to the cent, which is not written.
func (e *Rounded) Implied() bool { return e.Step.Span().IsZero() }

// Frame says where a cell's value is kept.
type Frame uint8

// The frames.
const (
	InRecipe   Frame = iota
	InRule           // parameters and own cells of the rule being worked out
	InLoop           // the variable of a for each
	InMaterial       // another field of the same material
	InPrice          // the price block, from a proof
)

// Loop is one variable of a ForEach; Of is set where it runs over a list.
type Loop struct {
	Var      *Cell
	From, To Expr
	Of       Expr
}

// TextPart is plain text, or a formula.
type TextPart struct {
	Plain string
	Hole  Expr
}

// UnaryOp is - or not.
type UnaryOp uint8

// The unary operations.
const (
	Minus UnaryOp = iota
	Not
)

// Func is a function of the language.
type Func string

// The functions.
const (
	Abs     Func = "abs"
	Sqrt    Func = "sqrt"
	MinOf   Func = "min"
	MaxOf   Func = "max"
	Sum     Func = "sum"
	CountOf Func = "count"
	FirstOf Func = "first"
	LastOf  Func = "last"
	Pi      Func = "pi"
	Sin     Func = "sin"
	Cos     Func = "cos"
	Tan     Func = "tan"
	Asin    Func = "asin"
	Acos    Func = "acos"
	Atan    Func = "atan"
)

// Children lists the formulas directly inside e, in the order in which they are written.
func Children(e Expr) []Expr {
	switch e := e.(type) {
	case *RuleCall:
		return e.Args
	case *FuncCall:
		return e.Args
	case *FieldOf:
		return []Expr{e.X}
	case *ItemOf:
		return []Expr{e.X}
	case *Index:
		return []Expr{e.X, e.I}
	case *Unary:
		return []Expr{e.X}
	case *Binary:
		return []Expr{e.X, e.Y}
	case *Rounded:
		return []Expr{e.X, e.Step}
	case *If:
		return []Expr{e.Cond, e.Then, e.Else}
	case *ForEach:
		return append(loopBounds(e.Loops), e.Body)
	case *ListOf:
		return e.Items
	case *TextOf:
		return holes(e.Parts)
	}
	return nil
}

func loopBounds(loops []Loop) []Expr {
	var all []Expr
	for _, l := range loops {
		if l.Of != nil {
			all = append(all, l.Of)
			continue
		}
		all = append(all, l.From, l.To)
	}
	return all
}

func holes(parts []TextPart) []Expr {
	var all []Expr
	for _, p := range parts {
		if p.Hole != nil {
			all = append(all, p.Hole)
		}
	}
	return all
}

// Walk visits e and every formula inside it, outermost first; a visit that returns false leaves out what is inside.
func Walk(e Expr, visit func(Expr) bool) {
	if e == nil || !visit(e) {
		return
	}
	for _, child := range Children(e) {
		Walk(child, visit)
	}
}

// Literal makes a formula of a fixed value.
func Literal(v Value, t Type, at diag.Span) *Const { return &Const{base{at, t}, v} }

// CallOf makes a formula that asks for a rule without parameters.
func CallOf(r *Rule) *RuleCall { return &RuleCall{base{r.At, r.Result}, r, nil} }

// Moved makes a formula that gives what a formula of a measure gives and more: a measure of its kind, or a share of it.
func Moved(e Expr, by quantity.Number, share bool) Expr {
	b := base{e.Span(), e.Type()}
	if share {
		return &Binary{b, lang.Mul, e, Literal(Num(quantity.Int(1).Add(by)), measure(quantity.Plain), b.at)}
	}
	return &Binary{b, lang.Add, e, Literal(Num(by), b.t, b.at)}
}
