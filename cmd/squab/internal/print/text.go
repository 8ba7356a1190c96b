// Package print shows what was worked out: texts and tables for people, JSON, JSON lines and CSV for programs, and problems with their
// place marked.
package print

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"squab/lang/diag"
)

// Page says how text is shown. The zero value is for a file: no colour.
type Page struct {
	Colour bool
}

// textWidth is what running text is wrapped to; no line is longer than maxWidth unless one word of it is.
const (
	textWidth = 80
	maxWidth  = 100
)

// Harmless gives lines of text as a terminal may show them; see clean.
func Harmless(text string) string {
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		lines[i] = clean(line)
	}
	return strings.Join(lines, "\n")
}

// clean makes text harmless on a terminal: control characters and marks that turn the direction of writing are shown as signs.
func clean(s string) string {
	if strings.IndexFunc(s, isHarmful) < 0 {
		return s
	}
	return strings.Map(visible, s)
}

func isHarmful(r rune) bool {
	if r < utf8.RuneSelf {
		return r < ' ' || r == 0x7f
	}
	return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == '\u2028' || r == '\u2029'
}

func visible(r rune) rune {
	switch {
	case r == '\n' || r == '\t' || r == '\r':
		return ' '
	case r < 0x20:
		return '\u2400' + r
	case r == 0x7f:
		return '\u2421'
	case isHarmful(r):
		return unicode.ReplacementChar
	}
	return r
}

// blanks appends blanks.
func blanks(b []byte, n int) []byte {
	for range n {
		b = append(b, ' ')
	}
	return b
}

// padded appends text in a column of a width, against its left or its right.
func padded(b []byte, s string, width int, right bool) []byte {
	room := width - diag.Columns(s)
	if right {
		return append(blanks(b, room), s...)
	}
	return blanks(append(b, s...), room)
}

func padRight(s string, width int) string { return string(padded(nil, s, width, false)) }

// noBreak is a blank that Wrap leaves inside a word.
const noBreak = "\u00a0"

// Wrap breaks text into lines of at most width columns, between words where it can.
func Wrap(s string, width int) []string {
	if len(s) <= width && isPlain(s) {
		return []string{s}
	}
	var lines []string
	line := ""
	for _, word := range strings.FieldsFunc(clean(s), func(r rune) bool { return r == ' ' }) {
		if line != "" && diag.Columns(line)+1+diag.Columns(word) > width {
			lines, line = append(lines, line), ""
		}
		for head := prefix(word, width); len(head) < len(word); head = prefix(word, width) {
			lines, word = append(lines, head), word[len(head):]
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	lines = append(lines, line)
	for i := range lines {
		lines[i] = strings.ReplaceAll(lines[i], noBreak, " ")
	}
	return lines
}

// isPlain reports whether text is words of ASCII with one blank between them, which needs nothing done to it on one line.
func isPlain(s string) bool {
	blank := true
	for i := range len(s) {
		switch c := s[i]; {
		case c == ' ' && blank, c < ' ', c >= 0x7f:
			return false
		default:
			blank = c == ' '
		}
	}
	return !blank || s == ""
}

// prefix gives as much of s as fits into width columns, and at least one rune.
func prefix(s string, width int) string {
	used := 0
	for i, r := range s {
		if used += diag.RuneColumns(r); used > width && i > 0 {
			return s[:i]
		}
	}
	return s
}

// clip shortens s to width columns, with a mark that it did.
func clip(s string, width int) string {
	if diag.Columns(s) <= width {
		return s
	}
	return prefix(s, width-1) + "…"
}

// hang writes text with head before its first line, and the later lines under where the first begins.
func hang(b *strings.Builder, head, text string) {
	indent := strings.Repeat(" ", diag.Columns(head))
	for i, line := range Wrap(text, textWidth-diag.Columns(head)) {
		if i > 0 {
			head = indent
		}
		b.WriteString(strings.TrimRight(head+line, " ") + "\n")
	}
}

// Paragraph writes text in lines of the usual width.
func Paragraph(text string) string { return Hanging("", text) }

// Hanging writes text in lines of the usual width, with head before the first line, and the later ones under where it begins.
func Hanging(head, text string) string {
	var b strings.Builder
	hang(&b, head, text)
	return b.String()
}

// paint puts a style of ECMA-48 round text where colour is wanted.
func (p Page) paint(style, text string) string {
	if !p.Colour || text == "" {
		return text
	}
	return "\x1b[" + style + "m" + text + "\x1b[0m"
}

const (
	bold   = "1"
	red    = "1;31"
	yellow = "1;33"
	blue   = "34"
)
