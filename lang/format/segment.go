package format

import (
	"strings"

	"squab/lang"
)

// set puts token i on the last line.
func (p *printer) set(i int) {
	t, l := &p.tokens[i], p.last()
	p.bracket(i)
	if l.table > 0 {
		p.setField(i)
		return
	}
	at := p.stopAt(i)
	if at == start && len(l.segments) > 0 {
		s := &l.segments[len(l.segments)-1]
		s.text += p.blankAt(i) + t.Text
		return
	}
	l.segments = append(l.segments, segment{at, t.Text})
	l.fullest = at
}

func (p *printer) bracket(i int) {
	switch p.tokens[i].Role {
	case lang.Open, lang.TightOpen, lang.TextOpen:
		p.depth++
	case lang.Close, lang.TextClose:
		p.depth--
	case lang.Brace:
		p.openBrace(i)
	}
}

func (p *printer) setField(i int) {
	t, l := &p.tokens[i], p.last()
	if t.Role == lang.Bar {
		l.fields = append(l.fields, "")
		return
	}
	field := &l.fields[len(l.fields)-1]
	if *field != "" {
		*field += p.blankAt(i)
	}
	*field += t.Text
}

// stopAt gives the column that begins at token i, or start where none does.
func (p *printer) stopAt(i int) stop {
	l := p.last()
	if p.depth > 0 || len(l.segments) == 0 || p.inInline() {
		return start
	}
	if at := p.columnOf(i, l.sort); at > l.fullest {
		return at
	}
	return start
}

// inInline reports whether the braces of a statement are open on this very line.
func (p *printer) inInline() bool { return len(p.spread) > 0 && !p.isSpread() }

func (p *printer) columnOf(i int, sort string) stop {
	t, before := &p.tokens[i], &p.tokens[i-1]
	switch {
	case before.Role == lang.Colon && sort == "field":
		return kinds
	case t.Text == "=" && sharesEquals(sort):
		return equals
	case strings.HasPrefix(t.Text, `"`) && t.Role == lang.Word && (sort == "ask" || sort == "field"):
		return helps
	case t.Text == "when" || t.Text == "otherwise" || t.Text == "else" && sort == "need":
		return whens
	case isReason(t.Text) && sort != "proof":
		return reasons
	}
	return start
}

func isReason(word string) bool { return word == "because" || word == "source" }

func sharesEquals(sort string) bool {
	switch sort {
	case "cell", "unit", "charge":
		return true
	}
	return false
}

// blankAt gives what stands between token i and the one before on its line.
func (p *printer) blankAt(i int) string {
	t, before := &p.tokens[i], &p.tokens[i-1]
	switch before.Role {
	case lang.Open, lang.TightOpen, lang.Dot, lang.Currency, lang.Prefix, lang.TextOpen, lang.TextMid:
		return ""
	}
	switch t.Role {
	case lang.TightOpen, lang.Close, lang.Comma, lang.Colon, lang.Dot, lang.Mark, lang.TextMid, lang.TextClose:
		return ""
	}
	if p.inYesNo(i) {
		return ""
	}
	return " "
}

// inYesNo is for the kind yes/no, whose stroke is no division.
func (p *printer) inYesNo(i int) bool {
	t, before := p.tokens[i].Text, p.tokens[i-1].Text
	return t == "/" && before == "yes" && i+1 < len(p.tokens) && p.tokens[i+1].Text == "no" ||
		before == "/" && t == "no" && i > 1 && p.tokens[i-2].Text == "yes"
}
