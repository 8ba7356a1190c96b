package page

import (
	"cmp"
	"fmt"
	"path/filepath"
	"strconv"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/trace"
	"squab/lang/diag"
)

// Num is a value on a page. Exact and Unit say what other programs are given; Why is nil where nothing is known of how the value came about.
type Num struct {
	ID          string
	Shown       string
	Exact, Unit string
	Why         *Why
	Was         string // what was shown before a change; "" where nothing changed

	inches float64 // of a length, for drawing
}

// Why is one step of a derivation. Same is the id of the place on the page where the step stands in full; From and Notes are then of its own arguments.
type Why struct {
	ID      string
	Name    string
	Shown   string
	Formula string
	Origin  string
	Place   string
	Chosen  string
	Because string
	Source  string
	Where   string // what the formula's names stand for
	Passed  []passedView
	Under   []underView
	Notes   []string
	From    []*Why
	Same    string
}

// passedView is a case, row or amendment that did not take the values, and why.
type passedView struct{ Text, Origin, Where, Why string }

// underView is what the amendment that gave a value lies over, and what that would give; Why says that it gives none.
type underView struct{ Text, Origin, Where, Shown, Because, Source, Why string }

// Opens reports whether there is more to a step than its name and value.
func (w *Why) Opens() bool {
	return w.Same == "" && (w.Formula != "" || w.Because != "" || w.Chosen != "" || len(w.From)+len(w.Notes)+len(w.Passed)+len(w.Under) > 0)
}

// reasons explains the numbers of one order, and gives each derivation on the page its id.
type reasons struct {
	result *eval.Result
	prefix string // keeps the ids of several orders on one page apart
	last   int
	stands map[string]string // where the derivation of a name stands, within the trace that is being written
	full   map[fullKey]string
	depth  int
	said   map[string]Num // every number that was explained, by the name of its derivation
	before map[string]Num // what was said before a change; nil where there is none to compare with
}

// fullKey tells a derivation that already stands in full on the page from any other.
type fullKey struct{ name, shown, place string }

// inPlace is how many levels of a derivation stand where the number is; what lies deeper and stands on the page already is led to.
const inPlace = 2

func newReasons(r *eval.Result, prefix string) *reasons {
	return &reasons{result: r, prefix: prefix, full: map[fullKey]string{}, said: map[string]Num{}}
}

func (r *reasons) plan() *eval.Plan { return r.result.Sheet.Plan }

func (r *reasons) nextID() string {
	r.last++
	return r.prefix + "w" + strconv.Itoa(r.last)
}

// cell explains a cell by its dotted name, or a line of the result, as `squab why` does.
func (r *reasons) cell(name string) Num {
	n, err := trace.Explain(r.result.Sheet, r.result, name)
	if err != nil {
		return Num{Shown: "?", Why: nil}
	}
	return r.num(n)
}

// num takes a trace onto the page.
func (r *reasons) num(n *trace.Node) Num {
	r.stands = map[string]string{}
	out := r.bare(n.Value, n.Type)
	out.Shown = n.Shown
	out.Why = r.why(n)
	out.ID = out.Why.ID
	out.Was = r.was(n.Name, out)
	return out
}

// was notes what a number says, and gives what it said before where that was something else.
func (r *reasons) was(name string, now Num) string {
	r.said[name] = now
	old, known := r.before[name]
	switch {
	case r.before == nil:
		return ""
	case !known:
		return "not there"
	case old.Shown == now.Shown && old.Exact == now.Exact && old.Unit == now.Unit:
		return ""
	}
	return old.Shown
}

// reword shows a number in other words than a trace does.
func (r *reasons) reword(name string, n *Num, shown string) {
	n.Shown = shown
	n.Was = r.was(name, *n)
}

// bare is a value without its derivation.
func (r *reasons) bare(v check.Value, t check.Type) Num {
	n := Num{Shown: r.plan().Show(v, t)}
	if t.Base == check.Quantity {
		n.Exact, n.Unit, _ = r.plan().Program().Style.Exact(v.Num, t.ShownDim())
		n.inches = inches(v.Num)
	}
	return n
}

