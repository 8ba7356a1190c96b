package lang

import (
	"github.com/alecthomas/participle/v2/lexer"

	"squab/lang/diag"
)

// stretch is the tokens [from, to) of a file.
type stretch struct{ from, to int }

// section is one declaration: its head, and the lines of its body. It is found before anything is parsed, so that a
// mistake spoils no more than its own line.
type section struct {
	word  string // of what it declares or amends: table for amend table; "" where it is no declaration
	head  stretch
	brace int // the { of the body; 0 where there is none
	lines []stretch
	close int // the } of the body; 0 where there is none
}

// bodyStyle says how the lines of a body are told apart.
type bodyStyle uint8

const (
	statementStyle bodyStyle = iota
	fieldStyle
	caseStyle
	rowStyle
)

type outliner struct {
	*scanner
	sections []section
}

func (o *outliner) run() {
	for i := 0; o.tokens[i].Type != lexer.EOF; {
		var s section
		if o.declares(i) {
			s, i = o.declaration(i)
		} else {
			s, i = o.stray(i)
		}
		o.sections = append(o.sections, s)
	}
}

func (o *outliner) token(i int) *lexer.Token { return &o.tokens[i] }

func (o *outliner) firstOnLine(i int) bool {
	return i == 0 || o.tokens[i].Pos.Line != o.tokens[i-1].Pos.Line
}

// declares reports whether the word at i begins a declaration, and is not the name of a cell or a field.
func (o *outliner) declares(i int) bool {
	if !isDeclarationWord(o.tokens[i].Value) {
		return false
	}
	next := o.tokens[i+1].Type
	return next != equalToken && next != colonToken && next != dotToken
}

func (o *outliner) opensDeclaration(i int) bool { return o.token(i).Pos.Column == 1 && o.declares(i) }

// declaredBy gives the word of what the declaration at i declares or amends.
func (o *outliner) declaredBy(i int) string {
	word := o.token(i).Value
	if word != "amend" {
		return word
	}
	switch next := o.token(i + 1).Value; next {
	case "kind", "material", "table", "choice":
		return next
	}
	return word
}

// indentedDeclaration reports a declaration that stands outside every body but not in column 1.
func (o *outliner) indentedDeclaration(i int) bool {
	t := o.token(i)
	if !o.firstOnLine(i) || !isDeclarationWord(t.Value) || i == 0 || !endsOperand(o.tokens[i-1].Type) {
		return false
	}
	next := o.tokens[i+1].Type
	return next == identToken || next == numberToken || next == textToken || next == braceToken
}

// opensSection reports whether a new section begins at i, outside every body.
func (o *outliner) opensSection(i int) bool {
	t := o.token(i)
	if t.Type == lexer.EOF || o.indentedDeclaration(i) {
		return true
	}
	return t.Pos.Column == 1 && t.Type != braceToken && t.Type != braceEndToken
}

// stray takes what belongs to no declaration, up to the next one.
func (o *outliner) stray(from int) (section, int) {
	i := from + 1
	for o.token(i).Type != lexer.EOF && !o.opensDeclaration(i) && !o.indentedDeclaration(i) {
		i++
	}
	return section{head: stretch{from, i}}, i
}

func (o *outliner) declaration(from int) (section, int) {
	if t := o.token(from); t.Pos.Column != 1 {
		o.problem("declaration-indented", spanOf(t), `"`+t.Value+`" does not stand in column 1`).
			Fix("a declaration begins in column 1; put it there")
	}
	s := section{word: o.declaredBy(from)}
	style, braced := bodyOf(s.word)
	parens := 0
	i := from + 1
	for ; !o.opensSection(i) && o.token(i).Type != braceToken; i++ {
		switch o.token(i).Type {
		case parenToken, callParenToken:
			parens++
		case parenEndToken:
			parens--
		case equalToken:
			braced = braced && parens != 0
		}
		if braced && parens == 0 && i > from+1 && o.opensUnopened(i, style) {
			s.head = stretch{from, i}
			return o.unopened(s, style)
		}
	}
	s.head = stretch{from, i}
	if o.token(i).Type != braceToken {
		return s, i
	}
	s.brace = i
	return o.body(s, i+1, style)
}

