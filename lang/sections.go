package lang

import (
	"github.com/alecthomas/participle/v2/lexer"

	"squab/lang/diag"
)

// Outline is one source whose declarations have been found and not yet parsed, so that those that nothing needs need not be.
type Outline struct {
	src      *diag.Source
	reader   *reader // nil where the source is too large to be read
	sections []section
}

// NewOutline finds the declarations of a source, and reports what is wrong with its tokens and braces.
func NewOutline(src *diag.Source, limits Limits, problems *diag.List) *Outline {
	r := newReader(src, limits, problems)
	if r == nil {
		return &Outline{src: src}
	}
	o := outliner{scanner: r.scanner}
	o.run()
	r.sortFaults()
	return &Outline{src, r, o.sections}
}

// Len is how many declarations there are, with whatever stands between them.
func (o *Outline) Len() int { return len(o.sections) }

// Declared gives the words by which other declarations can speak of declaration i: its name, the options of a choice.
// It is empty for what holds without being spoken of: a shop, a unit, a price, an order, a proof, and what is no declaration.
func (o *Outline) Declared(i int) []string {
	s := o.sections[i]
	if s.word == "" {
		return nil
	}
	head := o.reader.tokens[s.head.from:s.head.to]
	if s.word != head[0].Value {
		head = head[1:]
	}
	names := namesIn(head[1:])
	switch s.word {
	case "choice":
		return names
	case "kind", "material", "rule", "amend", "table", "recipe", "caution":
		return names[:min(len(names), 1)]
	}
	return nil
}

func namesIn(tokens []lexer.Token) []string {
	var names []string
	for _, t := range tokens {
		if isNamed(t) {
			names = append(names, t.Value)
		}
	}
	return names
}

func isNamed(t lexer.Token) bool { return wordEnd(t.Value, 0) > 0 && !isDigit(t.Value[0]) }

// Words visits every word of declaration i outside its texts: all that it speaks of is among them.
func (o *Outline) Words(i int, visit func(string)) {
	end := len(o.reader.tokens) - 1
	if i+1 < len(o.sections) {
		end = o.sections[i+1].head.from
	}
	for _, t := range o.reader.tokens[o.sections[i].head.from:end] {
		if isNamed(t) {
			visit(t.Value)
		}
	}
}

// Parse reads the declarations that are wanted, all of them where want is nil, and reports every syntax error in them to problems.
func (o *Outline) Parse(want func(i int) bool, problems *diag.List) *File {
	f := &File{Source: o.src}
	if o.reader == nil {
		return f
	}
	o.reader.problems = problems
	f.Comments = o.reader.comments
	f.Decls = make([]Decl, 0, len(o.sections))
	for i := range o.sections {
		if want != nil && !want(i) {
			continue
		}
		if d := o.reader.declaration(&o.sections[i]); d != nil {
			f.Decls = append(f.Decls, d)
		}
	}
	return f
}
