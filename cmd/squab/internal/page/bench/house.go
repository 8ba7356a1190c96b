package bench

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"sync"

	"squab/cmd/squab/internal/load"
	"squab/cmd/squab/internal/print"
	"squab/eval"
	"squab/eval/check"
	"squab/lang/diag"
	"squab/stdlib"
)

// house is its files as they were read at one time, and the book that they make. It does not change.
type house struct {
	texts []load.Text
	book  *load.Book // nil where the files could not be read
}

func (o Options) readHouse() (house, error) {
	texts, err := o.read()
	if err != nil {
		return house{}, err
	}
	return o.with(texts, -1, ""), nil
}

func (o Options) read() ([]load.Text, error) { return load.Read(&diag.Files{}, o.Paths, o.load()) }

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

func (o Options) library() *diag.Files {
	files := &diag.Files{}
	stdlib.AddTo(files)
	return files
}

// with gives the house with another text in one file; at -1 the house as it is. Problems name files without their folder, which is the machine's business.
func (o Options) with(texts []load.Text, at int, text string) house {
	files := o.library()
	var all []load.Text
	for i, t := range texts {
		says := t.Source.Text
		if i == at {
			says = text
		}
		all = append(all, load.Text{Path: t.Path, Source: files.Add(base(t), says, diag.House)})
	}
	return house{all, load.Check(files, o.load())}
}

func base(t load.Text) string { return filepath.Base(t.Path) }

// order finds an order of the house; nil where there is none.
func (h house) order(id string) *check.Order {
	if h.book == nil {
		return nil
	}
	for _, o := range h.book.Program.Orders {
		if o.ID == id {
			return o
		}
	}
	return nil
}

// recipe finds a recipe of the house's own, or of the trade library; nil where there is none.
func (h house) recipe(name string) *check.Recipe {
	for _, r := range h.book.Program.Recipes {
		if r.Name == name {
			return r
		}
	}
	return nil
}

// unsound tells why an order cannot be worked out at all; "" where it can.
func (h house) unsound(o *check.Order) string {
	switch {
	case !h.book.Program.Sound:
		return h.told(h.book.Problems)
	case o.Bad:
		return h.told(h.book.ProblemsOf(o))
	}
	return ""
}

// elsewhere tells what is wrong in the files that an order can be worked out without; nil for nothing.
func (h house) elsewhere() *string {
	if h.book.Errors() == 0 {
		return nil
	}
	text := h.told(h.book.Problems)
	return &text
}

func (h house) told(problems []diag.Diagnostic) string {
	return print.Page{}.Problems(h.book.Files, problems)
}

// work works an order out, by the rules of a day where it gives none itself. The error tells its problems in words.
func (h house) work(o *check.Order, today int64, lay eval.LayFunc) (*eval.Result, error) {
	if told := h.unsound(o); told != "" {
		return nil, errors.New(told)
	}
	day := today
	if o.HasDate {
		day = o.Date
	}
	engine := &eval.Engine{Program: h.book.Program, Lay: lay}
	r, problems := engine.Work(o, day)
	if len(problems) > 0 {
		return nil, errors.New(h.told(problems))
	}
	return r, nil
}

// holding finds the one file that holds an order; -1 where none does. The error tells of two, or that a file cannot be read for its problems.
func holding(texts []load.Text, id string) (int, error) {
	found := -1
	var unread error
	for i, t := range texts {
		_, err := findOrder(base(t), t.Source.Text, id)
		switch {
		case errors.Is(err, errNoOrder):
		case err != nil:
			unread = errors.Join(unread, err)
		case found >= 0:
			return 0, fmt.Errorf("two files hold an order %s: %s and %s", id, texts[found].Path, t.Path)
		default:
			found = i
		}
	}
	if found < 0 {
		return -1, unread
	}
	return found, nil
}

// state is the house at one time as the pages are told of it. It does not change, but for what was worked out of it.
type state struct {
	house
	err     error // why the files could not be read
	version string
	last    *state // the last state without an error, where this one has some

	mu   sync.Mutex
	kept map[keptKey]*eval.Result
}

// keptKey tells the results of a state apart.
type keptKey struct {
	order  string
	effort int64
}

func (st *state) sound() bool { return st.err == nil && st.book.Errors() == 0 }

// follow remembers what was good before, where a state is not.
func (st *state) follow(before *state) {
	switch {
	case st.sound():
	case before.sound():
		st.last = before
	default:
		st.last = before.last
	}
}

// shows gives the state of which an order's page is made: this one, or the last without an error where the order cannot be read in this one.
func (st *state) shows(w wish) *state {
	if st.last != nil && !st.reads(w) && st.last.reads(w) {
		return st.last
	}
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
