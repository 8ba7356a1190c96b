package trace

import (
	"fmt"
	"slices"
	"strings"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
)

// line traces a line of the result: buy.NAME, work.NAME, layout.NAME.used.
func (t *tracer) line(name string) *Node {
	if t.r == nil {
		return nil
	}
	if m, ok := strings.CutPrefix(name, "buy."); ok {
		for _, l := range t.r.Buy {
			if l.Material.Name == m {
				return t.buyLine(l)
			}
		}
	}
	if w, ok := strings.CutPrefix(name, "work."); ok {
		for _, l := range t.r.Work {
			if l.Name == w {
				return t.workLine(l)
			}
		}
	}
	return t.usedNamed(name)
}

// lineNames lists the lines of the result, those of layouts apart.
func (t *tracer) lineNames() []string {
	if t.r == nil {
		return nil
	}
	var all []string
	for _, l := range t.r.Buy {
		all = append(all, "buy."+l.Material.Name)
	}
	for _, l := range t.r.Work {
		all = append(all, "work."+l.Name)
	}
	return all
}

// sums traces the sums that the price is given: they are lines of the result, not formulas.
func (t *tracer) sums(n *Node, name string) bool {
	if t.r == nil {
		return false
	}
	switch name {
	case "price.bought":
		n.Formula = "the lines bought, each rounded to the cent"
		for _, l := range t.r.Buy {
			n.From = append(n.From, t.buyLine(l))
		}
	case "price.worked":
		n.Formula = "the work lines, each rounded to the cent"
		for _, l := range t.r.Work {
			n.From = append(n.From, t.workLine(l))
		}
	case "price.extras":
		n.Formula = "the recipe's own charges, each rounded to the cent"
		for _, l := range t.r.Charges {
			if slot := t.p.Slot(l.Name); slot >= 0 {
				n.From = append(n.From, t.slot(slot))
			}
		}
	default:
		return false
	}
	return true
}

// buyLine traces what a material costs: how much is needed, rounded to what is sold, at its price.
func (t *tracer) buyLine(l eval.BuyLine) *Node {
	n := t.node("buy."+l.Material.Name, ByLine, check.Num(l.Cost), check.MoneyType())
	n.At = l.Material.At
	n.Layer = t.layer(n.At)
	if !t.once(n.Name, n) {
		return n
	}
	n.Formula = fmt.Sprintf("%s at %s", t.amount(l, l.Charged), t.p.Show(check.Num(l.Each), l.EachType))
	t.rounded(n, l)
	need := t.node("need of "+l.Material.Name, ByLine, check.Num(l.Need), l.Type)
	need.Shown = t.amount(l, l.Need)
	t.needOf(need, l)
	n.From = append(n.From, need)
	for _, field := range boughtBy {
		if f := l.Material.Kind.Field(field); f != nil {
			n.From = append(n.From, t.fieldNode(l.Material, f.Index))
		}
	}
	return n
}

func (t *tracer) amount(l eval.BuyLine, n quantity.Number) string { return t.p.ShowAmount(l, n) }

func (t *tracer) rounded(n *Node, l eval.BuyLine) {
	if more := l.Buy.Sub(l.Need); !isZero(more) {
		n.Notes = append(n.Notes, fmt.Sprintf("bought: %s, which is %s more than the need", t.amount(l, l.Buy), t.amount(l, more)))
	}
	t.toTheCent(n, l.Charged.Mul(l.Each), l.Cost)
}

// toTheCent notes what the rounding of a line's cost to the cent added or took off, where it did.
func (t *tracer) toTheCent(n *Node, exact, cost quantity.Number) {
	if !isZero(cost.Sub(exact)) {
		n.Notes = append(n.Notes, t.lost("rounded to the cent", check.Num(exact), check.Num(cost), check.MoneyType()))
	}
}

func isZero(n quantity.Number) bool {
	s, decided := n.Sign()
	return decided && s == 0
}

// needOf traces what a need is made of: what the layouts take of the material, and what is used of it.
func (t *tracer) needOf(n *Node, l eval.BuyLine) {
	for _, layout := range t.r.Layouts {
		if slices.ContainsFunc(layout.Takes(), func(taken eval.Taken) bool { return taken.Material == l.Material }) {
			n.From = append(n.From, t.used(layout))
		}
	}
	for _, slot := range t.p.UseSlots(l.Material, t.s) {
		n.From = append(n.From, t.slot(slot))
	}
}

func (t *tracer) workLine(l eval.WorkLine) *Node {
	n := t.node("work."+l.Name, ByLine, check.Num(l.Cost), check.MoneyType())
	n.At, n.Layer = l.At, t.layer(l.At)
	if !t.once(n.Name, n) {
		return n
	}
	n.Formula = t.p.Show(check.Num(l.Time), check.TimeType()) + " at its rate, rounded to the cent"
	if rate := t.p.Slot(l.Name + ".rate"); rate >= 0 {
		v, _ := t.s.Value(rate)
		t.toTheCent(n, l.Time.Mul(v.Num), l.Cost)
	}
	for _, part := range []string{".time", ".setup", ".rate"} {
		if slot := t.p.Slot(l.Name + part); slot >= 0 {
			n.From = append(n.From, t.slot(slot))
		}
	}
	part := l.Name[:strings.LastIndexByte(l.Name, '.')+1]
	if off := t.p.Slot(part + "off"); off >= 0 {
		n.From = append(n.From, t.slot(off))
	}
	return n
}

// total traces the sum of the price's charges, which is written nowhere; a charge that does not hold says so itself.
func (t *tracer) total(n *Node, cell *check.Cell, sc eval.Scope) {
	n.At, n.Because = cell.At, cell.Why.Because
	n.Layer = t.layer(n.At)
	t.operands(n, cell.Expr, sc)
	var names []string
	for _, from := range n.From {
		names = append(names, strings.TrimPrefix(from.Name, "price."))
	}
	n.Formula = strings.Join(names, " + ")
}
