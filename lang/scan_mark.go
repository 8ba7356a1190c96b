package lang

import (
	"bytes"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/alecthomas/participle/v2/lexer"
)

// mark reads a sign of ASCII: an operator, a bracket, or one of another language.
func (s *scanner) mark(c byte) {
	if s.foreignSign() {
		return
	}
	switch c {
	case '(', '[', '{':
		s.openBracket(c)
	case ')', ']', '}':
		s.closeBracket(c)
	case '$':
		s.emit(currencyToken, s.at, s.at+1)
	case '<', '>':
		s.order(c)
	case '\'':
		s.singleQuoted()
	default:
		s.single(c)
	}
}

func singleSign(c byte) lexer.TokenType {
	switch c {
	case '+':
		return plusToken
	case '-':
		return minusToken
	case '*':
		return timesToken
	case '/':
		return slashToken
	case '=':
		return equalToken
	case ',':
		return commaToken
	case ':':
		return colonToken
	case '.':
		return dotToken
	case '|':
		return barToken
	}
	return 0
}

func (s *scanner) single(c byte) {
	kind := singleSign(c)
	switch {
	case kind == dotToken && isDigit(s.peek(1)) && !s.touches():
		s.fault("number-form", s.at, s.at+1, "a number does not begin with its decimal point").Fix("write a 0 before the point")
		s.at++
	case kind == slashToken:
		s.slash()
	case kind == barToken:
		s.barLine = s.line
		s.emit(kind, s.at, s.at+1)
	case kind != 0:
		s.emit(kind, s.at, s.at+1)
	default:
		s.stray(rune(c), 1)
	}
}

// slash is always division; where it stands tight between a measure and a unit, a rate was probably meant.
func (s *scanner) slash() {
	to := wordEnd(s.text, s.at+1)
	word := s.text[s.at+1 : to]
	last := s.last()
	measured := last == unitToken || last == numberToken || last == furtherNumberToken
	if measured && s.touches() && commonUnit(word) {
		s.warn("rate-or-division", s.span(s.at, to), "/ divides by the cell "+word+"; a rate is written with per").
			Fix("for a rate write: per " + word + "; for a division put spaces around the /")
	}
	s.emit(slashToken, s.at, s.at+1)
}

func commonUnit(word string) bool {
	switch word {
	case "in", "ft", "yd", "mm", "cm", "m", "ft2", "yd2", "m2", "ft3", "m3", "bdft", "lb", "oz", "g", "kg", "min", "h", "deg", "dozen":
		return true
	}
	return false
}

func (s *scanner) order(c byte) {
	equal := s.peek(1) == '='
	switch {
	case c == '<' && equal:
		s.emit(lessEqualToken, s.at, s.at+2)
	case c == '>' && equal:
		s.emit(moreEqualToken, s.at, s.at+2)
	case c == '<':
		s.emit(lessToken, s.at, s.at+1)
	default:
		s.emit(moreToken, s.at, s.at+1)
	}
}

func (s *scanner) openBracket(c byte) {
	kind := braceToken
	switch {
	case c == '(' && s.last() == identToken:
		kind = callParenToken
	case c == '(':
		kind = parenToken
	case c == '[' && endsOperand(s.last()):
		kind = indexBracketToken
	case c == '[':
		kind = bracketToken
	}
	s.push(c, kind, s.at+1)
}

// push emits a bracket, or the text before a hole, unless it lies too deep: then it is left out, and so is its closer.
func (s *scanner) push(c byte, kind lexer.TokenType, to int) {
	if len(s.open) < s.limits.MaxDepth {
		s.open = append(s.open, c)
		s.emit(kind, s.at, to)
		return
	}
	if s.tooDeep == 0 {
		s.fault("nesting-too-deep", s.at, to, "brackets are nested deeper than the limit").
			Fix("give the inner formulas names, as cells of their own")
	}
	s.tooDeep++
	s.at = to
	if c == hole {
		s.leaveText()
	}
}

// leaveText passes over the rest of a line whose text holds too many holes, and forgets them.
func (s *scanner) leaveText() {
	s.at = s.lineEnd()
	if i := bytes.IndexByte(s.open, hole); i >= 0 {
		s.forget(i)
	}
}

// forget lets the brackets from the nth on, which are still open, count no longer.
func (s *scanner) forget(n int) {
	s.open = s.open[:n]
	s.tooDeep = 0
}

func (s *scanner) closeBracket(c byte) {
	if s.tooDeep > 0 {
		s.tooDeep--
		s.at++
		return
	}
	if c == '}' && s.inHole() {
		s.textPart(s.at)
		return
	}
	kind := braceEndToken
	switch c {
	case ')':
		kind = parenEndToken
	case ']':
		kind = bracketEndToken
	}
	s.emit(kind, s.at, s.at+1)
	if n := len(s.open); n > 0 && s.open[n-1] != hole {
		s.open = s.open[:n-1]
	}
}

// inHole reports whether a } closes a hole: brackets that were left open in the hole end with it.
func (s *scanner) inHole() bool {
	for i := len(s.open) - 1; i >= 0; i-- {
		switch s.open[i] {
		case hole:
			return true
		case '{':
			return false
		}
	}
	return false
}

