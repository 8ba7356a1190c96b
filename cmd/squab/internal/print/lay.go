package print

import (
	"encoding/json"
	"fmt"
	"slices"
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

// Laid is the layout of one material: its drawings are made already.
type Laid struct {
	eval.Layout
	Sketch   string
	Unplaced []layout.Unplaced
	Verified bool     // it was checked, and nothing is wrong
	Faults   []string // what the check found wrong
}

// LaidJSON writes the layouts of plain pieces as JSON.
func LaidJSON(program *check.Program, all []Laid) string {
	out := struct {
		Schema   int               `json:"schema"`
		Layouts  []json.RawMessage `json:"layouts"`
		Unplaced []Unplaced        `json:"unplaced"`
	}{Schema, []json.RawMessage{}, []Unplaced{}}
	for _, l := range all {
		out.Layouts = append(out.Layouts, l.json(program))
		for _, u := range l.Unplaced {
			out.Unplaced = append(out.Unplaced, Unplaced{u.Piece, u.Order, u.Count, u.Reason, u.Help})
		}
	}
	return string(Line(out)) + "\n"
}

// json writes a layout with what a check of it found.
func (l *Laid) json(program *check.Program) []byte {
	w := jsonWriter{program: program, measures: newMeasures(program.Style, recently)}
	w.layoutParts(&l.Layout)
	if l.Verified {
		w.truth(`,"verified":`, true)
	}
	w.texts(`,"faults":`, l.Faults)
	w.raw("}")
	return w.b
}

// Laid writes layouts of plain pieces for a person: what each takes, where each copy lies, and a sketch.
func (p Page) Laid(program *check.Program, all []Laid) string {
	w := NewWriter(p, program).text
	for i, l := range all {
		if i > 0 {
			w.b.WriteString("\n")
		}
		w.laid(l, len(all) > 1)
	}
	w.footnote("~ is shown rounded; --format json gives the exact value.")
	return w.b.String()
}

func (w *orderWriter) laid(l Laid, named bool) {
	head := "nothing is laid"
	if len(l.Placed) > 0 {
		head = w.layout(l.Layout)
	}
	if named {
		head = l.Material.Name + ": " + head
	}
	hang(&w.b, "", head)
	if len(l.Placed) > 0 {
		w.lying(l)
	}
	for _, u := range l.Unplaced {
		hang(&w.b, "not laid: ", fmt.Sprintf("%s, %d off: %s: %s", u.Piece, u.Count, u.Reason, u.Help))
	}
	if l.Verified {
		hang(&w.b, "", "verified: checked again by its own code, and nothing is wrong")
	}
	for _, f := range l.Faults {
		hang(&w.b, "wrong: ", f)
	}
}

// lying tells what a layout rests on, and where each piece lies.
func (w *orderWriter) lying(l Laid) {
	w.why(l.Layout)
	w.b.WriteString("\n")
	w.placed(l.Layout)
	for line := range strings.Lines("\n" + l.Sketch) {
		w.b.WriteString(clean(strings.TrimSuffix(line, "\n")) + "\n")
	}
}

// why tells what set the length, and what the bound rests on.
func (w *orderWriter) why(l eval.Layout) {
	if len(l.SetBy) > 0 {
		hang(&w.b, "", "the length is set by "+strings.Join(l.SetBy, ", "))
	}
	if l.Rests != "" {
		hang(&w.b, "", "the bound rests on "+l.Rests)
	}
}

// placed lists where each copy lies; the columns of parts and of sheets stand where there are several.
func (w *orderWriter) placed(l eval.Layout) {
	panels := slices.ContainsFunc(l.Placed, func(p eval.Placed) bool { return p.Panel > 0 })
	sheets := l.Form != check.Roll || len(l.Sheets) > 1
	t := placedTable(l.Form, panels, sheets)
	for _, p := range l.Placed {
		row := []string{p.Piece, strconv.Itoa(p.Copy)}
		if panels {
			row = append(row, when(p.Panel > 0, strconv.Itoa(p.Panel)))
		}
		if sheets {
			row = append(row, when(p.Sheet > 0, strconv.Itoa(p.Sheet)))
		}
		t.row(append(row, w.lies(l.Form, p)...)...)
	}
	t.write(w.page, &w.b)
}

func placedTable(form check.Form, panels, sheets bool) *table {
	t := &table{}
	t.column("piece", false)
	heads := []string{"copy"}
	if panels {
		heads = append(heads, "part")
	}
	if sheets {
		heads = append(heads, sheetHead(form))
	}
	if form == check.Stick {
		heads = append(heads, "from", "long")
	} else {
		heads = append(heads, "across", "along", "wide", "deep")
	}
	for _, head := range heads {
		t.column(head, true)
	}
	if form != check.Stick {
		t.column("turned", false)
	}
	return t
}

func sheetHead(form check.Form) string {
	if form == check.Roll {
		return "remnant"
	}
	return string(form)
}

func (w *orderWriter) lies(form check.Form, p eval.Placed) []string {
	if form == check.Stick {
		return []string{w.length(p.X), w.length(p.Wide)}
	}
	return []string{w.length(p.X), w.length(p.Y), w.length(p.Wide), w.length(p.Deep), howLaid(p)}
}

func howLaid(p eval.Placed) string {
	switch {
	case p.Strips > 0:
		return strconv.FormatInt(p.Strips, 10) + " bias strips"
	case p.Turned && p.Ended:
		return "yes, and end for end"
	case p.Ended:
		return "end for end"
	}
	return when(p.Turned, "yes")
}
