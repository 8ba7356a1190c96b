package trace_test

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/eval/trace"
	"squab/lang"
	"squab/lang/diag"
)

// programOf reads and checks a book: the trade's files, where they are wanted, and the house's text.
func programOf(t testing.TB, trade bool, house string) *check.Program {
	t.Helper()
	files := &diag.Files{}
	var problems diag.List
	var trees []*lang.File
	if trade {
		for _, name := range globbed(t, "../../stdlib/trade/*.squab") {
			trees = append(trees, lang.Parse(files.Add("trade/"+filepath.Base(name), read(t, name), diag.Trade), lang.Limits{}, &problems))
		}
	}
	trees = append(trees, lang.Parse(files.Add("house.squab", house, diag.House), lang.Limits{}, &problems))
	p := check.Check(files, trees, &problems)
	for _, d := range problems.All() {
		if d.Severity == diag.Error {
			place := files.Place(d.At.Start)
			t.Fatalf("%s:%d:%d: %s\n%s", place.File, place.Line, place.Column, d.Message, numbered(house))
		}
	}
	return p
}

func globbed(t testing.TB, pattern string) []string {
	t.Helper()
	names, err := filepath.Glob(pattern)
	if err != nil || len(names) == 0 {
		t.Fatalf("nothing at %s: %v", pattern, err)
	}
	return names
}

