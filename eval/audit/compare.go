package audit

import (
	"slices"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang"
	"squab/lang/diag"
)

// Change is one fact of an order that differs, with the smallest set of changes of the book that makes it so: none can be left out of it, and no smaller
// set does as well among those that mostSets lets be tried.
type Change struct {
	Order    string
	Name     string
	Old, New *Fact // nil where it is only in the other
	Causes   []Cause
}

// Cause is one change of a book: a rule's case, a table's row, a material's field, an order's ask, a line of a recipe.
type Cause struct {
	Label    string
	Old, New diag.Span // zero where it was put in or taken out
}

// Comparison is what came of comparing two books over the same orders.
type Comparison struct {
	Before, After *check.Program
	Changes       []Change
	Orders        int // worked out on both sides
	Refused       int // of those, refused on both
	Added         []string
	Removed       []string
	Totals        []Total // over the orders that both sides can make
}

// Total is what some facts of one name come to over all orders: a material bought, the time of a task, a line of the price.
type Total struct {
	Name     string
	Type     check.Type
	Old, New quantity.Number
}

// comparer works mixed books out, each once.
type comparer struct {
	run    Runner
	before Book
	pairs  *pairing
	mixed  map[string]*mixed
}

type mixed struct {
	engine *eval.Engine
	orders map[string]*check.Order
	facts  map[string][]Fact
}

// Compare works the orders of two books out in both, and finds for each difference the smallest set of changes that explains it: applied alone to the
// old book they make the difference, and one left out of them does not. The problems are those of the two books.
func Compare(before, after Book, run Runner) (Comparison, []diag.Diagnostic) {
	var out Comparison
	var problems, more []diag.Diagnostic
	out.Before, problems = before.Program()
	out.After, more = after.Program()
	problems = append(problems, more...)
	if !out.Before.Sound || !out.After.Sound {
		return out, problems
	}
	run.Lay = remembered(run.Lay)
	before, after = level(before, after)
	c := &comparer{run: run, before: before, pairs: pair(before, after), mixed: map[string]*mixed{}}
	old, new := c.all(false), c.all(true)
	for _, id := range orderIDs(run.orders(out.Before), run.orders(out.After)) {
		c.order(&out, id, old, new)
	}
	return out, problems
}

// orderIDs lists the orders of both books, the old book's order first.
func orderIDs(before, after []*check.Order) []string {
	var ids []string
	seen := map[string]bool{}
	for _, o := range append(slices.Clone(before), after...) {
		if !seen[o.ID] {
			seen[o.ID] = true
			ids = append(ids, o.ID)
		}
	}
	return ids
}

func (c *comparer) all(on bool) mask {
	m := make(mask, len(c.pairs.atoms))
	for i := range m {
		m[i] = on
	}
	return m
}

// book gives the engine of a mixed book; nil where the mixture does not check.
func (c *comparer) book(m mask) *mixed {
	key := m.key()
	if have, ok := c.mixed[key]; ok {
		return have
	}
	program, _ := c.before.with(c.pairs.mix(m)).Program()
	var made *mixed
	if program.Sound {
		made = &mixed{engine: &eval.Engine{Program: program, Lay: c.run.Lay}, orders: map[string]*check.Order{}, facts: map[string][]Fact{}}
		for _, o := range c.run.orders(program) {
			made.orders[o.ID] = o
		}
	}
	c.mixed[key] = made
	return made
}

// facts gives what an order comes to in a mixed book; false where there is no such order, or the mixture does not check.
func (c *comparer) facts(m mask, id string) ([]Fact, bool) {
	b := c.book(m)
	if b == nil || b.orders[id] == nil {
		return nil, false
	}
	if have, ok := b.facts[id]; ok {
		return have, true
	}
	r, problems := c.run.run(b.engine, b.orders[id])
	var why []string
	for _, p := range problems {
		why = append(why, p.Message)
	}
	facts := Facts(r, why)
	b.facts[id] = facts
	return facts, true
}

// order compares one order and adds what changed.
func (c *comparer) order(out *Comparison, id string, old, new mask) {
	before, had := c.facts(old, id)
	after, has := c.facts(new, id)
	switch {
	case !had && has:
		out.Added = append(out.Added, id)
	case had && !has:
		out.Removed = append(out.Removed, id)
	case had && has:
		c.compare(out, id, before, after)
	}
}

// compare tells in what an order that is in both books differs.
func (c *comparer) compare(out *Comparison, id string, before, after []Fact) {
	out.Orders++
	if refused(before) && refused(after) {
		out.Refused++
	}
	out.addTotals(before, after)
	names := differing(before, after)
	if len(names) == 0 {
		return
	}
	was, is := byName(before), byName(after)
	enough := c.minimal(c.all(true), id, names, is)
	for _, name := range names {
		least := c.smallest(c.minimal(enough, id, []string{name}, is), id, []string{name}, is)
		out.Changes = append(out.Changes, Change{Order: id, Name: name, Old: find(was, name), New: find(is, name), Causes: c.causes(least)})
	}
}

// addTotals adds the facts of an order that both sides can make.
func (out *Comparison) addTotals(before, after []Fact) {
	if refused(before) || refused(after) {
		return
	}
	for _, f := range before {
		if t := out.total(f); t != nil {
			t.Old = t.Old.Add(f.Value.Num)
		}
	}
	for _, f := range after {
		if t := out.total(f); t != nil {
			t.New = t.New.Add(f.Value.Num)
		}
	}
}

