// Package trace answers why a number came out as it did. Nothing is logged while an order is worked out: a trace is built, when it is asked for,
// from the checked program and the values that the sheet holds.
package trace

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"squab/eval"
	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
)

// Node is one value and where it came from.
type Node struct {
	Name    string // the cell, rule with its arguments, or field; "" for the item of a list inside another node
	Role    Role
	Value   check.Value
	Type    check.Type
	Shown   string    // the value as the page shows it
	Formula string    // as written; "" where the value was given
	At      diag.Span // of the formula or the literal
	Layer   diag.Layer
	Because string
	Source  string
	Chosen  string // the case or row that gave the value, as written
	Args    []Arg  // what the formula's parameters or loop variables stand for
	Passed  []Passed
	Beneath []Under  // what the amendment that gave the value lies over, topmost first
	Notes   []string // roundings with what they lost, bounds, branches taken
	From    []*Node
	Same    bool // its derivation stands elsewhere in the trace, under the same name; From and Notes are then of its own arguments alone
	Fault   *eval.Fault
}

// Role says how a value came to be.
type Role string

// The roles.
const (
	Worked   Role = "worked out"
	Given    Role = "given by the order"
	Default  Role = "default"
	ByRule   Role = "rule"
	ByField  Role = "material"
	Argument Role = "argument"
	ByLine   Role = "line"
)

// Arg is a parameter of a rule, or the variable of a loop, with the value that it has in a formula.
type Arg struct {
	Name  string
	Value check.Value
	Type  check.Type
	Shown string
}

// Under is what a value would be by what lies beneath an amendment, and why; or why that takes no part. Value and Type are set where Why is empty.
// Args are the parameters that it calls by other names than the chosen one does.
type Under struct {
	Text    string // its formula as written
	Args    []Arg
	Value   check.Value
	Type    check.Type
	Shown   string
	Because string
	Source  string
	Why     string // why it gives no value here
	At      diag.Span
	Layer   diag.Layer
}

// Passed is a case, row or amendment that lay over the chosen one and did not take these values, and why.
// Args are the parameters that it calls by other names than the chosen one does.
type Passed struct {
	Text  string
	Why   string
	Args  []Arg
	At    diag.Span
	Layer diag.Layer
}

// Explain traces a cell of a filled sheet: a cell's dotted name, an item of a list and its parts ("buttons[3].x"), a rule that takes nothing, a field
// of a material or of an ask that is one ("harbour_tweed.price", "pad.thick"), or, where the order's result is given, a line of it ("buy.NAME", "work.NAME",
// "price.NAME", "layout.NAME.used"). The error names what is near.
func Explain(s *eval.Sheet, r *eval.Result, name string) (*Node, error) {
	t := newTracer(s, r)
	if n := t.line(name); n != nil {
		return n, nil
	}
	front, path, err := split(name)
	if err != nil {
		return nil, err
	}
	slot := s.Plan.Slot(front)
	if slot >= 0 && len(path) == 0 {
		return t.slot(slot), nil
	}
	if n := t.bookNode(name); slot < 0 && n != nil {
		return n, nil
	}
	if slot < 0 {
		slot, path = t.longest(name)
	}
	if slot < 0 {
		return nil, t.unknown(name)
	}
	return t.item(slot, name, path)
}

// Formula traces a formula of the order's recipe that is no cell of its own, such as one inside a step's text. home is the first slot of the part of the
// recipe in which it stands, 0 for the recipe itself.
func Formula(s *eval.Sheet, r *eval.Result, home int, e check.Expr) *Node {
	t, sc := newTracer(s, r), s.Scope(home)
	if n := t.named(e, sc); n != nil {
		return n
	}
	v, _ := sc.Eval(e)
	n := t.node(t.text(e.Span()), Worked, v, e.Type())
	n.At, n.Layer, n.Formula = e.Span(), t.layer(e.Span()), t.text(e.Span())
	t.operands(n, e, sc)
	return n
}

// named traces a formula that is one name: a cell, a rule, a field; nil for any other.
func (t *tracer) named(e check.Expr, sc eval.Scope) *Node {
	switch e := e.(type) {
	case *check.CellRef:
		return t.cell(e, sc)
	case *check.RuleCall:
		return t.call(e, sc)
	case *check.FieldOf:
		return t.field(e, sc)
	}
	return nil
}

// Field traces a field of a material; nil where its kind has none of that name.
func Field(s *eval.Sheet, r *eval.Result, m *check.Material, name string) *Node {
	f := m.Kind.Field(name)
	if f == nil {
		return nil
	}
	return newTracer(s, r).fieldNode(m, f.Index)
}

