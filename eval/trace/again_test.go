package trace_test

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/eval/trace"
	"squab/lang"
	"squab/lang/diag"
)

// again works each node of a trace out again from what the trace itself says: its formula as text, with its operands' values put in as text.
type again struct {
	program *check.Program
	sheet   *eval.Sheet // of no recipe, on the order's day: it knows rules and materials only
	node    *trace.Node
	above   []*trace.Node // every node of the trace
	known   map[string]answer
	fronts  map[string]string // what stands before a cell's own name: its part's
	loops   map[string]bool   // the variables of the for each that is being written
	loose   bool              // names that are no operands may stand: they are worked out by the book
}

type answer struct {
	value check.Value
	err   error
}

func newAgain(s *eval.Sheet) *again {
	e := &eval.Engine{Program: s.Plan.Program()}
	fronts := map[string]string{}
	for _, slot := range s.Plan.Slots {
		fronts[slot.Name] = strings.TrimSuffix(slot.Name, slot.Cell.Name)
	}
	return &again{fronts: fronts, program: e.Program, sheet: e.Plan(nil, s.Plan.Day, s.Order).NewSheet(), known: map[string]answer{}}
}

// value works a formula out on a node's operands.
func (a again) value(n *trace.Node, formula string, kind check.Type) (check.Value, error) {
	a.node, a.loops = n, map[string]bool{}
	text, err := a.parsed(formula)
	if err != nil {
		return check.Value{}, err
	}
	return a.eval(text, kind)
}

func (a again) parsed(formula string) (string, error) {
	var problems diag.List
	e := lang.ParseFormula(a.program.Files.Add("again", formula, diag.House), &problems)
	if problems.HasErrors() {
		return "", fmt.Errorf("%q does not read: %s", formula, problems.All()[0].Message)
	}
	return a.text(e)
}

// eval works out text in which every operand stands as a literal.
func (a again) eval(text string, kind check.Type) (check.Value, error) {
	key := kind.String() + "|" + text
	known, ok := a.known[key]
	if !ok {
		known.value, known.err = a.fresh(text, kind)
		a.known[key] = known
	}
	return known.value, known.err
}

func (a again) fresh(text string, kind check.Type) (check.Value, error) {
	var problems diag.List
	e := lang.ParseFormula(a.program.Files.Add("again", text, diag.House), &problems)
	cell := a.program.CheckValue(&check.Cell{Name: "again", Type: kind}, e, &problems)
	if problems.HasErrors() {
		return check.Value{}, fmt.Errorf("%s: %s", text, problems.All()[0].Message)
	}
	v, fault := a.sheet.Scope(0).Eval(cell.Expr)
	if fault != nil {
		return v, fmt.Errorf("%s: %s", text, fault.Message)
	}
	return v, nil
}

// nothing is the value of a kind whose number is 0.
func nothing(t check.Type) check.Value {
	if t.Base == check.Size || t.Base == check.Point {
		return check.Value{Obj: &check.Object{Items: make([]check.Value, 2)}}
	}
	return check.Value{}
}

// literal writes an operand's value. What is not above nothing is written as a sum, for the checker refuses it where one would divide by it or round to it.
func (a again) literal(v check.Value, t check.Type) string {
	if t.Base == check.List && len(v.Items()) == 0 && t.Elem != nil {
		return "(for each none from 1 to 0: " + literalOf(a.program, nothing(*t.Elem), *t.Elem) + ")"
	}
	text := literalOf(a.program, v, t)
	if sign, decided := v.Num.Sign(); t.Base == check.Quantity && decided && sign <= 0 {
		return "sum([" + text + "])"
	}
	return text
}

// text writes a formula with the operands put in.
func (a again) text(e lang.Expr) (string, error) {
	switch e := e.(type) {
	case *lang.Ident:
		return a.name(e.Text)
	case *lang.Field:
		return a.field(e)
	case *lang.Call:
		return a.call(e)
	case *lang.If:
		return a.branch(e)
	case *lang.Binary:
		return a.binary(e)
	case *lang.ForEach:
		return a.loop(e)
	case *lang.TextExpr:
		return a.quote(e)
	case *lang.Paren:
		return a.text(e.X)
	case *lang.Negate:
		return a.joined("(-(", e.X, "))")
	case *lang.Not:
		return a.joined("(not (", e.X, "))")
	case *lang.PerUnit:
		return a.joined("((", e.X, ") per "+e.Unit.Text+")")
	case *lang.Index:
		return a.index(e)
	case *lang.Rounded:
		return a.joined("((", e.X, ") rounded "+string(e.Way)+" (", e.Step, "))")
	case *lang.List:
		return a.list(e.Items)
	}
	return a.program.Files.Text(e.Span()), nil
}

// joined writes texts and formulas one after another.
func (a again) joined(parts ...any) (string, error) {
	var b strings.Builder
	for _, p := range parts {
		e, isFormula := p.(lang.Expr)
		if !isFormula {
			fmt.Fprint(&b, p)
			continue
		}
		text, err := a.text(e)
		if err != nil {
			return "", err
		}
		b.WriteString(text)
	}
	return b.String(), nil
}

