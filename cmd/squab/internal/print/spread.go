package print

import (
	"fmt"
	"strings"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/eval/spread"
	"squab/lang/diag"
)

// Spread writes the ranges of an order's sizes and prices, with what leads to their ends.
func Spread(p *check.Program, o *check.Order, a spread.Answer) string {
	w := spreadWriter{program: p}
	hang(&w.b, "", strings.TrimSpace("ORDER "+o.ID+"  "+o.Title))
	w.inputs(a.Inputs)
	w.ranges(a.Ranges)
	w.ends(a.Ranges)
	w.warnings(a)
	return w.b.String()
}

type spreadWriter struct {
	program *check.Program
	b       strings.Builder
}

func (w *spreadWriter) show(n quantity.Number, t check.Type) string {
	return eval.Show(w.program, check.Num(n), t)
}

func (w *spreadWriter) inputs(all []*spread.Input) {
	t := &table{}
	t.column("what may be out", false)
	for _, head := range []string{"as given", "least", "most"} {
		t.column(head, true)
	}
	t.column("stated at", false)
	for _, in := range all {
		at := w.place(in.At)
		if in.Clipped {
			at += ", up to its range's end"
		}
		t.row(in.Name, w.show(in.Given, in.Type), w.show(in.Low, in.Type), w.show(in.High, in.Type), at)
	}
	w.b.WriteString("\n")
	t.write(Page{}, &w.b)
}

// place names the order itself where something stands in no file of the book: in a row of orders, or in --set.
func (w *spreadWriter) place(at diag.Span) string {
	place := w.program.Files.Place(at.Start)
	if place.File == "" {
		return "the order"
	}
	return fmt.Sprintf("%s:%d", place.File, place.Line)
}

func (w *spreadWriter) ranges(all []spread.Range) {
	t := &table{}
	t.column("what may move", false)
	for _, head := range []string{"as given", "least", "most"} {
		t.column(head, true)
	}
	still := 0
	for _, r := range all {
		if !r.Moves() {
			still++
			continue
		}
		t.row(r.Name, w.show(r.Given, r.Type), w.end(r.Least, r.Type), w.end(r.Most, r.Type))
	}
	w.b.WriteString("\n")
	if len(t.rows) > 0 {
		t.write(Page{}, &w.b)
	}
	switch {
	case still == 1:
		w.b.WriteString("1 other size, purchase or price is proved not to move.\n")
	case still > 1:
		w.b.WriteString(Paragraph(fmt.Sprintf("%d other sizes, purchases and prices are proved not to move.", still)))
	}
}

// end marks an end that is not proved.
func (w *spreadWriter) end(e spread.End, t check.Type) string {
	if e.Proved {
		return w.show(e.Value, t)
	}
	return w.show(e.Value, t) + " ?"
}

// ends tells which inputs lead to the ends, those of like inputs together, and what is known of an end that is not proved.
func (w *spreadWriter) ends(all []spread.Range) {
	var order []string
	names := map[string][]string{}
	note := func(name, end string, e spread.End) {
		if len(e.Where) == 0 {
			return
		}
		at := w.settings(e.Where)
		if names[at] == nil {
			order = append(order, at)
		}
		names[at] = append(names[at], end+" "+name)
	}
	for _, r := range all {
		if r.Moves() {
			note(r.Name, "least", r.Least)
			note(r.Name, "most", r.Most)
		}
	}
	for _, at := range order {
		w.b.WriteString("\nwith " + strings.TrimSpace(indentWrap(at, "", "  ")) + "\n")
		hang(&w.b, "  ", strings.Join(names[at], ", "))
	}
	w.unproved(all)
}

func (w *spreadWriter) settings(all []spread.Setting) string {
	parts := make([]string, len(all))
	for i, s := range all {
		parts[i] = s.Input.Name + " = " + w.show(s.Value, s.Input.Type)
	}
	return strings.Join(parts, ", ")
}

