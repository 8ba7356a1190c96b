package lang

import (
	"strings"

	"github.com/alecthomas/participle/v2/lexer"
)

// primary reads an operand and what hangs on it: fields, calls, indexes, `per`.
func (f *formulaReader) primary() Expr {
	x := f.operand()
	for f.err == nil {
		switch f.next() {
		case dotToken:
			x = f.field(x)
		case indexBracketToken:
			x = f.index(x)
		case callParenToken:
			x = f.call(x)
		case perToken:
			x = f.per(x)
		default:
			return x
		}
		if f.operations++; f.operations > maxOperations {
			return f.tooDeep()
		}
	}
	return x
}

func (f *formulaReader) operand() Expr {
	t := f.lex.Peek()
	switch t.Type {
	case identToken:
		f.lex.Next()
		return &Ident{nameOf(t)}
	case numberToken, currencyToken:
		return f.measure()
	case yesToken, noToken:
		f.lex.Next()
		return &YesNo{At: spanOf(t), Value: t.Type == yesToken}
	case dateToken:
		f.lex.Next()
		return readDate(t.Value, spanOf(t))
	case textToken:
		f.lex.Next()
		return &TextExpr{At: spanOf(t), Parts: []TextPart{{Plain: plainText(t.Value)}}}
	case textOpenToken:
		return f.text()
	case parenToken, callParenToken:
		return f.paren()
	case bracketToken, indexBracketToken:
		return f.list()
	}
	return f.noOperand(t)
}

func (f *formulaReader) noOperand(t *lexer.Token) Expr {
	switch t.Type {
	case ifToken, forToken, notToken:
		return f.fail(spanOf(t), "formula-needs-brackets", `"`+t.Value+`" inside a larger formula needs brackets around what it says`,
			"write: ("+t.Value+" …)")
	}
	return f.failExpecting("a formula")
}

func (f *formulaReader) paren() Expr {
	at := spanOf(f.lex.Next())
	x := f.expr(anyLevel)
	return &Paren{At: at.To(spanOf(f.expect(parenEndToken, `")"`))), X: x}
}

func (f *formulaReader) list() Expr {
	l := &List{At: spanOf(f.lex.Next())}
	for f.err == nil && f.next() != bracketEndToken {
		l.Items = append(l.Items, f.expr(anyLevel))
		if !f.accept(commaToken) {
			break
		}
	}
	l.At = l.At.To(spanOf(f.expect(bracketEndToken, `"]"`)))
	return l
}

func (f *formulaReader) field(x Expr) Expr {
	f.lex.Next()
	name := f.name()
	return &Field{At: x.Span().To(name.At), X: x, Name: name}
}

func (f *formulaReader) index(x Expr) Expr {
	f.lex.Next()
	i := f.expr(anyLevel)
	return &Index{At: x.Span().To(spanOf(f.expect(bracketEndToken, `"]"`))), X: x, I: i}
}

func (f *formulaReader) call(x Expr) Expr {
	fun, plain := x.(*Ident)
	if !plain {
		return f.fail(spanOf(f.lex.Peek()), "call-of-field", "only a rule or a function can be given values in brackets", "")
	}
	f.lex.Next()
	c := &Call{Fun: fun.Name}
	for f.err == nil && f.next() != parenEndToken {
		c.Args = append(c.Args, f.arg())
		if !f.accept(commaToken) {
			break
		}
	}
	c.At = fun.At.To(spanOf(f.expect(parenEndToken, `")"`)))
	return c
}

func (f *formulaReader) arg() *Arg {
	a := &Arg{}
	if t := f.lex.Peek(); t.Type == identToken {
		before := f.lex.MakeCheckpoint()
		f.lex.Next()
		if f.accept(colonToken) {
			a.Key = nameOf(t)
		} else {
			f.lex.LoadCheckpoint(before)
		}
	}
	a.Value = f.expr(anyLevel)
	a.At = a.Key.At.To(a.Value.Span())
	return a
}

func (f *formulaReader) unit() Name { return nameOf(f.expect(unitToken, "a unit")) }

func (f *formulaReader) per(x Expr) Expr {
	f.lex.Next()
	unit := f.unit()
	return &PerUnit{At: x.Span().To(unit.At), X: x, Unit: unit}
}

func (f *formulaReader) measure() Expr {
	m := &Measure{At: spanOf(f.lex.Peek())}
	if t := f.lex.Peek(); t.Type == currencyToken {
		m.Currency = t.Value
		f.lex.Next()
	}
	if f.next() != numberToken {
		return f.failExpecting("a number")
	}
	f.parts(m)
	if t := f.lex.Peek(); t.Type == percentToken {
		m.Percent, m.At = true, m.At.To(spanOf(t))
		f.lex.Next()
	}
	if f.accept(perToken) {
		per := f.unit()
		m.Per, m.At = &per, m.At.To(per.At)
	}
	return m
}

func (f *formulaReader) parts(m *Measure) {
	for more := true; more; more = f.next() == furtherNumberToken {
		t := f.lex.Next()
		part := MeasurePart{Number: numberText(t.Value), At: spanOf(t)}
		if u := f.lex.Peek(); u.Type == unitToken {
			part.Unit = nameOf(u)
			f.lex.Next()
		}
		m.Parts = append(m.Parts, part)
		m.At = m.At.To(part.At).To(part.Unit.At)
	}
}

// numberText gives a number as written, but with one blank in a mixed number and `1/` for `⅟`.
func numberText(raw string) string {
	if strings.Contains(raw, "⅟") {
		raw = strings.Replace(strings.Replace(raw, "-⅟", "-1/", 1), "⅟", " 1/", 1)
	}
	if !strings.ContainsAny(raw, " \t") {
		return raw
	}
	return strings.Join(strings.Fields(raw), " ")
}

func (f *formulaReader) text() Expr {
	t := f.lex.Next()
	x := &TextExpr{At: spanOf(t), Parts: plainPart(t, nil)}
	for f.err == nil {
		x.Parts = append(x.Parts, TextPart{Hole: f.expr(anyLevel)})
		t = f.lex.Peek()
		if t.Type != textMidToken && t.Type != textCloseToken {
			return f.failExpecting(`"}"`)
		}
		f.lex.Next()
		x.Parts = plainPart(t, x.Parts)
		x.At = x.At.To(spanOf(t))
		if t.Type == textCloseToken {
			break
		}
	}
	return x
}

func plainPart(t *lexer.Token, parts []TextPart) []TextPart {
	if plain := plainText(t.Value); plain != "" {
		return append(parts, TextPart{Plain: plain})
	}
	return parts
}
