package bench

import (
	"errors"
	"fmt"
	"path/filepath"

	"squab/cmd/squab/internal/load"
	"squab/cmd/squab/internal/print"
	"squab/eval"
	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
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

func (o Options) library() *diag.Files {
	files := &diag.Files{}
	if o.Library != nil {
		o.Library(files)
	}
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
	if h.book == nil {
		return nil
	}
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

// written is an order where it stands: in the file at a place among the texts.
type written struct {
	at    int
	order *lang.OrderDecl
}

// holding finds where an order is written; its order is nil where it is not. The error tells that it is there twice.
func (h house) holding(id string) (written, error) {
	var found written
	for at, t := range h.texts {
		for _, d := range h.tree(t).Decls {
			o, is := d.(*lang.OrderDecl)
			switch {
			case !is || o.ID.Text != id:
			case found.order != nil:
				return found, fmt.Errorf("the order %s is there twice, in %s and in %s", id, base(h.texts[found.at]), base(t))
			default:
				found = written{at, o}
			}
		}
	}
	return found, nil
}

// tree is a text as it was parsed.
func (h house) tree(t load.Text) *lang.File {
	for _, tree := range h.book.Trees() {
		if tree.Source == t.Source {
			return tree
		}
	}
	return &lang.File{Source: t.Source}
}

// parts gives an order's own text, and those before and behind it in its file.
func (h house) parts(w written) (before, own, behind string) {
	src := h.texts[w.at].Source
	from, to := w.order.At.Start-src.Base, w.order.At.End-src.Base
	return src.Text[:from], src.Text[from:to], src.Text[to:]
}

// lastWithOrders is where a new order goes: behind the last that there is, or else to the end of the last file.
func (h house) lastWithOrders() int {
	for at := len(h.texts) - 1; at >= 0; at-- {
		for _, d := range h.tree(h.texts[at]).Decls {
			if _, is := d.(*lang.OrderDecl); is {
				return at
			}
		}
	}
	return len(h.texts) - 1
}
