package bench

import (
	"squab/cmd/squab/internal/page"
	"squab/eval/check"
)

// fields lists what may be changed of an order: its title, how many, its date, and what its recipe asks.
func (s *Server) fields(st *state, o *check.Order) []page.BenchField {
	src := st.source(o.ID)
	none := ""
	one := "1"
	today := check.DateText(s.options.today())
	all := []page.BenchField{
		src.field(page.BenchField{Name: titleName, Label: "title", Usual: &none}),
		src.field(page.BenchField{Name: offName, Label: "how many", Usual: &one, IsShort: true}),
		src.field(page.BenchField{Name: dateName, Label: "date", Usual: &today, IsShort: true}),
	}
	if o.Recipe == nil {
		return all
	}
	for _, ask := range o.Recipe.Asks {
		f := src.field(st.ask(ask))
		if ask.Type.Base == check.Text {
			f.Text = unquoted(f.Text)
		}
		all = append(all, f)
	}
	return all
}

// ask is a recipe's ask, as an order that does not give it has it.
func (st *state) ask(ask *check.Cell) page.BenchField {
	p := st.book.Program
	f := page.BenchField{Name: ask.Name, Label: page.Words(ask.Name), Help: ask.Help, Options: options(p, ask.Type)}
	if ask.Source != nil {
		usual := onOneLine(st.book.Files.Text(ask.Source.Span()))
		if ask.Type.Base == check.Text {
			usual = unquoted(usual)
		}
		f.Usual = &usual
	}
	if ask.From != nil || ask.To != nil {
		f.Range = p.RangeText(ask)
	}
	return f
}

// source is an order's text; the zero source where it is in no file.
func (h house) source(id string) source {
	there, err := h.holding(id)
	if err != nil || there.order == nil {
		return source{}
	}
	_, own, _ := h.parts(there)
	s, err := readOrder(own, id)
	if err != nil {
		return source{}
	}
	return s
}

// field puts into a field what the order says.
func (s source) field(f page.BenchField) page.BenchField {
	if f.Usual != nil {
		f.Text = *f.Usual
	}
	if s.order != nil {
		if text := s.says(f.Name); text != nil {
			f.Text, f.IsGiven = *text, true
		}
	}
	f.Options = offering(f.Options, f.Text)
	if f.Usual != nil {
		f.Options = offering(f.Options, *f.Usual)
	}
	return f
}

// offering adds a word to the options of a field that has some: a formula, or nothing.
func offering(options []page.BenchOption, text string) []page.BenchOption {
	if len(options) == 0 {
		return nil
	}
	for _, o := range options {
		if o.Value == text {
			return options
		}
	}
	return append([]page.BenchOption{{Value: text, Words: text}}, options...)
}

// options lists the words that an ask of a kind may be; none for a measure, a number, a text or a date.
func options(p *check.Program, t check.Type) []page.BenchOption {
	var all []page.BenchOption
	switch t.Base {
	case check.YesNo:
		return []page.BenchOption{{Value: "yes", Words: "yes"}, {Value: "no", Words: "no"}}
	case check.ChoiceWord:
		for _, word := range t.Choice.Words {
			all = append(all, page.BenchOption{Value: word, Words: page.Words(word)})
		}
	case check.OfMaterial:
		for _, m := range p.Materials {
			if m.Kind == t.Kind {
				all = append(all, page.BenchOption{Value: m.Name, Words: page.MaterialTitle(m)})
			}
		}
	}
	return all
}
