package lang

import (
	"strings"

	"github.com/alecthomas/participle/v2/lexer"

	"squab/lang/diag"
)

// Role says how a token stands to its neighbours on the page.
type Role uint8

// The roles of tokens.
const (
	Word      Role = iota // a name, a keyword, a date, a whole text
	Number                // a number without its unit
	Unit                  // a unit that is a word
	Mark                  // a unit that stands tight: " ' and %
	Currency              // a sign before a number
	Prefix                // a sign of one operand
	Operator              // a sign between two operands, and =
	Open                  // ( and [
	TightOpen             // ( of a call and [ of an index
	Close                 // ) and ]
	Brace                 // {
	BraceEnd              // }
	Comma
	Colon
	Dot
	Bar
	TextOpen  // "up to the first {
	TextMid   // } between two holes {
	TextClose // } to the end"
)

// Beginning says what begins at a token.
type Beginning uint8

// What can begin at a token.
const (
	Nothing     Beginning = iota
	Declaration           // the keyword of a declaration
	BodyLine              // a line of a declaration's body: a statement, a case, a field, a row
	InnerLine             // a cell in the braces of a statement
)

// Token is a token as the page shows it.
type Token struct {
	Text     string
	At       diag.Span
	Line     int // in the source, from 1
	Role     Role
	Begins   Beginning
	Declares string // at the beginning of a declaration, the word of what it declares or amends: table for amend table
}

// Tokens gives every token of a source that Parse read without errors, for a layout of it. The blanks in a mixed number
// are one; otherwise a token is as written.
func Tokens(f *File) []Token {
	var unheard diag.List
	r := newReader(f.Source, Limits{MaxBytes: len(f.Source.Text) + 1}, &unheard)
	o := outliner{scanner: r.scanner}
	o.run()
	all := make([]Token, 0, len(r.tokens))
	for i := range r.tokens[:len(r.tokens)-1] {
		t := &r.tokens[i]
		all = append(all, Token{Text: layoutText(t), At: spanOf(t), Line: t.Pos.Line, Role: r.role(i)})
	}
	for i := range o.sections {
		s := &o.sections[i]
		all[s.head.from].Begins, all[s.head.from].Declares = Declaration, s.word
		for _, line := range s.lines {
			all[line.from].Begins = BodyLine
			if all[line.from].Role == Operator {
				all[line.from].Role = Prefix // the minus of a case
			}
			r.innerLines(all, line)
		}
	}
	return all
}

func layoutText(t *lexer.Token) string {
	if t.Type == numberToken || t.Type == furtherNumberToken {
		return strings.Join(strings.Fields(t.Value), " ")
	}
	return t.Value
}

// innerLines marks the cells in the braces of a statement.
func (r *reader) innerLines(all []Token, line stretch) {
	depth := 0
	for i := line.from; i < line.to; i++ {
		switch r.tokens[i].Type {
		case braceToken:
			depth++
		case braceEndToken:
			depth--
		case identToken:
			before := r.tokens[max(i-1, 0)].Type
			if depth > 0 && r.tokens[i+1].Type == equalToken && (before == braceToken || endsOperand(before)) {
				all[i].Begins = InnerLine
			}
		}
	}
}

func (r *reader) role(i int) Role {
	t := &r.tokens[i]
	switch t.Type {
	case numberToken, furtherNumberToken:
		return Number
	case unitToken:
		return unitRole(t.Value)
	case percentToken:
		return Mark
	case currencyToken:
		return Currency
	case minusToken:
		if i == 0 || !endsOperand(r.tokens[i-1].Type) || r.underTolerance(i) {
			return Prefix
		}
		return Operator
	case plusToken:
		if i > 0 && r.tokens[i-1].Value == "tolerance" {
			return Prefix
		}
		return Operator
	case timesToken, slashToken, equalToken, lessToken, lessEqualToken, moreToken, moreEqualToken:
		return Operator
	}
	return punctuationRole(t.Type)
}

// underTolerance reports whether the minus at i begins the second side of a tolerance.
func (r *reader) underTolerance(i int) bool {
	for i--; i > 0; i-- {
		switch r.tokens[i].Type {
		case numberToken, furtherNumberToken, unitToken, percentToken, currencyToken, perToken:
		case plusToken:
			return r.tokens[i-1].Value == "tolerance"
		default:
			return false
		}
	}
	return false
}

// unitRole tells the marks for inches and feet from units that are words.
func unitRole(unit string) Role {
	switch unit {
	case `"`, "'", "″", "′", "”", "’":
		return Mark
	}
	return Unit
}

func punctuationRole(kind lexer.TokenType) Role {
	switch kind {
	case parenToken, bracketToken:
		return Open
	case callParenToken, indexBracketToken:
		return TightOpen
	case parenEndToken, bracketEndToken:
		return Close
	case braceToken:
		return Brace
	case braceEndToken:
		return BraceEnd
	case commaToken:
		return Comma
	case colonToken:
		return Colon
	case dotToken:
		return Dot
	case barToken:
		return Bar
	case textOpenToken:
		return TextOpen
	case textMidToken:
		return TextMid
	case textCloseToken:
		return TextClose
	}
	return Word
}