func read(t testing.TB, name string) string {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// workroom is the example house, over the trade library.
func workroom(t testing.TB) *check.Program {
	t.Helper()
	var text strings.Builder
	for _, name := range globbed(t, "../../examples/heron-quay/*.squab") {
		text.WriteString(read(t, name))
	}
	return programOf(t, true, text.String())
}

func numbered(text string) string {
	var b strings.Builder
	n := 0
	for line := range strings.Lines(text) {
		n++
		fmt.Fprintf(&b, "%3d %s", n, line)
	}
	return b.String()
}

// audit holds one trace to its properties.
type audit struct {
	again
	files *diag.Files
	full  map[string]*trace.Node // derivations that stand in full
	count int
}

// names lists everything of an order that a person can ask about.
func names(s *eval.Sheet, r *eval.Result) []string {
	var all []string
	for i, slot := range s.Plan.Slots {
		if slot.Cell.Role == check.HiddenCell {
			continue
		}
		all = append(all, slot.Name)
		v, fault := s.Value(i)
		if n := len(v.Items()); fault == nil && slot.Cell.Type.Base == check.List && n > 0 {
			all = append(all, fmt.Sprintf("%s[%d]", slot.Name, n))
			if slot.Cell.Type.Elem.Base == check.Point {
				all = append(all, fmt.Sprintf("%s[%d].x", slot.Name, n), fmt.Sprintf("%s[1].y", slot.Name))
			}
		}
	}
	if r == nil {
		return all
	}
	for _, l := range r.Buy {
		all = append(all, "buy."+l.Material.Name)
	}
	for _, l := range r.Work {
		all = append(all, "work."+l.Name)
	}
	return all
}

// holdTraces holds every trace of every order of a book to the properties, and gives the number of nodes looked at.
func holdTraces(t *testing.T, p *check.Program) int {
	t.Helper()
	e := &eval.Engine{Program: p}
	count := 0
	for _, o := range p.Orders {
		r, problems := e.Work(o, o.Date)
		if len(problems) > 0 {
			continue
		}
		n, err := heldSheet(r.Sheet, r)
		if err != nil {
			t.Fatalf("order %s, %v", o.ID, err)
		}
		count += n
	}
	return count
}

// heldSheet holds every trace of a filled sheet to the properties; r is what came of it, or nil.
func heldSheet(s *eval.Sheet, r *eval.Result) (count int, err error) {
	known, files := newAgain(s), s.Plan.Program().Files
	for _, name := range names(s, r) {
		n, err := trace.Explain(s, r, name)
		if err != nil {
			return count, fmt.Errorf("%s: %w", name, err)
		}
		a := &audit{again: *known, files: files, full: map[string]*trace.Node{}}
		text := trace.Text(n, files, 80)
		if err := a.hold(n, text); err != nil {
			return count, fmt.Errorf("%s: %w\n%s", name, err, text)
		}
		count += a.count
	}
	return count, nil
}

func (a *audit) hold(n *trace.Node, text string) error {
	for line := range strings.Lines(text) {
		if wide := utf8.RuneCountInString(strings.TrimRight(line, "\n")); wide > 80 {
			return fmt.Errorf("a line is %d columns wide: %s", wide, line)
		}
	}
	a.gather(n)
	return a.node(n)
}

// gather lists every node of a trace.
func (a *audit) gather(n *trace.Node) {
	a.above = append(a.above, n)
	for _, from := range n.From {
		a.gather(from)
	}
}

// node holds one node, and what it rests on.
func (a *audit) node(n *trace.Node) error {
	a.count++
	if n.Same {
		return a.stands(n)
	}
	if key := keyOf(n); key != "" {
		if a.full[key] != nil {
			return fmt.Errorf("%s is derived twice", key)
		}
		a.full[key] = n
	}
	if err := a.worked(n); err != nil {
		return err
	}
	if err := a.layers(n); err != nil {
		return err
	}
	for _, from := range n.From {
		if err := a.node(from); err != nil {
			return err
		}
	}
	return nil
}

// keyOf names a derivation; a rule's own cell has no name outside the rule, and many may bear it.
func keyOf(n *trace.Node) string {
	key := fmt.Sprintf("%s at %d", n.Name, n.At.Start)
	for _, arg := range n.Args {
		key += "|" + arg.Value.Num.String() + arg.Shown
	}
	if n.Role == trace.Worked {
		return ""
	}
	return key
}

// stands holds that what is named again has no derivation; a rule's arguments may have come about in another way than where that stands.
func (a *audit) stands(n *trace.Node) error {
	if n.Formula != "" || len(n.From) > 0 && n.Role != trace.ByRule {
		return fmt.Errorf("%s is shown again and yet has a derivation", n.Name)
	}
	for _, from := range n.From {
		if err := a.node(from); err != nil {
			return err
		}
	}
	return nil
}

// worked holds that the formula, on the operands, gives the value.
func (a *audit) worked(n *trace.Node) error {
	if n.Fault != nil {
		return nil
	}
	if n.Role == trace.ByLine || n.Name == "price.bought" || n.Name == "price.worked" || n.Name == "price.extras" {
		return a.line(n)
	}
	if n.Formula == "" {
		if n.Role != trace.Given && n.Role != trace.Default && n.Role != trace.Worked || len(n.From) > 0 {
			return fmt.Errorf("%s = %s comes from nowhere: %s", n.Name, n.Shown, n.Role)
		}
		return nil
	}
	v, err := a.value(n, n.Formula, n.Type)
	if err != nil && idle(n) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("%s: %w", n.Name, err)
	}
	if !close(v, n.Value) && !chargedAs(v, n) {
		return fmt.Errorf("%s = %s, but %s on its operands gives %s", n.Name, n.Value.Num, n.Formula, v.Num)
	}
	return nil
}

// idle reports whether a node is a list of nothing: what no item was made of may not work out.
func idle(n *trace.Node) bool {
	return n.Type.Base == check.List && len(n.Value.Items()) == 0
}

// chargedAs allows for a charge's rounding to the cent, which is not written.
func chargedAs(v check.Value, n *trace.Node) bool {
	cents, ok := quantity.Cents(v.Num)
	return ok && n.Type.Base == check.Quantity && n.Type.Dim == quantity.MoneyDim && n.Role == trace.Worked && cents.Equal(n.Value.Num)
}