// foreignSign reads the signs that other languages use for something Squab says otherwise.
func (s *scanner) foreignSign() bool {
	if strings.IndexByte("=!<:&|*^;", s.text[s.at]) < 0 {
		return false
	}
	for _, f := range foreignSigns {
		if strings.HasPrefix(s.text[s.at:], f.sign) && !(f.sign == "||" && s.inTable()) {
			s.foreign(f)
			return true
		}
	}
	return false
}

// inTable reports whether the line has another bar, so that `||` is an empty field.
func (s *scanner) inTable() bool {
	if s.barLine == s.line {
		return true
	}
	rest, _, _ := strings.Cut(s.text[s.at+2:s.lineEnd()], "#")
	return strings.Contains(rest, "|")
}

type foreign struct {
	sign, code, message, fix string
	kind                     lexer.TokenType // read in its place; 0 where it is left out
}

var foreignSigns = [...]foreign{
	{"==", "equals-twice", "equality is written with one =", "write =", equalToken},
	{"!=", "not-equal", "!= is not a sign of Squab", "write: a is not b, for words, or: not (a = b)", equalToken},
	{"<>", "not-equal", "<> is not a sign of Squab", "write: a is not b, for words, or: not (a = b)", equalToken},
	{"=>", "order-sign", "=> is not a sign of Squab", "write >=", moreEqualToken},
	{"=<", "order-sign", "=< is not a sign of Squab", "write <=", lessEqualToken},
	{":=", "equals-colon", "a formula is given with = alone", "write =", equalToken},
	{"&&", "and-sign", "&& is not a sign of Squab", "write and", andToken},
	{"||", "or-sign", "|| is not a sign of Squab", "write or", orToken},
	{"**", "power-sign", "Squab has no sign for powers", "write x * x", timesToken},
	{"^", "power-sign", "Squab has no sign for powers", "write x * x", timesToken},
	{"!", "not-sign", "! is not a sign of Squab", "write not", notToken},
	{";", "semicolon", "a line does not end with a semicolon", "leave it out", 0},
}

func (s *scanner) foreign(f foreign) {
	from := s.at
	s.fault(f.code, from, from+len(f.sign), f.message).Fix(f.fix)
	s.at += len(f.sign)
	if f.kind != 0 {
		s.emit(f.kind, from, s.at)
	}
	if f.kind == equalToken {
		s.tokens[len(s.tokens)-1].Value = "=" // as the grammar spells it
	}
}

// sign reads a sign beyond ASCII.
func (s *scanner) sign(r rune, size int) {
	to := s.at + size
	switch r {
	case '−':
		s.emit(minusToken, s.at, to)
	case '×':
		s.emit(timesToken, s.at, to)
	case '≤':
		s.emit(lessEqualToken, s.at, to)
	case '≥':
		s.emit(moreEqualToken, s.at, to)
	case '£', '€':
		s.emit(currencyToken, s.at, to)
	case '“', '”', '„', '«', '‘', '’':
		s.typographicText(to)
	default:
		s.signInstead(r, size)
	}
}

func (s *scanner) signInstead(r rune, size int) {
	from, to := s.at, s.at+size
	switch r {
	case '≠':
		s.foreign(foreign{"≠", "not-equal", "≠ is not a sign of Squab", "write: a is not b, for words, or: not (a = b)", equalToken})
	case '÷':
		s.foreign(foreign{"÷", "division-sign", "division is written with /", "write /", slashToken})
	case '–', '—':
		s.fault("dash", from, to, "a dash is not a minus").Fix("write -")
		s.emit(minusToken, from, to)
	case '″', '′':
		s.fault("mark-apart", from, to, "the mark for inches or feet stands right after its number, without a space")
		s.at = to
	case '²', '³':
		s.fault("unit-without-number", from, to, "a raised 2 or 3 belongs to a unit, and a unit stands after its number")
		s.at = to
	default:
		s.stray(r, size)
	}
}

// stray reports a run of the same character that means nothing here, and leaves it out.
func (s *scanner) stray(r rune, size int) {
	from := s.at
	for s.at < len(s.text) {
		next, n := utf8.DecodeRuneInString(s.text[s.at:])
		if next != r || n != size {
			break
		}
		s.at += n
	}
	if r == 0 {
		s.fault("nul-character", from, s.at, "the file holds a NUL character").Fix("is it a text file? save it as UTF-8")
		return
	}
	d := s.fault("character-stray", from, s.at, "the character "+shownRune(r)+" means nothing here")
	if unicode.IsMark(r) {
		d.Fix("an accent and its letter are one character in a name: type them as one, or leave the accent out")
	}
}

func shownRune(r rune) string {
	const hex = "0123456789ABCDEF"
	if unicode.IsPrint(r) && !unicode.IsMark(r) {
		return `"` + string(r) + `"`
	}
	digits := ""
	for ; r > 0 || len(digits) < 4; r >>= 4 {
		digits = string(hex[r&15]) + digits
	}
	return "U+" + digits
}
