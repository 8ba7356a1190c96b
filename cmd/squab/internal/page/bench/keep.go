package bench

import (
	"context"
	"errors"
	"fmt"
	"net/http"

	"squab/cmd/squab/internal/load"
	"squab/cmd/squab/internal/whole"
	"squab/lang"
	"squab/lang/diag"
	"squab/lang/format"
)

// keep writes a wish into the order's file, if what comes of it can be made.
func (s *Server) keep(w http.ResponseWriter, r *http.Request) {
	wanted, err := body[wish](w, r)
	if err != nil {
		http.Error(w, err.Error(), http.StatusBadRequest)
		return
	}
	h := s.now().shows(wanted).house
	err = s.store(r.Context(), wanted.worded(h))
	var clashed clash
	switch {
	case errors.As(err, &clashed):
		answer(w, http.StatusConflict, clashed.plain(h.recipeOf(wanted)))
	case err != nil:
		http.Error(w, err.Error(), http.StatusUnprocessableEntity)
	default:
		s.renew()
		answer(w, http.StatusOK, struct {
			Kept bool `json:"kept"`
		}{true})
	}
}

// again is how often a wish is put anew into a file that an editor writes at the same time.
const again = 3

var errMoved = errors.New("the file is being written by somebody else: try again")

// store reads the house as it is now, so that a change that another page or an editor has written meanwhile is not lost.
func (s *Server) store(ctx context.Context, w wish) error {
	s.writing.Lock()
	defer s.writing.Unlock()
	err := errMoved
	for n := 0; n < again && errors.Is(err, errMoved); n++ {
		err = s.storeOnce(ctx, w)
	}
	return err
}

func (s *Server) storeOnce(ctx context.Context, w wish) error {
	h, err := s.options.readHouse()
	if err != nil {
		return err
	}
	switch conflicts, err := h.conflicts(w); {
	case err != nil:
		return err
	case len(conflicts) > 0:
		return clash{conflicts}
	}
	g, err := h.grant(w)
	if err != nil {
		return err
	}
	was := h.texts[g.at]
	if g.text, err = laidOut(base(was), g.text); err != nil || g.text == was.Source.Text {
		return err
	}
	if err := s.canBeMade(ctx, h, g, w.Order); err != nil {
		return err
	}
	return s.replace(was, g.text)
}

func laidOut(name, text string) (string, error) {
	var files diag.Files
	var problems diag.List
	return format.Format(lang.Parse(files.Add(name, text, diag.House), lang.Limits{MaxBytes: len(text) + 1}, &problems))
}

// canBeMade works the order out from the texts as they would be written, since nothing is kept that the next run refuses.
func (s *Server) canBeMade(ctx context.Context, h house, g granted, id string) error {
	after := s.options.with(h.texts, g.at, g.text)
	order := after.order(id)
	if order == nil {
		return fmt.Errorf("the order %s would be lost", id)
	}
	_, err := after.work(order, s.options.today(), layingUntil(ctx, 1, nil))
	return err
}

// replace writes a file whole, unless it no longer says what was read. What an editor writes between this look and the renaming is lost: only a lock
// that editors heed could rule that out.
func (s *Server) replace(was load.Text, text string) error {
	now, err := load.Read(&diag.Files{}, []string{was.Path}, s.options.load())
	if err != nil {
		return err
	}
	if now[0].Source.Text != was.Source.Text {
		return errMoved
	}
	return whole.WriteFile(was.Path, text, true)
}