// line holds that a line of the result is the sum, or the product, of what it rests on.
func (a *audit) line(n *trace.Node) error {
	switch {
	case strings.HasPrefix(n.Name, "price."):
		return sumOf(n)
	case strings.HasPrefix(n.Name, "work."):
		return workOf(n)
	case strings.HasPrefix(n.Name, "buy."):
		return buyOf(n)
	}
	return nil // a need: what a layout takes of the pieces named
}

func sumOf(n *trace.Node) error {
	var sum quantity.Number
	for _, from := range n.From {
		sum = sum.Add(from.Value.Num)
	}
	if !sum.Equal(n.Value.Num) {
		return fmt.Errorf("%s = %s, but its lines come to %s", n.Name, n.Value.Num, sum)
	}
	return nil
}

func operandEnding(n *trace.Node, end string) (quantity.Number, bool) {
	for _, from := range n.From {
		if strings.HasSuffix(from.Name, end) {
			return from.Value.Num, true
		}
	}
	return quantity.Number{}, false
}

func workOf(n *trace.Node) error {
	time, _ := operandEnding(n, ".time")
	setup, _ := operandEnding(n, ".setup")
	rate, _ := operandEnding(n, ".rate")
	off, _ := operandEnding(n, "off")
	cents, _ := quantity.Cents(time.Mul(off).Add(setup).Mul(rate))
	if !cents.Equal(n.Value.Num) {
		return fmt.Errorf("%s = %s, but the time at its rate is %s", n.Name, n.Value.Num, cents)
	}
	return nil
}

func buyOf(n *trace.Node) error {
	need, _ := operandEnding(n, strings.TrimPrefix(n.Name, "buy."))
	price, _ := operandEnding(n, ".price")
	step, stepped := operandEnding(n, ".charged")
	if !stepped {
		step, stepped = operandEnding(n, ".sold")
	}
	if !stepped {
		step = quantity.Int(1)
	}
	charged, ok := need.RoundUp(step)
	cents, _ := quantity.Cents(charged.Mul(price))
	if !ok || !cents.Equal(n.Value.Num) {
		return fmt.Errorf("%s = %s, but the need rounded up, at its price, is %s", n.Name, n.Value.Num, cents)
	}
	return nil
}

