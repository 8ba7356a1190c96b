package bench

import (
	"errors"
	"fmt"
	"strings"

	"squab/lang"
	"squab/lang/diag"
	"squab/lang/format"
)

// change gives one ask of an order another value. From and Given are what the page knew the file to say: a default is not given.
type change struct {
	Ask   string `json:"ask"`
	From  string `json:"from"`
	Given bool   `json:"given"`
	To    string `json:"to"`
}

// conflict is an ask that the file gives another value than the page knew.
type conflict struct {
	Ask   string `json:"ask"`
	Now   string `json:"now"`
	Given bool   `json:"given"`
}

// clash says that others changed what a page wanted to change.
type clash struct {
	Conflicts []conflict `json:"conflicts"`
}

func (c clash) Error() string {
	return fmt.Sprintf("%s was changed meanwhile, to %s", c.Conflicts[0].Ask, c.Conflicts[0].Now)
}

// source is an order in its file.
type source struct {
	text  string
	base  diag.Pos
	file  *lang.File
	order *lang.OrderDecl
}

// findOrder reads a file and finds its one order of an id.
func findOrder(name, text, id string) (source, error) {
	var files diag.Files
	var problems diag.List
	src := files.Add(name, text, diag.House)
	s := source{text: text, base: src.Base, file: lang.Parse(src, lang.Limits{MaxBytes: len(text) + 1}, &problems)}
	for _, d := range problems.All() {
		if d.Severity == diag.Error {
			return s, fmt.Errorf("%s: line %d: %s", name, files.Place(d.At.Start).Line, d.Message)
		}
	}
	for _, d := range s.file.Decls {
		o, ok := d.(*lang.OrderDecl)
		if !ok || o.ID.Text != id {
			continue
		}
		if s.order != nil {
			return s, fmt.Errorf("%s holds two orders %s", name, id)
		}
		s.order = o
	}
	if s.order == nil {
		return s, fmt.Errorf("%s no longer holds the order %s", name, id)
	}
	return s, nil
}

// cell finds what the order gives for an ask.
func (s source) cell(ask string) *lang.Cell {
	for _, stmt := range s.order.Stmts {
		if c, ok := stmt.(*lang.Cell); ok && c.Name.Text == ask {
			return c
		}
	}
	return nil
}

func (s source) slice(at diag.Span) string { return s.text[at.Start-s.base : at.End-s.base] }

// edit puts changes into an order's file and gives the file's new text in the one layout, every comment kept. The error is a clash where the file gives
// an ask another value than a change knew. What is not changed is left as others have it.
func edit(name, text, id string, changes []change) (string, error) {
	before, err := findOrder(name, text, id)
	if err != nil {
		return "", err
	}
	if c := before.conflicts(changes); len(c) > 0 {
		return "", clash{c}
	}
	for _, c := range changes {
		if text, err = set(name, text, id, c); err != nil {
			return "", err
		}
	}
	after, err := findOrder(name, text, id)
	if err != nil {
		return "", err
	}
	return format.Format(after.file)
}

func (s source) conflicts(changes []change) []conflict {
	var all []conflict
	for _, c := range changes {
		cell := s.cell(c.Ask)
		switch {
		case cell == nil && c.Given:
			all = append(all, conflict{c.Ask, c.From, false})
		case cell != nil:
			now := s.slice(cell.Value.Span())
			if (now != c.From || !c.Given) && now != c.To {
				all = append(all, conflict{c.Ask, now, true})
			}
		}
	}
	return all
}

// set puts one change into the file's text: in the place of what is there, or on a line of its own after the last that is given.
func set(name, text, id string, c change) (string, error) {
	if strings.ContainsAny(c.To, "\n\r") || strings.TrimSpace(c.To) == "" {
		return "", fmt.Errorf("%s must be given on one line", c.Ask)
	}
	before, err := findOrder(name, text, id)
	if err != nil {
		return "", err
	}
	added := 0
	if cell := before.cell(c.Ask); cell != nil {
		at := cell.Value.Span()
		text = text[:at.Start-before.base] + c.To + text[at.End-before.base:]
	} else {
		at := before.lineEnd()
		text = text[:at] + "\n  " + c.Ask + " = " + c.To + text[at:]
		added = 1
	}
	return text, before.proveSet(name, text, id, c, added)
}

// lineEnd is the end of the line on which the last value of the order stands, or its recipe where it gives none.
func (s source) lineEnd() int {
	end := s.order.ID.At.End
	if s.order.Make != nil {
		end = s.order.Make.At.End
	}
	for _, stmt := range s.order.Stmts {
		if c, ok := stmt.(*lang.Cell); ok {
			end = max(end, c.Span().End, c.Value.Span().End)
		}
	}
	at := int(end - s.base)
	if i := strings.IndexByte(s.text[at:], '\n'); i >= 0 {
		return at + i
	}
	return len(s.text)
}

// proveSet makes sure that a value did what it should and nothing else: it may be any text that a page sends.
func (s source) proveSet(name, text, id string, c change, added int) error {
	after, err := findOrder(name, text, id)
	if err != nil {
		return errors.Join(fmt.Errorf("%s cannot be given as %q", c.Ask, c.To), err)
	}
	cell := after.cell(c.Ask)
	same := len(after.file.Decls) == len(s.file.Decls) && len(after.order.Stmts) == len(s.order.Stmts)+added && len(after.file.Comments) == len(s.file.Comments)
	if cell == nil || !same || after.slice(cell.Value.Span()) != strings.TrimSpace(c.To) {
		return fmt.Errorf("%s cannot be given as %q", c.Ask, c.To)
	}
	return nil
}