// total finds what a fact is added to; nil for one that is not added up.
func (out *Comparison) total(f Fact) *Total {
	if f.Type.Base != check.Quantity || !AddsUp(f.Name, f.Type.Dim == quantity.MoneyDim) {
		return nil
	}
	for i := range out.Totals {
		if t := &out.Totals[i]; t.Name == f.Name && t.Type.Dim == f.Type.Dim {
			return t
		}
	}
	out.Totals = append(out.Totals, Total{Name: f.Name, Type: f.Type})
	return &out.Totals[len(out.Totals)-1]
}

func refused(facts []Fact) bool { return len(facts) > 0 && facts[0].Name == Refused }

func find(facts map[string]Fact, name string) *Fact {
	if f, ok := facts[name]; ok {
		return &f
	}
	return nil
}

// differing lists the facts that are not the same on both sides.
func differing(before, after []Fact) []string {
	was, is := byName(before), byName(after)
	var names []string
	for _, f := range before {
		if g, ok := is[f.Name]; !ok || !g.Value.Equal(f.Value) {
			names = append(names, f.Name)
		}
	}
	for _, f := range after {
		if _, ok := was[f.Name]; !ok {
			names = append(names, f.Name)
		}
	}
	return names
}

// reproduces reports whether in a mixed book the named facts of an order are as in the new one.
func (c *comparer) reproduces(m mask, id string, names []string, is map[string]Fact) bool {
	facts, ok := c.facts(m, id)
	if !ok {
		return false
	}
	have := byName(facts)
	for _, name := range names {
		got, ok := have[name]
		want, wanted := is[name]
		if ok != wanted || ok && !got.Value.Equal(want.Value) {
			return false
		}
	}
	return true
}

// minimal leaves changes out, whole declarations first, as long as the facts come out as in the new book; what is left cannot be made smaller by one.
func (c *comparer) minimal(from mask, id string, names []string, is map[string]Fact) mask {
	m := slices.Clone(from)
	for {
		smaller := c.shrink(m, id, names, is)
		if slices.Equal(smaller, m) {
			return m
		}
		m = smaller
	}
}

func (c *comparer) shrink(m mask, id string, names []string, is map[string]Fact) mask {
	for _, key := range c.pairs.keys {
		m = c.leaveOut(m, c.pairs.at[key], id, names, is)
	}
	for i := range m {
		m = c.leaveOut(m, []int{i}, id, names, is)
	}
	return m
}

// leaveOut gives the mask without some changes if the facts still come out.
func (c *comparer) leaveOut(m mask, atoms []int, id string, names []string, is map[string]Fact) mask {
	less := slices.Clone(m)
	for _, i := range atoms {
		less[i] = false
	}
	if slices.Equal(less, m) || !c.reproduces(less, id, names, is) {
		return m
	}
	return less
}

// mostSets is how many sets of changes of one size are tried for being enough; the sizes of one are always tried, and of two among sixty changes.
const mostSets = 2_000

// smallest gives a set of fewer changes that is enough, where there is one; otherwise the set that is known to be.
func (c *comparer) smallest(known mask, id string, names []string, is map[string]Fact) mask {
	for size := 1; size < known.count(); size++ {
		if chooses(len(known), size) > mostSets && size > 1 {
			return known
		}
		if found := c.ofSize(c.all(false), 0, size, id, names, is); found != nil {
			return found
		}
	}
	return known
}

// ofSize tries every set that adds so many of the changes from the first on to those given; nil where none is enough.
func (c *comparer) ofSize(given mask, first, size int, id string, names []string, is map[string]Fact) mask {
	if size == 0 {
		if c.reproduces(given, id, names, is) {
			return slices.Clone(given)
		}
		return nil
	}
	for i := first; i <= len(given)-size; i++ {
		given[i] = true
		found := c.ofSize(given, i+1, size-1, id, names, is)
		given[i] = false
		if found != nil {
			return found
		}
	}
	return nil
}

// chooses is how many sets of a size there are of so many things, or more than mostSets.
func chooses(of, size int) int {
	n := 1
	for i := range size {
		n = n * (of - i) / (i + 1)
		if n > mostSets*size {
			return n
		}
	}
	return n
}

func (c *comparer) causes(m mask) []Cause {
	var all []Cause
	for i, on := range m {
		if on {
			a := c.pairs.atoms[i]
			all = append(all, Cause{a.label, spanOf(a.old), spanOf(a.new)})
		}
	}
	return all
}

func spanOf(n lang.Node) diag.Span {
	if n == nil {
		return diag.Span{}
	}
	return n.Span()
}

// On gives a book as its rules stood on a day: amendments out of their time are gone, and those in it do not end. Two such books compared tell what
// the days between them changed; work them out on the later day.
func (b Book) On(day lang.DateLit) Book {
	var decls []lang.Decl
	for _, d := range b.decls() {
		if kept := heldOn(d, day); kept != nil {
			decls = append(decls, kept)
		}
	}
	return b.with(decls)
}

func heldOn(d lang.Decl, day lang.DateLit) lang.Decl {
	var window *lang.Window
	switch was := d.(type) {
	case *lang.AmendDecl:
		made := *was
		d, window = &made, &made.Window
	case *lang.TableDecl:
		made := *was
		d, window = &made, &made.Window
	case *lang.MaterialDecl:
		made := *was
		d, window = &made, &made.Window
	default:
		return d
	}
	if !holds(*window, day) {
		return nil
	}
	window.Until = nil
	return d
}

func holds(w lang.Window, day lang.DateLit) bool {
	if w.From != nil && earlier(day, *w.From) {
		return false
	}
	return w.Until == nil || earlier(day, *w.Until)
}

func earlier(a, b lang.DateLit) bool {
	if a.Year != b.Year {
		return a.Year < b.Year
	}
	if a.Month != b.Month {
		return a.Month < b.Month
	}
	return a.Day < b.Day
}
