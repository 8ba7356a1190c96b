package quantity

import (
	"fmt"
	"math/big"
	"strconv"
	"strings"
	"unicode/utf8"
)

// MaxDigits is the most digits that Parse reads in one number.
const MaxDigits = 1000

// ParseError says what keeps a text from being a number, and where.
type ParseError struct {
	Text   string
	Offset int // in bytes
	Reason string
}

func (e *ParseError) Error() string {
	text := e.Text
	if runes := []rune(text[:min(len(text), 200)]); len(runes) > 40 {
		text = string(runes[:40]) + "…"
	}
	return fmt.Sprintf("%s is not a number: %s", strconv.Quote(text), e.Reason)
}

// Parse reads a number as the trade writes it: "12", "12.5", ".5", "5/8",
// "4 5/8", "4-5/8", "½", "4½" and "4 ½", with "-" or "−" before it for a
// number below zero. The fraction in a mixed number is under 1. The error is
// a *ParseError.
func Parse(s string) (Number, error) {
	r := reader{text: s}
	n, reason := r.number()
	if reason != "" {
		return Number{}, &ParseError{Text: s, Offset: r.at, Reason: reason}
	}
	return n, nil
}

// reader walks through text. Its steps give a reason when they cannot go on.
type reader struct {
	text   string
	at     int
	digits int
}

func (r *reader) number() (Number, string) {
	negative := r.skip("-") || r.skip("−")
	n, reason := r.unsigned()
	if reason == "" && r.at < len(r.text) {
		reason = r.unexpected()
	}
	if negative {
		n = n.Neg()
	}
	return n, reason
}

func (r *reader) unsigned() (Number, string) {
	if n, ok := r.glyph(); ok {
		return n, ""
	}
	if r.skip(".") {
		return r.afterPoint(Number{})
	}
	n, reason := r.whole()
	switch {
	case reason != "":
		return n, reason
	case r.skip("."):
		return r.afterPoint(n)
	case r.slash():
		return r.over(n)
	}
	return r.mixed(n)
}

// mixed reads what may follow the whole part of a mixed number.
func (r *reader) mixed(n Number) (Number, string) {
	joined := r.joint()
	if part, ok := r.glyph(); ok {
		return n.Add(part), ""
	}
	if !joined {
		return n, ""
	}
	top, reason := r.whole()
	if reason != "" {
		return n, reason
	}
	if !r.slash() {
		return n, "a mixed number ends in a fraction, as in 4 5/8"
	}
	part, reason := r.over(top)
	if order, _ := part.Cmp(Number{num: 1}); reason == "" && order >= 0 {
		reason = "the fraction in a mixed number must be under 1"
	}
	return n.Add(part), reason
}

// joint skips the blanks or the hyphen between the parts of a mixed number.
func (r *reader) joint() bool {
	if r.skip("-") {
		return true
	}
	start := r.at
	for r.skip(" ") || r.skip("\u00a0") {
	}
	return r.at > start
}

func (r *reader) slash() bool { return r.skip("/") || r.skip("\u2044") }

func (r *reader) over(top Number) (Number, string) {
	start := r.at
	bottom, reason := r.whole()
	if reason != "" {
		return top, reason
	}
	quotient, ok := top.Div(bottom)
	if !ok {
		r.at = start
		return top, "nothing can be divided by zero"
	}
	return quotient, ""
}

func (r *reader) afterPoint(whole Number) (Number, string) {
	start := r.at
	part, reason := r.whole()
	if reason != "" {
		return whole, reason
	}
	tenths, _ := part.Div(powerOfTen(r.at - start))
	return whole.Add(tenths), ""
}

// smallDigits is how many digits always fit an int64.
const smallDigits = 18

func (r *reader) whole() (Number, string) {
	start, n := r.at, int64(0)
	for r.at < len(r.text) && '0' <= r.text[r.at] && r.text[r.at] <= '9' {
		if r.at-start < smallDigits {
			n = n*10 + int64(r.text[r.at]-'0')
		}
		r.at++
	}
	length := r.at - start
	r.digits += length
	switch {
	case length == 0:
		return Number{}, r.unexpected()
	case r.digits > MaxDigits:
		return Number{}, fmt.Sprintf("it has more than %d digits", MaxDigits)
	case length > smallDigits:
		big, _ := new(big.Rat).SetString(r.text[start:r.at])
		return shrink(big), ""
	}
	return Number{num: n}, ""
}

func (r *reader) skip(mark string) bool {
	if !strings.HasPrefix(r.text[r.at:], mark) {
		return false
	}
	r.at += len(mark)
	return true
}

func (r *reader) glyph() (Number, bool) {
	if r.at >= len(r.text) || r.text[r.at] < utf8.RuneSelf {
		return Number{}, false
	}
	glyph, size := utf8.DecodeRuneInString(r.text[r.at:])
	n, ok := Glyph(glyph)
	if ok {
		r.at += size
	}
	return n, ok
}

func (r *reader) unexpected() string {
	if r.at >= len(r.text) {
		return "a digit is missing at its end"
	}
	next, _ := utf8.DecodeRuneInString(r.text[r.at:])
	switch {
	case next == ',':
		return "a comma is not part of a number; write 1200 and 12.5"
	case next == '-' || next == '−' || next == '+':
		return "a sign stands only at its start, and a hyphen only between a whole number and a fraction"
	case (next == 'e' || next == 'E') && r.digits > 0:
		return "powers of ten are written out"
	}
	return "unexpected " + strconv.QuoteRune(next)
}

// Glyph is the value of a fraction that is a character of its own, as ½ is.
func Glyph(r rune) (Number, bool) {
	switch r {
	case '½':
		return Number{num: 1, den: 2}, true
	case '¼', '¾':
		return Number{num: 1 + 2*int64(r-'¼')/2, den: 4}, true
	case '⅓', '⅔':
		return Number{num: 1 + int64(r-'⅓'), den: 3}, true
	case '⅕', '⅖', '⅗', '⅘':
		return Number{num: 1 + int64(r-'⅕'), den: 5}, true
	case '⅙', '⅚':
		return Number{num: 1 + 4*int64(r-'⅙'), den: 6}, true
	case '⅛', '⅜', '⅝', '⅞':
		return Number{num: 1 + 2*int64(r-'⅛'), den: 8}, true
	case '⅐', '⅑':
		return Number{num: 1, den: 7 + 2*int64(r-'⅐')}, true
	case '⅒':
		return Number{num: 1, den: 10}, true
	}
	return Number{}, false
}

func powerOfTen(n int) Number {
	if n > smallDigits {
		return shrink(new(big.Rat).SetInt(tenTo(n)))
	}
	ten := int64(1)
	for range n {
		ten *= 10
	}
	return Number{num: ten}
}
