package lang

import "squab/lang/diag"

// Span is the whole text.
func (f *File) Span() diag.Span { return f.Source.Span() }

// Walk calls visit for n and, where that gives true, for all that is in it, in the order of the source except that
// a body's locals come before its cases and a make before its order's other lines. It visits declarations, statements,
// formulas, and what joins them (parameters, kinds, bodies, cases, rows, tests, arguments, loops, dates); names and plain
// texts are fields of these, and not visited.
func Walk(n Node, visit func(Node) bool) {
	if n == nil || !visit(n) {
		return
	}
	switch n := n.(type) {
	case *File:
		walkAll(n.Decls, visit)
	case Expr:
		walkFormula(n, visit)
	case *AmendDecl:
		walkWindow(n.Window, visit)
		walkPart(n.Body, visit)
	case Decl:
		walkDecl(n, visit)
	case Stmt:
		walkStmt(n, visit)
	default:
		walkJoint(n, visit)
	}
}

func walkAll[N Node](all []N, visit func(Node) bool) {
	for _, n := range all {
		Walk(n, visit)
	}
}

// walkPart walks a part that need not be there.
func walkPart[T any, N interface {
	*T
	Node
}](n N, visit func(Node) bool) {
	if n != nil {
		Walk(n, visit)
	}
}

func walkExprs(visit func(Node) bool, all ...Expr) {
	for _, e := range all {
		if e != nil {
			Walk(e, visit)
		}
	}
}

func walkWindow(w Window, visit func(Node) bool) {
	walkPart(w.From, visit)
	walkPart(w.Until, visit)
}

func walkDecl(n Decl, visit func(Node) bool) {
	switch n := n.(type) {
	case *Shop:
		walkAll(n.Settings, visit)
	case *UnitDecl:
		walkExprs(visit, n.Value)
	case *KindDecl:
		walkAll(n.Fields, visit)
	case *MaterialDecl:
		walkWindow(n.Window, visit)
		walkAll(n.Cells, visit)
	case *RuleDecl:
		walkAll(n.Params, visit)
		walkPart(n.Kind, visit)
		walkPart(n.Body, visit)
	case *TableDecl:
		walkAll(n.Params, visit)
		walkPart(n.Kind, visit)
		walkWindow(n.Window, visit)
		walkAll(n.Rows, visit)
	case *CautionDecl:
		walkPart(n.Text, visit)
	default:
		walkSheet(n, visit)
	}
}

func walkSheet(n Decl, visit func(Node) bool) {
	switch n := n.(type) {
	case *RecipeDecl:
		walkAll(n.Stmts, visit)
	case *PriceDecl:
		walkAll(n.Stmts, visit)
	case *OrderDecl:
		walkPart(n.Make, visit)
		walkAll(n.Stmts, visit)
	case *ProofDecl:
		walkPart(n.Make, visit)
		walkAll(n.Stmts, visit)
	}
}

func walkStmt(n Stmt, visit func(Node) bool) {
	switch n := n.(type) {
	case *Cell:
		walkExprs(visit, n.Value)
		walkPart(n.Tolerance, visit)
	case *Ask:
		walkParam(&n.Param, visit)
	case *Need:
		walkExprs(visit, n.Cond)
		walkPart(n.Else, visit)
	case *Use:
		walkExprs(visit, n.Need, n.Material, n.When)
	case *Work:
		walkExprs(visit, n.Rate, n.Time, n.Setup, n.When)
	case *Charge:
		walkExprs(visit, n.Value, n.When)
	case *Step:
		walkPart(n.Text, visit)
		walkExprs(visit, n.When)
	case *Cautions:
		walkExprs(visit, n.When)
	case *Expect:
		walkExprs(visit, n.Left, n.Want)
	default:
		walkBraced(n, visit)
	}
}

// walkBraced walks a statement that may end in cells in braces.
func walkBraced(n Stmt, visit func(Node) bool) {
	switch n := n.(type) {
	case *Piece:
		walkExprs(visit, n.Material, n.Off, n.Size, n.When)
		walkAll(n.Options, visit)
	case *Marks:
		walkExprs(visit, n.Points, n.When)
		walkAll(n.Options, visit)
	case *Part:
		walkExprs(visit, n.Off)
		walkAll(n.Cells, visit)
	}
}

// walkJoint walks what joins declarations and formulas.
func walkJoint(n Node, visit func(Node) bool) {
	switch n := n.(type) {
	case *Make:
		walkExprs(visit, n.Off)
	case *Param:
		walkParam(n, visit)
	case *KindRef:
		walkPart(n.ListOf, visit)
	case *Tolerance:
		walkTolerance(n, visit)
	case *Body:
		walkExprs(visit, n.Formula)
		walkAll(n.Locals, visit)
		walkAll(n.Cases, visit)
	case *Case:
		walkExprs(visit, n.Value, n.When)
	case *Row:
		for _, t := range n.Tests {
			walkPart(t, visit)
		}
		walkExprs(visit, n.Gives)
	case *Test:
		walkExprs(visit, n.Low, n.High)
		walkAll(n.Values, visit)
	case *Arg:
		walkExprs(visit, n.Value)
	case *Loop:
		walkExprs(visit, n.From, n.To, n.Of)
	}
}

func walkTolerance(n *Tolerance, visit func(Node) bool) {
	walkExprs(visit, n.Up)
	if n.Down != n.Up {
		walkExprs(visit, n.Down)
	}
}

func walkParam(n *Param, visit func(Node) bool) {
	walkPart(n.Kind, visit)
	walkExprs(visit, n.From, n.To, n.Default)
	walkPart(n.Tolerance, visit)
}

func walkFormula(n Expr, visit func(Node) bool) {
	switch n := n.(type) {
	case *TextExpr:
		for _, p := range n.Parts {
			walkExprs(visit, p.Hole)
		}
	case *Field:
		walkExprs(visit, n.X)
	case *Index:
		walkExprs(visit, n.X, n.I)
	case *Call:
		walkAll(n.Args, visit)
	case *If:
		walkExprs(visit, n.Cond, n.Then, n.Else)
	case *ForEach:
		walkAll(n.Loops, visit)
		walkExprs(visit, n.Body)
	case *List:
		walkAll(n.Items, visit)
	case *Paren:
		walkExprs(visit, n.X)
	default:
		walkOperation(n, visit)
	}
}

func walkOperation(n Expr, visit func(Node) bool) {
	switch n := n.(type) {
	case *Negate:
		walkExprs(visit, n.X)
	case *Not:
		walkExprs(visit, n.X)
	case *Binary:
		walkExprs(visit, n.X, n.Y)
	case *Rounded:
		walkExprs(visit, n.X, n.Step)
	case *PerUnit:
		walkExprs(visit, n.X)
	}
}