func newTracer(s *eval.Sheet, r *eval.Result) *tracer {
	return &tracer{s: s, r: r, p: s.Plan, files: s.Plan.Program().Files, seen: map[string]bool{}}
}

// bookNode traces what the book names for every order: a rule that takes nothing, a material's field; nil where there is none of that name.
func (t *tracer) bookNode(name string) *Node {
	if n := t.rule(name); n != nil {
		return n
	}
	front, field, _ := strings.Cut(name, ".")
	m := t.p.Program().Material(front)
	if m == nil || m.Kind.Field(field) == nil {
		return nil
	}
	return t.fieldNode(m, m.Kind.Field(field).Index)
}

// rule traces a rule that takes nothing; nil where there is none of that name.
func (t *tracer) rule(name string) *Node {
	r := t.p.Program().Rule(name)
	if r == nil || len(r.Params) > 0 {
		return nil
	}
	return t.call(check.CallOf(r), t.s.Scope(0))
}

// tracer builds one trace.
type tracer struct {
	s     *eval.Sheet
	r     *eval.Result
	p     *eval.Plan
	files *diag.Files
	seen  map[string]bool
}

func (t *tracer) unknown(name string) error {
	if r := t.p.Program().Rule(name); r != nil {
		return fmt.Errorf("%s is a rule of %s: ask what it gives for some, as '%s(%s)'", name, listed(r), name, listed(r))
	}
	if laid := t.layoutNames(); strings.HasPrefix(name, "layout.") && len(laid) > 0 {
		return fmt.Errorf("there is no layout called %s: the order has %s", name, strings.Join(laid, ", "))
	}
	if near := check.Nearest(name, t.known()); near != "" {
		return fmt.Errorf("there is no cell called %s; did you mean %s?", name, near)
	}
	return fmt.Errorf("there is no cell called %s", name)
}

// listed writes the names of a rule's parameters.
func listed(r *check.Rule) string {
	names := make([]string, len(r.Params))
	for i, p := range r.Params {
		names[i] = p.Name
	}
	return strings.Join(names, ", ")
}

// known lists what can be asked for by name.
func (t *tracer) known() []string {
	var all []string
	for _, s := range t.p.Slots {
		if s.Cell.Role != check.HiddenCell {
			all = append(all, s.Name)
		}
		if s.Cell.Type.Base == check.OfMaterial {
			all = append(all, fieldNames(s.Name, s.Cell.Type.Kind)...)
		}
	}
	for _, r := range t.p.Program().Rules {
		if len(r.Params) == 0 {
			all = append(all, r.Name)
		}
	}
	for _, m := range t.p.Program().Materials {
		all = append(all, fieldNames(m.Name, m.Kind)...)
	}
	return append(append(all, t.lineNames()...), t.layoutNames()...)
}

func fieldNames(front string, k *check.Kind) []string {
	if k == nil {
		return nil
	}
	names := make([]string, len(k.Fields))
	for i, f := range k.Fields {
		names[i] = front + "." + f.Name
	}
	return names
}

// longest finds the longest front of a dotted name that is a cell; the rest leads to parts of its value.
func (t *tracer) longest(name string) (int, []selector) {
	for i := len(name) - 1; i > 0; i-- {
		if name[i] != '.' && name[i] != '[' {
			continue
		}
		slot := t.p.Slot(name[:i])
		if slot < 0 {
			continue
		}
		if path, err := selectors(name[i:]); err == nil {
			return slot, path
		}
	}
	return -1, nil
}

// selector picks an item of a list (index, from 1) or a part of a size or point (field).
type selector struct {
	index int
	field string
}

func split(name string) (string, []selector, error) {
	i := strings.IndexByte(name, '[')
	if i < 0 {
		return name, nil, nil
	}
	path, err := selectors(name[i:])
	return name[:i], path, err
}

// oneSelector is the first of the selectors in a text: a part's name or an item's place.
var oneSelector = regexp.MustCompile(`^(?:\.([^.\[]+)|\[([^\]]*)\])`)

func selectors(s string) ([]selector, error) {
	var all []selector
	for s != "" {
		m := oneSelector.FindStringSubmatch(s)
		if m == nil {
			return nil, fmt.Errorf("an item of a list is asked for so: buttons[3].x")
		}
		sel := selector{field: m[1]}
		if sel.field == "" {
			n, err := strconv.Atoi(m[2])
			if err != nil || n < 1 {
				return nil, fmt.Errorf("%s is no place in a list: items are counted from 1", m[0])
			}
			sel.index = n
		}
		all = append(all, sel)
		s = s[len(m[0]):]
	}
	return all, nil
}

