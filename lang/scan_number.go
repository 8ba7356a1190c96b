package lang

import (
	"strings"
	"unicode/utf8"

	"squab/lang/diag"
)

// fractionSlash is U+2044, as typed by those who know it.
const fractionSlash = "⁄"

// vulgar reports whether r is a fraction in one character; `⅟` is one over what follows.
func vulgar(r rune) bool {
	return r == '¼' || r == '½' || r == '¾' || '⅐' <= r && r <= '⅟' || r == '↉'
}

// number reads a date, or a number with the marks that stand right at it.
func (s *scanner) number() {
	if to := dateEnd(s.text, s.at); to > 0 {
		s.date(to)
		return
	}
	from := s.at
	to, hyphen := numberEnd(s.text, from)
	s.checkDigits(from, to)
	kind := numberToken
	if s.last() == unitToken && s.lastUnitCounted() {
		kind = furtherNumberToken
	}
	s.emit(kind, from, to)
	s.checkForm()
	marked := s.numberMark()
	if hyphen && !marked && !s.unitFollows() {
		s.warn("mixed-or-minus", s.span(from, to),
			s.text[from:to]+" is read as a mixed number, a whole and a fraction").
			Fix("for a subtraction put spaces around the minus; for a mixed number write a space in place of the hyphen")
	}
}

// lastUnitCounted reports whether the unit before belongs to a number, not to a `per`.
func (s *scanner) lastUnitCounted() bool {
	n := len(s.tokens)
	return n > 1 && (s.tokens[n-2].Type == numberToken || s.tokens[n-2].Type == furtherNumberToken)
}

func digitsEnd(text string, at int) int {
	for at < len(text) && isDigit(text[at]) {
		at++
	}
	return at
}

// numberEnd gives where the number ends, and whether a hyphen joins its whole and its fraction.
func numberEnd(text string, from int) (end int, hyphen bool) {
	whole := digitsEnd(text, from)
	if whole == from {
		return vulgarEnd(text, from), false
	}
	if end := decimalEnd(text, whole); end > 0 {
		return end, false
	}
	if end := overEnd(text, whole); end > 0 {
		return end, false
	}
	if strings.HasPrefix(text[whole:], "-") {
		if end := fractionEnd(text, whole+1); end > 0 {
			return end, true
		}
	}
	if end := fractionEnd(text, blanksEnd(text, whole)); end > 0 {
		return end, false
	}
	return whole, false
}

// The functions below give where a part of a number that begins at a place ends; 0 where there is none.

func decimalEnd(text string, at int) int {
	if at+1 < len(text) && text[at] == '.' && isDigit(text[at+1]) {
		return digitsEnd(text, at+1)
	}
	return 0
}

// overEnd is for the slash and the digits under it.
func overEnd(text string, at int) int {
	switch {
	case strings.HasPrefix(text[at:], "/"):
		at++
	case strings.HasPrefix(text[at:], fractionSlash):
		at += len(fractionSlash)
	default:
		return 0
	}
	end := digitsEnd(text, at)
	if end == at || decimalEnd(text, end) > 0 {
		return 0
	}
	return end
}

func fractionEnd(text string, at int) int {
	if end := vulgarEnd(text, at); end > 0 {
		return end
	}
	if over := digitsEnd(text, at); over > at {
		return overEnd(text, over)
	}
	return 0
}

func vulgarEnd(text string, at int) int {
	if at >= len(text) || text[at] < utf8.RuneSelf {
		return 0
	}
	r, size := utf8.DecodeRuneInString(text[at:])
	if !vulgar(r) {
		return 0
	}
	if r == '⅟' {
		return digitsEnd(text, at+size)
	}
	return at + size
}

func blanksEnd(text string, at int) int {
	for at < len(text) && (text[at] == ' ' || text[at] == '\t') {
		at++
	}
	return at
}

func (s *scanner) checkDigits(from, to int) {
	if to-from <= s.limits.MaxDigits {
		return
	}
	digits := 0
	for _, c := range []byte(s.text[from:to]) {
		if isDigit(c) {
			digits++
		}
	}
	if digits > s.limits.MaxDigits {
		s.fault("number-too-long", from, to, "the number has more digits than a number may have")
	}
}