func (a again) list(items []lang.Expr) (string, error) {
	texts := make([]string, len(items))
	for i, item := range items {
		text, err := a.text(item)
		if err != nil {
			return "", err
		}
		texts[i] = text
	}
	return "[" + strings.Join(texts, ", ") + "]", nil
}

func (a again) quote(e *lang.TextExpr) (string, error) {
	s := `"`
	for _, p := range e.Parts {
		if p.Hole == nil {
			s += strings.NewReplacer(`\`, `\\`, `"`, `\"`, "{", `\{`).Replace(p.Plain)
			continue
		}
		text, err := a.joined("{", p.Hole, "}")
		if err != nil {
			return "", err
		}
		s += text
	}
	return s + `"`, nil
}

// operand finds what a name stands for: a parameter, or the node that bears the name, with a part's or the price's name before it or not.
func (a again) operand(name string) (string, bool) {
	for _, arg := range a.node.Args {
		if arg.Name == name {
			return a.literal(arg.Value, arg.Type), true
		}
	}
	for i := len(a.node.From) - 1; i >= 0; i-- {
		if n := a.node.From[i]; n.Name == a.fronts[a.node.Name]+name {
			return a.literal(n.Value, n.Type), true
		}
	}
	for _, n := range a.node.From {
		if n.Name == name || strings.HasSuffix(n.Name, "."+name) {
			return a.literal(n.Value, n.Type), true
		}
	}
	return "", false
}

func (a again) name(name string) (string, error) {
	if text, ok := a.operand(name); ok {
		return text, nil
	}
	if a.loose || a.loops[name] || a.program.Material(name) != nil || a.isWord(name) {
		return name, nil
	}
	return "", fmt.Errorf("%s reads %s, which is none of its operands", a.node.Name, name)
}

func (a again) isWord(name string) bool {
	for _, c := range a.program.Choices {
		for _, w := range c.Words {
			if w == name {
				return true
			}
		}
	}
	return name == "pi"
}

func (a again) index(e *lang.Index) (string, error) {
	if text, ok := a.partOf(e); ok {
		return text, nil
	}
	return a.joined("(", e.X, ")[", e.I, "]")
}

func (a again) field(e *lang.Field) (string, error) {
	if text, ok := a.partOf(e); ok {
		return text, nil
	}
	for _, between := range []string{"", " "} {
		if text, ok := a.operand(strings.Join(strings.Fields(a.program.Files.Text(e.At)), between)); ok {
			return text, nil
		}
	}
	return a.joined("(", e.X, ")."+e.Name.Text)
}

// call finds the rule's node by its arguments' values; in a list's formula a rule that reads a loop's variable is worked out by the book.
func (a again) call(e *lang.Call) (string, error) {
	r := a.program.Rule(e.Fun.Text)
	if r == nil {
		args, err := a.args(e)
		return e.Fun.Text + "(" + strings.Join(args, ", ") + ")", err
	}
	if text, ok := a.called(e, r, ")"); ok {
		return text, nil
	}
	if !a.loose && len(a.loops) == 0 {
		return "", fmt.Errorf("%s calls %s, which with these arguments is none of its operands", a.node.Name, r.Name)
	}
	args, err := a.args(e)
	for i, arg := range e.Args {
		if err == nil && arg.Key.Text != "" {
			args[i] = arg.Key.Text + ": " + args[i]
		}
	}
	return r.Name + "(" + strings.Join(args, ", ") + ")", err
}

// called finds the operand that is a rule's value for these arguments, or a part of it.
func (a again) called(e *lang.Call, r *check.Rule, ending string) (string, bool) {
	for _, n := range a.node.From {
		if strings.HasPrefix(n.Name, r.Name+"(") && strings.HasSuffix(n.Name, ending) && (a.matches(n, r, e) || a.under(n).matches(n, r, e)) {
			return a.literal(n.Value, n.Type), true
		}
	}
	return "", false
}

// partOf finds the operand that is an item or a side of a rule's value.
func (a again) partOf(e lang.Expr) (string, bool) {
	path := ""
	for {
		switch x := e.(type) {
		case *lang.Index:
			path, e = "["+a.program.Files.Text(x.I.Span())+"]"+path, x.X
		case *lang.Field:
			path, e = "."+x.Name.Text+path, x.X
		case *lang.Call:
			if r := a.program.Rule(x.Fun.Text); r != nil {
				return a.called(x, r, ")"+path)
			}
			return "", false
		default:
			return "", false
		}
	}
}

func (a again) args(e *lang.Call) ([]string, error) {
	args := make([]string, len(e.Args))
	for i, arg := range e.Args {
		text, err := a.text(arg.Value)
		if err != nil {
			return nil, err
		}
		args[i] = text
	}
	return args, nil
}

// under sees what the arguments of a rule rest on: it hangs on the rule's node, or stands above where that does.
func (a again) under(n *trace.Node) again {
	both := *a.node
	within := slices.Clone(n.From) // what the arguments rest on comes before what the rule's own formula does
	slices.Reverse(within)
	both.From = append(slices.Clone(a.node.From), within...)
	if n.Same {
		both.From = append(both.From, a.above...)
	}
	a.node = &both
	return a
}

// matches reports whether a rule's node was worked out for these arguments.
func (a again) matches(n *trace.Node, r *check.Rule, e *lang.Call) bool {
	args, err := a.args(e)
	if err != nil || len(n.Args) < len(r.Params) {
		return false
	}
	for i, arg := range e.Args {
		at := i
		for j, p := range r.Params {
			if p.Name == arg.Key.Text {
				at = j
			}
		}
		v, err := a.eval(args[i], r.Params[at].Type)
		if err != nil || !close(v, n.Args[at].Value) {
			return false
		}
	}
	return true
}

var yesNo = check.Type{Base: check.YesNo}

func (a again) holds(e lang.Expr) (bool, error) {
	text, err := a.text(e)
	if err != nil {
		return false, err
	}
	v, err := a.eval(text, yesNo)
	return v.Yes(), err
}

func (a again) branch(e *lang.If) (string, error) {
	if len(a.loops) > 0 {
		return a.branchOfEach(e)
	}
	yes, err := a.holds(e.Cond)
	if err != nil {
		return "", err
	}
	if yes {
		return a.joined("(", e.Then, ")")
	}
	return a.joined("(", e.Else, ")")
}

// branchOfEach lets each item of a list take its own branch. One that none took has no operands: the other must give every item.
func (a again) branchOfEach(e *lang.If) (string, error) {
	for _, alone := range [][2]lang.Expr{{e.Then, e.Else}, {e.Else, e.Then}} {
		if _, err := a.text(alone[1]); err != nil {
			return a.joined("(", alone[0], ")")
		}
	}
	return a.joined("(if ", e.Cond, " then ", e.Then, " else ", e.Else, ")")
}

func (a again) binary(e *lang.Binary) (string, error) {
	if (e.Op == lang.And || e.Op == lang.Or) && len(a.loops) > 0 {
		if _, err := a.text(e.Y); err != nil { // the left side settled it for every item
			return a.joined("(", e.X, ")")
		}
	}
	if (e.Op == lang.And || e.Op == lang.Or) && len(a.loops) == 0 {
		yes, err := a.holds(e.X)
		if err != nil {
			return "", err
		}
		if yes == (e.Op == lang.Or) {
			return map[bool]string{true: "yes", false: "no"}[yes], nil
		}
		return a.joined("(", e.Y, ")")
	}
	if e.Op == lang.Is || e.Op == lang.IsNot {
		return a.words(e)
	}
	return a.joined("((", e.X, ") "+string(e.Op)+" (", e.Y, "))")
}

// words compares words as they are written; a field of a material that is no operand is worked out by the book.
func (a again) words(e *lang.Binary) (string, error) {
	x, err := a.text(e.X)
	if err != nil {
		return "", err
	}
	y, err := a.text(e.Y)
	if err != nil {
		return "", err
	}
	if strings.ContainsAny(x+y, "().") {
		return "(" + x + " " + string(e.Op) + " " + y + ")", nil
	}
	return map[bool]string{true: "yes", false: "no"}[(x == y) == (e.Op == lang.Is)], nil
}

func (a again) loop(e *lang.ForEach) (string, error) {
	inside := a
	inside.loops = map[string]bool{}
	for name := range a.loops {
		inside.loops[name] = true
	}
	var heads []string
	for _, l := range e.Loops {
		text, err := inside.loopHead(l)
		if err != nil {
			return "", err
		}
		heads = append(heads, text)
		inside.loops[l.Name.Text] = true
	}
	return inside.joined("(for each "+strings.Join(heads, ", ")+": ", e.Body, ")")
}

func (a again) loopHead(l *lang.Loop) (string, error) {
	if l.Of != nil {
		return a.joined(l.Name.Text+" of ", l.Of)
	}
	return a.joined(l.Name.Text+" from ", l.From, " to ", l.To)
}

// close compares values: exactly where both are exact, else to within a part in a thousand million.
func close(v, w check.Value) bool {
	if v.Text() != w.Text() || v.Material() != w.Material() || len(v.Items()) != len(w.Items()) {
		return false
	}
	for i, item := range v.Items() {
		if !close(item, w.Item(i)) {
			return false
		}
	}
	return closeNumbers(v.Num, w.Num)
}

func closeNumbers(x, y quantity.Number) bool {
	if x.Exact() && y.Exact() {
		return x.Equal(y)
	}
	diff := new(big.Rat).Sub(x.Rat(), y.Rat())
	return diff.Abs(diff).Cmp(big.NewRat(1, 1_000_000_000)) < 0
}
