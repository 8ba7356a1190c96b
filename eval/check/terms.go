package check

import (
	"strconv"
	"strings"

	"squab/eval/quantity"
)

// box says which values each term may have, by the term's place; one that is nil or past the end may have any of its domain.
type box []*set

// terms knows the domain of each term that conditions speak of: a parameter, a field, or a formula known by its form alone.
type terms struct {
	c      *checker
	places map[string]int
	domain []set
	sample []Expr
	forms  map[*Cell]string // of the rule's own cells and of the variables of loops
	loops  int              // open while a form is written
	texts  map[string]int64
	work   int // spent on the proof so far
}

func newTerms(c *checker) *terms {
	return &terms{c: c, places: map[string]int{}, forms: map[*Cell]string{}, texts: map[string]int64{}}
}

// The bounds of one proof: beyond them it is given up and said to be too large.
const (
	mostBoxes = 4_096
	mostWork  = 5_000_000
)

func (t *terms) spent() bool { return t.work > mostWork }

// term takes a formula in as a term and gives its place.
func (t *terms) term(e Expr) int {
	key := t.form(e)
	if i, known := t.places[key]; known {
		return i
	}
	i := len(t.domain)
	t.places[key] = i
	t.domain = append(t.domain, t.domainOf(e))
	t.sample = append(t.sample, e)
	return i
}

func (t *terms) of(b box, i int) set {
	if i < len(b) && b[i] != nil {
		return *b[i]
	}
	return t.domain[i]
}

// with gives b with the values of one term narrowed.
func (b box) with(i int, s set) box {
	narrowed := make(box, max(len(b), i+1))
	copy(narrowed, b)
	narrowed[i] = &s
	return narrowed
}

// meets reports whether two boxes share anything.
func (t *terms) meets(a, b box) bool {
	t.work++
	for i, s := range b {
		if s == nil {
			continue
		}
		have := t.of(a, i)
		t.work += len(have.parts) + len(s.parts)
		if !have.meets(*s) {
			return false
		}
	}
	return true
}

// meet gives what two boxes share; false where they are apart.
func (t *terms) meet(a, b box) (box, bool) {
	if !t.meets(a, b) {
		return nil, false
	}
	both := make(box, max(len(a), len(b)))
	copy(both, a)
	for i, s := range b {
		if s != nil {
			shared := t.of(a, i).and(*s)
			both[i] = &shared
		}
	}
	return both, true
}

// carve takes b out of each of boxes.
func (t *terms) carve(boxes []box, b box) []box {
	var left []box
	for _, a := range boxes {
		left = t.carveOne(left, a, b)
	}
	return left
}

// carveOne adds to left, cut off term by term, what of a lies outside b; what remains lies inside and goes.
func (t *terms) carveOne(left []box, a, b box) []box {
	if !t.meets(a, b) {
		return append(left, a)
	}
	rest := a
	for i, s := range b {
		if s == nil {
			continue
		}
		have := t.of(rest, i)
		if outside := have.minus(*s); !outside.empty() {
			left = append(left, rest.with(i, outside))
		}
		rest = rest.with(i, have.and(*s))
	}
	return left
}

// domainOf is every value that a term can have: its kind's, within its declared range.
func (t *terms) domainOf(e Expr) set {
	switch x := e.(type) {
	case *CellRef:
		return t.domainOfCell(x.Cell)
	case *FieldOf:
		return t.domainOfCell(x.Field)
	case *difference:
		return t.domainOf(x.X).lessBy(t.domainOf(x.Y))
	case *Const:
		return exactly(x.t.Whole, t.place(x))
	}
	return t.domainOfType(e.Type())
}

func (t *terms) domainOfType(kind Type) set {
	switch kind.Base {
	case YesNo:
		return wholeFrom(0, 1)
	case ChoiceWord:
		return wholeFrom(0, int64(len(kind.Choice.Words)-1))
	case OfMaterial:
		return t.c.materialsOf(kind.Kind)
	case Text:
		return between(true, edge{}, edge{infinite: true})
	}
	return everything(kind.Whole || kind.Base == Date)
}

func (t *terms) domainOfCell(c *Cell) set {
	s := t.domainOfType(c.Type)
	if k, ok := c.From.(*Const); ok {
		s = s.and(between(s.whole, edge{at: k.Value.Num}, edge{infinite: true}))
	}
	if k, ok := c.To.(*Const); ok {
		s = s.and(between(s.whole, edge{infinite: true}, edge{at: k.Value.Num}))
	}
	return s
}

