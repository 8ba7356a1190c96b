package lang

import (
	"errors"
	"sort"
	"strings"

	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"

	"squab/lang/diag"
)

// syntaxError is a problem that is already in words.
type syntaxError struct{ diag.Diagnostic }

// trailingError says that a line could end before the token, but does not.
type trailingError struct{ token lexer.Token }

func (e *trailingError) Error() string { return "unexpected " + e.token.Value }

// mistake is a token that does not belong where it stands.
type mistake struct {
	*reader
	line     stretch
	at       int    // the token; line.to where the line ends too early
	expected string // in words; "" where the line could have ended
}

// report says in words what is wrong with a line; a line that the scanner has already reported is left alone.
func (r *reader) report(err error, line stretch) {
	if r.faultyLine(line) {
		return
	}
	var known *syntaxError
	var token *participle.UnexpectedTokenError
	var trailing *trailingError
	switch {
	case errors.As(err, &known):
		r.problem(known.Code, known.At, known.Message).Fix(known.Help)
	case errors.As(err, &token):
		m := &mistake{r, line, r.indexOf(&token.Unexpected, line), expectation(token)}
		m.explain()
	case errors.As(err, &trailing):
		m := &mistake{r, line, r.indexOf(&trailing.token, line), ""}
		m.explain()
	default:
		r.problem("line-too-long", r.spanOf(line), "this line has more parts than can be read").Fix("split it")
	}
}

// faultyLine reports whether the scanner found a problem in the line, or between it and the next.
func (r *reader) faultyLine(line stretch) bool {
	return r.faulty(diag.Span{Start: startOf(&r.tokens[line.from]), End: startOf(&r.tokens[line.to])})
}

func (r *reader) faulty(at diag.Span) bool {
	i := sort.Search(len(r.faults), func(i int) bool { return r.faults[i].Start >= at.Start })
	return i < len(r.faults) && r.faults[i].Start <= at.End
}

func (r *reader) indexOf(t *lexer.Token, line stretch) int {
	if t.Type == endToken {
		return line.to
	}
	tokens := r.tokens[line.from:line.to]
	return line.from + sort.Search(len(tokens), func(i int) bool { return tokens[i].Pos.Offset >= t.Pos.Offset })
}

// expectation gives in words what the grammar expected first.
func expectation(e *participle.UnexpectedTokenError) string {
	if e.Expect != "" {
		return e.Expect
	}
	_, grammar, told := strings.Cut(e.Message(), "(expected ")
	if !told {
		return "a name" // only a heading begins with what is no word of its own and no formula
	}
	grammar = strings.TrimLeft(grammar, "( ")
	if strings.HasPrefix(grammar, `"`) {
		word := grammar[:strings.Index(grammar[1:], `"`)+2]
		return alternative(word, grammar)
	}
	end := strings.IndexAny(grammar, " )>?*+")
	if end < 0 {
		end = len(grammar)
	}
	return productionWords(strings.TrimPrefix(grammar[:end], "<"))
}

// alternative names the second of two words where the grammar takes either.
func alternative(word, grammar string) string {
	if word == `"when"` && strings.Contains(grammar, "otherwise") {
		return `"when" or "otherwise"`
	}
	return word
}

func productionWords(production string) string {
	switch production {
	case "ident", "NameSyntax", "ParamSyntax", "HeadSyntax", "CellSyntax":
		return "a name"
	case "text":
		return "a text in quotation marks"
	case "number":
		return "a number, a name or a text"
	case "date":
		return "a date"
	case "kindSyntax", "KindSyntax":
		return "a kind"
	}
	return "a formula"
}

// explain finds the mistake that is most likely and reports it.
func (m *mistake) explain() {
	for _, likely := range []func() bool{
		m.stepText, m.keyword, m.misspelt, m.number, m.punctuation, m.order, m.bracket, m.rate, m.juxtaposition,
	} {
		if likely() {
			return
		}
	}
	m.plain()
}

func (m *mistake) token() *lexer.Token {
	if m.at < m.line.to {
		return &m.tokens[m.at]
	}
	return &lexer.Token{Type: endToken}
}

// before gives the token n before the mistaken one, or one without a type where the line begins.
func (m *mistake) before(n int) *lexer.Token {
	if m.at-n < m.line.from {
		return &lexer.Token{}
	}
	return &m.tokens[m.at-n]
}

func (m *mistake) span() diag.Span {
	if m.at < m.line.to {
		return spanOf(m.token())
	}
	end := endOf(&m.tokens[m.line.to-1])
	return diag.Span{Start: end, End: end}
}

func (m *mistake) say(code, message string) *diag.Diagnostic {
	return m.problem(code, m.span(), message)
}

// plain says what was expected and what was found, with the form of the line for a fix.
func (m *mistake) plain() {
	code, message := "unexpected", shown(m.token())+" does not belong here"
	if m.expected != "" {
		code, message = expectedCode(m.expected), m.expected+" expected"+m.after()+m.found()
	}
	m.say(code, message).Fix(m.form())
}

func (m *mistake) after() string {
	if m.at == m.line.from {
		return ""
	}
	return " after " + shown(m.before(1))
}

func (m *mistake) found() string {
	if m.at < m.line.to {
		return ", not " + shown(m.token())
	}
	return ""
}

func expectedCode(expected string) string {
	switch expected {
	case "a formula":
		return "formula-expected"
	case "a name":
		return "name-expected"
	case "a text in quotation marks":
		return "text-expected"
	case "a kind", `"/no"`, `"no"`:
		return "kind-expected"
	case "a unit":
		return "unit-expected"
	case "a date":
		return "date-expected"
	case "a number":
		return "number-expected"
	case "a number, a name or a text":
		return "order-id-expected"
	case `"="`:
		return "equals-expected"
	case `":"`:
		return "colon-expected"
	case `")"`, `"]"`:
		return "bracket-missing"
	case `"}"`:
		return "brace-missing"
	}
	return "word-expected"
}

// shown is how a token is named in a message.
func shown(t *lexer.Token) string {
	const most = 40
	switch {
	case t.Type == endToken || t.Type == lexer.EOF:
		return "the end"
	case t.Type == textToken || t.Type == textCloseToken || t.Type == textOpenToken || t.Type == textMidToken:
		return "the text"
	case t.Value == `"`:
		return "the inch mark"
	case len(t.Value) > most:
		return `"` + strings.ToValidUTF8(t.Value[:most], "") + `…"`
	}
	return `"` + t.Value + `"`
}

func (r *reader) keywordAsName(t *lexer.Token) {
	r.problem("keyword-as-name", spanOf(t), `"`+t.Value+`" is a word of the language and cannot be a name`).
		Fix("choose another name, such as " + t.Value + "_1")
}
