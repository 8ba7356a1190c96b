package print

import (
	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
)

// Joint is several orders whose pieces are laid together, and what is then bought for all of them.
type Joint struct {
	Orders  []*eval.Result
	Layouts []eval.Layout
	Buy     []eval.BuyLine
}

// Together writes what several orders come to when they are laid in one; nothing where there are none.
func (p Page) Together(program *check.Program, j Joint) string {
	if len(j.Layouts) == 0 {
		return ""
	}
	w := NewWriter(p, program).text
	w.heading("ALL ORDERS TOGETHER")
	for _, l := range j.Layouts {
		hang(&w.b, "  ", l.Material.Name+": "+w.layout(l))
	}
	w.r = &eval.Result{Sheet: j.Orders[0].Sheet, Buy: j.Buy}
	w.buying()
	hang(&w.b, "  ", "bought together: "+w.money(cost(j.Buy))+"; order by order: "+w.money(j.apart()))
	return w.b.String()
}

func cost(lines []eval.BuyLine) (sum quantity.Number) {
	for _, l := range lines {
		sum = sum.Add(l.Cost)
	}
	return sum
}

// apart is what the orders' own buying lists cost.
func (j Joint) apart() (sum quantity.Number) {
	for _, r := range j.Orders {
		sum = sum.Add(cost(r.Buy))
	}
	return sum
}

// JointJSON writes the keys of orders laid together.
func JointJSON(program *check.Program, j Joint) []byte {
	w := jsonWriter{program: program, measures: newMeasures(program.Style, recently)}
	w.raw(`"together":`)
	w.layouts(j.Layouts)
	if len(j.Buy) > 0 {
		w.each(`,"together_buy":[`, len(j.Buy), "]", func(i int) { w.buy(&j.Buy[i]) })
	}
	return w.b
}
