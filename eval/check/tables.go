package check

import (
	"squab/eval/quantity"
	"squab/lang"
	"squab/lang/diag"
)

func (c *checker) amendTable(d *lang.TableDecl) {
	r, ok := c.values[d.Name.Text].(*Rule)
	if !ok || !r.IsTable {
		var tables []string
		for _, r := range c.p.Rules {
			if r.IsTable {
				tables = append(tables, r.Name)
			}
		}
		sortStrings(tables)
		c.unknown("table", d.Name, tables)
		return
	}
	w := c.window(d.Window, d.Name.At, nil)
	hit := First
	if r.Base != nil && r.Base.Hit == Interpolated {
		hit = Interpolated
	}
	body := c.rows(r, d, hit)
	r.Amends = append(r.Amends, &Amendment{w, body})
}

// rows checks a table's heading and rows, and turns each row into a case.
func (c *checker) rows(r *Rule, d *lang.TableDecl, hit Hit) *Body {
	body := &Body{Layer: c.layer(d.At), Hit: hit, At: d.At}
	columns, ok := c.heading(r, d)
	if !ok {
		return body
	}
	if hit == Interpolated {
		if body.Axis, ok = c.axis(r, d); !ok {
			return body
		}
	}
	sc := &scope{frame: InRule, cells: map[string]*Cell{}, next: &r.FrameSize, place: r.Name + "'s "}
	for _, p := range r.Params {
		sc.cells[p.Name] = p
	}
	for _, row := range d.Rows {
		if k := c.row(r, body, row, columns, sc); k != nil {
			body.Cases = append(body.Cases, k)
		}
	}
	if len(d.Rows) == 0 {
		c.fail("table-empty", d.At, "the table %s has no rows", d.Name.Text).Fix("add a row under the heading")
	}
	return body
}

// heading gives, for each column, the place of its parameter, or -1 for gives, because and source.
func (c *checker) heading(r *Rule, d *lang.TableDecl) ([]int, bool) {
	var columns []int
	seen := map[string]diag.Span{}
	ok := true
	for _, h := range d.Heading {
		if _, twice := seen[h.Text]; twice {
			c.fail("heading-twice", h.At, "the column %s stands twice", h.Text).Note(seen[h.Text], "first here")
			ok = false
		}
		seen[h.Text] = h.At
		columns = append(columns, c.column(r, h, &ok))
	}
	for _, p := range r.Params {
		if _, there := seen[p.Name]; !there {
			c.fail("heading-missing", headingSpan(d), "the heading has no column for %s", p.Name).Note(p.At, "the parameter").Fix("add a column; any takes every value")
			ok = false
		}
	}
	if _, there := seen["gives"]; !there {
		c.fail("heading-missing", headingSpan(d), "the heading has no column gives").Fix("add the column that gives the value")
		ok = false
	}
	return columns, ok
}

func (c *checker) column(r *Rule, h lang.Name, ok *bool) int {
	switch h.Text {
	case "gives", "because", "source":
		return -1
	}
	names := []string{"gives", "because", "source"}
	for i, p := range r.Params {
		if p.Name == h.Text {
			return i
		}
		names = append(names, p.Name)
	}
	c.unknown("parameter of "+r.Name, h, names)
	*ok = false
	return -1
}

func headingSpan(d *lang.TableDecl) diag.Span {
	if len(d.Heading) == 0 {
		return d.Name.At
	}
	return d.Heading[0].At.To(d.Heading[len(d.Heading)-1].At)
}

// axis finds the one measured parameter of an interpolated table.
func (c *checker) axis(r *Rule, d *lang.TableDecl) (int, bool) {
	axis := -1
	for i, p := range r.Params {
		if p.Type.Base != Quantity || p.Type.Whole {
			continue
		}
		if axis >= 0 {
			c.fail("interpolate-axis", d.Name.At, "an interpolated table runs along one measure, and %s has two: %s and %s", r.Name, r.Params[axis].Name, p.Name).Note(p.At, "the second").Fix("make two tables, or leave out interpolated")
			return 0, false
		}
		axis = i
	}
	if axis < 0 || r.Result.Known() && r.Result.Base != Quantity {
		c.fail("interpolate-axis", d.Name.At, "an interpolated table needs a measure to run along and a measure to give").Fix("leave out interpolated")
		return 0, false
	}
	return axis, true
}

