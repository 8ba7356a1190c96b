package bench

import (
	"errors"
	"fmt"
	"maps"
	"strings"

	"squab/lang"
	"squab/lang/diag"
	"squab/lang/format"
)

// What an order says besides its asks. No ask has such a name: one is two words, and the others every recipe has already.
const (
	titleName = "order title"
	offName   = "off"
	dateName  = "date"
)

// change gives an ask, the title, the date or how many another text. From is what the page knew the file to say, nil for nothing, so that the default
// holds; To is nil to say nothing from now on.
type change struct {
	Name string  `json:"name"`
	From *string `json:"from"`
	To   *string `json:"to"`
}

// conflict is a name of which the file says something else than the page knew; Now is nil for nothing.
type conflict struct {
	Name string  `json:"name"`
	Now  *string `json:"now"`
}

// clash says that others changed what a page wanted to change.
type clash struct {
	Conflicts []conflict `json:"conflicts"`
}

func (c clash) Error() string { return c.Conflicts[0].Name + " was changed meanwhile" }

// source is the text of one order.
type source struct {
	text  string
	base  diag.Pos
	file  *lang.File
	order *lang.OrderDecl
}

// readOrder reads a text that holds one order, of an id, and no more.
func readOrder(text, id string) (source, error) {
	var files diag.Files
	var problems diag.List
	src := files.Add("order "+id, text, diag.House)
	s := source{text: text, base: src.Base, file: lang.Parse(src, lang.Limits{MaxBytes: len(text) + 1}, &problems)}
	for _, d := range problems.All() {
		if d.Severity == diag.Error {
			return s, fmt.Errorf("order %s: %s", id, d.Message)
		}
	}
	if len(s.file.Decls) == 1 {
		s.order, _ = s.file.Decls[0].(*lang.OrderDecl)
	}
	if s.order == nil || s.order.ID.Text != id {
		return s, fmt.Errorf("order %s would be more or less than one order", id)
	}
	return s, nil
}

// edit puts changes into an order's text and gives it in the one layout, every comment kept. What is not changed stays.
func edit(text, id string, changes []change) (string, error) {
	s, err := readOrder(text, id)
	if err != nil {
		return "", err
	}
	if text, err = format.Format(s.file); err != nil {
		return "", err
	}
	for _, c := range changes {
		if text, err = set(text, id, c); err != nil {
			return "", err
		}
	}
	if s, err = readOrder(text, id); err != nil {
		return "", err
	}
	return format.Format(s.file)
}

// conflicts lists the changes that did not know what the order says now, unless it says already what they want.
func (s source) conflicts(changes []change) []conflict {
	var all []conflict
	for _, c := range changes {
		if now := s.says(c.Name); !same(now, c.From) && !same(now, c.To) {
			all = append(all, conflict{c.Name, now})
		}
	}
	return all
}

func same(a, b *string) bool {
	if a == nil || b == nil {
		return a == b
	}
	return *a == *b
}

// says gives what the order says under a name, on one line; nil for nothing.
func (s source) says(name string) *string {
	if title := s.order.Title; name == titleName && title != nil {
		text := onOneLine(title.Value)
		return &text
	}
	if v := s.value(name); v != nil {
		text := onOneLine(s.slice(v.Span()))
		return &text
	}
	return nil
}

func (s source) value(name string) lang.Expr {
	if name == offName && s.order.Make != nil {
		return s.order.Make.Off
	}
	if cell := s.cell(name); cell != nil {
		return cell.Value
	}
	return nil
}

func (s source) cell(name string) *lang.Cell {
	for _, stmt := range s.order.Stmts {
		if c, ok := stmt.(*lang.Cell); ok && c.Name.Text == name {
			return c
		}
	}
	return nil
}

// onOneLine is how a page shows a formula that goes over lines.
func onOneLine(s string) string {
	if !strings.ContainsAny(s, "\r\n") {
		return s
	}
	return oneLine(s)
}

func (s source) slice(at diag.Span) string { return s.text[at.Start-s.base : at.End-s.base] }

func (s source) splice(at diag.Span, text string) string {
	return s.text[:at.Start-s.base] + text + s.text[at.End-s.base:]
}

// set puts one change into an order's text.
func set(text, id string, c change) (string, error) {
	s, err := readOrder(text, id)
	if err != nil {
		return "", err
	}
	switch {
	case c.To == nil:
		text = s.splice(s.whole(c.Name), "")
	case strings.TrimSpace(*c.To) == "":
		return "", fmt.Errorf("%s is left empty: give it a value, or go back to what is kept", c.Name)
	default:
		text = s.put(c.Name, strings.TrimSpace(*c.To))
	}
	return text, s.proveSet(text, id, c)
}

