package bench

import (
	"errors"
	"fmt"
	"net/http"
	"path/filepath"

	"squab/cmd/squab/internal/load"
	"squab/cmd/squab/internal/whole"
	"squab/eval"
	"squab/eval/check"
	"squab/lang/diag"
	"squab/stdlib"
)

// keeping asks for changes to be kept in an order's file.
type keeping struct {
	Order   string   `json:"order"`
	Changes []change `json:"changes"`
}

// keep writes changes into the order's file, if what comes of them can be made.
func (s *Server) keep(w http.ResponseWriter, r *http.Request) {
	k, err := body[keeping](w, r)
	if err != nil {
		http.Error(w, err.Error(), http.StatusBadRequest)
		return
	}
	err = s.store(k)
	var clashed clash
	switch {
	case errors.As(err, &clashed):
		answer(w, http.StatusConflict, clashed)
	case err != nil:
		http.Error(w, err.Error(), http.StatusUnprocessableEntity)
	default:
		s.renew()
		answer(w, http.StatusOK, struct {
			Kept bool `json:"kept"`
		}{true})
	}
}

// store reads the house as it is now, so that a change that another page or an editor has written meanwhile is not lost.
func (s *Server) store(k keeping) error {
	s.writing.Lock()
	defer s.writing.Unlock()
	files := &diag.Files{}
	texts, err := load.Read(files, s.options.Paths, s.options.load())
	if err != nil {
		return err
	}
	at, err := holding(texts, k.Order)
	if err != nil {
		return err
	}
	text, err := edit(filepath.Base(texts[at].Path), texts[at].Source.Text, k.Order, k.Changes)
	if err != nil {
		return err
	}
	if text == texts[at].Source.Text {
		return nil
	}
	if err := s.canBeMade(texts, at, text, k.Order); err != nil {
		return err
	}
	return whole.WriteFile(texts[at].Path, text, true)
}

// holding finds the one file that holds an order.
func holding(texts []load.Text, id string) (int, error) {
	found := -1
	for i, t := range texts {
		s, err := findOrder(t.Source.Name, t.Source.Text, id)
		if err != nil || s.order == nil {
			continue
		}
		if found >= 0 {
			return 0, fmt.Errorf("two files hold an order %s: %s and %s", id, texts[found].Path, t.Path)
		}
		found = i
	}
	if found < 0 {
		return 0, fmt.Errorf("no file that can be read without problems holds the order %s", id)
	}
	return found, nil
}

// canBeMade works the order out from the texts as they would be written, since nothing is kept that the next run refuses.
func (s *Server) canBeMade(texts []load.Text, at int, text, id string) error {
	files := &diag.Files{}
	stdlib.AddTo(files)
	for i, t := range texts {
		if i == at {
			files.Add(t.Source.Name, text, diag.House)
			continue
		}
		files.Add(t.Source.Name, t.Source.Text, diag.House)
	}
	st := &state{book: load.Check(files, s.options.load())}
	order := st.order(id)
	if order == nil {
		return fmt.Errorf("the order %s would be lost", id)
	}
	if told := st.unsound(order); told != "" {
		return errors.New(told)
	}
	engine := &eval.Engine{Program: st.book.Program, Lay: layingWith(1, nil)}
	if _, problems := engine.Work(order, s.day(order)); len(problems) > 0 {
		return errors.New(st.told(problems))
	}
	return nil
}

// given is what an order's file says of an ask now: Given is false for the default.
type given struct {
	Text  string `json:"text"`
	Given bool   `json:"given"`
}

// said is what the files say of an order now.
type said struct {
	Version  string           `json:"version"`
	Asks     map[string]given `json:"asks,omitempty"`
	Problems string           `json:"problems,omitempty"`
}

// order tells what the files say of an order now.
func (s *Server) order(w http.ResponseWriter, r *http.Request) {
	st := s.now()
	out := said{Version: oneLine(st.version)}
	o := st.order(r.URL.Query().Get("order"))
	switch {
	case st.err != nil:
		out.Problems = st.err.Error()
	case o == nil:
		out.Problems = "the order is no longer there"
	default:
		out.Problems = st.unsound(o)
		out.Asks = st.givenBy(o)
	}
	answer(w, http.StatusOK, out)
}

func (st *state) givenBy(o *check.Order) map[string]given {
	all := map[string]given{}
	if o.Recipe == nil {
		return all
	}
	for _, ask := range o.Recipe.Asks {
		all[ask.Name] = st.given(o, ask)
	}
	return all
}

// given is what an order says of an ask, as written: its own formula, or the recipe's.
func (st *state) given(o *check.Order, ask *check.Cell) given {
	if cell := o.Given[ask.Index]; cell != nil && cell.Source != nil {
		return given{st.book.Files.Text(cell.Source.Span()), true}
	}
	if ask.Source != nil {
		return given{Text: oneLine(st.book.Files.Text(ask.Source.Span()))}
	}
	return given{}
}