// materialsOf is the places of the materials of a kind; where there is none yet, any.
func (c *checker) materialsOf(k *Kind) set {
	if s, known := c.kindSets[k]; known {
		return s
	}
	s := set{whole: true}
	for _, m := range c.p.Materials {
		if m.Kind == k {
			s.grow(quantity.Int(int64(m.Index)))
		}
	}
	if s.empty() {
		s = everything(true)
	}
	c.kindSets[k] = s
	return s
}

// grow adds a whole number above all others; where it is the next, it widens the last interval.
func (s *set) grow(n quantity.Number) {
	if last := len(s.parts) - 1; last >= 0 && s.parts[last].hi.at.Add(quantity.Int(1)).Equal(n) {
		s.parts[last].hi.at = n
		return
	}
	s.add(interval{edge{at: n}, edge{at: n}})
}

// place is the number that stands for a fixed value among the values of its kind: a material's place, one of its own for each text.
func (t *terms) place(k *Const) quantity.Number {
	switch k.t.Base {
	case OfMaterial:
		return quantity.Int(int64(k.Value.Material().Index))
	case Text:
		n, known := t.texts[k.Value.Text()]
		if !known {
			n = int64(len(t.texts)) + 1
			t.texts[k.Value.Text()] = n
		}
		return quantity.Int(n)
	}
	return k.Value.Num
}

// longestForm is how long a form may be before a rule's own cell is known by its name alone: written out, forms may double with each cell.
const longestForm = 256

// form writes the shape of a formula, so that the same formula is known again: parameters by place, whatever an amendment calls them. No rule's name is
// like the front of another form: a name is one word, and none of the language's own.
func (t *terms) form(e Expr) string {
	switch e := e.(type) {
	case nil:
		return ""
	case *CellRef:
		return t.cellForm(e)
	case *FieldOf:
		return t.form(e.X) + "." + e.Field.Name
	case *ItemOf:
		return t.form(e.X) + "." + e.Name
	case *Const:
		return constForm(e)
	case *Binary:
		return "(" + t.form(e.X) + " " + string(e.Op) + " " + t.form(e.Y) + ")"
	case *difference:
		return t.form(e.X) + " less " + t.form(e.Y)
	case *Unary:
		return [...]string{Minus: "-", Not: "not"}[e.Op] + t.formsOf(e.X)
	case *Rounded:
		return string(e.Way) + t.formsOf(e.X, e.Step)
	case *RuleCall:
		return e.Rule.Name + t.formsOf(e.Args...)
	case *FuncCall:
		return string(e.Func) + t.formsOf(e.Args...)
	}
	return t.otherForm(e)
}

// otherForm is for formulas that are lists, texts or choices between two.
func (t *terms) otherForm(e Expr) string {
	switch e := e.(type) {
	case *If:
		return "if" + t.formsOf(e.Cond, e.Then, e.Else)
	case *Index:
		return "item of" + t.formsOf(e.X, e.I)
	case *ListOf:
		return "list of" + t.formsOf(e.Items...)
	case *ForEach:
		return t.eachForm(e)
	case *TextOf:
		return t.textForm(e)
	}
	return ""
}

// eachForm writes what each item becomes. Its variables are known by how many loops are open where they begin, whatever they
// are called; the form says so, since that of a rule's own cell may be written out under other loops than it was made under.
func (t *terms) eachForm(e *ForEach) string {
	s := "for each"
	for _, l := range e.Loops {
		name := "var" + strconv.Itoa(t.loops)
		t.forms[l.Var] = name
		s += " " + name
		t.loops++
	}
	s += t.formsOf(Children(e)...)
	t.loops -= len(e.Loops)
	return s
}

func (t *terms) cellForm(ref *CellRef) string {
	if known, ok := t.forms[ref.Cell]; ok {
		return known
	}
	name := "cell" + strconv.Itoa(int(ref.In)) + "." + strconv.Itoa(ref.Cell.Index)
	if !isLocal(ref) {
		return name
	}
	f := t.form(ref.Cell.Expr)
	if len(f) > longestForm {
		f = name + " at " + strconv.Itoa(int(ref.Cell.At.Start)) // two amendments' cells may lie at one place of the frame
	}
	t.forms[ref.Cell] = f
	return f
}

func (t *terms) textForm(e *TextOf) string {
	s := "text of"
	for _, p := range e.Parts {
		s += strconv.Quote(p.Plain) + t.formsOf(p.Hole)
	}
	return s
}

func constForm(k *Const) string {
	switch k.t.Base {
	case OfMaterial:
		return "material " + k.Value.Material().Name
	case Text:
		return strconv.Quote(k.Value.Text())
	}
	return k.Value.Num.String()
}

func (t *terms) formsOf(all ...Expr) string {
	parts := make([]string, len(all))
	for i, e := range all {
		parts[i] = t.form(e)
	}
	return "(" + strings.Join(parts, ", ") + ")"
}