// node makes a node for a value.
func (t *tracer) node(name string, role Role, v check.Value, kind check.Type) *Node {
	n := &Node{Name: name, Role: role, Value: v, Type: kind, Fault: eval.FaultOf(v)}
	if n.Fault != nil {
		n.Shown = "cannot be worked out: " + n.Fault.Message
		return n
	}
	n.Shown = t.p.Show(v, kind)
	if !v.Num.Exact() {
		n.Notes = append(n.Notes, fmt.Sprintf("approximate: known to %d decimal places", places(v.Num.Within())))
	}
	return n
}

// once reports whether a derivation is new to the trace; if not, the node only points back.
func (t *tracer) once(key string, n *Node) bool {
	if t.seen[key] {
		n.Same = true
		return false
	}
	t.seen[key] = true
	return true
}

// slot traces a cell.
func (t *tracer) slot(i int) *Node {
	s := t.p.Slots[i]
	v, _ := t.s.Value(i)
	n := t.node(s.Name, Worked, v, s.Cell.Type)
	if t.once("slot "+s.Name, n) && !t.sums(n, s.Name) {
		t.derive(n, i)
	}
	return n
}

// derive tells what settled a cell: the order, the charges of the price, or the cell's own formula.
func (t *tracer) derive(n *Node, i int) {
	s, given := t.p.Slots[i], t.s.Given(i)
	switch {
	case given != nil:
		t.fill(n, given, Given, t.s.Scope(0))
		n.Layer = max(n.Layer, diag.Order)
	case s.Formula == nil:
		t.ofOrder(n, givenFor(t.s, i))
	case s.Name == "price.total":
		t.total(n, s.Formula, t.s.Scope(s.Home))
	case s.Cell.Role == check.AskCell && !s.Outer:
		t.fill(n, s.Formula, Default, t.s.Scope(s.Home))
	default:
		t.fill(n, s.Formula, Worked, t.s.Scope(s.Home))
	}
}

// ofOrder tells of what an order says of itself: how many it makes, by a formula or without saying so, and its date.
func (t *tracer) ofOrder(n *Node, e check.Expr) {
	n.Role, n.Layer = Given, diag.Order
	switch {
	case e != nil:
		n.At, n.Formula = e.Span(), t.text(e.Span())
		t.operands(n, e, t.s.Scope(0))
	case t.s.Order != nil:
		n.At = t.s.Order.At
	}
}

// fill tells of a cell's formula.
func (t *tracer) fill(n *Node, cell *check.Cell, role Role, sc eval.Scope) {
	n.Role, n.At, n.Because, n.Source = role, cell.At, cell.Why.Because, cell.Why.Source
	if cell.Source != nil {
		n.At = unwrap(cell.Source).Span()
		n.Formula = t.text(n.At)
	}
	if cell.Source == nil || partOfSize(cell) {
		n.Formula = t.unwritten(cell.Expr)
	}
	n.Layer = t.layer(n.At)
	t.operands(n, cell.Expr, sc)
}

// partOfSize reports whether a cell is the width or the depth of a size that is one formula: what is written is then the whole size.
func partOfSize(cell *check.Cell) bool {
	_, isPart := cell.Expr.(*check.ItemOf)
	_, isWritten := unwrap(cell.Source).(*lang.Field)
	return isPart && !isWritten
}

// unwritten gives the formula of a cell that is not written as one: the usual rate, how many of a part.
func (t *tracer) unwritten(e check.Expr) string {
	switch e := e.(type) {
	case *check.RuleCall:
		return e.Rule.Name
	case *check.CellRef:
		return e.Cell.Name
	case *check.ItemOf:
		return t.unwritten(e.X) + "." + e.Name
	case *check.Binary:
		return t.unwritten(e.X) + " " + string(e.Op) + " (" + t.text(e.Y.Span()) + ")"
	}
	return ""
}

func (t *tracer) layer(at diag.Span) diag.Layer {
	if src := t.files.Source(at.Start); src != nil {
		return src.Layer
	}
	return diag.Order
}

// unwrap looks through the brackets round a whole formula.
func unwrap(e lang.Expr) lang.Expr {
	for {
		p, ok := e.(*lang.Paren)
		if !ok {
			return e
		}
		e = p.X
	}
}

// text gives source text on one line.
func (t *tracer) text(at diag.Span) string {
	return strings.Join(strings.Fields(t.files.Text(at)), " ")
}
