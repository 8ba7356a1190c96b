package lang

import (
	"github.com/alecthomas/participle/v2/lexer"

	"squab/lang/diag"
)

// A token's Value is its source text, its Pos.Offset its diag.Pos, its Pos.Column its byte column from 1.
// Where the scanner reads something else for `=`, its Value is `=`.
const (
	endToken lexer.TokenType = iota + 1 // after the head of a declaration, and after each line of its body
	identToken
	keywordToken
	numberToken
	furtherNumberToken // a number right after a unit: the `4` of `3 ft 4 in`
	unitToken
	percentToken
	currencyToken
	dateToken
	textToken      // "whole"
	textOpenToken  // "up to the first {
	textMidToken   // } between two holes {
	textCloseToken // } to the end"
	plusToken
	minusToken
	timesToken
	slashToken
	equalToken
	lessToken
	lessEqualToken
	moreToken
	moreEqualToken
	parenToken
	callParenToken // ( right after a name on its line
	parenEndToken
	bracketToken
	indexBracketToken // [ right after what it indexes, on its line
	bracketEndToken
	braceToken
	braceEndToken
	commaToken
	colonToken
	dotToken
	barToken
	orToken
	andToken
	notToken
	isToken
	roundedToken
	byToken
	atToken
	modToken
	perToken
	ifToken
	thenToken
	elseToken
	forToken
	eachToken
	yesToken
	noToken
)

// Words that are reserved in every place. Those with a type of their own are part of formulas.
var keywords = map[string]lexer.TokenType{
	"or": orToken, "and": andToken, "not": notToken, "is": isToken, "rounded": roundedToken,
	"by": byToken, "at": atToken, "mod": modToken, "per": perToken, "if": ifToken, "then": thenToken,
	"else": elseToken, "for": forToken, "each": eachToken, "yes": yesToken, "no": noToken,
	"amend": keywordToken, "any": keywordToken, "as": keywordToken, "ask": keywordToken, "because": keywordToken,
	"caution": keywordToken, "charge": keywordToken, "expect": keywordToken, "from": keywordToken,
	"make": keywordToken, "marks": keywordToken, "need": keywordToken, "of": keywordToken,
	"on": keywordToken, "otherwise": keywordToken, "over": keywordToken, "part": keywordToken, "piece": keywordToken,
	"setup": keywordToken, "source": keywordToken, "step": keywordToken, "to": keywordToken, "tolerance": keywordToken, "under": keywordToken,
	"unique": keywordToken, "until": keywordToken, "use": keywordToken, "when": keywordToken, "work": keywordToken,
}

// Reserved words that only work where they stand first in a declaration, before `to` or after a count. Elsewhere they
// read as names, because the trade's fields and cells are called so: `price`, `material`, `off`.
var placedWords = map[string]bool{
	"choice": true, "kind": true, "material": true, "off": true, "order": true, "price": true, "proof": true,
	"recipe": true, "rule": true, "shop": true, "table": true, "unit": true, "up": true,
}

const longestKeyword = len("otherwise")

func isReserved(word string) bool {
	_, reserved := keywords[word]
	return reserved || placedWords[word]
}

func startOf(t *lexer.Token) diag.Pos { return diag.Pos(t.Pos.Offset) }

func endOf(t *lexer.Token) diag.Pos { return diag.Pos(t.Pos.Offset + len(t.Value)) }

func spanOf(t *lexer.Token) diag.Span { return diag.Span{Start: startOf(t), End: endOf(t)} }

func nameOf(t *lexer.Token) Name { return Name{Text: t.Value, At: spanOf(t)} }

// endsOperand reports whether a formula can be complete after t, so that what follows may be something new.
func endsOperand(t lexer.TokenType) bool {
	switch t {
	case identToken, numberToken, furtherNumberToken, unitToken, percentToken, dateToken, textToken, textCloseToken,
		parenEndToken, bracketEndToken, braceEndToken, yesToken, noToken:
		return true
	}
	return false
}

// startsOperand reports whether t begins an operand and never goes on with one.
func startsOperand(t lexer.TokenType) bool {
	switch t {
	case identToken, numberToken, currencyToken, dateToken, textToken, textOpenToken, parenToken, bracketToken,
		yesToken, noToken, ifToken, forToken, notToken:
		return true
	}
	return false
}

// lexicon names the tokens that the grammar's tags refer to; participle asks for it once.
type lexicon struct{ lexer.Definition }

func (lexicon) Symbols() map[string]lexer.TokenType {
	return map[string]lexer.TokenType{
		"EOF": lexer.EOF, "End": endToken, "Ident": identToken, "Unit": unitToken, "Number": numberToken,
		"Text": textToken, "Date": dateToken,
	}
}
