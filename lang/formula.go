package lang

import (
	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"

	"squab/lang/diag"
)

// Formulas are read by precedence climbing, since a grammar of one production a level costs four times as much.

// These keep a formula's tree so shallow that walking it by recursion is safe.
const (
	maxFormulaDepth = 1_000
	maxOperations   = 100_000
)

// level is how tightly an operation binds.
type level uint8

const (
	anyLevel level = iota
	orLevel
	andLevel
	notLevel
	compareLevel
	isLevel
	roundedLevel
	byLevel
	addLevel
	multiplyLevel
	negateLevel
)

// term is a formula that stops before a comparison, a rounding, `by` and `at`, because these or their words follow it.
type term interface{ Expr }

// primary is a name, a number, or something in brackets, with what hangs on it.
type primary interface{ Expr }

func formulaOptions() []participle.Option {
	return []participle.Option{
		participle.ParseTypeWith(func(lex *lexer.PeekingLexer) (Expr, error) { return readFormula(lex, anyLevel) }),
		participle.ParseTypeWith(func(lex *lexer.PeekingLexer) (term, error) { return readFormula(lex, addLevel) }),
		participle.ParseTypeWith(func(lex *lexer.PeekingLexer) (primary, error) { return readFormula(lex, negateLevel) }),
	}
}

// formulaReader reads one formula. Its first problem ends it.
type formulaReader struct {
	lex        *lexer.PeekingLexer
	depth      int
	operations int
	err        error
}

func readFormula(lex *lexer.PeekingLexer, least level) (Expr, error) {
	f := formulaReader{lex: lex}
	e := f.expr(least)
	if f.err != nil {
		return nil, f.err
	}
	return e, nil
}

func (f *formulaReader) fail(at diag.Span, code, message, fix string) Expr {
	if f.err == nil {
		f.err = &syntaxError{diag.Diagnostic{Code: code, Message: message, At: at, Help: fix}}
	}
	return &Bad{At: at}
}

// failExpecting stops at the next token, which is not what belongs there.
func (f *formulaReader) failExpecting(what string) Expr {
	if f.err == nil {
		f.err = &participle.UnexpectedTokenError{Unexpected: *f.lex.Peek(), Expect: what}
	}
	return &Bad{At: spanOf(f.lex.Peek())}
}

func (f *formulaReader) next() lexer.TokenType { return f.lex.Peek().Type }

// accept takes the next token if it is of the kind.
func (f *formulaReader) accept(kind lexer.TokenType) bool {
	if f.next() != kind {
		return false
	}
	f.lex.Next()
	return true
}

// expect takes the next token, which must be of the kind.
func (f *formulaReader) expect(kind lexer.TokenType, what string) *lexer.Token {
	t := f.lex.Peek()
	if !f.accept(kind) {
		f.failExpecting(what)
	}
	return t
}

func (f *formulaReader) expr(least level) Expr {
	if f.depth > maxFormulaDepth {
		return f.tooDeep()
	}
	f.depth++
	x := f.operate(f.first(least), least)
	f.depth--
	return x
}

// first reads what a formula that binds at least as tightly as least begins with.
func (f *formulaReader) first(least level) Expr {
	switch kind := f.next(); {
	case kind == ifToken && least == anyLevel:
		return f.ifThenElse()
	case kind == forToken && least == anyLevel:
		return f.forEach()
	case kind == notToken && least <= notLevel:
		return f.not()
	case kind == minusToken:
		return f.negate()
	}
	return f.primary()
}

func (f *formulaReader) tooDeep() Expr {
	return f.fail(spanOf(f.lex.Peek()), "formula-too-long", "the formula has more operations than one formula may have",
		"split it into cells of their own")
}

func (f *formulaReader) not() Expr {
	at := spanOf(f.lex.Next())
	x := f.expr(compareLevel)
	return &Not{At: at.To(x.Span()), X: x}
}

func (f *formulaReader) negate() Expr {
	at := spanOf(f.lex.Next())
	x := f.expr(negateLevel)
	return &Negate{At: at.To(x.Span()), X: x}
}

func binaryLevel(kind lexer.TokenType) (level, BinaryOp) {
	switch kind {
	case orToken:
		return orLevel, Or
	case andToken:
		return andLevel, And
	case equalToken:
		return compareLevel, Eq
	case lessToken:
		return compareLevel, Lt
	case lessEqualToken:
		return compareLevel, Le
	case moreToken:
		return compareLevel, Gt
	case moreEqualToken:
		return compareLevel, Ge
	case isToken:
		return isLevel, Is
	case byToken:
		return byLevel, By
	case atToken:
		return byLevel, At
	}
	return arithmeticLevel(kind)
}

