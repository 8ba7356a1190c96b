package lang

import "squab/lang/diag"

// Node is any part of the tree that has a place.
type Node interface{ Span() diag.Span }

// File is one parsed source.
type File struct {
	Source   *diag.Source
	Decls    []Decl
	Comments []Comment // in order of place; the formatter puts them back
}

// Comment is one `#` comment, without its line end.
type Comment struct {
	At      diag.Span
	Text    string // from the #
	OwnLine bool   // nothing but blanks stands before it on its line
}

// Name is an identifier where it stands.
type Name struct {
	Text string
	At   diag.Span
}

// Span is where the name stands.
func (n Name) Span() diag.Span { return n.At }

// Quote is plain text in quotes: a title, a reason.
type Quote struct {
	Value string
	At    diag.Span
}

// Span is where the text stands, quotes included.
func (q Quote) Span() diag.Span { return q.At }

// Why is the reason and the source that may follow a formula.
type Why struct {
	Because *Quote
	Source  *Quote
}

// Decl is a declaration: what begins in column 1.
type Decl interface {
	Node
	decl()
}

// The declarations.
type (
	// Shop is `shop "…" { setting = value … }`.
	Shop struct {
		At       diag.Span
		Title    *Quote
		Settings []*Cell
	}
	// UnitDecl is `unit gross = 144 each`.
	UnitDecl struct {
		At    diag.Span
		Name  Name
		Value Expr
		Why   Why
	}
	// ChoiceDecl is `choice stuff = woven, vinyl`; Amend adds words to one that exists.
	ChoiceDecl struct {
		At      diag.Span
		Amend   bool
		Name    Name
		Title   *Quote
		Options []Name
	}
	// KindDecl is `kind cloth: roll "…" { field: kind = default … }`; Amend adds fields.
	KindDecl struct {
		At     diag.Span
		Amend  bool
		Name   Name
		Form   Name // empty where Amend
		Title  *Quote
		Fields []*Param
	}
	// MaterialDecl is `material m: cloth "…" { field = value … }`; Amend changes fields, dated or not.
	MaterialDecl struct {
		At     diag.Span
		Amend  bool
		Name   Name
		Kind   Name // empty where Amend
		Title  *Quote
		Window Window
		Cells  []*Cell
	}
	// RuleDecl is a rule; Body is nil where the house must give it.
	RuleDecl struct {
		At     diag.Span
		Name   Name
		Params []*Param
		Kind   *KindRef
		Body   *Body
		Why    Why // a rule without a body may still say why it is asked for
	}
	// AmendDecl is `amend seam(c) from … { cases }` or `amend turn_under = …`; it may stand in an order too.
	AmendDecl struct {
		At     diag.Span
		Name   Name
		Params []Name
		Window Window
		Body   *Body
	}
	// TableDecl is a table; Amend puts rows before those that exist and has no Params, Kind or Hit.
	TableDecl struct {
		At      diag.Span
		Amend   bool
		Name    Name
		Params  []*Param
		Kind    *KindRef
		Hit     Name // "", "unique" or "interpolated"
		Window  Window
		Heading []Name
		Rows    []*Row
	}
	// RecipeDecl is a recipe.
	RecipeDecl struct {
		At    diag.Span
		Name  Name
		Title *Quote
		Stmts []Stmt
	}
	// PriceDecl is `price { … }`: Cell and Charge statements.
	PriceDecl struct {
		At    diag.Span
		Stmts []Stmt
	}
	// CautionDecl is `caution blades "…"`.
	CautionDecl struct {
		At   diag.Span
		Name Name
		Text *TextExpr
		Why  Why
	}
	// OrderDecl is an order: its Stmts are Cell and AmendDecl.
	OrderDecl struct {
		At    diag.Span
		ID    Name // the text of the number, name or quote
		Title *Quote
		Make  *Make
		Stmts []Stmt
	}
	// ProofDecl is a worked example: its Stmts are Cell, AmendDecl and Expect.
	ProofDecl struct {
		At     diag.Span
		Title  Quote
		Source *Quote
		Make   *Make // nil where the proof only tries rules
		Stmts  []Stmt
	}
)

// Window is the time in which an amendment holds: from its first day until, not with, its last; nil is open.
type Window struct{ From, Until *DateLit }

