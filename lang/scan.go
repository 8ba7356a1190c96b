package lang

import (
	"bytes"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/alecthomas/participle/v2/lexer"

	"squab/lang/diag"
)

// How many mistakes are reported: in all, and in the signs and characters before the file is taken for something else
// than Squab.
const (
	maxProblems     = 1000
	maxScanProblems = 100
)

// hole on the scanner's stack of brackets is a `{` inside a text.
const hole = '"'

// scanner turns one source into tokens; white space and comments are not among them.
type scanner struct {
	src       *diag.Source
	text      string
	limits    Limits
	problems  *diag.List
	at        int // the byte to be read
	line      int
	lineStart int
	tokens    []lexer.Token
	comments  []Comment
	open      []byte      // brackets not yet closed, and holes
	tooDeep   int         // how many more are open, beyond the limit
	faults    []diag.Span // where problems were reported, in order
	stopped   bool
	reported  int
	barLine   int // the last line with a bar
}

func newScanner(src *diag.Source, limits Limits, problems *diag.List) *scanner {
	s := &scanner{src: src, text: src.Text, limits: limits, problems: problems, line: 1}
	s.tokens = make([]lexer.Token, 0, len(src.Text)/4+16)
	return s
}

func (s *scanner) scan() {
	if strings.HasPrefix(s.text, "\uFEFF") {
		s.at = len("\uFEFF")
		s.lineStart = s.at
	}
	s.checkLineEnds()
	for s.at < len(s.text) && !s.stopped {
		s.step()
	}
	s.closeHoles()
	s.emit(lexer.EOF, s.at, s.at)
}

// checkLineEnds reports the first carriage return that ends no line, since a comment before it would take the rest of the file for its own.
func (s *scanner) checkLineEnds() {
	for rest := s.text; ; {
		n := strings.IndexByte(rest, '\r')
		if n < 0 {
			return
		}
		rest = strings.TrimLeft(rest[n:], "\r")
		if at := len(s.text) - len(rest); rest != "" && rest[0] != '\n' {
			s.fault("line-end", at-1, at, "a carriage return alone ends no line").Fix("save the file with the line ends LF or CR LF")
			return
		}
	}
}

func (s *scanner) step() {
	c := s.text[s.at]
	switch {
	case c == ' ' || c == '\t' || c == '\r' || c == '\f':
		s.at++
	case c == '\n':
		s.newline()
	case isLetter(c):
		s.word()
	case isDigit(c):
		s.number()
	case c == '"':
		s.textPart(s.at)
	case c == '#':
		s.comment()
	case c >= utf8.RuneSelf:
		s.beyondASCII()
	default:
		s.mark(c)
	}
}

