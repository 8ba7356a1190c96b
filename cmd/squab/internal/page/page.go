// Package page makes the pages that people at a bench read: tickets, the rule book, quotations, labels, buying lists and templates. Each is one HTML
// file that asks nothing of the network. Every text goes through html/template, so that a name is never anything but text.
//
// Lengths in drawings are in CSS pixels; only where a piece is drawn at full size are they inches. What is written on a page is the interpreter's exact
// value as the shop shows it; floating point places ink and nothing else.
package page

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io"
	"strconv"
	"strings"
	"sync"
	"unicode/utf8"
)

//go:embed assets
var assets embed.FS

// templates are parsed once, for the first page; a template that does not parse is found by the first test that makes one.
var templates = sync.OnceValue(parsed)

func parsed() *template.Template {
	funcs := template.FuncMap{
		"px":      px,
		"style":   func() (template.CSS, error) { return style("page.css") },
		"css":     style,
		"code":    script,
		"times":   times,
		"counted": counted,
		"plus":    func(a, b float64) float64 { return a + b },
		"half":    func(a float64) float64 { return a / 2 },
		"inch":    fullInches,

		"stripsHigh": stripsHigh,
	}
	return template.Must(template.New("").Funcs(funcs).ParseFS(assets, "assets/*.tmpl"))
}

// style gives an embedded style sheet, which is the project's own text.
func style(name string) (template.CSS, error) {
	text, err := assets.ReadFile("assets/" + name)
	return template.CSS(text), err
}

// script gives an embedded script, which is the project's own text.
func script(name string) (template.JS, error) {
	text, err := assets.ReadFile("assets/" + name)
	return template.JS(text), err
}

// px writes a place in a drawing.
func px(x float64) string {
	s := strings.TrimSuffix(strings.TrimRight(strconv.FormatFloat(x, 'f', 2, 64), "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

// counted says how many there are of what has a plural in s.
func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// times lists the numbers from 1 to n, for a template to run over.
func times(n int64) []int64 {
	all := make([]int64, 0, n)
	for i := range n {
		all = append(all, i+1)
	}
	return all
}

// write runs a page's template.
func write(w io.Writer, name string, data any) error {
	var page bytes.Buffer
	if err := templates().ExecuteTemplate(&page, name, data); err != nil {
		return fmt.Errorf("the page %s: %w", name, err)
	}
	_, err := w.Write(bytes.Map(readable, page.Bytes()))
	return err
}

// readable gives a character as it is, or the one that stands for such as no reader of HTML or XML takes: https://www.w3.org/TR/xml/#charsets.
func readable(c rune) rune {
	switch {
	case c == '\t' || c == '\n' || c == '\r':
		return c
	case c < ' ' || c == 0xFFFE || c == 0xFFFF:
		return utf8.RuneError
	}
	return c
}
