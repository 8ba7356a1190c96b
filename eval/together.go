package eval

import (
	"squab/eval/check"
	"squab/lang/diag"
)

// BuyTogether makes one buying list for several orders whose pieces are laid together: of each material what the joint layouts take, and what the
// orders use of it besides their pieces, rounded up once. The first order that takes a material tells its price and how it is sold.
func BuyTogether(results []*Result, joint []Layout) ([]BuyLine, []diag.Diagnostic) {
	var all amounts
	plans := map[*check.Material]*Plan{}
	for _, r := range results {
		for _, n := range usedBesides(r) {
			all.add(n.Material, n.Amount)
			if plans[n.Material] == nil {
				plans[n.Material] = r.Sheet.Plan
			}
		}
	}
	for _, l := range joint {
		for _, t := range l.Takes() {
			all.add(t.Material, t.Amount)
			if plans[t.Material] == nil { // a size that no order takes by itself
				plans[t.Material] = results[0].Sheet.Plan
			}
		}
	}
	return buyLines(all, plans)
}

// buyLines prices each amount as a material is on its plan's day, and leaves out what is nothing.
func buyLines(all amounts, plans map[*check.Material]*Plan) (lines []BuyLine, problems []diag.Diagnostic) {
	for _, n := range all {
		line, fault := buyLine(plans[n.Material].Stock(n.Material), n.Amount)
		if fault != nil {
			problems = append(problems, fault.Diagnostic())
			continue
		}
		if sign, _ := n.Amount.Sign(); sign > 0 {
			lines = append(lines, line)
		}
	}
	return lines, problems
}

// usedBesides is what an order needs of each material besides what its own layouts take; nothing of one that only pieces are cut from.
func usedBesides(r *Result) amounts {
	var all amounts
	for _, l := range r.Buy {
		all.add(l.Material, l.Need)
	}
	for _, l := range r.Layouts {
		for _, t := range l.Takes() {
			all.add(t.Material, t.Amount.Neg())
		}
	}
	return all
}
