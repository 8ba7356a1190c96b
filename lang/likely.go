package lang

import (
	"strings"

	"github.com/alecthomas/participle/v2/lexer"
)

// The mistakes that are likely at a token. Each reports its own, and whether it did.

// stepText is for a step whose words stand without quotation marks.
func (m *mistake) stepText() bool {
	first, next := &m.tokens[m.line.from], &m.tokens[min(m.line.from+1, m.line.to-1)]
	if first.Value != "step" || first.Type != keywordToken || next.Type != identToken {
		return false
	}
	m.problem("text-expected", spanOf(next), "a step is a text in quotation marks").Fix(m.form())
	return true
}

// keyword is for a word of the language where a name belongs.
func (m *mistake) keyword() bool {
	t := m.token()
	if !isReserved(t.Value) {
		return false
	}
	if m.expected == "a name" || m.expected == "a formula" && t.Type == keywordToken && isStatementWord(t.Value) {
		m.keywordAsName(t)
		return true
	}
	return false
}

// misspelt is for a name that is nearly a word which could stand there.
func (m *mistake) misspelt() bool {
	t := m.token()
	if m.expected == `"="` && m.at == m.line.from+1 {
		t = m.before(1)
		return m.nearly(t, wordsOf(statementForms[:]))
	}
	if t.Type != identToken {
		return false
	}
	if m.expected == "" {
		return m.nearly(t, goingOn)
	}
	return m.nearly(t, quotedWords(m.expected))
}

// goingOn lists the words that may follow a complete formula.
var goingOn = []string{
	"when", "because", "source", "otherwise", "else", "then", "rounded", "and", "or", "is", "by", "at", "mod", "per",
	"from", "until", "unique", "interpolated", "setup", "of", "off", "on",
}

// quotedWords gives the words that an expectation names.
func quotedWords(expected string) []string {
	var words []string
	for i, part := range strings.Split(expected, `"`) {
		if i%2 == 1 && isLetter(part[0]) {
			words = append(words, part)
		}
	}
	return words
}

func (m *mistake) nearly(t *lexer.Token, words []string) bool {
	word, near := nearest(t.Value, words)
	if near {
		m.problem("word-unknown", spanOf(t), `"`+t.Value+`" is not a word that can stand here`).Fix(`did you mean "` + word + `"?`)
	}
	return near
}

// number is for numbers written as elsewhere: thousands with commas, a unit in front.
func (m *mistake) number() bool {
	t, before := m.token(), m.before(1)
	comma, after := m.at, m.at+1
	if before.Type == commaToken {
		comma, after = m.at-1, m.at
	}
	if m.thousands(comma, after) {
		m.say("number-comma", "thousands are not set apart with a comma").Fix("write 1200, not 1,200")
		return true
	}
	if t.Type == numberToken && before.Type == identToken && commonUnit(before.Value) {
		m.say("unit-before", "units are written after the number").Fix("write " + t.Value + " " + before.Value)
		return true
	}
	return false
}

// thousands reports a number, a comma and three digits with nothing between them.
func (m *mistake) thousands(comma, after int) bool {
	if comma <= m.line.from || after >= m.line.to || m.tokens[comma].Type != commaToken {
		return false
	}
	head, rest := &m.tokens[comma-1], &m.tokens[after]
	tight := endOf(head) == startOf(&m.tokens[comma]) && endOf(&m.tokens[comma]) == startOf(rest)
	return tight && head.Type == numberToken && rest.Type == numberToken && digitsEnd(rest.Value, 0) == 3
}

func (m *mistake) punctuation() bool {
	t := m.token()
	switch {
	case t.Type == textOpenToken && m.expected == "a text in quotation marks":
		m.say("text-with-formula", "a plain text is expected, without formulas in it").Fix(`a brace that is only text is written \{`)
	case t.Type == colonToken && m.expected == `"="`:
		m.say("equals-expected", `"=" expected, not ":"`).Fix("a formula is given with =; a kind, with :, belongs to an ask, a parameter or a rule")
	case t.Type == equalToken && m.expected == `":"` && m.tokens[m.line.from].Value == "rule":
		m.say("rule-without-kind", "a rule states its kind before its formula").Fix("write: rule " + m.before(1).Value + ": length = …")
	case t.Type == equalToken && m.expected == `":"`:
		m.say("colon-expected", `":" and a kind expected, not "="`).Fix(m.form())
	case t.Type == barToken && m.expected == "":
		m.say("bar-outside-table", `"|" parts the columns of a table and means nothing else`).Fix("for either of two conditions write or")
	default:
		return false
	}
	return true
}

// order is for parts of a line that stand in the wrong order.
func (m *mistake) order() bool {
	t := m.token()
	if t.Value != "when" || m.expected != "" {
		return false
	}
	switch first := m.tokens[m.line.from].Value; {
	case first == "part":
		m.say("when-misplaced", "a part is always there, and has no when").Fix("give its recipe an ask, and the lines of that recipe the when")
	case !takesWhen(first):
		m.say("when-misplaced", "this line cannot have a when").Fix("for a formula with a condition write: if … then … else …")
	case m.before(1).Type == textToken && (m.before(2).Value == "because" || m.before(2).Value == "source"):
		m.say("when-after-because", "when stands before the reason").Fix(m.form())
	case m.before(1).Type == braceEndToken:
		m.say("when-after-braces", "when stands before the braces").Fix(m.form())
	default:
		return false
	}
	return true
}

// takesWhen reports whether a statement has a place for a condition.
func takesWhen(statement string) bool {
	switch statement {
	case "piece", "marks", "use", "work", "charge", "step", "caution":
		return true
	}
	return false
}

