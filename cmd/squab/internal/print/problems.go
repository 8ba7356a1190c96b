package print

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"squab/lang/diag"
)

// maxProblems is how many problems of one list are written out; the rest are counted.
const maxProblems = 200

// Problems writes each problem with its place marked in the source, every place that contributed, and the fix.
func (p Page) Problems(files *diag.Files, problems []diag.Diagnostic) string {
	w := problemWriter{page: p, files: files}
	for i, d := range problems {
		if i == maxProblems {
			fmt.Fprintf(&w.b, "… and %d more\n", len(problems)-i)
			break
		}
		w.problem(d)
	}
	return w.b.String()
}

type problemWriter struct {
	page  Page
	files *diag.Files
	b     strings.Builder
}

func (w *problemWriter) problem(d diag.Diagnostic) {
	style := red
	if d.Severity == diag.Warning {
		style = yellow
	}
	place := placeText(placeOf(w.files, d))
	if place != "" {
		place += ": "
	}
	lines := Wrap(fmt.Sprintf("%s%s: %s [%s]", place, d.Severity, d.Message, d.Code), maxWidth-4)
	w.b.WriteString(w.page.paint(style, lines[0]) + "\n")
	for _, line := range lines[1:] {
		w.b.WriteString("    " + line + "\n")
	}
	w.excerpt(d.At, '^', style)
	for _, r := range d.Related {
		note := r.Note
		if place := placeText(w.files.Place(r.At.Start)); place != "" {
			note += ", " + place
		}
		w.remark(note, "")
		w.excerpt(r.At, '~', blue)
	}
	for _, note := range d.Notes {
		w.remark(note, "note: ")
	}
	if d.Help != "" {
		w.remark(d.Help, "help: ")
	}
}

func (w *problemWriter) remark(text, head string) {
	hang(&w.b, "    "+head, text)
}

func placeOf(files *diag.Files, d diag.Diagnostic) diag.Place {
	if d.At.IsZero() {
		return d.Place
	}
	return files.Place(d.At.Start)
}

func placeText(p diag.Place) string {
	if p.File == "" {
		return ""
	}
	return p.File + ":" + strconv.Itoa(p.Line) + ":" + strconv.Itoa(p.Column)
}

const gutter = 9 // "  12345 | "

// excerpt shows the line of a span with the span marked under it.
func (w *problemWriter) excerpt(at diag.Span, mark rune, style string) {
	src := w.files.Source(at.Start)
	if at.IsZero() || src == nil {
		return
	}
	place := src.Place(at.Start)
	line := src.Line(place.Line)
	from := byteOfColumn(line, place.Column)
	shown := cut(line, from, int(at.End-at.Start))
	fmt.Fprintf(&w.b, "%6d | %s\n", place.Line, strings.TrimRight(shown.before+shown.marked+shown.after, " "))
	carets := strings.Repeat(string(mark), max(1, diag.Columns(shown.marked)))
	w.b.WriteString("       | " + strings.Repeat(" ", diag.Columns(shown.before)) + w.page.paint(style, carets) + "\n")
}

func byteOfColumn(line string, column int) int {
	at := 0
	for n := 1; n < column && at < len(line); n++ {
		_, size := utf8.DecodeRuneInString(line[at:])
		at += size
	}
	return at
}

// excerptLine is what is shown of a line: the marked stretch, and what fits before and after it.
type excerptLine struct{ before, marked, after string }

// cut takes what fits of a line around the stretch of length bytes at from; a tab is shown as four blanks.
func cut(line string, from, length int) excerptLine {
	const room = maxWidth - gutter - 1
	to := min(len(line), from+max(0, length))
	e := excerptLine{expand(tail(line[:from])), expand(head(line[from:to])), expand(head(line[to:]))}
	e.marked = clip(e.marked, room*2/3)
	left := room - diag.Columns(e.marked)
	if diag.Columns(e.before) > left*2/3 && diag.Columns(e.before)+diag.Columns(e.after) > left {
		e.before = clipLeft(e.before, max(left*2/3, left-diag.Columns(e.after)))
	}
	e.after = clip(e.after, max(1, left-diag.Columns(e.before)))
	return e
}

// A long line is looked at only near its mark.
const nearMark = 4 * maxWidth

func head(s string) string {
	if len(s) <= nearMark {
		return s
	}
	return strings.ToValidUTF8(s[:nearMark], "")
}

func tail(s string) string {
	if len(s) <= nearMark {
		return s
	}
	return strings.ToValidUTF8(s[len(s)-nearMark:], "")
}

func expand(s string) string {
	return clean(strings.ReplaceAll(strings.ToValidUTF8(s, "\ufffd"), "\t", "    "))
}

// clipLeft keeps the end of s.
func clipLeft(s string, width int) string {
	if diag.Columns(s) <= width {
		return s
	}
	for s != "" && diag.Columns(s) > width-1 {
		_, size := utf8.DecodeRuneInString(s)
		s = s[size:]
	}
	return "…" + s
}
