package bench

import (
	"bytes"
	"cmp"
	"encoding/json"
	"net/http"
	"sort"
	"strconv"
	"strings"
	"sync"

	"squab/cmd/squab/internal/page"
	"squab/cmd/squab/internal/print"
	"squab/eval"
	"squab/eval/check"
	"squab/eval/orders"
	"squab/lang/diag"
	"squab/stdlib"
	"squab/stdlib/layout"
)

// trial is an order with other values, by ask.
type trial struct {
	Order  string            `json:"order"`
	Values map[string]string `json:"values"`
}

// news is one line of the answer to a trial: the sheet, how far a layout is, or what is wrong. Done is the last.
type news struct {
	HTML     *string   `json:"html,omitempty"`
	Progress *progress `json:"progress,omitempty"`
	Problems *string   `json:"problems,omitempty"`
	Done     bool      `json:"done,omitempty"`
}

// progress is how far the layout of a material is: Over is how much more it takes than the least that is proved, "3.2%".
type progress struct {
	Material string `json:"material"`
	Over     string `json:"over"`
}

// asked is the work on one trial.
type asked struct {
	state  *state
	server *Server
	order  *check.Order
	stream *stream
}

// try works an order out as if it were so: first with the layout that comes to hand, then with a better one.
func (s *Server) try(w http.ResponseWriter, r *http.Request) {
	t, err := body[trial](w, r)
	if err != nil {
		http.Error(w, err.Error(), http.StatusBadRequest)
		return
	}
	st := s.now()
	order := st.order(t.Order)
	if order == nil {
		http.Error(w, "there is no order "+t.Order, http.StatusNotFound)
		return
	}
	w.Header().Set("Content-Type", "application/x-ndjson")
	a := asked{st, s, order, &stream{w: w, out: http.NewResponseController(w)}}
	a.answer(t.Values)
}

// order finds an order of the house; nil where there is none, or the files could not be read.
func (st *state) order(id string) *check.Order {
	if st.book == nil {
		return nil
	}
	for _, o := range st.book.Program.Orders {
		if o.ID == id {
			return o
		}
	}
	return nil
}

func (a asked) answer(values map[string]string) {
	if text := a.state.unsound(a.order); text != "" {
		a.problems(text)
		return
	}
	for _, v := range settings(values) {
		if strings.TrimSpace(v.Text) == "" {
			a.problems(v.Name + " is left empty: give it a value, or go back to what is kept")
			return
		}
	}
	row := orders.Change(a.state.book.Program, a.order, "the bench", settings(values))
	if len(row.Problems) > 0 {
		a.problems(a.state.told(row.Problems))
		return
	}
	result, ok := a.work(row, 1, nil)
	if !ok {
		return
	}
	if proved(result) {
		a.sheet(result, 1, true)
		return
	}
	a.sheet(result, 1, false)
	if better, ok := a.work(row, a.server.options.effort(), a.progress); ok {
		a.sheet(better, a.server.options.effort(), true)
	}
}

// settings puts values in order, so that problems are told in the same order each time.
func settings(values map[string]string) []orders.Setting {
	all := make([]orders.Setting, 0, len(values))
	for name, text := range values {
		all = append(all, orders.Setting{Name: name, Text: text})
	}
	sort.Slice(all, func(i, j int) bool { return all[i].Name < all[j].Name })
	return all
}

// unsound tells why an order cannot be worked out at all; "" where it can.
func (st *state) unsound(o *check.Order) string {
	switch {
	case !st.book.Program.Sound:
		return st.told(st.book.Problems)
	case o.Bad:
		return st.told(st.book.ProblemsOf(o))
	}
	return ""
}

func (st *state) told(problems []diag.Diagnostic) string {
	return print.Page{}.Problems(st.book.Files, problems)
}

// work works the order out with some effort at its layouts.
func (a asked) work(row orders.Row, effort int64, tell func(*check.Material, layout.Progress)) (*eval.Result, bool) {
	engine := &eval.Engine{Program: a.state.book.Program, Lay: layingWith(effort, tell)}
	result, problems := engine.Work(row.Order, a.server.day(row.Order))
	if len(problems) > 0 || result == nil {
		a.problems(a.state.told(row.Placed(problems)))
		return nil, false
	}
	return result, true
}

func (s *Server) day(o *check.Order) int64 {
	if o.HasDate {
		return o.Date
	}
	return s.options.Today
}

// layingWith lays pieces with some effort, and tells how far it is.
func layingWith(effort int64, tell func(*check.Material, layout.Progress)) eval.LayFunc {
	return func(s eval.Stock, pieces []eval.Piece) (eval.Layout, error) {
		e := layout.Effort{Work: effort, Workers: 1}
		if tell != nil {
			e.Progress = func(p layout.Progress) { tell(s.Material, p) }
		}
		return stdlib.Lay(e)(s, pieces)
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

// keptKey tells the kept results of a state apart.
type keptKey struct {
	order  string
	effort int64
}

// result is the order as its file says, worked out once for each effort; nil where it cannot be.
func (st *state) result(s *Server, o *check.Order, effort int64) *eval.Result {
	st.mu.Lock()
	defer st.mu.Unlock()
	key := keptKey{o.ID, effort}
	if r, known := st.kept[key]; known {
		return r
	}
	engine := &eval.Engine{Program: st.book.Program, Lay: layingWith(effort, nil)}
	r, problems := engine.Work(o, s.day(o))
	if len(problems) > 0 {
		r = nil
	}
	st.kept[key] = r
	return r
}

func (a asked) sheet(r *eval.Result, effort int64, done bool) {
	var b bytes.Buffer
	if err := page.WriteBenchSheet(&b, r, a.state.result(a.server, a.order, effort)); err != nil {
		a.problems(err.Error())
		return
	}
	text := b.String()
	a.stream.send(news{HTML: &text, Done: done})
}

func (a asked) problems(text string) { a.stream.send(news{Problems: &text, Done: true}) }

// progress tells how far a layout is. It comes in steps that only the layout knows, so it is told as a share.
func (a asked) progress(m *check.Material, p layout.Progress) {
	if p.Bound <= 0 {
		return
	}
	over := strconv.FormatFloat(float64(p.Used-p.Bound)/float64(p.Bound)*100, 'f', 1, 64) + "%"
	a.stream.send(news{Progress: &progress{cmp.Or(m.Title, m.Name), over}})
}

// stream writes lines of JSON as they come. A page that has gone away is no error.
type stream struct {
	mu  sync.Mutex
	w   http.ResponseWriter
	out *http.ResponseController
}

func (s *stream) send(n news) {
	s.mu.Lock()
	defer s.mu.Unlock()
	text, err := json.Marshal(n)
	if err != nil {
		return
	}
	s.w.Write(append(text, '\n'))
	s.out.Flush()
}