// opensUnopened reports whether a line at i shows that the { of the body is missing before it.
func (o *outliner) opensUnopened(i int, style bodyStyle) bool {
	if style == rowStyle {
		return o.firstOnLine(i) && o.token(i+1).Type == barToken
	}
	return o.firstOnLine(i) && o.opensLine(i, style)
}

// bodyOf says how the body of a declaration is read, and whether a line of it shows that it should have one.
func bodyOf(declared string) (style bodyStyle, braced bool) {
	switch declared {
	case "rule", "amend":
		return caseStyle, true
	case "kind":
		return fieldStyle, true
	case "table":
		return rowStyle, true
	case "unit", "choice", "caution":
		return statementStyle, false
	}
	return statementStyle, true
}

// unopened reads a body whose { is missing.
func (o *outliner) unopened(s section, style bodyStyle) (section, int) {
	last := o.token(s.head.to - 1)
	end := diag.Span{Start: endOf(last), End: endOf(last)}
	o.problem("brace-missing", end, `"{" expected after `+shown(last)+", at the end of the line").
		Fix(`put "{" here, and "}" after the last line of the body`)
	return o.body(s, s.head.to, style)
}

// body reads the lines of a body, from after its { to its }.
func (o *outliner) body(s section, i int, style bodyStyle) (section, int) {
	b := bodyReader{outliner: o, section: s, style: style, from: i}
	return b.read(i)
}

type opening struct {
	kind lexer.TokenType
	at   int
}

type bodyReader struct {
	*outliner
	section
	style    bodyStyle
	from     int // where the line that is being read began
	open     []opening
	mistaken stretch // the last inner { } whose } stands in column 1, where that of the body belongs
}

func (b *bodyReader) read(i int) (section, int) {
	for ; ; i++ {
		t := b.token(i)
		if t.Type == lexer.EOF || b.opensDeclaration(i) {
			b.unclosed(i)
			return b.section, i
		}
		b.startLine(i)
		if t.Type == braceEndToken && b.closeBrace(i) {
			b.endLine(i)
			b.close = i
			return b.section, i + 1
		}
		b.bracket(i)
	}
}

func (b *bodyReader) endLine(to int) {
	if to > b.from {
		b.lines = append(b.lines, stretch{b.from, to})
	}
	b.from = to
}

// startLine ends the line that is being read where a new one begins at i, even if brackets of the old one are open.
func (b *bodyReader) startLine(i int) {
	if i == b.from {
		return
	}
	if len(b.open) == 0 {
		if b.opensLine(i, b.style) || b.alignedCell(i) {
			b.endLine(i)
		}
		return
	}
	if !b.firstOnLine(i) || b.style == rowStyle && !b.inBrace() {
		b.splitRow(i)
		return
	}
	statement := b.opensStatement(i)
	words := b.juxtaposed(i) && b.token(i+1).Type == identToken
	cell := (words || b.opensCell(i) || b.alignedCell(i)) && !b.inBrace()
	if b.style == statementStyle && statement || cell {
		b.reportOpenBrace()
		b.open = b.open[:0]
		b.endLine(i)
	}
}

// alignedCell reports `name =` that stands no deeper than the beginning of an unfinished line: the next cell, not a comparison.
func (b *bodyReader) alignedCell(i int) bool {
	return b.firstOnLine(i) && b.token(i).Type == identToken && b.token(i+1).Type == equalToken &&
		b.token(i).Pos.Column <= b.token(b.from).Pos.Column && b.style != rowStyle
}

func (b *bodyReader) splitRow(i int) {
	if b.style == rowStyle && b.firstOnLine(i) {
		b.open = b.open[:0]
		b.endLine(i)
	}
}

func (b *bodyReader) inBrace() bool {
	for _, o := range b.open {
		if o.kind == braceToken {
			return true
		}
	}
	return false
}