// Make is `make recipe, N off`.
type Make struct {
	At     diag.Span
	Recipe Name
	Off    Expr // nil is one
}

// Param is a parameter, an ask or a field: name, kind, range, default.
type Param struct {
	At      diag.Span
	Name    Name
	Kind    *KindRef
	From    Expr // both nil where there is no range
	To      Expr
	Default Expr

	Tolerance *Tolerance // of an ask or a field; nil where none is given
	Help      *Quote
	Why       Why
}

// Tolerance is how far a true value may lie over and under the one that is given: `tolerance 1/16 in`, `tolerance +1/2 in -0 in`, `tolerance 0.5%`.
// Up and Down are the same where one measure stands for both.
type Tolerance struct {
	At       diag.Span
	Up, Down *Measure
}

// Span is where it stands, its word left out.
func (t *Tolerance) Span() diag.Span { return t.At }

// KindRef is a kind as written: `length`, `money per length`, `list of point`, `yes/no`.
type KindRef struct {
	At     diag.Span
	ListOf *KindRef // set for a list
	Name   Name     // "yes/no" for that kind
	Per    *Name    // the kind after `per`
}

// Body is what a rule comes to: one Formula, or Locals and Cases.
type Body struct {
	At      diag.Span
	Formula Expr
	Why     Why // of Formula
	Locals  []*Cell
	Cases   []*Case
}

// Case is `value when condition` or `value otherwise`.
type Case struct {
	At        diag.Span
	Value     Expr
	When      Expr
	Otherwise bool
	Why       Why
}

// Row is one row of a table, a cell for each name of the heading.
type Row struct {
	At      diag.Span
	Tests   []*Test // by heading column; nil under gives, because and source
	Gives   Expr
	Because *Quote
	Source  *Quote
}

// Test is what a table's row asks of one parameter: any, bounds, or values.
type Test struct {
	At     diag.Span
	Any    bool
	Low    Expr // nil is open
	High   Expr
	LowIn  bool // from: the bound belongs; over: it does not
	HighIn bool // up to: the bound belongs; under: it does not
	Values []Expr
}

// Stmt is a line of a recipe, an order, a proof or the price.
type Stmt interface {
	Node
	stmt()
}

// The statements.
type (
	// Cell is `name = formula`; a material's field and what an order gives may have a tolerance.
	Cell struct {
		At        diag.Span
		Name      Name
		Value     Expr
		Tolerance *Tolerance
		Why       Why
	}
	// Ask is what an order gives.
	Ask struct{ Param }
	// Need is `need condition else "message"`.
	Need struct {
		At   diag.Span
		Cond Expr
		Else *TextExpr
	}
	// Piece is a cut piece.
	Piece struct {
		At       diag.Span
		Name     Name
		Material Expr
		Off      Expr
		Size     Expr
		Why      Why
		When     Expr
		Options  []*Cell // up, turn, match and the others of a piece's braces
	}
	// Marks is a set of marks on pieces.
	Marks struct {
		At      diag.Span
		Name    Name
		On      []Name
		Points  Expr
		Why     Why
		When    Expr
		Options []*Cell // hole
	}
	// Use is `use formula of material`.
	Use struct {
		At       diag.Span
		Need     Expr
		Material Expr
		Why      Why
		When     Expr
	}
	// Work is `work name at rate = time, setup time`.
	Work struct {
		At    diag.Span
		Name  Name
		Rate  Expr
		Time  Expr
		Setup Expr
		Why   Why
		When  Expr
	}
	// Charge is a line of the price.
	Charge struct {
		At    diag.Span
		Name  Name
		Value Expr
		Why   Why
		When  Expr
	}
	// Step is an instruction.
	Step struct {
		At   diag.Span
		Text *TextExpr
		When Expr
	}
	// Cautions names cautions that the recipe carries.
	Cautions struct {
		At    diag.Span
		Names []Name
		When  Expr
	}
	// Part is another recipe as a part of this one.
	Part struct {
		At     diag.Span
		Name   Name
		Off    Expr
		Recipe Name // empty where the line could not be read
		Cells  []*Cell
	}
	// Expect is a line of a proof: what must come out.
	Expect struct {
		At   diag.Span
		Left Expr
		Want Expr // nil where Left is itself a condition
	}
)

