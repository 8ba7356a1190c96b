package bench

import (
	"bytes"
	"net/http"

	"squab/cmd/squab/internal/page"
	"squab/eval/check"
)

// page answers with the live page of an order, the first where none is asked for.
func (s *Server) page(w http.ResponseWriter, r *http.Request) {
	st := s.now()
	if st.book == nil {
		http.Error(w, "the files cannot be read: "+st.err.Error(), http.StatusServiceUnavailable)
		return
	}
	p := page.BenchPage{Shop: st.book.Program.Title, Key: s.Key, Version: oneLine(st.version)}
	chosen := st.chosen(r.URL.Query().Get("order"))
	for _, o := range st.book.Program.Orders {
		p.Orders = append(p.Orders, page.BenchOrder{ID: o.ID, Heading: page.OrderHeading(o), IsChosen: o == chosen})
	}
	if chosen != nil {
		p.Order, p.Heading, p.Asks = chosen.ID, page.OrderHeading(chosen), st.asks(chosen)
	}
	var b bytes.Buffer
	if err := page.WriteBench(&b, p); err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Write(b.Bytes())
}

func (st *state) chosen(id string) *check.Order {
	if o := st.order(id); o != nil {
		return o
	}
	if all := st.book.Program.Orders; len(all) > 0 {
		return all[0]
	}
	return nil
}

func (st *state) asks(o *check.Order) []page.BenchAsk {
	if o.Recipe == nil {
		return nil
	}
	p := st.book.Program
	var all []page.BenchAsk
	for _, ask := range o.Recipe.Asks {
		g := st.given(o, ask)
		a := page.BenchAsk{Name: ask.Name, Help: ask.Help, Text: g.Text, IsGiven: g.Given, Options: options(p, ask.Type)}
		if ask.From != nil || ask.To != nil {
			a.Range = p.RangeText(ask)
		}
		if len(a.Options) > 0 && !offers(a.Options, a.Text) {
			a.Options = append([]page.BenchOption{{Value: a.Text, Words: a.Text}}, a.Options...) // a formula, or nothing
		}
		all = append(all, a)
	}
	return all
}

func offers(options []page.BenchOption, text string) bool {
	for _, o := range options {
		if o.Value == text {
			return true
		}
	}
	return false
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
