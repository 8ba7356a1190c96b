package lang

import (
	"github.com/alecthomas/participle/v2/lexer"

	"squab/lang/diag"
)

// From what the grammar's productions captured to the tree: the parts that many lines share.

func quoteOf(t *lexer.Token) *Quote {
	if t == nil {
		return nil
	}
	return &Quote{Value: plainText(t.Value), At: spanOf(t)}
}

func dateOf(t *lexer.Token) *DateLit {
	if t == nil {
		return nil
	}
	return readDate(t.Value, spanOf(t))
}

func nameOrNone(t *lexer.Token) Name {
	if t == nil {
		return Name{}
	}
	return nameOf(t)
}

func namesOf(all []*nameSyntax) []Name {
	names := make([]Name, 0, len(all))
	for _, n := range all {
		names = append(names, nameOf(&n.Name))
	}
	return names
}

func (g *reasons) why() Why {
	return Why{Because: quoteOf(g.Because), Source: quoteOf(g.Source)}
}

func (w Why) end(at diag.Span) diag.Span {
	if w.Because != nil {
		at = at.To(w.Because.At)
	}
	if w.Source != nil {
		at = at.To(w.Source.At)
	}
	return at
}

func (w *windowSyntax) window() Window {
	return Window{From: dateOf(w.From), Until: dateOf(w.Until)}
}

// param builds a parameter whose place runs from its name to whatever stands last in it.
func (g *paramSyntax) param() *Param {
	p := &Param{Name: nameOf(&g.Name), Kind: g.Kind.ref, Help: quoteOf(g.Help), Why: g.why()}
	p.From, p.To, p.Default, p.Tolerance = g.From, g.To, g.Default, g.Tolerance.tolerance()
	p.At = p.Name.At
	if p.Kind != nil {
		p.At = p.At.To(p.Kind.At)
	}
	for _, e := range []Expr{p.From, p.To, p.Default} {
		if e != nil {
			p.At = p.At.To(e.Span())
		}
	}
	if p.Tolerance != nil {
		p.At = p.At.To(p.Tolerance.At)
	}
	if p.Help != nil {
		p.At = p.At.To(p.Help.At)
	}
	p.At = p.Why.end(p.At)
	return p
}

func (r *reader) paramsOf(all []*paramSyntax) []*Param {
	params := make([]*Param, 0, len(all))
	for _, g := range all {
		r.refuseTolerance(g.Tolerance)
		params = append(params, g.param())
	}
	return params
}

// cell builds a cell that could be read whole.
func (g *cellSyntax) cell() *Cell {
	c := &Cell{Name: nameOf(&g.Name), Value: g.Value, Tolerance: g.Tolerance.tolerance(), Why: g.why()}
	c.At = c.Name.At.To(c.Value.Span())
	if c.Tolerance != nil {
		c.At = c.At.To(c.Tolerance.At)
	}
	c.At = c.Why.end(c.At)
	return c
}

func cellsOf(all []*cellSyntax) []*Cell {
	var cells []*Cell
	for _, g := range all {
		if g.Value != nil {
			cells = append(cells, g.cell())
		}
	}
	return cells
}

// text gives a formula that must be a text in quotation marks, or nil; anything else is reported, where its line was read whole.
func (r *reader) text(e Expr, lineRead bool, what string) *TextExpr {
	text, ok := e.(*TextExpr)
	if !ok && lineRead {
		r.problem("text-expected", e.Span(), what+" is a text in quotation marks")
	}
	return text
}
