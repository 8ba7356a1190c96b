package bench

import (
	"bytes"
	"math"
	"net/http"
	"strconv"

	"squab/cmd/squab/internal/page"
	"squab/eval/check"
)

// page answers with the live page of an order, the first where none is asked for.
func (s *Server) page(w http.ResponseWriter, r *http.Request) {
	now, wanted := s.now(), asked(r)
	if wanted.Order == "" && wanted.Recipe == "" {
		wanted.Order = now.first()
	}
	st := now.shows(wanted)
	if st.book == nil {
		http.Error(w, "the files cannot be read: "+st.err.Error(), http.StatusServiceUnavailable)
		return
	}
	p := s.pageOf(st, wanted)
	p.Key, p.Version = s.Key, oneLine(now.version)
	var b bytes.Buffer
	if err := page.WriteBench(&b, p); err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Write(b.Bytes())
}

// asked is what a page's address names: an order, or a recipe of which a new one is to be.
func asked(r *http.Request) wish {
	return wish{Order: r.FormValue("order"), Recipe: r.FormValue("new")}
}

// said is what the files say of an order now, as parts of its page; both are empty where the files cannot be followed.
type said struct {
	Version string `json:"version"`
	Fields  string `json:"fields,omitempty"`
	Orders  string `json:"orders,omitempty"`
}

// order tells what the files say of an order now.
func (s *Server) order(w http.ResponseWriter, r *http.Request) {
	st := s.now().state
	out := said{Version: oneLine(st.version)}
	if st.reads(asked(r)) {
		if err := out.parts(s.pageOf(st, asked(r))); err != nil {
			http.Error(w, err.Error(), http.StatusInternalServerError)
			return
		}
	}
	answer(w, http.StatusOK, out)
}

func (out *said) parts(p page.BenchPage) error {
	var fields, orders bytes.Buffer
	if err := page.WriteBenchFields(&fields, p); err != nil {
		return err
	}
	if err := page.WriteBenchOrders(&orders, p); err != nil {
		return err
	}
	out.Fields, out.Orders = fields.String(), orders.String()
	return nil
}

// pageOf is the page of an order, or of a new one of a recipe.
func (s *Server) pageOf(st *state, w wish) page.BenchPage {
	p := page.BenchPage{Shop: st.book.Program.Title}
	chosen := st.order(w.Order)
	if recipe := st.recipe(w.Recipe); recipe != nil {
		chosen = &check.Order{ID: st.freeID(), Recipe: recipe}
		p.Recipe = recipe.Name
		p.Into = base(st.texts[st.lastWithOrders()])
	}
	for _, o := range st.book.Program.Orders {
		p.Orders = append(p.Orders, page.BenchOption{Value: o.ID, Words: page.OrderHeading(o), IsChosen: o == chosen})
	}
	p.Recipes = st.recipes(p.Recipe)
	if chosen != nil {
		p.Order, p.Heading, p.Fields = chosen.ID, page.OrderHeading(chosen), s.fields(st, chosen)
	}
	if p.Recipe != "" {
		p.Heading = "New order"
	}
	return p
}

// recipes lists the recipes that a new order may be of.
func (st *state) recipes(chosen string) []page.BenchOption {
	var all []page.BenchOption
	for _, r := range st.book.Program.Recipes {
		all = append(all, page.BenchOption{Value: r.Name, Words: page.RecipeTitle(r), IsChosen: r.Name == chosen})
	}
	return all
}

// freeID is the number after the greatest that an order has.
func (st *state) freeID() string {
	most := 0
	for _, o := range st.book.Program.Orders {
		if n, err := strconv.Atoi(o.ID); err == nil && n < math.MaxInt32 {
			most = max(most, n)
		}
	}
	return strconv.Itoa(most + 1)
}
