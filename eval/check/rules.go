package check

import (
	"squab/lang"
	"squab/lang/diag"
)

// checkRules checks parameters' ranges and defaults, rules' bodies and tables' rows.
func (c *checker) checkRules() {
	for _, t := range c.trees.rules {
		c.checkParams(t.rule, t.decl.Params)
	}
	for _, t := range c.trees.tables {
		if t.rule != nil {
			c.checkParams(t.rule, t.decl.Params)
		}
	}
	for _, t := range c.trees.rules {
		for _, p := range t.rule.Params {
			c.settle(p)
		}
		if t.decl.Body != nil {
			t.rule.Base = c.body(t.rule, t.rule.Params, t.decl.Body)
		}
	}
	for _, t := range c.trees.tables {
		if t.rule != nil {
			t.rule.Base = c.rows(t.rule, t.decl, Hit(t.decl.Hit.Text))
		}
	}
}

// checkParams puts parameters' defaults down to be checked; a default may use the parameters before it.
func (c *checker) checkParams(r *Rule, params []*lang.Param) {
	before := map[string]*Cell{}
	for i, p := range params {
		cell := r.Params[i]
		c.ranges(cell, p)
		if p.Default != nil {
			cells := map[string]*Cell{}
			for k, v := range before {
				cells[k] = v
			}
			c.await(cell, p.Default, &cell.Type, &scope{frame: InRule, cells: cells, next: &r.FrameSize, place: "the default of "})
		}
		before[cell.Name] = cell
	}
}

// body checks one layer of a rule. The parameters may have other names in an amendment.
func (c *checker) body(r *Rule, params []*Cell, b *lang.Body) *Body {
	body := &Body{Layer: c.layer(b.At), At: b.At}
	sc := &scope{frame: InRule, cells: map[string]*Cell{}, next: &r.FrameSize, place: r.Name + "'s "}
	for _, p := range params {
		sc.cells[p.Name] = p
	}
	if b.Formula != nil {
		value := c.formula(b.Formula, sc, r.Result, r.Name)
		body.Cases = []*Case{{At: b.Formula.Span(), Value: value, Why: why(b.Why)}}
		return body
	}
	c.locals(r, body, b.Locals, sc)
	for _, cs := range b.Cases {
		c.addCase(r, body, cs, sc)
	}
	if len(b.Cases) == 0 {
		c.fail("rule-without-case", b.At, "%s has no case, so no value", r.Name).Fix("end with: … otherwise")
	}
	return body
}

func (c *checker) locals(r *Rule, body *Body, cells []*lang.Cell, sc *scope) {
	for _, l := range cells {
		if before := sc.cells[l.Name.Text]; before != nil {
			c.fail("name-twice", l.Name.At, "%s is there already", l.Name.Text).Note(before.At, "first here").Fix("choose another name")
			continue
		}
		cell := &Cell{Name: l.Name.Text, At: l.Name.At, Why: why(l.Why), Index: r.FrameSize}
		r.FrameSize++
		sc.cells[cell.Name] = cell
		c.await(cell, l.Value, nil, sc)
		body.Locals = append(body.Locals, cell)
	}
	for _, cell := range body.Locals {
		c.settle(cell)
	}
	body.Locals = c.inOrder(body.Locals)
}

// inOrder puts a rule's own cells so that each follows what it needs, and reports a ring.
func (c *checker) inOrder(cells []*Cell) []*Cell {
	g := graph[*Cell]{next: func(cell *Cell) []*Cell {
		var needs []*Cell
		Walk(cell.Expr, func(e Expr) bool {
			if ref, ok := e.(*CellRef); ok && ref.In == InRule && containsCell(cells, ref.Cell) {
				needs = append(needs, ref.Cell)
			}
			return true
		})
		return needs
	}}
	ordered, ring := g.sort(cells)
	if ring != nil {
		c.reportRing(ring, func(cell *Cell) (string, diag.Span) { return cell.Name, cell.At })
		for _, cell := range ring {
			cell.Expr = bad(cell.At)
		}
		return cells
	}
	return ordered
}

func containsCell(cells []*Cell, cell *Cell) bool {
	for _, x := range cells {
		if x == cell {
			return true
		}
	}
	return false
}

func (c *checker) addCase(r *Rule, body *Body, cs *lang.Case, sc *scope) {
	if n := len(body.Cases); n > 0 && body.Cases[n-1].When == nil {
		c.fail("case-after-otherwise", cs.At, "this case is never reached: otherwise comes before it").Note(body.Cases[n-1].At, "otherwise takes every value left").Fix("put otherwise last")
		return
	}
	k := &Case{At: cs.At, Why: why(cs.Why)}
	k.Value = c.formula(cs.Value, sc, r.Result, r.Name)
	if cs.When != nil {
		k.When = c.formula(cs.When, sc, yesNo, "what follows when")
	}
	body.Cases = append(body.Cases, k)
}

// checkAmends hangs each amendment on its rule or table, then looks for clashes.
func (c *checker) checkAmends() {
	for _, t := range c.trees.amends {
		before := c.problems.Len()
		c.amendRule(t)
		if t.order != nil && c.problems.Len() > before {
			t.order.Bad = true
		}
	}
	for _, t := range c.trees.tables {
		if t.rule == nil {
			c.amendTable(t.decl)
		}
	}
	for _, r := range c.p.Rules {
		byPriority(r.Amends, func(a *Amendment) Window { return a.Window })
	}
}

func (c *checker) amendRule(t amendTree) {
	d := t.decl
	r, ok := c.values[d.Name.Text].(*Rule)
	if !ok {
		c.notARule(d.Name)
		return
	}
	if r.IsTable {
		c.fail("amend-table", d.Name.At, "%s is a table", r.Name).Note(r.At, "declared here").Fix("write: amend table " + r.Name + " { … }")
		return
	}
	params, ok := c.amendParams(r, d)
	if !ok {
		return
	}
	w := c.window(d.Window, d.Name.At, t.order)
	body := c.body(r, params, d.Body)
	body.Layer = w.Layer
	r.Amends = append(r.Amends, &Amendment{w, body})
}

func (c *checker) notARule(n lang.Name) {
	switch c.values[n.Text].(type) {
	case *Material:
		c.fail("amend-kind", n.At, "%s is a material", n.Text).Fix("write: amend material " + n.Text + " { … }")
	default:
		var rules []string
		for _, r := range c.p.Rules {
			rules = append(rules, r.Name)
		}
		sortStrings(rules)
		c.unknown("rule", n, rules)
	}
}

// amendParams gives the rule's parameters under the names that an amendment uses for them.
func (c *checker) amendParams(r *Rule, d *lang.AmendDecl) ([]*Cell, bool) {
	if len(d.Params) != len(r.Params) {
		d := c.fail("amend-parameters", d.Name.At, "%s takes %s, and the amendment names %s", r.Name, howMany(len(r.Params)), howMany(len(d.Params))).Note(r.At, "declared here")
		d.Fix("write: amend " + r.Name + paramList(r))
		return nil, false
	}
	var params []*Cell
	for i, n := range d.Params {
		p := *r.Params[i]
		p.Name, p.At = n.Text, n.At
		params = append(params, &p)
	}
	return params, true
}

func paramList(r *Rule) string {
	if len(r.Params) == 0 {
		return ""
	}
	s := "("
	for i, p := range r.Params {
		if i > 0 {
			s += ", "
		}
		s += p.Name
	}
	return s + ")"
}