// whole is where all stands that says something under a name: nowhere where nothing does. A comment behind it is not of it.
func (s source) whole(name string) diag.Span {
	made := s.order.Make
	switch cell := s.cell(name); {
	case name == titleName && s.order.Title != nil:
		return s.order.Title.At
	case name == offName && made != nil && made.Off != nil:
		return diag.Span{Start: made.Recipe.At.End, End: made.At.End}
	case cell != nil:
		return s.withLine(cell.At)
	}
	return after(s.order.At)
}

// withLine takes the line break before a statement with it, where nothing else stands on its line.
func (s source) withLine(at diag.Span) diag.Span {
	before := s.text[:at.Start-s.base]
	start := strings.TrimRight(before, " \t")
	if strings.HasSuffix(start, "\n") && s.lineEnd(at) == after(at) {
		at.Start -= diag.Pos(len(before) - len(start) + 1)
	}
	return at
}

func after(at diag.Span) diag.Span { return diag.Span{Start: at.End, End: at.End} }

// put puts a text in the place of what is there, or adds what lacks: an ask on a line of its own after the last that is given, a date after the recipe.
func (s source) put(name, text string) string {
	switch v := s.value(name); {
	case name == titleName && s.order.Title != nil:
		return s.splice(s.order.Title.At, quote(text))
	case name == titleName:
		return s.splice(after(s.order.ID.At), " "+quote(text))
	case v != nil:
		return s.splice(v.Span(), text)
	case s.order.Make == nil:
		return s.text
	case name == offName:
		return s.splice(after(s.order.Make.Recipe.At), ", "+text+" off")
	case name == dateName:
		return s.splice(s.lineEnd(s.order.Make.At), "\n  date = "+text)
	}
	last := s.order.Make.At
	for _, stmt := range s.order.Stmts {
		if c, ok := stmt.(*lang.Cell); ok && c.At.End > last.End {
			last = c.At
		}
	}
	return s.splice(s.lineEnd(last), "\n  "+name+" = "+text)
}

// lineEnd is the end of the line on which something ends, behind its comment.
func (s source) lineEnd(of diag.Span) diag.Span {
	rest := s.text[of.End-s.base:]
	line, _, _ := strings.Cut(rest, "\n")
	end := of.End + diag.Pos(len(line))
	return diag.Span{Start: end, End: end}
}

// quote writes plain words as a text of the language.
func quote(text string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, `{`, `\{`).Replace(text) + `"`
}

// proveSet makes sure that a change did what it should and nothing else: it may be any text that a page sends.
func (s source) proveSet(text, id string, c change) error {
	after, err := readOrder(text, id)
	if err != nil {
		return errors.Join(c.refused(), err)
	}
	was, is := s.facts(c.Name), after.facts(c.Name)
	want := c.To
	if want != nil {
		trimmed := strings.TrimSpace(*want)
		want = &trimmed
	}
	if !maps.Equal(was, is) || !same(after.says(c.Name), want) {
		return c.refused()
	}
	return nil
}

func (c change) refused() error {
	if c.To == nil {
		return fmt.Errorf("%s cannot be left out", c.Name)
	}
	return fmt.Errorf("%s cannot be given as %q", c.Name, *c.To)
}

// facts lists what an order says, but for what it says under one name.
func (s source) facts(but string) map[string]string {
	all := map[string]string{}
	for i, c := range s.file.Comments {
		all[fmt.Sprint("comment ", i)] = c.Text
	}
	if s.order.Make != nil {
		all["recipe"] = s.order.Make.Recipe.Text
	}
	for _, name := range []string{titleName, offName} {
		if text := s.says(name); text != nil && name != but {
			all[name] = *text
		}
	}
	for _, stmt := range s.order.Stmts {
		if c, ok := stmt.(*lang.Cell); !ok {
			all["amendments"] += s.slice(stmt.Span()) + "\n"
		} else if c.Name.Text != but {
			all["ask "+c.Name.Text] = s.slice(c.At)
		}
	}
	return all
}

// draft is an order that says no more than what it makes.
func draft(id, recipe string) (string, error) {
	text := "order " + idText(id) + " {\n  make " + recipe + "\n}\n"
	s, err := readOrder(text, id)
	if err != nil {
		return "", fmt.Errorf("%q cannot be an order's number", id)
	}
	if s.order.Make == nil || s.order.Make.Recipe.Text != recipe || s.order.Make.Off != nil || len(s.order.Stmts)+len(s.file.Comments) > 0 {
		return "", fmt.Errorf("%q cannot be a recipe", recipe)
	}
	return text, nil
}

// idText writes an order's id as the language does: a number as it is, anything else as a text.
func idText(id string) string {
	if id != "" && strings.Trim(id, "0123456789") == "" {
		return id
	}
	return quote(id)
}