func isLetter(c byte) bool { return 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z' || c == '_' }

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

// peek gives the byte n places on, or 0 at the end.
func (s *scanner) peek(n int) byte {
	if s.at+n < len(s.text) {
		return s.text[s.at+n]
	}
	return 0
}

func (s *scanner) pos(offset int) diag.Pos { return s.src.Base + diag.Pos(offset) }

func (s *scanner) span(from, to int) diag.Span {
	return diag.Span{Start: s.pos(from), End: s.pos(to)}
}

// emit adds the token of the bytes from, to and reads on after them.
func (s *scanner) emit(kind lexer.TokenType, from, to int) {
	s.tokens = append(s.tokens, lexer.Token{Type: kind, Value: s.text[from:to], Pos: lexer.Position{
		Offset: int(s.pos(from)), Line: s.line, Column: from - s.lineStart + 1,
	}})
	s.at = to
}

// last gives the type of the token before, if it stands on this line.
func (s *scanner) last() lexer.TokenType {
	if n := len(s.tokens); n > 0 && s.tokens[n-1].Pos.Line == s.line {
		return s.tokens[n-1].Type
	}
	return 0
}

// touches reports whether the token before ends right here.
func (s *scanner) touches() bool {
	n := len(s.tokens)
	return n > 0 && endOf(&s.tokens[n-1]) == s.pos(s.at)
}

func (s *scanner) fault(code string, from, to int, message string) *diag.Diagnostic {
	at := s.span(from, to)
	s.faults = append(s.faults, at)
	if len(s.faults) == maxScanProblems {
		s.stopped = true
		s.tooMany(at)
	}
	return s.problem(code, at, message)
}

func (s *scanner) tooMany(at diag.Span) {
	s.problems.Error("problems-too-many", at, "the file has too many mistakes to report them all").Fix("is it a Squab file?")
}

// problem reports an error, unless too many have been reported.
func (s *scanner) problem(code string, at diag.Span, message string) *diag.Diagnostic {
	if s.reported++; s.reported > maxProblems {
		return &diag.Diagnostic{}
	}
	if s.reported == maxProblems {
		s.tooMany(at)
	}
	return s.problems.Error(code, at, message)
}

func (s *scanner) warn(code string, at diag.Span, message string) *diag.Diagnostic {
	d := s.problem(code, at, message)
	d.Severity = diag.Warning
	return d
}

func (s *scanner) newline() {
	s.closeHoles()
	s.at++
	s.line++
	s.lineStart = s.at
}

// closeHoles ends a text whose formula in braces runs into the end of the line.
func (s *scanner) closeHoles() {
	i := bytes.IndexByte(s.open, hole)
	if i < 0 {
		return
	}
	s.forget(i)
	s.fault("text-hole-open", s.at, s.at, `the text ends before the "}" of the formula in it`).
		Fix(`close the formula with "}" and the text with a quotation mark, on one line; a brace that is only text is written \{`)
	s.emit(textCloseToken, s.at, s.at)
}

func (s *scanner) comment() {
	end := s.lineEnd()
	text := strings.TrimRight(s.text[s.at:end], " \t\r")
	s.checkPlain(s.at, end, "a comment")
	s.comments = append(s.comments, Comment{
		At: s.span(s.at, s.at+len(text)), Text: text, OwnLine: s.last() == 0,
	})
	s.at = end
}

func (s *scanner) lineEnd() int {
	if n := strings.IndexByte(s.text[s.at:], '\n'); n >= 0 {
		return s.at + n
	}
	return len(s.text)
}

// checkPlain reports what no text may hold: NUL and bytes that are not UTF-8.
func (s *scanner) checkPlain(from, to int, where string) {
	part := s.text[from:to]
	if n := strings.IndexByte(part, 0); n >= 0 {
		s.fault("nul-character", from+n, from+n+1, where+" holds a NUL character")
	}
	if !utf8.ValidString(part) {
		n := strings.IndexFunc(part, func(r rune) bool { return r == utf8.RuneError })
		s.fault("utf8-invalid", from+n, from+n+1, where+" holds a byte that is not UTF-8").Fix("save the file as UTF-8")
	}
}

// word reads a name, a keyword or the unit of the number before it.
func (s *scanner) word() {
	from, to := s.at, wordEnd(s.text, s.at)
	word := s.text[from:to]
	if kind, ok := keyword(word); ok && !(kind == eachToken && s.wantsUnit()) {
		s.declaration(word, from)
		s.emit(kind, from, to)
		return
	}
	if placedWords[word] && !s.afterPer() {
		s.declaration(word, from)
		s.emit(identToken, from, to)
		return
	}
	s.nameOrUnit(from, to)
}

func keyword(word string) (lexer.TokenType, bool) {
	if len(word) > longestKeyword || word[0] < 'a' {
		return 0, false
	}
	kind, ok := keywords[word]
	return kind, ok
}

func wordEnd(text string, at int) int {
	for at < len(text) {
		c := text[at]
		switch {
		case isLetter(c) || isDigit(c):
			at++
		case c < utf8.RuneSelf:
			return at
		default:
			r, size := utf8.DecodeRuneInString(text[at:])
			if !unicode.IsLetter(r) {
				return at
			}
			at += size
		}
	}
	return at
}

func (s *scanner) nameOrUnit(from, to int) {
	exponent := strings.HasPrefix(s.text[to:], "²") || strings.HasPrefix(s.text[to:], "³")
	if exponent {
		to += len("²")
	}
	switch {
	case s.wantsUnit():
		s.emit(unitToken, from, to)
	case exponent:
		s.fault("unit-without-number", from, to, "a raised 2 or 3 belongs to a unit, and a unit stands after its number")
		s.emit(identToken, from, to)
	default:
		s.emit(identToken, from, to)
	}
}

func (s *scanner) wantsUnit() bool {
	last := s.last()
	return last == numberToken || last == furtherNumberToken || s.afterPer()
}

func (s *scanner) afterPer() bool { return s.last() == perToken }

// declaration lets brackets that an earlier declaration left open count no longer.
func (s *scanner) declaration(word string, from int) {
	if from == s.lineStart && isDeclarationWord(word) {
		s.forget(0)
	}
}

func (s *scanner) beyondASCII() {
	r, size := utf8.DecodeRuneInString(s.text[s.at:])
	switch {
	case r == utf8.RuneError && size == 1:
		from := s.at
		s.skipInvalid()
		s.fault("utf8-invalid", from, s.at, "this is not UTF-8").Fix("save the file as UTF-8")
	case vulgar(r):
		s.number()
	case unicode.IsLetter(r):
		s.nameOrUnit(s.at, wordEnd(s.text, s.at))
	case unicode.IsSpace(r):
		s.at += size
	default:
		s.sign(r, size)
	}
}

func (s *scanner) skipInvalid() {
	for s.at < len(s.text) {
		r, size := utf8.DecodeRuneInString(s.text[s.at:])
		if r != utf8.RuneError || size != 1 {
			return
		}
		s.at++
	}
}
