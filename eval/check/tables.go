package check

import (
	"slices"

	"squab/lang"
)

func (c *checker) amendTable(d *lang.TableDecl) {
	r, ok := c.values[d.Name.Text].(*Rule)
	switch {
	case !ok:
		c.unknown("table", d.Name, c.tableNames)
	case !r.IsTable:
		c.fail("amend-table", d.Name.At, "%s is a rule, not a table", r.Name).Note(r.At, "declared here").Fix("write: amend " + r.Name + paramList(r) + " …")
	default:
		hit := First
		if r.Base != nil && r.Base.Hit == Interpolated {
			hit = Interpolated
		}
		r.Amends = append(r.Amends, &Amendment{c.window(d.Window, d.Name.At, nil), c.rows(r, d, hit)})
	}
}

func (c *checker) tableNames() []string {
	var all []string
	for _, r := range c.p.Rules {
		if r.IsTable {
			all = append(all, r.Name)
		}
	}
	slices.Sort(all)
	return all
}

// rows checks a table's heading and rows, and turns each row into a case.
func (c *checker) rows(r *Rule, d *lang.TableDecl, hit Hit) *Body {
	body := &Body{Layer: c.layer(d.At), Hit: hit, At: d.At, broken: c.spoiled(d.At)}
	t := tableBuilder{c: c, rule: r, body: body, sc: &scope{frame: InRule, cells: map[string]*Cell{}, next: &r.FrameSize}}
	if !t.heading(d) || hit == Interpolated && !t.axis(d) {
		body.broken = true
		return body
	}
	for _, p := range r.Params {
		t.sc.cells[p.Name] = p
	}
	for _, row := range d.Rows {
		body.Cases = append(body.Cases, t.row(row))
	}
	if len(d.Rows) == 0 && !body.broken {
		c.fail("table-empty", d.Name.At, "the table %s has no rows", d.Name.Text).Fix("add a row under the heading")
	}
	return body
}

// tableBuilder turns the rows of one table into cases.
type tableBuilder struct {
	c       *checker
	rule    *Rule
	body    *Body
	sc      *scope
	columns []int // for each column the place of its parameter, or -1 for gives, because and source
}

// heading matches the columns to the parameters. The parser has reported a column that stands twice, and gives where it is missing.
func (t *tableBuilder) heading(d *lang.TableDecl) bool {
	seen := map[string]bool{}
	ok := len(d.Heading) > 0
	for _, h := range d.Heading {
		seen[h.Text] = true
		i, known := t.column(h)
		t.columns = append(t.columns, i)
		ok = ok && known
	}
	for _, p := range t.rule.Params {
		if ok && !seen[p.Name] {
			at := d.Heading[0].At.To(d.Heading[len(d.Heading)-1].At)
			t.c.fail("heading-missing", at, "the heading has no column for %s", p.Name).Note(p.At, "the parameter").Fix("add a column; any takes every value")
			return false
		}
	}
	return ok
}

func (t *tableBuilder) column(h lang.Name) (int, bool) {
	switch h.Text {
	case "gives", "because", "source":
		return -1, true
	}
	for i, p := range t.rule.Params {
		if p.Name == h.Text {
			return i, true
		}
	}
	known := names(t.rule.paramNames).and(these("because", "gives", "source"))
	t.c.unknown("parameter of "+t.rule.Name, h, known).Note(t.rule.At, "declared here")
	return -1, false
}

// axis finds the one measured parameter of an interpolated table.
func (t *tableBuilder) axis(d *lang.TableDecl) bool {
	r := t.rule
	var measured []*Cell
	for _, p := range r.Params {
		if !p.Type.Known() {
			return false
		}
		if p.Type.Base == Quantity && !p.Type.Whole {
			measured = append(measured, p)
		}
	}
	switch {
	case len(measured) > 1:
		t.c.fail("interpolate-axis", d.Name.At, "an interpolated table runs along one measure, and %s has %s and %s", r.Name, measured[0].Name, measured[1].Name).
			Note(measured[1].At, "the second").Fix("make two tables, or leave out interpolated")
	case len(measured) == 0 || r.Result.Known() && r.Result.Base != Quantity:
		t.c.fail("interpolate-axis", d.Name.At, "an interpolated table needs a measure to run along and a measure to give").Fix("leave out interpolated")
	default:
		t.body.Axis = measured[0].Index
		return true
	}
	return false
}