func (r *reasons) why(n *trace.Node) *Why {
	w := &Why{ID: r.nextID(), Name: n.Name, Shown: n.Shown}
	key := fullKey{n.Name, n.Shown, r.place(n.At)}
	if there := r.full[key]; there != "" && r.depth >= inPlace && n.Role != trace.Argument {
		w.Same, r.stands[n.Name] = there, there
		return w
	}
	if n.Same {
		w.Same = cmp.Or(r.stands[n.Name], r.full[fullKey{name: n.Name, shown: n.Shown}])
		w.Notes, w.From = n.Notes, r.from(n)
		return w
	}
	r.stands[n.Name] = w.ID
	r.fill(w, n, key.place)
	if len(w.From) > 0 && n.Role != trace.Argument {
		r.full[key], r.full[fullKey{name: n.Name, shown: n.Shown}] = w.ID, w.ID
	}
	return w
}

func (r *reasons) fill(w *Why, n *trace.Node, place string) {
	w.Because, w.Source, w.Chosen, w.Where, w.Notes = n.Because, n.Source, n.Chosen, n.Where(), n.Notes
	for _, p := range n.Passed {
		w.Passed = append(w.Passed, passedView{p.Text, r.whose(p.Layer, p.At), p.Where(), p.Why})
	}
	for _, u := range n.Beneath {
		w.Under = append(w.Under, underView{u.Text, r.whose(u.Layer, u.At), u.Where(), u.Shown, u.Because, u.Source, u.Why})
	}
	if n.Formula != n.Shown {
		w.Formula = n.Formula
	}
	w.Origin, w.Place = origin(n), place
	w.From = r.from(n)
}

func (r *reasons) from(n *trace.Node) []*Why {
	r.depth++
	defer func() { r.depth-- }()
	var all []*Why
	for _, from := range n.From {
		all = append(all, r.why(from))
	}
	return all
}

// whose says which layer a formula is of, and where it stands.
func (r *reasons) whose(l diag.Layer, at diag.Span) string {
	if place := r.place(at); place != "" {
		return layerWords[l] + ", " + place
	}
	return ""
}

var layerWords = map[diag.Layer]string{diag.Trade: "trade", diag.House: "house", diag.Order: "this order"}

func (r *reasons) place(at diag.Span) string { return placeText(r.plan().Program().Files, at) }

// placeText tells a place by its file's name and line; the folders that lead there are the machine's own business.
func placeText(files *diag.Files, at diag.Span) string {
	src := files.Source(at.Start)
	if src == nil {
		return ""
	}
	p := src.Place(at.Start)
	name := p.File
	if src.Layer != diag.Trade {
		name = filepath.Base(name)
	}
	return fmt.Sprintf("%s:%d", name, p.Line)
}

// origin says in a word or two who settled a value.
func origin(n *trace.Node) string {
	switch n.Role {
	case trace.Given:
		return "given by the order"
	case trace.Default:
		return "default"
	case trace.ByField:
		return "material"
	case trace.ByRule:
		return layerRule(n.Layer)
	case trace.Worked:
		return "worked out"
	}
	return ""
}

func layerRule(l diag.Layer) string {
	switch l {
	case diag.Trade:
		return "trade rule"
	case diag.House:
		return "house rule"
	}
	return "rule of this order"
}

// made is a step that the page itself makes, of what an order's lines are summed from.
func (r *reasons) made(name string, v check.Value, t check.Type, formula string, from ...*trace.Node) Num {
	n := &trace.Node{Name: name, Role: trace.ByLine, Value: v, Type: t, Shown: r.plan().Show(v, t), Formula: formula}
	for _, f := range from {
		if f != nil {
			n.From = append(n.From, f)
		}
	}
	return r.num(n)
}

// added is a number that the page itself sums or rounds, with what leads to its parts.
func (r *reasons) added(name string, n Num, how string, parts ...*Why) Num {
	n.Why = &Why{ID: r.nextID(), Name: name, Shown: n.Shown, Formula: how, From: parts}
	n.ID = n.Why.ID
	return n
}

// leadingTo leads to a number that stands elsewhere on the page.
func leadingTo(name string, n Num) *Why { return &Why{Name: name, Shown: n.Shown, Same: n.ID} }

// node explains a cell for use inside another derivation; nil where there is no such cell.
func (r *reasons) node(name string) *trace.Node {
	n, err := trace.Explain(r.result.Sheet, r.result, name)
	if err != nil {
		return nil
	}
	return n
}

// field explains a material's field; false where its kind has none of the name, or it is not given.
func (r *reasons) field(m *check.Material, name string) (Num, bool) {
	n := trace.Field(r.result.Sheet, r.result, m, name)
	if n == nil || n.Fault != nil {
		return Num{}, false
	}
	return r.num(n), true
}
