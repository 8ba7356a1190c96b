package lang

import (
	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"

	"squab/lang/diag"
)

// maxListDepth is how many `list of` a kind may have.
const maxListDepth = 8

// kindSyntax reads a kind.
type kindSyntax struct{ ref *KindRef }

// Parse reads a kind; participle calls it.
func (k *kindSyntax) Parse(lex *lexer.PeekingLexer) error {
	var err error
	k.ref, err = readKind(lex, 0)
	return err
}

func readKind(lex *lexer.PeekingLexer, depth int) (*KindRef, error) {
	t := lex.Peek()
	if depth > maxListDepth {
		return nil, &syntaxError{diag.Diagnostic{Code: "kind-too-deep", At: spanOf(t), Message: "lists of lists are nested deeper than the limit"}}
	}
	if t.Type == yesToken {
		return readYesNoKind(lex)
	}
	if t.Type != identToken && t.Type != unitToken {
		return nil, unexpected(lex, "a kind")
	}
	lex.Next()
	if of := lex.Peek(); t.Value == "list" && of.Value == "of" {
		lex.Next()
		item, err := readKind(lex, depth+1)
		if err != nil {
			return nil, err
		}
		return &KindRef{At: spanOf(t).To(item.At), ListOf: item}, nil
	}
	return readPerKind(lex, &KindRef{At: spanOf(t), Name: nameOf(t)})
}

func readPerKind(lex *lexer.PeekingLexer, k *KindRef) (*KindRef, error) {
	if lex.Peek().Type != perToken {
		return k, nil
	}
	lex.Next()
	t := lex.Peek()
	if t.Type != unitToken {
		return nil, unexpected(lex, "a kind")
	}
	lex.Next()
	per := nameOf(t)
	k.Per, k.At = &per, k.At.To(per.At)
	return k, nil
}

func readYesNoKind(lex *lexer.PeekingLexer) (*KindRef, error) {
	at := spanOf(lex.Next())
	if lex.Peek().Type != slashToken {
		return nil, unexpected(lex, `"/no"`)
	}
	lex.Next()
	if lex.Peek().Type != noToken {
		return nil, unexpected(lex, `"no"`)
	}
	at = at.To(spanOf(lex.Next()))
	return &KindRef{At: at, Name: Name{Text: "yes/no", At: at}}, nil
}

func unexpected(lex *lexer.PeekingLexer, what string) error {
	return &participle.UnexpectedTokenError{Unexpected: *lex.Peek(), Expect: what}
}

// fieldSyntax reads one field of a table's row, which may be empty.
type fieldSyntax struct{ test *Test }

// Parse reads a field; participle calls it.
func (f *fieldSyntax) Parse(lex *lexer.PeekingLexer) error {
	t := lex.Peek()
	if t.Type == barToken || t.Type == endToken {
		return nil
	}
	f.test = &Test{At: spanOf(t)}
	if t.Type == keywordToken && t.Value == "any" {
		lex.Next()
		f.test.Any = true
		return nil
	}
	if boundWord(lex) != "" {
		return f.bounds(lex)
	}
	return f.values(lex)
}

// boundWord gives the word of the bound that begins here.
func boundWord(lex *lexer.PeekingLexer) string {
	t := lex.Peek()
	switch {
	case t.Type == keywordToken && (t.Value == "over" || t.Value == "from" || t.Value == "under"):
		return t.Value
	case t.Type == identToken && t.Value == "up":
		before := lex.MakeCheckpoint()
		lex.Next()
		to := lex.Peek().Value == "to"
		lex.LoadCheckpoint(before)
		if to {
			return "up to"
		}
	}
	return ""
}

func (f *fieldSyntax) bounds(lex *lexer.PeekingLexer) error {
	for word := boundWord(lex); word != ""; word = boundWord(lex) {
		t := lex.Next()
		low := word == "over" || word == "from"
		if low && f.test.Low != nil || !low && f.test.High != nil {
			return &syntaxError{diag.Diagnostic{Code: "bound-twice", At: spanOf(t),
				Message: "the field gives the same bound twice", Help: "a field has at most one lower and one upper bound: from 1 in under 2 in"}}
		}
		if word == "up to" {
			lex.Next()
		}
		x, err := readFormula(lex, addLevel)
		if err != nil {
			return err
		}
		f.bound(word, x)
	}
	return nil
}

func (f *fieldSyntax) bound(word string, x Expr) {
	switch word {
	case "over", "from":
		f.test.Low, f.test.LowIn = x, word == "from"
	default:
		f.test.High, f.test.HighIn = x, word == "up to"
	}
	f.test.At = f.test.At.To(x.Span())
}

func (f *fieldSyntax) values(lex *lexer.PeekingLexer) error {
	for {
		x, err := readFormula(lex, anyLevel)
		if err != nil {
			return err
		}
		f.test.Values = append(f.test.Values, x)
		f.test.At = f.test.At.To(x.Span())
		if lex.Peek().Type != commaToken {
			return nil
		}
		lex.Next()
	}
}

// toleranceSyntax reads what follows tolerance: one measure, or +A -B.
type toleranceSyntax struct{ of Tolerance }

// Parse reads a tolerance; participle calls it.
func (g *toleranceSyntax) Parse(lex *lexer.PeekingLexer) error {
	f := formulaReader{lex: lex}
	g.of.At = spanOf(lex.Peek())
	sided := f.accept(plusToken)
	g.of.Up = f.bareMeasure()
	g.of.Down = g.of.Up
	if sided && f.err == nil {
		f.expect(minusToken, `"-" and how far under`)
		g.of.Down = f.bareMeasure()
	}
	if f.err == nil {
		g.of.At = g.of.At.To(g.of.Down.At)
	}
	return f.err
}

// bareMeasure reads a measure that stands as it is.
func (f *formulaReader) bareMeasure() *Measure {
	if f.err != nil || f.next() != numberToken && f.next() != currencyToken {
		f.failExpecting("a measure")
		return &Measure{}
	}
	m, _ := f.measure().(*Measure)
	return m
}

// tolerance gives what was read; nil where there was none.
func (g *toleranceSyntax) tolerance() *Tolerance {
	if g == nil || g.of.Down == nil {
		return nil
	}
	return &g.of
}
