package lang

import (
	"bytes"
	"strings"
	"unicode/utf8"

	"github.com/alecthomas/participle/v2/lexer"
)

// textPart reads from a quotation mark, or from the } of a hole, to the end of the text or to its next hole.
func (s *scanner) textPart(from int) {
	opens := s.text[from] == '"'
	if !opens {
		s.closeHole()
	}
	end := s.textEnd(from + 1)
	s.checkPlain(from, end, "the text")
	switch {
	case end == len(s.text) || s.text[end] == '\n':
		s.unterminated(from, end, opens)
	case s.text[end] == '"':
		s.emit(closing(opens), from, end+1)
	case opens:
		s.push(hole, textOpenToken, end+1)
	default:
		s.push(hole, textMidToken, end+1)
	}
}

func closing(opens bool) lexer.TokenType {
	if opens {
		return textToken
	}
	return textCloseToken
}

// closeHole takes the hole, and brackets that were left open in it, from the stack.
func (s *scanner) closeHole() {
	s.forget(bytes.LastIndexByte(s.open, hole))
}

// textEnd gives where the plain part that begins at a place ends: at its quotation mark, a hole, or the line's end.
func (s *scanner) textEnd(at int) int {
	for at < len(s.text) {
		switch s.text[at] {
		case '"', '{', '\n':
			return at
		case '\\':
			at = s.escape(at)
		default:
			at++
		}
	}
	return at
}

func (s *scanner) escape(at int) int {
	if at+1 < len(s.text) {
		switch s.text[at+1] {
		case '"', '\\', '{', 'n':
			return at + 2
		}
	}
	s.fault("text-escape", at, at+1, `in a text a backslash stands before ", \, { or n only`).Fix(`for the backslash itself write \\`)
	return at + 1
}

func (s *scanner) unterminated(from, end int, opens bool) {
	end = from + len(strings.TrimRight(s.text[from:end], " \t\r"))
	s.fault("text-unterminated", from, end, "the text is not closed on its line").Fix(`put a " at its end`)
	s.emit(closing(opens), from, end)
}

// typographicText reads a text in quotation marks that are not the straight ones.
func (s *scanner) typographicText(inner int) {
	line := s.text[inner:s.lineEnd()]
	end := inner + len(line)
	if n := strings.IndexAny(line, "“”»’\""); n >= 0 {
		_, size := utf8.DecodeRuneInString(line[n:])
		end = inner + n + size
	}
	s.fault("quotation-marks", s.at, end, "text stands in straight quotation marks").Fix(`write "…"`)
	s.emit(textToken, s.at, end)
}

func (s *scanner) singleQuoted() {
	end := s.lineEnd()
	if n := strings.IndexByte(s.text[s.at+1:end], '\''); n >= 0 {
		end = s.at + n + 2
	}
	s.fault("quotation-marks", s.at, end, "text stands in double quotation marks").Fix(`write "…"`)
	s.emit(textToken, s.at, end)
}

// plainText gives what a part of a text says: without its marks, its escapes resolved.
func plainText(raw string) string {
	_, mark := utf8.DecodeRuneInString(raw)
	raw = raw[mark:]
	if n := len(raw); n > 0 && (raw[n-1] == '"' || raw[n-1] == '{') {
		raw = raw[:n-1]
	}
	if !strings.Contains(raw, `\`) {
		return raw
	}
	var b strings.Builder
	for i := 0; i < len(raw); i++ {
		if raw[i] == '\\' && i+1 < len(raw) {
			i++
			b.WriteByte(escaped(raw[i]))
			continue
		}
		b.WriteByte(raw[i])
	}
	return b.String()
}

func escaped(c byte) byte {
	if c == 'n' {
		return '\n'
	}
	return c
}
