package page

import (
	"fmt"
	"io"
	"strings"

	"squab/eval/check"
	"squab/lang/diag"
)

// WriteBook writes a house's rule book as one HTML page: rules in words and tables, amendments beside what they replace, reasons, sources, dates, and
// what each rule reaches. It searches by itself. Rules is the fingerprint of every source.
func WriteBook(w io.Writer, program *check.Program, rules string) error {
	return write(w, "book.html.tmpl", bookOf(program, rules))
}

func bookOf(program *check.Program, rules string) bookPage {
	b := &bookBuilder{program: program, reach: reachOf(program), known: map[string]bool{}}
	for _, r := range program.Rules {
		b.known[r.Name] = true
	}
	page := bookPage{Shop: program.Title, Rules: rules, Changed: b.changed(), Chapters: b.chapters(), Materials: b.materials(), Recipes: b.recipes()}
	page.Price = b.price()
	for _, c := range program.Cautions {
		page.Cautions = append(page.Cautions, bookCaution{words(c.Name), b.said(c.Text), c.Why.Because, c.Why.Source})
	}
	return page
}

type bookPage struct {
	Shop, Rules string
	Changed     []bookRule // what the house has amended
	Chapters    []chapter
	Materials   []materialKind
	Recipes     []bookRecipe
	Price       []bookLine
	Cautions    []bookCaution
}

// chapter is the rules of one file.
type chapter struct {
	ID, Name, Layer string
	Rules           []bookRule
}

// bookRule is a rule or a table. Bodies are its layers, what lies over first.
type bookRule struct {
	ID, Name, Words string
	Kind            string
	IsTable         bool
	Params          []bookParam
	Bodies          []bookBody
	Because, Source string
	Place           string
	Reached         reachWords
	Search          string
}

type bookParam struct{ Name, Kind, Range, Default, Tolerance, Help string }

// bookBody is one layer: who put it there, when it holds, and what it says. Replaces names the layer beneath.
type bookBody struct {
	Who, When, Place, Replaces string
	Locals                     []bookLine
	Heading                    []string // a table's
	Cases                      []bookCase
	Lies                       string // how rows are read, where it is not first come
}

type bookCase struct {
	Value           []linked
	When            []linked
	Otherwise       bool
	Tests           []string
	Because, Source string
}

// bookLine is a named formula.
type bookLine struct {
	Name            string
	Value           []linked
	When            []linked
	Because, Source string
	IsCharge        bool
}

// linked is a stretch of a formula; Rule is set where it names a rule that the page tells of.
type linked struct{ Text, Rule string }

type bookCaution struct{ Name, Text, Because, Source string }

type bookBuilder struct {
	program *check.Program
	reach   *reachMap
	known   map[string]bool
}

func (b *bookBuilder) chapters() []chapter {
	var all []chapter
	place := map[string]int{}
	for _, r := range b.program.Rules {
		src := b.program.Files.Source(r.At.Start)
		if src == nil {
			continue
		}
		at, known := place[src.Name]
		if !known {
			at = len(all)
			place[src.Name] = at
			all = append(all, chapter{ID: fmt.Sprintf("chapter-%d", at+1), Name: chapterName(src.Name), Layer: layerWord(src.Layer)})
		}
		all[at].Rules = append(all[at].Rules, b.rule(r))
	}
	return all
}