// layers holds that what is passed over does not hold, and that what lies beneath gives what is said of it.
func (a *audit) layers(n *trace.Node) error {
	loose := a.again
	loose.loose = true
	for _, p := range n.Passed {
		if err := a.passedOver(loose, n, p); err != nil {
			return fmt.Errorf("%s, not %s: %w", n.Name, p.Text, err)
		}
	}
	for _, u := range n.Beneath {
		if u.Why != "" {
			if err := a.outOfTime(u.At, u.Why); strings.HasPrefix(u.Why, "it hol") && err != nil {
				return err
			}
			continue
		}
		if n.Role == trace.ByField || n.Role == trace.Default {
			continue // its formula may read the material's other fields by name
		}
		if _, body := a.caseAt(u.At); body != nil && len(body.Locals) > 0 {
			continue // its formula may read the rule's own cells
		}
		v, err := loose.value(bare(n, u.Args), u.Text, u.Type)
		if err == nil && !close(v, u.Value) && !strings.Contains(u.Text, "(") {
			err = fmt.Errorf("%s gives %s, not %s", u.Text, v.Num, u.Shown)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// bare is a node with its parameters, by the names of another body too, and no operands: its book works names out.
func bare(n *trace.Node, renamed []trace.Arg) *trace.Node {
	return &trace.Node{Name: n.Name, Args: append(slices.Clone(renamed), n.Args...)}
}

func (a *audit) passedOver(loose again, n *trace.Node, p trace.Passed) error {
	if strings.HasPrefix(p.Why, "it holds from ") || strings.HasPrefix(p.Why, "it held until ") {
		return a.outOfTime(p.At, p.Why)
	}
	k, body := a.caseAt(p.At)
	if k == nil {
		return fmt.Errorf("no case stands there")
	}
	if p.Why == "" {
		return fmt.Errorf("no reason is given")
	}
	if len(body.Locals) > 0 {
		return nil // its condition may read the rule's own cells
	}
	when := strings.Join(strings.Fields(a.files.Text(k.When.Span())), " ")
	if len(k.Tests) > 0 {
		return loose.said(bare(n, p.Args), p.Why)
	}
	v, err := loose.value(bare(n, p.Args), when, yesNo)
	if err == nil && v.Yes() {
		err = fmt.Errorf("%s holds", when)
	}
	if err == nil {
		err = loose.said(bare(n, p.Args), p.Why)
	}
	return err
}

var said = regexp.MustCompile(`^(.+?) is ([^,]+?)(, not [^,]+)?$`)

// said holds that a reason of the form "x is v, y is w" is true.
func (a again) said(n *trace.Node, why string) error {
	if strings.Contains(why, " holds") {
		return nil
	}
	for _, part := range apart(why) {
		if err := a.saidOne(n, part); err != nil {
			return err
		}
	}
	return nil
}

// apart takes a text apart at the commas outside brackets; what begins with "not" belongs to what stands before it.
func apart(text string) []string {
	var parts []string
	depth, from := 0, 0
	for i, r := range text {
		switch {
		case r == '(' || r == '[':
			depth++
		case r == ')' || r == ']':
			depth--
		case r == ',' && depth == 0 && !strings.HasPrefix(text[i:], ", not "):
			parts, from = append(parts, strings.TrimSpace(text[from:i])), i+1
		}
	}
	return append(parts, strings.TrimSpace(text[from:]))
}

func (a again) saidOne(n *trace.Node, why string) error {
	m := said.FindStringSubmatch(strings.TrimPrefix(why, "and "))
	if m == nil {
		return nil
	}
	a.node, a.loops = n, map[string]bool{}
	text, err := a.parsed(m[1])
	if err != nil {
		return err
	}
	kind, ok := a.kindOf(n, m[1])
	if !ok {
		return nil
	}
	v, err := a.eval(text, kind)
	if err == nil && eval.Show(a.program, v, kind) != m[2] {
		err = fmt.Errorf("%s is %s, not %s", m[1], eval.Show(a.program, v, kind), m[2])
	}
	return err
}

// kindOf knows the kind of a parameter, and of a field of one.
func (a again) kindOf(n *trace.Node, name string) (check.Type, bool) {
	front, field, isField := strings.Cut(name, ".")
	for _, arg := range n.Args {
		if arg.Name != front {
			continue
		}
		if !isField {
			return arg.Type, true
		}
		if f := arg.Type.Kind.Field(field); f != nil {
			return f.Type, true
		}
	}
	return check.Type{}, false
}

func (a *audit) caseAt(at diag.Span) (*check.Case, *check.Body) {
	for _, r := range a.program.Rules {
		for _, b := range r.Bodies() {
			for _, k := range b.Cases {
				if k.At == at {
					return k, b
				}
			}
		}
	}
	return nil, nil
}

// outOfTime holds that an amendment that is said not to hold on the day does not.
func (a *audit) outOfTime(at diag.Span, why string) error {
	var windows []check.Window
	for _, r := range a.program.Rules {
		for _, m := range r.Amends {
			if m.At == at {
				windows = append(windows, m.Window)
			}
		}
	}
	for _, m := range a.program.Materials {
		for _, f := range m.Amends {
			if f.Cell.At == at {
				windows = append(windows, f.Window)
			}
		}
	}
	for _, w := range windows {
		if !w.Holds(a.sheet.Plan.Day, a.sheet.Order) && strings.Contains(why, check.DateText(a.sheet.Plan.Day)) {
			return nil
		}
	}
	return fmt.Errorf("%q is said of an amendment that holds, or of none", why)
}

func TestEveryNodeOfTheWorkroomIsWorkedOutAgain(t *testing.T) {
	if n := holdTraces(t, workroom(t)); n < 20_000 {
		t.Errorf("only %d nodes were looked at", n)
	}
}