func (b *bodyReader) reportOpenBrace() {
	for _, o := range b.open {
		if o.kind == braceToken {
			d := b.missing(o.at)
			b.faults = append(b.faults, d.At)
			return
		}
	}
}

func (b *bodyReader) missing(brace int) *diag.Diagnostic {
	return b.problem("brace-missing", spanOf(b.token(brace)), `this "{" is never closed`).Fix(`put "}" after what belongs in it`)
}

// closeBrace ends the innermost brace, and reports whether that is the body's.
func (b *bodyReader) closeBrace(i int) bool {
	for n := len(b.open) - 1; n >= 0; n-- {
		if b.open[n].kind == braceToken {
			if b.token(i).Pos.Column == 1 {
				b.mistaken = stretch{b.open[n].at, i}
			}
			b.open = b.open[:n]
			return false
		}
	}
	return true
}

func (b *bodyReader) bracket(i int) {
	switch kind := b.token(i).Type; kind {
	case parenToken, callParenToken, bracketToken, indexBracketToken, braceToken, textOpenToken:
		b.open = append(b.open, opening{kind, i})
	case parenEndToken, bracketEndToken, textCloseToken:
		if n := len(b.open); n > 0 && b.open[n-1].kind != braceToken {
			b.open = b.open[:n-1]
		}
	}
}

// unclosed reports that a body runs into the next declaration at i.
func (b *bodyReader) unclosed(i int) {
	b.endLine(i)
	switch {
	case b.mistaken != stretch{}:
		d := b.missing(b.mistaken.from)
		b.faults = append(b.faults, d.At)
	case b.brace != 0:
		d := b.missing(b.brace)
		if next := b.token(i); next.Type != lexer.EOF {
			d.Note(spanOf(next), "the next declaration begins here")
		}
	}
}

// opensLine reports whether a line of a body in the given style begins at i, outside inner brackets.
func (o *outliner) opensLine(i int, style bodyStyle) bool {
	switch style {
	case rowStyle:
		return o.firstOnLine(i)
	case fieldStyle:
		return o.opensField(i)
	case caseStyle:
		return o.opensCase(i)
	}
	return o.opensStatement(i) || o.opensCell(i) || o.juxtaposed(i)
}

func (o *outliner) opensStatement(i int) bool {
	t := o.token(i)
	return t.Type == keywordToken && isStatementWord(t.Value) && (o.firstOnLine(i) || endsOperand(o.tokens[i-1].Type))
}

func (o *outliner) opensCell(i int) bool {
	return o.token(i).Type == identToken && o.token(i+1).Type == equalToken && o.token(i).Value != "off" && endsOperand(o.tokens[i-1].Type)
}

// juxtaposed reports a name that begins a line though what stands before it is complete: a word misspelt, most likely.
func (o *outliner) juxtaposed(i int) bool {
	t := o.token(i)
	return o.firstOnLine(i) && t.Type == identToken && t.Value != "off" && endsOperand(o.tokens[i-1].Type)
}

func (o *outliner) opensField(i int) bool {
	return o.token(i).Type == identToken && o.token(i+1).Type == colonToken && (o.firstOnLine(i) || endsOperand(o.tokens[i-1].Type)) ||
		o.juxtaposed(i)
}

// opensNegative reports a minus that begins a line right before its number: a sign, since a subtraction has a blank behind it.
func (o *outliner) opensNegative(i int) bool {
	t := o.token(i)
	return t.Type == minusToken && o.firstOnLine(i) && endOf(t) == startOf(o.token(i+1))
}

func (o *outliner) opensCase(i int) bool {
	before, t := o.token(i-1), o.token(i)
	if !startsOperand(t.Type) && !o.opensNegative(i) {
		return before.Value == "otherwise" && t.Value != "because" && t.Value != "source" && t.Type != braceEndToken
	}
	complete := before.Value == "otherwise" || endsOperand(before.Type)
	if o.firstOnLine(i) || before.Value == "otherwise" {
		return complete
	}
	number := t.Type == numberToken || t.Type == currencyToken || t.Type == dateToken
	return complete && (number || before.Type == textToken) || o.opensCell(i)
}