// chapterName makes a heading of a file's name.
func chapterName(file string) string {
	file = file[strings.LastIndexAny(file, `/\`)+1:]
	return words(strings.TrimSuffix(file, ".squab"))
}

func layerWord(l diag.Layer) string {
	if l == diag.Trade {
		return "trade"
	}
	return "house"
}

// changed lists the rules that the house amends.
func (b *bookBuilder) changed() []bookRule {
	var all []bookRule
	for _, r := range b.program.Rules {
		for _, a := range r.Amends {
			if a.OrderOnly == nil && r.Base != nil {
				all = append(all, b.rule(r))
				break
			}
		}
	}
	return all
}

func ruleID(name string) string { return "rule-" + name }

func (b *bookBuilder) rule(r *check.Rule) bookRule {
	out := bookRule{ID: ruleID(r.Name), Name: r.Name, Words: words(r.Name), Kind: r.Result.String(), IsTable: r.IsTable, Because: r.Why.Because, Source: r.Why.Source}
	out.Place = placeText(b.program.Files, r.At)
	out.Params = b.params(r.Params)
	var over []bookBody
	for _, a := range r.Amends {
		if a.OrderOnly == nil {
			over = append(over, b.body(r, a.Body, &a.Window))
		}
	}
	if r.Base != nil {
		over = append(over, b.body(r, r.Base, nil))
	}
	for i := range len(over) - 1 {
		over[i].Replaces = over[i+1].Who
	}
	out.Bodies = over
	out.Reached = b.reach.words(r)
	out.Search = strings.ToLower(strings.Join(b.searchText(r, out), " "))
	return out
}

func (b *bookBuilder) params(cells []*check.Cell) []bookParam {
	var all []bookParam
	for _, p := range cells {
		out := bookParam{Name: words(p.Name), Kind: words(p.Type.String()), Tolerance: b.tolerance(p.Tolerance), Help: p.Help}
		if p.From != nil || p.To != nil {
			out.Range = b.program.RangeText(p)
		}
		if p.Expr != nil && p.Source != nil {
			out.Default = b.text(p.Source.Span())
		}
		all = append(all, out)
	}
	return all
}

func (b *bookBuilder) body(r *check.Rule, body *check.Body, window *check.Window) bookBody {
	out := bookBody{Who: layerWord(body.Layer), Place: placeText(b.program.Files, body.At), When: windowWords(window), Lies: string(body.Hit)}
	if window != nil && body.Layer == diag.House {
		out.Who = "house"
	}
	for _, local := range body.Locals {
		out.Locals = append(out.Locals, bookLine{Name: local.Name, Value: b.formula(local), Because: local.Why.Because, Source: local.Why.Source})
	}
	if r.IsTable {
		for _, p := range r.Params {
			out.Heading = append(out.Heading, words(p.Name))
		}
	}
	for _, c := range body.Cases {
		out.Cases = append(out.Cases, b.bookCase(r, body, c))
	}
	return out
}

func (b *bookBuilder) bookCase(r *check.Rule, body *check.Body, c *check.Case) bookCase {
	out := bookCase{Value: b.linked(c.Value.Span()), Because: c.Why.Because, Source: c.Why.Source}
	if r.IsTable {
		for _, p := range r.Params {
			out.Tests = append(out.Tests, testOf(c, p))
		}
		return out
	}
	if c.When != nil {
		out.When = b.linked(c.When.Span())
	}
	out.Otherwise = c.When == nil && len(body.Cases) > 1
	return out
}

func testOf(c *check.Case, p *check.Cell) string {
	for _, t := range c.Tests {
		if t.Param == p {
			return t.Text
		}
	}
	return "any"
}

// windowWords says when an amendment holds.
func windowWords(w *check.Window) string {
	switch {
	case w == nil || !w.HasFrom && !w.HasUntil:
		return ""
	case !w.HasUntil:
		return "from " + check.DateText(w.From)
	case !w.HasFrom:
		return "until " + check.DateText(w.Until)
	}
	return "from " + check.DateText(w.From) + " until " + check.DateText(w.Until)
}

// tolerance writes a tolerance as it is stated; empty where none is.
func (b *bookBuilder) tolerance(t *check.Tolerance) string {
	if t == nil {
		return ""
	}
	return b.text(t.At)
}

func (b *bookBuilder) text(at diag.Span) string {
	return strings.Join(strings.Fields(b.program.Files.Text(at)), " ")
}

func (b *bookBuilder) formula(cell *check.Cell) []linked {
	if cell == nil || cell.Source == nil {
		return nil
	}
	return b.linked(cell.Source.Span())
}

// linked takes a formula apart at the names of rules.
func (b *bookBuilder) linked(at diag.Span) []linked {
	text := b.text(at)
	var parts []linked
	plain := 0
	for i := 0; i < len(text); {
		n := nameAt(text, i)
		if n == 0 {
			i++
			continue
		}
		if name := text[i : i+n]; b.known[name] {
			parts = appendText(parts, text[plain:i])
			parts = append(parts, linked{name, ruleID(name)})
			plain = i + n
		}
		i += n
	}
	return appendText(parts, text[plain:])
}

func appendText(parts []linked, text string) []linked {
	if text == "" {
		return parts
	}
	return append(parts, linked{Text: text})
}

// nameAt gives how long the name that begins at i is; 0 where none does.
func nameAt(text string, i int) int {
	n := i
	for n < len(text) && (text[n] == '_' || text[n] >= 'a' && text[n] <= 'z' || text[n] >= 'A' && text[n] <= 'Z' || n > i && text[n] >= '0' && text[n] <= '9') {
		n++
	}
	if n > i && i > 0 && text[i-1] == '.' {
		return 0
	}
	return n - i
}

// searchText gathers what a rule is found by.
func (b *bookBuilder) searchText(r *check.Rule, out bookRule) []string {
	all := []string{r.Name, out.Words, out.Kind, r.Why.Because, r.Why.Source}
	for _, body := range out.Bodies {
		all = append(all, body.Who, body.When)
		for _, c := range body.Cases {
			all = append(all, c.Because, c.Source)
			all = append(all, c.Tests...)
			for _, part := range append(c.Value, c.When...) {
				all = append(all, part.Text)
			}
		}
	}
	for _, p := range r.Params {
		all = append(all, words(p.Name))
	}
	return all
}

// said gives a text in its own words, and what is filled in as {formulas}.
func (b *bookBuilder) said(text check.Expr) string {
	switch text := text.(type) {
	case *check.Const:
		return text.Value.Text()
	case *check.TextOf:
		var all strings.Builder
		for _, p := range text.Parts {
			all.WriteString(p.Plain)
			if p.Hole != nil {
				all.WriteString("{" + b.text(p.Hole.Span()) + "}")
			}
		}
		return all.String()
	}
	return b.text(text.Span())
}
