// Package diag holds what every room says when something is wrong: a Diagnostic with a code, a primary place,
// every place that contributed, and a fix where there is one. Rendering is the command's work.
package diag

import (
	"sort"
	"strings"
	"unicode/utf8"
)

// Pos is a byte position in one of the sources of a Files; 0 is no position.
type Pos uint32

// Span is the half-open stretch of source [Start, End).
type Span struct{ Start, End Pos }

// IsZero reports whether the span is nowhere.
func (s Span) IsZero() bool { return s == Span{} }

// To gives the span from the start of s to the end of t.
func (s Span) To(t Span) Span {
	if s.IsZero() {
		return t
	}
	if t.IsZero() {
		return s
	}
	return Span{s.Start, t.End}
}

// Layer says whose source it is: the trade library lies under the house, the house under the order.
type Layer uint8

// The layers, lowest first.
const (
	Trade Layer = iota
	House
	Order
)

func (l Layer) String() string { return [...]string{"trade", "house", "order"}[l] }

// Source is one text that was read.
type Source struct {
	Name  string
	Text  string
	Layer Layer
	Base  Pos
	lines []Pos
}

// Files is every source of a book; a Pos says both which source and where in it.
type Files struct {
	sources []*Source
	next    Pos
}

// Add takes a text in and gives its Source; the text is not checked here.
func (f *Files) Add(name, text string, layer Layer) *Source {
	if f.next == 0 {
		f.next = 1
	}
	s := &Source{Name: name, Text: text, Layer: layer, Base: f.next}
	s.index()
	f.next += Pos(len(text)) + 1
	f.sources = append(f.sources, s)
	return s
}

// Sources lists what was added, in that order.
func (f *Files) Sources() []*Source { return f.sources }

// Source gives the source that holds p, or nil.
func (f *Files) Source(p Pos) *Source {
	if f == nil || p == 0 {
		return nil
	}
	i := sort.Search(len(f.sources), func(i int) bool { return f.sources[i].Base > p }) - 1
	if i < 0 || p-f.sources[i].Base > Pos(len(f.sources[i].Text)) {
		return nil
	}
	return f.sources[i]
}

// Text gives the source text of a span.
func (f *Files) Text(s Span) string {
	src := f.Source(s.Start)
	if src == nil {
		return ""
	}
	return src.Slice(s)
}

// Span is the whole text.
func (s *Source) Span() Span { return Span{s.Base, s.Base + Pos(len(s.Text))} }

// Slice gives the text of a span of this source.
func (s *Source) Slice(at Span) string {
	whole := s.Span()
	if at.Start < whole.Start || at.End > whole.End || at.Start > at.End {
		return ""
	}
	return s.Text[at.Start-s.Base : at.End-s.Base]
}

// Place is a position as a person counts: line and column from 1, columns in runes.
type Place struct {
	File         string
	Line, Column int
}

// Place gives the line and column of p.
func (s *Source) Place(p Pos) Place {
	i := sort.Search(len(s.lines), func(i int) bool { return s.lines[i] > p }) - 1
	if i < 0 {
		return Place{s.Name, 1, 1}
	}
	before := s.Text[s.lines[i]-s.Base : min(int(p-s.Base), len(s.Text))]
	return Place{s.Name, i + 1, utf8.RuneCountInString(before) + 1}
}

// Line gives the text of line n, counted from 1, without its end.
func (s *Source) Line(n int) string {
	if n < 1 || n > len(s.lines) {
		return ""
	}
	line, _, _ := strings.Cut(s.Text[s.lines[n-1]-s.Base:], "\n")
	return strings.TrimSuffix(line, "\r")
}

func (s *Source) index() {
	s.lines = append(s.lines, s.Base+Pos(s.markLen()))
	for i := 0; i < len(s.Text); i++ {
		if s.Text[i] == '\n' {
			s.lines = append(s.lines, s.Base+Pos(i)+1)
		}
	}
}

// markLen is how long the byte order mark is with which a file may begin, and which no reader sees.
func (s *Source) markLen() int { return len(s.Text) - len(strings.TrimPrefix(s.Text, "\uFEFF")) }

// Place gives the file, line and column of p; the zero Place where p is nowhere.
func (f *Files) Place(p Pos) Place {
	src := f.Source(p)
	if src == nil {
		return Place{}
	}
	return src.Place(p)
}

// Severity says whether an order can go on.
type Severity uint8

// The severities.
const (
	Error Severity = iota
	Warning
)

func (s Severity) String() string { return [...]string{"error", "warning"}[s] }

// Related is a further place that contributed, and what it has to do with the matter.
type Related struct {
	At   Span
	Note string
}

// Diagnostic is one problem found.
type Diagnostic struct {
	Code     string // a stable word, such as "unit-mismatch"
	Severity Severity
	Message  string // what was found and what was expected
	At       Span
	Related  []Related
	Notes    []string
	Help     string // the fix, where there is one
	Place    Place  // where At is nowhere: a line of a CSV or JSON file, say
}

func (d Diagnostic) Error() string { return d.Message }

// List collects diagnostics. The zero value is ready.
type List struct{ all []Diagnostic }

// Add takes d in.
func (l *List) Add(d Diagnostic) { l.all = append(l.all, d) }

// Error adds an error and gives it back for notes to be hung on.
func (l *List) Error(code string, at Span, message string) *Diagnostic {
	l.all = append(l.all, Diagnostic{Code: code, Message: message, At: at})
	return &l.all[len(l.all)-1]
}

// Warn adds a warning and gives it back.
func (l *List) Warn(code string, at Span, message string) *Diagnostic {
	d := l.Error(code, at, message)
	d.Severity = Warning
	return d
}

// Note hangs a further place on d.
func (d *Diagnostic) Note(at Span, note string) *Diagnostic {
	d.Related = append(d.Related, Related{at, note})
	return d
}

// Fix says what would mend it.
func (d *Diagnostic) Fix(help string) *Diagnostic {
	d.Help = help
	return d
}

// All lists what was collected by place, then by code; the same problem at the same place once.
func (l *List) All() []Diagnostic {
	all := append([]Diagnostic(nil), l.all...)
	sort.SliceStable(all, func(i, j int) bool {
		if all[i].At.Start != all[j].At.Start {
			return all[i].At.Start < all[j].At.Start
		}
		return all[i].Code < all[j].Code
	})
	kept := all[:0]
	for _, d := range all {
		if !told(kept, d) {
			kept = append(kept, d)
		}
	}
	return kept
}

// told reports whether d is among those at the end of a sorted list that stand where it does.
func told(sorted []Diagnostic, d Diagnostic) bool {
	for i := len(sorted) - 1; i >= 0 && sorted[i].At.Start == d.At.Start && sorted[i].Code == d.Code; i-- {
		if sorted[i].At == d.At && sorted[i].Place == d.Place && sorted[i].Message == d.Message {
			return true
		}
	}
	return false
}

// HasErrors reports whether any of what was collected is an error.
func (l *List) HasErrors() bool {
	for _, d := range l.all {
		if d.Severity == Error {
			return true
		}
	}
	return false
}

// ErrorsSince reports whether any error was added after the first n.
func (l *List) ErrorsSince(n int) bool {
	for _, d := range l.all[min(n, len(l.all)):] {
		if d.Severity == Error {
			return true
		}
	}
	return false
}

// Len is how many were collected.
func (l *List) Len() int { return len(l.all) }
