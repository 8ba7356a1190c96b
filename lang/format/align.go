package format

import (
	"strings"

	"squab/lang/diag"
)

const (
	farthest = 100 // a column may not stand farther right
	widest   = 32  // nor a line be padded by more, to reach it
)

// partDeclarations puts a blank line, above its comments, before a declaration of several lines, and after it.
func (p *printer) partDeclarations() {
	for i := range p.lines {
		if !p.lines[i].heads || i == 0 {
			continue
		}
		top := i
		for top > 0 && p.lines[top-1].ownLine && !p.lines[top].blank {
			top--
		}
		if top > 0 && (p.isLong(i) || p.follows(top-1)) {
			p.lines[top].blank = true
		}
	}
}

// isLong reports whether the declaration that begins at line i has several lines.
func (p *printer) isLong(i int) bool {
	return i+1 < len(p.lines) && !p.lines[i+1].heads && !(p.lines[i+1].ownLine && p.lines[i+1].indent == 0)
}

// follows reports whether line i is the end of a declaration of several lines.
func (p *printer) follows(i int) bool { return !p.lines[i].heads && !p.lines[i].ownLine }

func (p *printer) render() string {
	texts := make([]string, len(p.lines))
	for from := 0; from < len(p.lines); {
		to := p.runEnd(from)
		if p.lines[from].table > 0 {
			to = p.tableEnd(from)
			p.alignRows(from, to, texts)
		} else {
			p.alignRun(from, to, texts)
		}
		from = to
	}
	p.alignComments(texts)
	var b strings.Builder
	for i, text := range texts {
		if p.lines[i].blank {
			b.WriteByte('\n')
		}
		b.WriteString(text)
		b.WriteByte('\n')
	}
	return b.String()
}

// runEnd gives the end of the run of neighbours, from a line on, that share their columns.
func (p *printer) runEnd(from int) int {
	to := from + 1
	if p.joined(from) {
		return to
	}
	for to < len(p.lines) && p.neighbours(from, to) {
		to++
	}
	return to
}

func (p *printer) neighbours(from, to int) bool {
	a, b := &p.lines[from], &p.lines[to]
	return !b.blank && a.indent == b.indent && a.sort == b.sort && a.sort != "" && b.table == 0 && !p.joined(to)
}

// joined reports whether line i is one of several that one statement takes.
func (p *printer) joined(i int) bool {
	l := &p.lines[i]
	goesOn := i+1 < len(p.lines) && (p.lines[i+1].continues || p.lines[i+1].indent > l.indent && !p.lines[i+1].ownLine)
	return l.ownLine || l.continues || goesOn
}

// alignRun sets the columns of the lines from, to one after the other.
func (p *printer) alignRun(from, to int, texts []string) {
	next := make([]int, to-from)
	for i := from; i < to; i++ {
		texts[i] = strings.Repeat(" ", p.lines[i].indent)
	}
	for at := start; at <= reasons; at++ {
		column := p.column(from, to, at, texts, next)
		for i := from; i < to; i++ {
			segments := p.lines[i].segments
			if n := next[i-from]; n < len(segments) && segments[n].at == at {
				texts[i] += padding(at, diag.Columns(texts[i]), column) + segments[n].text
				next[i-from]++
			}
		}
	}
}

// column gives where a shared column stands; 0 where the lines do not share it.
func (p *printer) column(from, to int, at stop, texts []string, next []int) int {
	if at == start {
		return 0
	}
	least, most := farthest, 0
	for i := from; i < to; i++ {
		segments := p.lines[i].segments
		if n := next[i-from]; n < len(segments) && segments[n].at == at {
			w := diag.Columns(texts[i])
			least, most = min(least, w), max(most, w)
		}
	}
	if most+gap(at) > farthest || most-least > widest {
		return 0
	}
	return most + gap(at)
}

func gap(at stop) int {
	switch at {
	case start:
		return 0
	case kinds, equals:
		return 1
	}
	return 2
}

func padding(at stop, from, column int) string {
	return strings.Repeat(" ", max(gap(at), column-from))
}

// tableEnd gives the end of the rows of the table that line from is of, with the comments between them.
func (p *printer) tableEnd(from int) int {
	to := from + 1
	for i := to; i < len(p.lines) && (p.lines[i].table == p.lines[from].table || p.lines[i].ownLine); i++ {
		if p.lines[i].table > 0 {
			to = i + 1
		}
	}
	return to
}

func (p *printer) alignRows(from, to int, texts []string) {
	var widths []int
	for _, l := range p.lines[from:to] {
		for n, field := range l.fields {
			if n == len(widths) {
				widths = append(widths, 0)
			}
			if n < len(l.fields)-1 {
				widths[n] = max(widths[n], diag.Columns(field))
			}
		}
	}
	for i := from; i < to; i++ {
		l := &p.lines[i]
		texts[i] = strings.Repeat(" ", l.indent)
		for n, field := range l.fields {
			if n > 0 {
				texts[i] += " | "
			}
			texts[i] += field
			if n < len(l.fields)-1 {
				texts[i] += strings.Repeat(" ", widths[n]-diag.Columns(field))
			}
		}
		if !l.ownLine {
			texts[i] = strings.TrimRight(texts[i], " ")
		}
	}
}

// alignComments sets the comments behind lines; those of neighbours stand in one column.
func (p *printer) alignComments(texts []string) {
	for from := 0; from < len(p.lines); {
		to, most := from, 0
		for to < len(p.lines) && p.lines[to].comment != "" && !p.lines[to].ownLine && (to == from || !p.lines[to].blank) {
			most = max(most, diag.Columns(texts[to]))
			to++
		}
		for i := from; i < to; i++ {
			texts[i] += strings.Repeat(" ", p.commentGap(diag.Columns(texts[i]), most)) + p.lines[i].comment
		}
		if to == from {
			if p.lines[from].ownLine {
				texts[from] += p.lines[from].comment
			}
			to++
		}
		from = to
	}
}

func (p *printer) commentGap(from, most int) int {
	if most+2 > farthest {
		return 2
	}
	return most + 2 - from
}