func (w *spreadWriter) unproved(all []spread.Range) {
	var parts []string
	tried := false
	for _, r := range all {
		for _, e := range []struct {
			end  spread.End
			word string
		}{{r.Least, "less"}, {r.Most, "more"}} {
			switch {
			case e.end.Proved:
			case e.end.Bound != nil:
				parts = append(parts, fmt.Sprintf("%s is no %s than %s", r.Name, e.word, w.show(*e.end.Bound, r.Type)))
			default:
				tried = true
			}
		}
	}
	if len(parts) > 0 {
		w.b.WriteString("\n" + Paragraph("? reached, but not proved to be the end: "+strings.Join(parts, "; ")+"."))
	}
	if tried {
		w.b.WriteString("\n" + Paragraph("? the end of those values that were tried: each is laid out anew, so nothing is proved of those between. --by-area gives what can be proved."))
	}
}

func (w *spreadWriter) warnings(a spread.Answer) {
	for _, x := range a.Warnings {
		from := "from"
		if x.Past {
			from = "past"
		}
		at := x.Problem.At
		if len(x.Problem.Related) > 0 {
			at = x.Problem.Related[0].At
		}
		w.b.WriteString("\n" + Paragraph(fmt.Sprintf("WARNING: %s %s the order cannot be made: %s (%s)", from, w.settings(x.Where), x.Problem.Message, w.place(at))))
	}
	if a.Unsure {
		w.b.WriteString("\n" + Paragraph("It was not settled that every need holds all over these ranges."))
	}
}

// SpreadJSON is an order's ranges for programs.
type SpreadJSON struct {
	Schema   int           `json:"schema"`
	Order    string        `json:"order"`
	Inputs   []SpreadInput `json:"inputs"`
	Ranges   []SpreadRange `json:"ranges"`
	Warnings []SpreadFails `json:"warnings"`
	Unsure   bool          `json:"unsure"`
}

// SpreadInput is what may be out.
type SpreadInput struct {
	Name  string   `json:"name"`
	Sort  string   `json:"sort"`
	Given Quantity `json:"given"`
	Least Quantity `json:"least"`
	Most  Quantity `json:"most"`
}

// SpreadRange is what one size, purchase or price may be.
type SpreadRange struct {
	Name  string    `json:"name"`
	Given Quantity  `json:"given"`
	Least SpreadEnd `json:"least"`
	Most  SpreadEnd `json:"most"`
}

// SpreadEnd is one end: Bound is what an end that is not proved does not go beyond; null where even that is not known.
type SpreadEnd struct {
	Value  Quantity        `json:"value"`
	Where  []SpreadSetting `json:"where"`
	Proved bool            `json:"proved"`
	Bound  *Quantity       `json:"bound,omitempty"`
}

// SpreadSetting is an input's value.
type SpreadSetting struct {
	Name  string   `json:"name"`
	Value Quantity `json:"value"`
}

// SpreadFails is where the order cannot be made.
type SpreadFails struct {
	Message string          `json:"message"`
	Where   []SpreadSetting `json:"where"`
	Past    bool            `json:"past"`
}

// SpreadOf makes an order's ranges ready for JSON.
func SpreadOf(p *check.Program, o *check.Order, a spread.Answer) SpreadJSON {
	m := maker{p}
	out := SpreadJSON{Schema, o.ID, []SpreadInput{}, []SpreadRange{}, []SpreadFails{}, a.Unsure}
	for _, in := range a.Inputs {
		out.Inputs = append(out.Inputs, SpreadInput{in.Name, in.Sort, m.quantity(in.Given, in.Type), m.quantity(in.Low, in.Type), m.quantity(in.High, in.Type)})
	}
	for _, r := range a.Ranges {
		out.Ranges = append(out.Ranges, SpreadRange{r.Name, m.quantity(r.Given, r.Type), m.spreadEnd(r.Least, r.Type), m.spreadEnd(r.Most, r.Type)})
	}
	for _, x := range a.Warnings {
		out.Warnings = append(out.Warnings, SpreadFails{x.Problem.Message, m.settings(x.Where), x.Past})
	}
	return out
}

func (m maker) spreadEnd(e spread.End, t check.Type) SpreadEnd {
	out := SpreadEnd{Value: m.quantity(e.Value, t), Where: m.settings(e.Where), Proved: e.Proved}
	if e.Bound != nil {
		q := m.quantity(*e.Bound, t)
		out.Bound = &q
	}
	return out
}

func (m maker) settings(all []spread.Setting) []SpreadSetting {
	out := make([]SpreadSetting, len(all))
	for i, s := range all {
		out[i] = SpreadSetting{s.Input.Name, m.quantity(s.Value, s.Input.Type)}
	}
	return out
}
