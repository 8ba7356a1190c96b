package lang

import "squab/lang/diag"

func (*Shop) decl()         {}
func (*UnitDecl) decl()     {}
func (*ChoiceDecl) decl()   {}
func (*KindDecl) decl()     {}
func (*MaterialDecl) decl() {}
func (*RuleDecl) decl()     {}
func (*AmendDecl) decl()    {}
func (*TableDecl) decl()    {}
func (*RecipeDecl) decl()   {}
func (*PriceDecl) decl()    {}
func (*CautionDecl) decl()  {}
func (*OrderDecl) decl()    {}
func (*ProofDecl) decl()    {}

func (*Cell) stmt()      {}
func (*Ask) stmt()       {}
func (*Need) stmt()      {}
func (*Piece) stmt()     {}
func (*Marks) stmt()     {}
func (*Use) stmt()       {}
func (*Work) stmt()      {}
func (*Charge) stmt()    {}
func (*Step) stmt()      {}
func (*Cautions) stmt()  {}
func (*Part) stmt()      {}
func (*Expect) stmt()    {}
func (*AmendDecl) stmt() {}

func (*Measure) expr()  {}
func (*DateLit) expr()  {}
func (*YesNo) expr()    {}
func (*TextExpr) expr() {}
func (*Ident) expr()    {}
func (*Field) expr()    {}
func (*Index) expr()    {}
func (*Call) expr()     {}
func (*Negate) expr()   {}
func (*Not) expr()      {}
func (*Binary) expr()   {}
func (*Rounded) expr()  {}
func (*PerUnit) expr()  {}
func (*If) expr()       {}
func (*ForEach) expr()  {}
func (*List) expr()     {}
func (*Paren) expr()    {}
func (*Bad) expr()      {}

// Span is where it stands.
func (n *Shop) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *UnitDecl) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *ChoiceDecl) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *KindDecl) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *MaterialDecl) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *RuleDecl) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *AmendDecl) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *TableDecl) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *RecipeDecl) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *PriceDecl) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *CautionDecl) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *OrderDecl) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *ProofDecl) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Make) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Param) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *KindRef) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Body) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Case) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Row) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Test) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Cell) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Need) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Piece) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Marks) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Use) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Work) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Charge) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Step) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Cautions) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Part) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Expect) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Measure) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *DateLit) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *YesNo) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *TextExpr) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Field) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Index) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Call) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Negate) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Not) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Binary) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Rounded) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *PerUnit) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *If) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *ForEach) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *List) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Paren) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Arg) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Loop) Span() diag.Span { return n.At }

// Span is where it stands.
func (n *Bad) Span() diag.Span { return n.At }
