package lang

import (
	"sort"

	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"

	"squab/lang/diag"
)

// Limits says how large a source may be; a field that is zero stands for the default of the reference's section 12.
type Limits struct{ MaxBytes, MaxDepth, MaxDigits int }

func (l Limits) withDefaults() Limits {
	if l.MaxBytes <= 0 {
		l.MaxBytes = 16 << 20
	}
	if l.MaxDepth <= 0 {
		l.MaxDepth = 200
	}
	if l.MaxDigits <= 0 {
		l.MaxDigits = 1000
	}
	return l
}

// Parse reads one source. It gives what could be read, never nil, and reports every syntax error to problems. A line
// that could not be read is left out, or holds Bad where its name could be; names are declared even so.
func Parse(src *diag.Source, limits Limits, problems *diag.List) *File {
	return NewOutline(src, limits, problems).Parse(nil, problems)
}

// ParseFormula reads a source that is one formula; Bad where it could not be read.
func ParseFormula(src *diag.Source, problems *diag.List) Expr {
	g := readAlone(src, problems, theGrammar().formula)
	if g == nil {
		return &Bad{At: src.Span()}
	}
	return g.Formula
}

// ParseGiven reads a source that is what an order gives for an ask, such as a field of a CSV or JSON order: a formula, Bad where it could not
// be read, and the tolerance after it, nil where there is none: 27 in tolerance 1/8 in.
func ParseGiven(src *diag.Source, problems *diag.List) (Expr, *Tolerance) {
	g := readAlone(src, problems, theGrammar().given)
	if g == nil {
		return &Bad{At: src.Span()}, nil
	}
	return g.Formula, g.Tolerance.tolerance()
}

// ParseTolerance reads a source that is one tolerance, without its word: 1/8 in, +1/2 in -0 in; nil where it could not be read.
func ParseTolerance(src *diag.Source, problems *diag.List) *Tolerance {
	g := readAlone(src, problems, theGrammar().tolerance)
	if g == nil {
		return nil
	}
	return g.Of.tolerance()
}

// readAlone reads a source that is one thing; nil where it could not be read.
func readAlone[G any](src *diag.Source, problems *diag.List, p *participle.Parser[G]) *G {
	r := newReader(src, Limits{}, problems)
	if r == nil {
		return nil
	}
	whole := stretch{0, len(r.tokens) - 1}
	if whole.to == 0 && len(r.faults) == 0 {
		problems.Error("formula-expected", src.Span(), "nothing is given where a value belongs")
	}
	if whole.to == 0 {
		return nil
	}
	r.begin(&section{head: whole})
	g, ok := read(r, p, whole)
	if !ok || len(r.faults) > 0 {
		return nil
	}
	return g
}

// reader turns the sections of one source into its tree.
type reader struct {
	*scanner
	grammar *grammar
	lex     *lexer.PeekingLexer // of the section that is being read
	word    string              // what that section declares; "" for a formula alone
}

// newReader scans the source; nil where it is too large to be read.
func newReader(src *diag.Source, limits Limits, problems *diag.List) *reader {
	limits = limits.withDefaults()
	if len(src.Text) > limits.MaxBytes {
		problems.Error("file-too-large", diag.Span{Start: src.Base, End: src.Base}, "the file is larger than the limit for one file").
			Fix("split it, or raise the limit with --max-file")
		return nil
	}
	r := &reader{scanner: newScanner(src, limits, problems), grammar: theGrammar()}
	r.scan()
	r.sortFaults()
	return r
}

func (r *reader) sortFaults() {
	sort.Slice(r.faults, func(i, j int) bool { return r.faults[i].Start < r.faults[j].Start })
}

// sectionLexer hands a section to the parser, with an end token after its head and after each line.
type sectionLexer struct {
	tokens []lexer.Token
	*section
	at   int
	line int // the line after this stretch
	to   int
}

// Next gives the next token, and EOF at the end of the section.
func (l *sectionLexer) Next() (lexer.Token, error) {
	if l.at < l.to {
		t := l.tokens[l.at]
		l.at++
		return t, nil
	}
	if l.line > len(l.lines) {
		return lexer.EOFToken(lexer.Position{}), nil
	}
	last := &l.tokens[max(l.to-1, 0)]
	end := lexer.Token{Type: endToken, Pos: lexer.Position{Offset: int(endOf(last)), Line: last.Pos.Line, Column: 2}}
	if l.line < len(l.lines) {
		l.at, l.to = l.lines[l.line].from, l.lines[l.line].to
	}
	l.line++
	return end, nil
}

func (r *reader) begin(s *section) {
	r.word = s.word
	// The error is that of the lexer given, which has none.
	r.lex, _ = lexer.Upgrade(&sectionLexer{tokens: r.tokens, section: s, at: s.head.from, to: s.head.to})
}

// read parses one head or line, reports its problem if it has one, and goes to the next. Where it is not all right, it
// gives what was read before the problem.
func read[G any](r *reader, p *participle.Parser[G], at stretch) (*G, bool) {
	g, err := p.ParseFromLexer(r.lex, participle.AllowTrailing(true))
	if err == nil && r.lex.Peek().Type != endToken {
		err = &trailingError{*r.lex.Peek()}
	}
	if err != nil {
		r.report(err, at)
	}
	r.skip()
	return g, err == nil
}

// skip goes to the line after the one that is being read.
func (r *reader) skip() {
	for r.lex.Peek().Type != endToken && r.lex.Peek().Type != lexer.EOF {
		r.lex.Next()
	}
	r.lex.Next()
}

func (r *reader) spanOf(at stretch) diag.Span {
	return spanOf(&r.tokens[at.from]).To(spanOf(&r.tokens[max(at.from, at.to-1)]))
}

func (r *reader) whole(s *section) diag.Span {
	at := r.spanOf(s.head)
	if s.brace > 0 {
		at = at.To(spanOf(&r.tokens[s.brace]))
	}
	if n := len(s.lines); n > 0 {
		at = at.To(r.spanOf(s.lines[n-1]))
	}
	if s.close > 0 {
		at = at.To(spanOf(&r.tokens[s.close]))
	}
	return at
}

// must gives a formula, or Bad where there is none because its line could not be read.
func (r *reader) must(e Expr, at stretch) Expr {
	if e == nil {
		return &Bad{At: r.spanOf(at)}
	}
	return e
}