// checkForm reports what is left of a number, the `.3` of `1.2.3` or the point of `5.`, and a `⅟` with nothing under it.
func (s *scanner) checkForm() {
	if strings.HasSuffix(s.text[:s.at], "⅟") {
		s.fault("number-form", s.at-len("⅟"), s.at, `"⅟" is one over the digits that stand right after it`)
	}
	if s.peek(0) != '.' || isLetter(s.peek(1)) {
		return
	}
	from := s.at
	to := digitsEnd(s.text, from+1)
	s.fault("number-form", from, to, "a number has one decimal point, with digits on both sides")
	s.at = to
}

// numberMark reads the mark right at a number: inches, feet, percent.
func (s *scanner) numberMark() bool {
	rest := s.text[s.at:]
	for _, mark := range []string{`"`, "'", "″", "′", "”", "’"} {
		if strings.HasPrefix(rest, mark) {
			s.emit(unitToken, s.at, s.at+len(mark))
			return true
		}
	}
	switch {
	case strings.HasPrefix(rest, "%"):
		s.emit(percentToken, s.at, s.at+1)
	case strings.HasPrefix(rest, "°"):
		s.fault("unit-sign", s.at, s.at+len("°"), `an angle is written with "deg"`).Fix("write 45 deg")
		s.emit(unitToken, s.at, s.at+len("°"))
	default:
		return s.currencyBehind()
	}
	return true
}

func (s *scanner) currencyBehind() bool {
	at := blanksEnd(s.text, s.at)
	size := currencyLen(s.text[at:])
	if size == 0 || startsNumber(s.text[blanksEnd(s.text, at+size):]) {
		return false
	}
	sign := s.text[at : at+size]
	s.fault("currency-behind", at, at+size, "the sign of a currency stands before the number").Fix("write " + sign + "12.50")
	s.at = at + size
	return true
}

func currencyLen(text string) int {
	for _, sign := range []string{"$", "£", "€"} {
		if strings.HasPrefix(text, sign) {
			return len(sign)
		}
	}
	return 0
}

func startsNumber(text string) bool {
	return text != "" && (isDigit(text[0]) || vulgarEnd(text, 0) > 0)
}

func (s *scanner) unitFollows() bool {
	at := blanksEnd(s.text, s.at)
	end := wordEnd(s.text, at)
	word := s.text[at:end]
	return word != "" && !isDigit(word[0]) && (!isReserved(word) || word == "each")
}

// dateEnd gives where a date, or something meant as one, ends; 0 where there is none.
func dateEnd(text string, at int) int {
	year := digitsEnd(text, at)
	if year-at != 4 || !strings.HasPrefix(text[year:], "-") {
		return 0
	}
	month := digitsEnd(text, year+1)
	if month == year+1 || !strings.HasPrefix(text[month:], "-") {
		return 0
	}
	if day := digitsEnd(text, month+1); day > month+1 {
		return day
	}
	return 0
}

func (s *scanner) date(to int) {
	from := s.at
	text := s.text[from:to]
	switch {
	case len(text) != len("2026-03-01") || text[7] != '-':
		s.fault("date-form", from, to, "a date is written year, month, day: 2026-03-01").
			Fix("write four digits for the year and two each for the month and the day")
	case !dateExists(readDate(text, diag.Span{})):
		s.fault("date-impossible", from, to, "the calendar has no day "+text)
	}
	s.emit(dateToken, from, to)
}

func twoDigits(text string, at int) int { return int(text[at]-'0')*10 + int(text[at+1]-'0') }

// readDate reads a date of the right form; a date that is not is the zero day.
func readDate(text string, at diag.Span) *DateLit {
	if len(text) != len("2026-03-01") {
		return &DateLit{At: at}
	}
	return &DateLit{At: at, Year: twoDigits(text, 0)*100 + twoDigits(text, 2), Month: twoDigits(text, 5), Day: twoDigits(text, 8)}
}

func dateExists(d *DateLit) bool {
	if d.Month < 1 || d.Month > 12 || d.Day < 1 {
		return false
	}
	days := [...]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}[d.Month-1]
	leap := d.Year%4 == 0 && (d.Year%100 != 0 || d.Year%400 == 0)
	if d.Month == 2 && leap {
		days++
	}
	return d.Day <= days
}
