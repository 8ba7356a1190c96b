package print

import (
	"strings"
	"unicode"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang"
)

func (w *orderWriter) buying() {
	if len(w.r.Buy) == 0 {
		return
	}
	w.heading("BUY")
	t := table{}
	for _, head := range []string{"material", "need", "buy", "charged", "at", "cost"} {
		t.column(head, head != "material")
	}
	for _, l := range w.r.Buy {
		unit, ok := w.pricedBy(l)
		if !ok {
			t.row(l.Material.Name, w.show(l.Need, l.Type), w.show(l.Buy, l.Type), w.show(l.Charged, l.Type), w.show(l.Each, l.EachType), w.money(l.Cost))
			continue
		}
		need := w.sold(l.Need, l.Type, unit)
		if l.Type.IsLength() {
			need = w.length(l.Need)
		}
		t.row(l.Material.Name, need, w.sold(l.Buy, l.Type, unit), w.sold(l.Charged, l.Type, unit), w.rate(l.Each, unit), w.money(l.Cost))
	}
	t.write(w.page, &w.b)
}

// pricedBy is the unit by which a material's price is written; false where it is worked out, or is for each.
func (w *orderWriter) pricedBy(l eval.BuyLine) (quantity.Unit, bool) {
	field := l.Material.Kind.Field("price")
	cell := w.r.Sheet.Plan.FieldInForce(l.Material, field.Index)
	if cell == nil {
		return quantity.Unit{}, false
	}
	price, ok := cell.Source.(*lang.Measure)
	if !ok || price.Per == nil {
		return quantity.Unit{}, false
	}
	unit, ok := w.program.Units.Lookup(price.Per.Text)
	return unit, ok && (unit.Dim == l.Type.ShownDim() || unit.Dim == quantity.CountDim)
}

// sold writes an amount in the unit by which it is priced.
func (w *orderWriter) sold(n quantity.Number, t check.Type, unit quantity.Unit) string {
	s := w.program.Style.ShowIn(n, t.ShownDim(), unit)
	w.inexact = w.inexact || !s.Exact
	return s.Text
}

// ratePlaces is how many decimals the price of a staple may need.
const ratePlaces = 5

// rate writes a price for each unit; one that is no whole number of cents with more decimals.
func (w *orderWriter) rate(each quantity.Number, unit quantity.Unit) string {
	amount := each.Mul(unit.Factor)
	shown := w.program.Style.Show(amount, quantity.MoneyDim)
	if shown.Exact || !amount.Exact() {
		w.inexact = w.inexact || !shown.Exact
		return shown.Text + " per " + unit.Name
	}
	sign := strings.TrimFunc(strings.TrimLeft(shown.Text, "~-"), func(r rune) bool { return unicode.IsDigit(r) || r == '.' || r == ',' })
	text := sign + strings.TrimRight(amount.Rat().FloatString(ratePlaces), "0") + " per " + unit.Name
	if rounded, ok := amount.RoundNear(quantity.Frac(1, 100_000)); !ok || !rounded.Equal(amount) {
		w.inexact = true
		text = "~" + text
	}
	return text
}
