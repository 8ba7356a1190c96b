package check

import (
	"slices"
	"strings"

	"squab/eval/quantity"
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
	for _, r := range c.p.Rules {
		for _, p := range r.Params {
			c.settle(p)
		}
	}
	for _, t := range c.trees.rules {
		if t.decl.Body != nil {
			t.rule.Base = c.body(t.rule, t.rule.Params, t.decl.Body)
			t.rule.Base.broken = t.rule.Base.broken || c.spoiled(t.decl.At)
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
	sc := &scope{frame: InRule, next: &r.FrameSize}
	for i, p := range params {
		cell := r.Params[i]
		c.ranges(cell, p)
		if p.Default != nil {
			c.await(cell, p.Default, &cell.Type, sc, "the default of "+cell.Name)
		}
		sc = &scope{outer: sc, frame: InRule, next: sc.next, cells: map[string]*Cell{cell.Name: cell}}
	}
}

// body checks one layer of a rule. The parameters may have other names in an amendment.
func (c *checker) body(r *Rule, params []*Cell, b *lang.Body) *Body {
	body := &Body{Layer: c.layer(b.At), At: b.At}
	sc := &scope{frame: InRule, cells: map[string]*Cell{}, next: &r.FrameSize}
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
		c.await(cell, l.Value, nil, sc, cell.Name)
		body.Locals = append(body.Locals, cell)
	}
	for _, cell := range body.Locals {
		c.settle(cell)
	}
	body.Locals = c.inOrder(body.Locals)
}

// inOrder puts a rule's own cells so that each follows what it needs, and reports rings.
func (c *checker) inOrder(cells []*Cell) []*Cell {
	own := map[*Cell]bool{}
	for _, cell := range cells {
		own[cell] = true
	}
	ordered, rings := sorted(cells, func(cell *Cell) []*Cell {
		var needs []*Cell
		Walk(cell.Expr, func(e Expr) bool {
			if ref, ok := e.(*CellRef); ok && ref.In == InRule && own[ref.Cell] {
				needs = append(needs, ref.Cell)
			}
			return true
		})
		return needs
	})
	for _, ring := range rings {
		if ring.told {
			c.reportRing(ring.nodes, func(cell *Cell) (string, diag.Span) { return cell.Name, cell.At })
		}
		ring.nodes[len(ring.nodes)-1].Expr = bad(ring.nodes[len(ring.nodes)-1].At)
	}
	return ordered
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

// checkAmends hangs each amendment on its rule or table.
func (c *checker) checkAmends() {
	for _, t := range c.trees.amends {
		c.amendRule(t)
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
	if _, isMaterial := c.values[n.Text].(*Material); isMaterial {
		c.fail("amend-kind", n.At, "%s is a material", n.Text).Fix("write: amend material " + n.Text + " { … }")
		return
	}
	c.unknown("rule", n, c.ruleNames)
}

func (c *checker) ruleNames() []string {
	var all []string
	for _, r := range c.p.Rules {
		all = append(all, r.Name)
	}
	slices.Sort(all)
	return all
}

// amendParams gives the rule's parameters under the names that an amendment uses for them.
func (c *checker) amendParams(r *Rule, d *lang.AmendDecl) ([]*Cell, bool) {
	if len(d.Params) != len(r.Params) {
		c.fail("amend-parameters", d.Name.At, "%s takes %s, and the amendment names %s", r.Name, howMany(len(r.Params)), named(len(d.Params))).
			Note(r.At, "declared here").Fix("write: amend " + r.Name + paramList(r))
		return nil, false
	}
	params := make([]*Cell, len(d.Params))
	seen := map[string]diag.Span{}
	for i, n := range d.Params {
		if first, twice := seen[n.Text]; twice {
			c.fail("parameter-twice", n.At, "the parameter %s stands twice", n.Text).Note(first, "first here").Fix("rename one")
		}
		seen[n.Text] = n.At
		p := *r.Params[i]
		p.Name, p.At = n.Text, n.At
		params[i] = &p
	}
	return params, true
}

func named(n int) string {
	if n == 0 {
		return "none"
	}
	return quantity.Int(int64(n)).String()
}

func paramList(r *Rule) string {
	if len(r.Params) == 0 {
		return ""
	}
	return "(" + strings.Join(r.paramNames(), ", ") + ")"
}