// Expr is a formula.
type Expr interface {
	Node
	expr()
}

// BinaryOp names an operation of two operands as it is written: "+", "is not", "by", …
type BinaryOp string

// The binary operations, by their spelling.
const (
	Or    BinaryOp = "or"
	And   BinaryOp = "and"
	Eq    BinaryOp = "="
	Lt    BinaryOp = "<"
	Le    BinaryOp = "<="
	Gt    BinaryOp = ">"
	Ge    BinaryOp = ">="
	Is    BinaryOp = "is"
	IsNot BinaryOp = "is not"
	By    BinaryOp = "by"
	At    BinaryOp = "at"
	Add   BinaryOp = "+"
	Sub   BinaryOp = "-"
	Mul   BinaryOp = "*"
	Div   BinaryOp = "/"
	Mod   BinaryOp = "mod"
)

// RoundWay is one of the three roundings, as written after `rounded`.
type RoundWay string

// The roundings.
const (
	RoundUp   RoundWay = "up to"
	RoundDown RoundWay = "down to"
	RoundTo   RoundWay = "to"
)

// The formulas.
type (
	// Measure is a number with its units as written: `3 ft 4 5/8 in`, `15%`, `$41.50 per yd`, `5`.
	Measure struct {
		At       diag.Span
		Currency string        // "$", "£", "€" or ""
		Parts    []MeasurePart // at least one; only the last part's number may have a fraction
		Percent  bool
		Per      *Name // the unit after `per`
	}
	// DateLit is `2026-03-01`.
	DateLit struct {
		At               diag.Span
		Year, Month, Day int
	}
	// YesNo is `yes` or `no`.
	YesNo struct {
		At    diag.Span
		Value bool
	}
	// TextExpr is text with formulas in it.
	TextExpr struct {
		At    diag.Span
		Parts []TextPart
	}
	// Ident is a name as a formula.
	Ident struct{ Name }
	// Field is `x.name`.
	Field struct {
		At   diag.Span
		X    Expr
		Name Name
	}
	// Index is `list[n]`.
	Index struct {
		At diag.Span
		X  Expr
		I  Expr
	}
	// Call is `name(a, key: b)`.
	Call struct {
		At   diag.Span
		Fun  Name
		Args []*Arg
	}
	// Negate is `-x`.
	Negate struct {
		At diag.Span
		X  Expr
	}
	// Not is `not x`.
	Not struct {
		At diag.Span
		X  Expr
	}
	// Binary is `x op y`.
	Binary struct {
		At   diag.Span
		Op   BinaryOp
		OpAt diag.Span
		X, Y Expr
	}
	// Rounded is `x rounded up to step`.
	Rounded struct {
		At   diag.Span
		X    Expr
		Way  RoundWay
		Step Expr
	}
	// PerUnit is `(x) per unit`.
	PerUnit struct {
		At   diag.Span
		X    Expr
		Unit Name
	}
	// If is `if c then a else b`.
	If struct {
		At         diag.Span
		Cond       Expr
		Then, Else Expr
	}
	// ForEach is `for each i from a to b, j of list: formula`.
	ForEach struct {
		At    diag.Span
		Loops []*Loop
		Body  Expr
	}
	// List is `[a, b]`.
	List struct {
		At    diag.Span
		Items []Expr
	}
	// Paren is `(x)`; kept so that the layout keeps what was written.
	Paren struct {
		At diag.Span
		X  Expr
	}
	// Bad stands where a formula could not be read; a problem was reported there.
	Bad struct{ At diag.Span }
)

// MeasurePart is one number and its unit as written; Unit is empty for a plain number.
type MeasurePart struct {
	Number string
	At     diag.Span // of the number
	Unit   Name
}

// TextPart is a stretch of plain text, or a formula in braces.
type TextPart struct {
	Plain string
	Hole  Expr // nil for plain text
}

// Arg is an argument of a call; Key is empty where it stands by position.
type Arg struct {
	At    diag.Span
	Key   Name
	Value Expr
}

// Loop is `i from a to b`, or `x of list` where Of is set.
type Loop struct {
	At       diag.Span
	Name     Name
	From, To Expr
	Of       Expr
}
