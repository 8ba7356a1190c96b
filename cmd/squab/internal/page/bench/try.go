package bench

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"

	"squab/cmd/squab/internal/page"
	"squab/eval"
	"squab/eval/check"
	"squab/stdlib"
	"squab/stdlib/layout"
)

// news is one line of the answer to a trial: the sheet, how far a layout is, or what is wrong. An old sheet is of before what is wrong; Elsewhere is what
// is wrong in the files and does not matter to the sheet. Done is the last.
type news struct {
	HTML      *string   `json:"html,omitempty"`
	Old       bool      `json:"old,omitempty"`
	Elsewhere *string   `json:"elsewhere,omitempty"`
	Progress  *progress `json:"progress,omitempty"`
	Problems  *string   `json:"problems,omitempty"`
	Done      bool      `json:"done,omitempty"`
}

// progress is how far the layout of a material is: Over is how much more it takes than the least that is proved, "3.2%".
type progress struct {
	Material string `json:"material"`
	Over     string `json:"over"`
}

// trial is the work on one wish that is not kept.
type trial struct {
	view
	server *Server
	today  int64
	wish   wish
	out    *stream
}

// try works an order out as if it were so: first with the layout that comes to hand, then with a better one. It ends when the page no longer waits.
func (s *Server) try(w http.ResponseWriter, r *http.Request) {
	wanted, err := body[wish](w, r)
	if err != nil {
		http.Error(w, err.Error(), http.StatusBadRequest)
		return
	}
	w.Header().Set("Content-Type", "application/x-ndjson")
	t := trial{s.now(), s, s.options.today(), wanted, &stream{w: w, out: http.NewResponseController(w)}}
	t.answer(r.Context())
}

func (t trial) answer(ctx context.Context) {
	h, order, err := t.granted()
	if err != nil {
		t.fail(ctx, err)
		return
	}
	effort := t.server.options.effort()
	quick, err := h.work(order, t.today, layingUntil(ctx, 1, nil))
	switch {
	case err != nil:
		t.fail(ctx, err)
	case proved(quick):
		t.sheet(ctx, quick, 1, true)
	default:
		t.sheet(ctx, quick, 1, false)
		t.improve(ctx, h, order, effort)
	}
}

func (t trial) improve(ctx context.Context, h house, order *check.Order, effort int64) {
	better, err := h.work(order, t.today, layingUntil(ctx, effort, t.progress()))
	if err != nil {
		t.fail(ctx, err)
		return
	}
	t.sheet(ctx, better, effort, true)
}

// granted is the order as the page wants it, in a house that says so.
func (t trial) granted() (house, *check.Order, error) {
	st := t.state
	if st.err != nil {
		return house{}, nil, st.err
	}
	h := st.house
	if t.changes() {
		g, err := st.grant(t.wish.worded(st.house))
		if err != nil {
			return h, nil, err
		}
		h = t.server.options.with(st.texts, g.at, g.text)
	}
	order := h.order(t.wish.Order)
	if order == nil {
		return h, nil, fmt.Errorf("the order %s is no longer there", t.wish.Order)
	}
	return h, order, nil
}

func (t trial) changes() bool { return len(t.wish.Changes) > 0 || t.wish.Recipe != "" }

// layingUntil lays pieces with some effort until a context ends, and tells how far it is.
func layingUntil(ctx context.Context, effort int64, tell func(*check.Material, layout.Progress)) eval.LayFunc {
	return func(s eval.Stock, pieces []eval.Piece) (eval.Layout, error) {
		e := layout.Effort{Work: effort, Workers: 1}
		if tell != nil {
			e.Progress = func(p layout.Progress) { tell(s.Material, p) }
		}
		return stdlib.LayUntil(ctx, e)(s, pieces)
	}
}

func proved(r *eval.Result) bool {
	for _, l := range r.Layouts {
		if l.Laid && !l.Proved {
			return false
		}
	}
	return true
}

// result is an order as its file says, worked out once for each effort; nil where it is in none yet or cannot be worked out, or the context ends first.
func (st *state) result(ctx context.Context, id string, today, effort int64) *eval.Result {
	key := keptKey{id, today, effort}
	st.mu.Lock()
	r, known := st.kept[key]
	st.mu.Unlock()
	order := st.order(id)
	if known || order == nil {
		return r
	}
	r, err := st.work(order, today, layingUntil(ctx, effort, nil))
	if err != nil {
		r = nil
	}
	st.keep(ctx, key, r)
	return r
}

func (st *state) keep(ctx context.Context, key keptKey, r *eval.Result) {
	st.mu.Lock()
	defer st.mu.Unlock()
	if ctx.Err() == nil {
		st.kept[key] = r
	}
}

// sheet tells an order's numbers, marked where they are not as kept.
func (t trial) sheet(ctx context.Context, r *eval.Result, effort int64, done bool) {
	if !t.changes() {
		t.state.keep(ctx, keptKey{t.wish.Order, t.today, effort}, r)
	}
	text, err := sheetText(r, t.state.result(ctx, t.wish.Order, t.today, effort))
	if err != nil {
		t.fail(ctx, err)
		return
	}
	t.out.send(news{HTML: &text, Elsewhere: t.state.elsewhere(), Done: done})
}

func sheetText(r, kept *eval.Result) (string, error) {
	var b bytes.Buffer
	err := page.WriteBenchSheet(&b, r, kept)
	return b.String(), err
}

// fail tells what is wrong; a page that shows nothing yet is given the last numbers that were good.
func (t trial) fail(ctx context.Context, err error) {
	if ctx.Err() != nil {
		return
	}
	text := err.Error()
	t.out.send(news{Problems: &text, Done: !t.wish.Blank})
	if !t.wish.Blank {
		return
	}
	old, err := t.lastGood(ctx)
	if err != nil {
		old = ""
	}
	t.out.send(news{HTML: &old, Old: true, Done: true})
}

var errNothingGood = errors.New("there is nothing good of before")

func (t trial) lastGood(ctx context.Context) (string, error) {
	for _, st := range t.all() {
		if r := st.result(ctx, t.wish.Order, t.today, 1); r != nil {
			return sheetText(r, r)
		}
	}
	return "", errNothingGood
}

// progress tells how far a layout is, as a share of the least that it could be: it comes in steps that only the layout knows.
func (t trial) progress() func(*check.Material, layout.Progress) {
	var last progress
	return func(m *check.Material, p layout.Progress) {
		if p.Bound <= 0 {
			return
		}
		share := (p.Used - p.Bound) * 1000 / p.Bound
		now := progress{cmp.Or(m.Title, m.Name), fmt.Sprintf("%d.%d%%", share/10, share%10)}
		if now != last {
			last = now
			t.out.send(news{Progress: &now})
		}
	}
}

// stream writes lines of JSON as they come. A page that has gone away is no error.
type stream struct {
	w   http.ResponseWriter
	out *http.ResponseController
}

func (s *stream) send(n news) {
	text, err := json.Marshal(n)
	if err != nil {
		return
	}
	s.w.Write(append(text, '\n'))
	s.out.Flush()
}
