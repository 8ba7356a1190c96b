package print

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"

	"squab/eval"
	"squab/eval/check"
	"squab/stdlib/layout"
)

// Unplaced is a piece that could not be laid, and why.
type Unplaced struct {
	Piece  string `json:"piece"`
	Order  string `json:"order"`
	Count  int    `json:"count"`
	Reason string `json:"reason"`
	Help   string `json:"help"`
}

// LaidJSON writes one layout of plain pieces as JSON.
func LaidJSON(program *check.Program, l eval.Layout, unplaced []layout.Unplaced) string {
	out := struct {
		Schema   int             `json:"schema"`
		Layouts  json.RawMessage `json:"layouts"`
		Unplaced []Unplaced      `json:"unplaced"`
	}{Schema, LayoutsJSON(program, []eval.Layout{l}), []Unplaced{}}
	for _, u := range unplaced {
		out.Unplaced = append(out.Unplaced, Unplaced{u.Piece, u.Order, u.Count, u.Reason, u.Help})
	}
	return string(Line(out)) + "\n"
}

// Laid writes one layout of plain pieces for a person: what it takes, where each copy lies, and a sketch that is made already.
func (p Page) Laid(program *check.Program, l eval.Layout, sketch string, unplaced []layout.Unplaced) string {
	w := NewWriter(p, program).text
	hang(&w.b, "", w.layout(l))
	if len(l.Placed) > 0 {
		w.b.WriteString("\n")
		w.placed(l)
	}
	for line := range strings.Lines("\n" + sketch) {
		w.b.WriteString(clean(strings.TrimSuffix(line, "\n")) + "\n")
	}
	for _, u := range unplaced {
		hang(&w.b, "not laid: ", fmt.Sprintf("%s, %d off: %s: %s", u.Piece, u.Count, u.Reason, u.Help))
	}
	w.footnote("~ is shown rounded; --format json gives the exact value.")
	return w.b.String()
}

func (w *orderWriter) placed(l eval.Layout) {
	t := table{}
	t.column("piece", false)
	t.column("copy", true)
	if l.Form != check.Roll {
		t.column(string(l.Form), true)
	}
	if l.Form == check.Stick {
		t.column("from", true)
		t.column("long", true)
	} else {
		for _, head := range []string{"across", "along", "wide", "deep"} {
			t.column(head, true)
		}
		t.column("turned", false)
	}
	for _, p := range l.Placed {
		t.row(w.placedRow(l.Form, p)...)
	}
	t.write(w.page, &w.b)
}

func (w *orderWriter) placedRow(form check.Form, p eval.Placed) []string {
	row := []string{p.Piece, strconv.Itoa(p.Copy)}
	if form != check.Roll {
		row = append(row, strconv.Itoa(p.Sheet))
	}
	if form == check.Stick {
		return append(row, w.length(p.X), w.length(p.Wide))
	}
	return append(row, w.length(p.X), w.length(p.Y), w.length(p.Wide), w.length(p.Deep), when(p.Turned, "yes"))
}