func (t *tableBuilder) row(row *lang.Row) *Case {
	k := &Case{At: row.At, Why: Why{quoted(row.Because), quoted(row.Source)}, Tests: make([]RowTest, len(t.rule.Params))}
	for i, p := range t.rule.Params {
		k.Tests[i] = RowTest{Param: p, Text: "any"}
	}
	k.Value = t.c.formula(row.Gives, t.sc, t.rule.Result, "what "+t.rule.Name+" gives")
	for col, test := range row.Tests {
		if test != nil && col < len(t.columns) && t.columns[col] >= 0 {
			t.test(k, t.columns[col], test)
		}
	}
	for _, test := range k.Tests {
		k.When = both(k.When, test.Cond)
	}
	return k
}

// test turns one cell of a row into a condition on its parameter; on the axis of an interpolated table it gives the row's place.
func (t *tableBuilder) test(k *Case, param int, test *lang.Test) {
	p := t.rule.Params[param]
	k.Tests[param].Text = t.c.p.Files.Text(test.At)
	switch {
	case t.body.Hit == Interpolated && param == t.body.Axis:
		t.knot(k, p, test)
	case !test.Any:
		k.Tests[param].Cond = t.c.testCond(p, test)
	}
}

// knot reads the place of a row on the axis of an interpolated table.
func (t *tableBuilder) knot(k *Case, p *Cell, test *lang.Test) {
	if len(test.Values) != 1 {
		t.c.fail("interpolate-point", test.At, "a row of an interpolated table stands at one value of %s", p.Name).Fix("write the value on its own: 1/8 in")
		t.body.broken = true
		return
	}
	at, ok := t.c.fixed(test.Values[0], p.Type.loose(), "a test of "+p.Name)
	if !ok {
		t.body.broken = true
		return
	}
	k.Knot = at.Value.Num
}

// fixed checks a value that a test is made against.
func (c *checker) fixed(e lang.Expr, want Type, what string) (*Const, bool) {
	x := c.alone(e, global(), want, what)
	if k, ok := fold(x).(*Const); ok {
		return k, true
	}
	if _, isBad := x.(*Bad); !isBad {
		c.fail("test-not-constant", x.Span(), "a test is made against a fixed value").Fix("write the value itself, or use a rule with when")
	}
	return nil, false
}

func (c *checker) testCond(p *Cell, test *lang.Test) Expr {
	ref := &CellRef{base{test.At, p.Type}, p, nil, InRule}
	var cond Expr
	for _, v := range test.Values {
		cond = either(cond, c.testOp(ref, sameOp(p.Type), v))
	}
	if test.Low != nil {
		cond = both(cond, c.testOp(ref, lowOp(test.LowIn), test.Low))
	}
	if test.High != nil {
		cond = both(cond, c.testOp(ref, mirrored(lowOp(test.HighIn)), test.High))
	}
	return cond
}

func sameOp(t Type) lang.BinaryOp {
	if isWord(t) {
		return lang.Is
	}
	return lang.Eq
}

func lowOp(belongs bool) lang.BinaryOp {
	if belongs {
		return lang.Ge
	}
	return lang.Gt
}

// testOp compares the parameter with a fixed value of its kind.
func (c *checker) testOp(ref *CellRef, op lang.BinaryOp, v lang.Expr) Expr {
	want := ref.t.loose()
	switch {
	case !want.Known():
		return bad(v.Span())
	case !want.hasTerm():
		c.fail("test-of-words", v.Span(), "%s cannot be tested in a table", article(want)).Fix("use a rule, with when on its parts")
		return bad(v.Span())
	case isWord(want) && op != lang.Is:
		c.fail("test-of-words", v.Span(), "%s has no order, so no bounds", article(want)).Fix("name the values, with commas")
		return bad(v.Span())
	}
	k, ok := c.fixed(v, want, "a test of "+ref.Cell.Name)
	if !ok {
		return bad(v.Span())
	}
	return &Binary{base{ref.at, yesNo}, op, ref, k}
}

func both(x, y Expr) Expr {
	switch {
	case x == nil:
		return y
	case y == nil:
		return x
	}
	return &Binary{base{x.Span().To(y.Span()), yesNo}, lang.And, x, y}
}

func either(x, y Expr) Expr {
	if x == nil {
		return y
	}
	return &Binary{base{x.Span().To(y.Span()), yesNo}, lang.Or, x, y}
}
