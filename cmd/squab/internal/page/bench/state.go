package bench

import (
	"slices"
	"sync"

	"squab/cmd/squab/internal/load"
	"squab/eval"
)

// state is the house at one time as the pages are told of it. It does not change, but for what was worked out of it.
type state struct {
	house
	err     error // why the files could not be read
	version string

	mu   sync.Mutex
	kept map[keptKey]*eval.Result
}

// keptKey tells the results of a state apart.
type keptKey struct {
	order         string
	today, effort int64
}

func (st *state) sound() bool { return st.err == nil && st.book.Errors() == 0 }

// sayStill reports whether the files hold what they held when a state was read.
func (o Options) sayStill(st *state) bool {
	texts, err := o.read()
	return err == nil && st.err == nil && slices.EqualFunc(texts, st.texts, func(a, b load.Text) bool {
		return a.Path == b.Path && a.Source.Text == b.Source.Text
	})
}

func (o Options) readState() *state {
	st := &state{kept: map[keptKey]*eval.Result{}}
	if st.house, st.err = o.readHouse(); st.err != nil {
		st.version = "unreadable: " + st.err.Error()
		return st
	}
	st.version = st.book.Fingerprint
	return st
}

// reads reports whether an order, or the recipe of a new one, is there to be worked out.
func (st *state) reads(w wish) bool {
	if st.book == nil || !st.book.Program.Sound {
		return false
	}
	o := st.order(w.Order)
	return st.recipeOf(w) != nil && (w.Recipe != "" || !o.Bad)
}

// view is the state that holds, and the last states of before that had no error, the newest first.
type view struct {
	*state
	before []*state
}

// pastMost is how many states are remembered: more than one, since an editor may empty a file before it writes it.
const pastMost = 4

func (v view) followed(by *state) view {
	before := v.before
	if v.sound() {
		before = append([]*state{v.state}, v.before...)
	}
	return view{by, before[:min(len(before), pastMost)]}
}

// all lists the states, the newest first.
func (v view) all() []*state { return append([]*state{v.state}, v.before...) }

// shows gives the state of which an order's page is made: that which holds, or the last in which the order can be read.
func (v view) shows(w wish) *state {
	for _, st := range v.all() {
		if st.reads(w) {
			return st
		}
	}
	return v.state
}

// first is the number of the first order that there is, or was when the files could last be read.
func (v view) first() string {
	for _, st := range v.all() {
		if st.book != nil && len(st.book.Program.Orders) > 0 {
			return st.book.Program.Orders[0].ID
		}
	}
	return ""
}