func (c *checker) row(r *Rule, body *Body, row *lang.Row, columns []int, sc *scope) *Case {
	k := &Case{At: row.At, Why: Why{quoted(row.Because), quoted(row.Source)}, Tests: make([]RowTest, len(r.Params))}
	for i, p := range r.Params {
		k.Tests[i] = RowTest{Param: p, Text: "any"}
	}
	if row.Gives == nil {
		c.fail("row-without-value", row.At, "this row gives nothing").Fix("fill in the column gives")
		return nil
	}
	k.Value = c.formula(row.Gives, sc, r.Result, r.Name)
	for col, test := range row.Tests {
		if test == nil || col >= len(columns) || columns[col] < 0 {
			continue
		}
		c.test(r, body, k, columns[col], test, sc)
	}
	for _, t := range k.Tests {
		k.When = both(k.When, t.Cond)
	}
	return k
}

// test turns one cell of a row into a condition on its parameter; on the axis of an interpolated table it gives the row's place.
func (c *checker) test(r *Rule, body *Body, k *Case, param int, test *lang.Test, sc *scope) {
	p := r.Params[param]
	k.Tests[param].Text = c.p.Files.Text(test.At)
	if body.Hit == Interpolated && param == body.Axis {
		k.Knot = c.knot(p, test)
		return
	}
	if !test.Any {
		k.Tests[param].Cond = c.testCond(p, test, sc)
	}
}

func (c *checker) knot(p *Cell, test *lang.Test) (at quantity.Number) {
	if len(test.Values) != 1 {
		c.fail("interpolate-point", test.At, "a row of an interpolated table stands at one value of %s", p.Name).Fix("write the value on its own: 1/8 in")
		return at
	}
	x := c.formula(test.Values[0], &scope{next: new(int)}, p.Type, p.Name)
	k, ok := x.(*Const)
	if !ok {
		if x.Type().Known() {
			c.fail("test-not-constant", test.At, "a test is made against a fixed value").Fix("write the value itself")
		}
		return at
	}
	return k.Value.Num
}

func (c *checker) testCond(p *Cell, test *lang.Test, sc *scope) Expr {
	ref := &CellRef{base{test.At, p.Type}, p, nil, InRule}
	var cond Expr
	for _, v := range test.Values {
		cond = either(cond, c.testOp(ref, sameOp(p.Type), v, sc))
	}
	if test.Low != nil {
		op := lang.Gt
		if test.LowIn {
			op = lang.Ge
		}
		cond = both(cond, c.testOp(ref, op, test.Low, sc))
	}
	if test.High != nil {
		op := lang.Lt
		if test.HighIn {
			op = lang.Le
		}
		cond = both(cond, c.testOp(ref, op, test.High, sc))
	}
	return cond
}

func sameOp(t Type) lang.BinaryOp {
	if isWord(t) {
		return lang.Is
	}
	return lang.Eq
}

// testOp compares the parameter with a fixed value of its kind.
func (c *checker) testOp(ref *CellRef, op lang.BinaryOp, v lang.Expr, sc *scope) Expr {
	want := ref.t
	want.Whole = false
	if isWord(want) && op != lang.Is {
		c.fail("test-of-words", v.Span(), "%s has no order, so no bounds", article(want)).Fix("name the values, with commas")
		return bad(v.Span())
	}
	x := c.formula(v, &scope{next: new(int)}, want, "a test of "+ref.Cell.Name)
	if _, ok := x.(*Const); !ok && x.Type().Known() {
		c.fail("test-not-constant", v.Span(), "a test is made against a fixed value").Fix("write the value itself, or use a rule with when")
		return bad(v.Span())
	}
	return &Binary{base{ref.at, yesNo}, op, ref, x}
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
