package format

import (
	"strings"

	"squab/lang"
)

const (
	step         = 2 // blanks for each depth of braces
	continuation = 4 // blanks for what goes on from the line above
)

// stop is a column that neighbouring lines share; a segment of a line begins at one.
type stop uint8

// The columns, from left to right.
const (
	start   stop = iota
	kinds        // after the colon of a field
	equals       // =
	helps        // the text after an ask or a field
	whens        // when, otherwise
	reasons      // because, source
)

type segment struct {
	at   stop
	text string
}

// line is one line of the page.
type line struct {
	indent    int
	segments  []segment
	fields    []string // of a table's row, in place of segments
	table     int      // which table the row is of, from 1; 0 for none
	comment   string
	ownLine   bool // a comment alone
	blank     bool // a blank line stands before
	heads     bool // a declaration begins
	continues bool // goes on from the line before
	sort      string
	fullest   stop // the last column that was begun
}

// printer sets the tokens of a file on lines, with its comments between them.
type printer struct {
	file     *lang.File
	tokens   []lang.Token
	lines    []line
	comments int // how many are set
	declares string
	table    int
	depth    int    // of brackets in the line
	spread   []bool // of each brace that is open, the body's first: whether its lines are lines of the page
	seenLine int    // the source line of what was set last
	broken   bool   // a comment ended the line
}

func (p *printer) print() string {
	for i := range p.tokens {
		p.commentsBefore(i)
		p.token(i)
	}
	p.commentsBefore(len(p.tokens))
	p.partDeclarations()
	return p.render()
}

// commentsBefore sets the comments that stand before token i.
func (p *printer) commentsBefore(i int) {
	for p.comments < len(p.file.Comments) {
		c := &p.file.Comments[p.comments]
		if i < len(p.tokens) && c.At.Start > p.tokens[i].At.Start {
			return
		}
		p.comments++
		at := p.file.Source.Place(c.At.Start).Line
		if c.OwnLine || len(p.lines) == 0 {
			p.lines = append(p.lines, line{indent: p.commentIndent(i), ownLine: true, blank: p.blankBefore(at), continues: p.within(i)})
		}
		p.last().comment = c.Text
		p.seenLine, p.broken = at, true
	}
}

func (p *printer) last() *line { return &p.lines[len(p.lines)-1] }

// within reports whether token i goes on with a line that was begun.
func (p *printer) within(i int) bool {
	return i < len(p.tokens) && p.tokens[i].Begins == lang.Nothing && p.tokens[i].Role != lang.BraceEnd
}

func (p *printer) commentIndent(i int) int {
	switch {
	case i == len(p.tokens) || p.tokens[i].Begins == lang.Declaration:
		return 0
	case p.within(i):
		return len(p.spread)*step + continuation
	}
	return len(p.spread) * step
}

// blankBefore reports whether a blank line stood in the source before the line at, and belongs there.
func (p *printer) blankBefore(at int) bool {
	if len(p.lines) == 0 || p.justOpened() {
		return false
	}
	return at > p.seenLine+1
}

// justOpened reports whether nothing has been set since a brace was opened.
func (p *printer) justOpened() bool {
	l := p.last()
	if l.ownLine || len(l.segments) == 0 {
		return false
	}
	text := l.segments[len(l.segments)-1].text
	return len(p.spread) > 0 && strings.HasSuffix(text, "{")
}

func (p *printer) token(i int) {
	t := &p.tokens[i]
	switch {
	case t.Begins == lang.Declaration:
		p.declares = t.Declares
		p.begin(t, 0)
		p.last().heads, p.last().sort = true, p.declares
	case t.Begins == lang.BodyLine:
		p.begin(t, step)
		p.last().sort = p.sortOf(i)
		p.beginRow()
	case t.Begins == lang.InnerLine && p.isSpread():
		p.begin(t, len(p.spread)*step)
		p.last().sort = "cell"
	case t.Role == lang.BraceEnd:
		p.closeBrace(t)
	case p.breaks(i):
		p.goOn(t)
	}
	p.set(i)
	p.seenLine = t.Line
}

// begin begins a new line of the page, for what begins at t.
func (p *printer) begin(t *lang.Token, indent int) {
	p.lines = append(p.lines, line{indent: indent, blank: p.blankBefore(t.Line)})
	p.depth, p.broken = 0, false
}

// goOn begins a line that goes on with the one before.
func (p *printer) goOn(t *lang.Token) {
	indent := len(p.spread)*step + continuation
	if t.Role == lang.Brace && len(p.spread) == 0 {
		indent = 0
	}
	p.lines = append(p.lines, line{indent: indent, continues: true})
	p.broken = false
}

// breaks reports whether a line break of the source before token i is kept.
func (p *printer) breaks(i int) bool {
	if p.broken || i == 0 {
		return true
	}
	return p.tokens[i].Line > p.tokens[i-1].Line && p.tokens[i].Role != lang.Brace
}

func (p *printer) closeBrace(t *lang.Token) {
	spread := p.isSpread()
	p.spread = p.spread[:len(p.spread)-1]
	if spread || p.broken {
		p.lines = append(p.lines, line{indent: len(p.spread) * step})
		p.broken = false
	}
}

func (p *printer) isSpread() bool { return len(p.spread) > 0 && p.spread[len(p.spread)-1] }

// openBrace notes the brace at i: a body is always spread over lines, the braces of a statement where they were, where
// they hold more than one cell, or a comment.
func (p *printer) openBrace(i int) {
	inner, end := 0, i+1
	for ; p.tokens[end].Role != lang.BraceEnd; end++ {
		if p.tokens[end].Begins == lang.InnerLine {
			inner++
		}
	}
	body := len(p.spread) == 0
	p.spread = append(p.spread, body || inner > 1 || p.tokens[end].Line > p.tokens[i].Line)
	if body && p.declares == "table" {
		p.table++
	}
}

// sortOf says which lines the one that begins at i shares its columns with.
func (p *printer) sortOf(i int) string {
	switch {
	case p.declares == "kind":
		return "field"
	case p.tokens[i+1].Text == "=" && !p.hasCase(i):
		return "cell"
	case p.declares == "rule" || p.declares == "amend":
		return "case"
	}
	return p.tokens[i].Text
}

// hasCase reports whether the line at i is a case, though it begins like a cell.
func (p *printer) hasCase(i int) bool {
	for i++; i < len(p.tokens) && p.tokens[i].Begins == lang.Nothing && p.tokens[i].Role != lang.BraceEnd; i++ {
		if p.tokens[i].Text == "when" || p.tokens[i].Text == "otherwise" {
			return true
		}
	}
	return false
}

func (p *printer) beginRow() {
	if p.declares == "table" {
		p.last().table = p.table
		p.last().fields = []string{""}
	}
}