func (m *mistake) bracket() bool {
	t := m.token()
	if m.expected != "" {
		return m.unclosedBracket()
	}
	switch t.Type {
	case parenEndToken, bracketEndToken:
		m.say("bracket-extra", `"`+t.Value+`" closes nothing`).Fix("take it out, or open it earlier")
	case braceEndToken:
		m.say("brace-extra", `"}" closes nothing`).Fix("take it out")
	case braceToken:
		m.say("body-misplaced", `nothing in braces belongs here`).Fix(m.form())
	default:
		return false
	}
	return true
}

// unclosedBracket notes where the bracket was opened that a line does not close.
func (m *mistake) unclosedBracket() bool {
	if m.expected != `")"` && m.expected != `"]"` {
		return false
	}
	d := m.say("bracket-missing", m.expected+" expected after "+shown(m.before(1))+m.found())
	depth := 0
	for i := m.at - 1; i >= m.line.from; i-- {
		switch m.tokens[i].Type {
		case parenEndToken, bracketEndToken:
			depth++
		case parenToken, callParenToken, bracketToken, indexBracketToken:
			if depth == 0 {
				d.Note(spanOf(&m.tokens[i]), "it was opened here")
				return true
			}
			depth--
		}
	}
	return true
}

// rate is for rates that are written with a slash.
func (m *mistake) rate() bool {
	if t := m.token(); t.Type != eachToken || m.before(1).Type != slashToken {
		return false
	}
	m.say("rate-with-slash", "a rate is written with per").Fix("write: per each")
	return true
}

// juxtaposition is for two values that stand side by side.
func (m *mistake) juxtaposition() bool {
	t := m.token()
	if m.expected != "" || m.before(1).Type == barToken || !startsOperand(t.Type) && t.Type != furtherNumberToken {
		return false
	}
	if t.Pos.Line != m.before(1).Pos.Line && m.hasStatements() {
		return m.noStatement(t)
	}
	m.say("operator-missing", shown(m.before(1))+" and "+shown(t)+" stand side by side, with nothing that joins them").Fix(m.form())
	return true
}

// strayProblem reports what stands outside every declaration.
func (r *reader) strayProblem(at stretch) {
	t := &r.tokens[at.from]
	if r.faultyLine(at) {
		return
	}
	declarations := wordsOf(declarationForms[:])
	switch word, near := nearest(t.Value, declarations); {
	case t.Type == braceEndToken:
		r.problem("brace-extra", spanOf(t), `"}" closes nothing`).Fix("take it out, or see whether an earlier one closes too soon")
	case t.Type == keywordToken && isStatementWord(t.Value):
		r.problem("statement-outside", spanOf(t), `"`+t.Value+`" belongs in the braces of `+home(t.Value)).
			Fix("is a } before it too early?")
	case isDeclarationWord(t.Value):
		next := &r.tokens[at.from+1]
		r.problem("name-expected", spanOf(next), `what "`+t.Value+`" declares expected after it, not `+shown(next)).
			Fix("the form is: " + formOf(declarationForms[:], t.Value))
	case t.Type == identToken && r.tokens[at.from+1].Type == equalToken:
		r.problem("cell-outside", spanOf(t), "a cell of the whole book is a rule").
			Fix("write: rule " + t.Value + ": KIND = …")
	case near:
		r.problem("declaration-unknown", spanOf(t), `"`+t.Value+`" does not begin a declaration`).Fix(`did you mean "` + word + `"?`)
	default:
		r.problem("declaration-expected", spanOf(t), shown(t)+" does not begin a declaration").
			Fix("a declaration begins with " + strings.Join(declarations, ", "))
	}
}

func home(statement string) string {
	switch statement {
	case "expect":
		return "a proof"
	case "make", "amend":
		return "an order"
	}
	return "a recipe"
}

// hasStatements reports whether what is declared has lines that begin with a name or a word of their own.
func (r *reader) hasStatements() bool {
	switch r.word {
	case "", "unit", "choice", "rule", "amend", "caution":
		return false
	}
	return true
}

func (r *reader) misplaced(line stretch) {
	t := &r.tokens[line.from]
	r.problem("statement-misplaced", spanOf(t), `"`+t.Value+`" belongs in `+home(t.Value)+", not in "+r.article())
}

func (r *reader) article() string {
	if r.word == "order" {
		return "an order"
	}
	return "a " + r.word
}

func (r *reader) strayLine(line stretch) {
	if t := &r.tokens[line.from]; !r.faultyLine(line) {
		r.noStatement(t)
	}
}

// noStatement reports what begins a line but no statement.
func (r *reader) noStatement(t *lexer.Token) bool {
	r.problem("statement-expected", spanOf(t), shown(t)+" does not begin a line of "+r.article()).
		Fix("a line begins with a name and =, or with the word of a statement")
	return true
}

// nearest gives the word that is spelt most nearly as written, if it is near enough to have been meant.
func nearest(written string, words []string) (string, bool) {
	best, most := "", 1+len(written)/5
	if len(written) < 3 || len(written) > 2*longestKeyword {
		return "", false
	}
	for _, word := range words {
		if d := edits(written, word); d <= most && (best == "" || d < edits(written, best)) {
			best = word
		}
	}
	return best, best != "" && best != written
}

// edits counts the letters to add, drop, change or swap with a neighbour to make b of a: optimal string alignment, from memory.
func edits(a, b string) int {
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			row[j] = min(row[j-1]+1, last[j]+1, last[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}