func arithmeticLevel(kind lexer.TokenType) (level, BinaryOp) {
	switch kind {
	case plusToken:
		return addLevel, Add
	case minusToken:
		return addLevel, Sub
	case timesToken:
		return multiplyLevel, Mul
	case slashToken:
		return multiplyLevel, Div
	case modToken:
		return multiplyLevel, Mod
	case roundedToken:
		return roundedLevel, ""
	}
	return anyLevel, ""
}

// operate goes on from x with every operation that binds at least as tightly as least.
func (f *formulaReader) operate(x Expr, least level) Expr {
	for f.err == nil {
		binds, op := binaryLevel(f.next())
		if binds == anyLevel || binds < least {
			return x
		}
		if f.operations++; f.operations > maxOperations {
			return f.tooDeep()
		}
		if op == "" {
			x = f.rounded(x)
			continue
		}
		x = f.binary(x, op, binds)
	}
	return x
}

func (f *formulaReader) binary(x Expr, op BinaryOp, binds level) Expr {
	if b, chained := x.(*Binary); chained && (binds == compareLevel || binds == isLevel || binds == byLevel) && b.level() == binds {
		return f.chained(op, binds)
	}
	at := spanOf(f.lex.Next())
	if t := f.lex.Peek(); op == Is && t.Type == notToken {
		op, at = IsNot, at.To(spanOf(f.lex.Next()))
	}
	y := f.expr(binds + 1)
	return &Binary{At: x.Span().To(y.Span()), Op: op, OpAt: at, X: x, Y: y}
}

func (n *Binary) level() level {
	switch n.Op {
	case Eq, Lt, Le, Gt, Ge:
		return compareLevel
	case Is, IsNot:
		return isLevel
	case By, At:
		return byLevel
	}
	return anyLevel
}

func (f *formulaReader) chained(op BinaryOp, binds level) Expr {
	at := spanOf(f.lex.Peek())
	if binds == byLevel {
		return f.fail(at, "size-chained", `a second "`+string(op)+`" follows: a size and a point have two parts`, "put brackets around what belongs together")
	}
	return f.fail(at, "comparison-chained", "comparisons do not follow on from one another", "write: a < b and b < c")
}

func (f *formulaReader) rounded(x Expr) Expr {
	f.lex.Next()
	way := RoundTo
	switch t := f.lex.Peek(); t.Value {
	case "up":
		way = RoundUp
		f.lex.Next()
	case "down":
		way = RoundDown
		f.lex.Next()
	}
	if t := f.lex.Peek(); t.Type != keywordToken || t.Value != "to" {
		return f.failExpecting(`"up to", "down to" or "to"`)
	}
	f.lex.Next()
	step := f.expr(byLevel)
	return &Rounded{At: x.Span().To(step.Span()), X: x, Way: way, Step: step}
}

func (f *formulaReader) ifThenElse() Expr {
	at := spanOf(f.lex.Next())
	cond := f.expr(anyLevel)
	f.expect(thenToken, `"then"`)
	then := f.expr(anyLevel)
	f.expect(elseToken, `"else"`)
	otherwise := f.expr(anyLevel)
	return &If{At: at.To(otherwise.Span()), Cond: cond, Then: then, Else: otherwise}
}

func (f *formulaReader) forEach() Expr {
	at := spanOf(f.lex.Next())
	f.expect(eachToken, `"each"`)
	each := &ForEach{Loops: []*Loop{f.loop()}}
	for f.err == nil && f.accept(commaToken) {
		each.Loops = append(each.Loops, f.loop())
	}
	f.expect(colonToken, `":"`)
	each.Body = f.expr(anyLevel)
	each.At = at.To(each.Body.Span())
	return each
}

func (f *formulaReader) loop() *Loop {
	l := &Loop{Name: f.name()}
	if t := f.lex.Peek(); t.Value == "of" {
		f.lex.Next()
		l.Of = f.expr(orLevel)
		l.At = l.Name.At.To(l.Of.Span())
		return l
	}
	f.word("from", `"from" or "of"`)
	l.From = f.expr(addLevel)
	f.word("to", `"to"`)
	l.To = f.expr(addLevel)
	l.At = l.Name.At.To(l.To.Span())
	return l
}

// word takes a keyword that is not an operator.
func (f *formulaReader) word(word, what string) {
	if t := f.lex.Peek(); t.Type != keywordToken || t.Value != word {
		f.failExpecting(what)
		return
	}
	f.lex.Next()
}

func (f *formulaReader) name() Name { return nameOf(f.expect(identToken, "a name")) }
