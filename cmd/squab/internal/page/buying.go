package page

import (
	"io"
	"slices"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
)

type buyingPage struct {
	Title, Shop string
	Orders      int
	IsTogether  bool // the orders' pieces were laid out in one
	Rows        []boughtRow
	Total       Num
}

// boughtRow is a material across orders. Bought is what their needs together are rounded up to; Apart is what they would need laid out one by one, nil
// where that is no more.
type boughtRow struct {
	Name, Kind   string
	Needs        []orderNeed
	Apart        *Num
	Need, Bought Num
	Each, Cost   Num
}

type orderNeed struct {
	Order string
	Need  Num
}

// bought gathers a material's lines; the first order that takes it gives the price and what it is sold by.
type bought struct {
	why   *reasons
	line  eval.BuyLine
	need  quantity.Number // of all the orders, laid out together
	apart quantity.Number
	saved quantity.Number
	needs []orderNeed
}

// WriteBuying writes one buying list across some orders, by material in the order in which they first take it.
func WriteBuying(w io.Writer, s Sheaf) error {
	page := buyingPage{Title: "Buying list", Orders: len(s.Results), IsTogether: len(s.Together) > 0}
	var total quantity.Number
	lines := gather(s)
	for _, b := range lines {
		row, cost := b.row()
		page.Rows = append(page.Rows, row)
		total = total.Add(cost)
	}
	if len(lines) > 0 {
		page.Shop = lines[0].why.plan().Program().Title
		page.Total = lines[0].why.bare(check.Num(total), check.MoneyType())
	}
	return write(w, "buying.html.tmpl", page)
}

func gather(s Sheaf) []*bought {
	var all []*bought
	known := map[*check.Material]*bought{}
	for _, r := range s.Results {
		why := newReasons(r, "")
		for _, l := range r.Buy {
			b := known[l.Material]
			if b == nil {
				b = &bought{why: why, line: l}
				known[l.Material] = b
				all = append(all, b)
			}
			b.apart = b.apart.Add(l.Need)
			b.needs = append(b.needs, orderNeed{r.Order.ID, b.amount(l.Need)})
		}
	}
	if len(s.Together) > 0 {
		return together(s, all, known)
	}
	for _, b := range all {
		b.need = b.apart
	}
	return all
}

// together sets what the orders need laid out in one; a material that they then do without is left out, and a size that only then is cut comes last.
func together(s Sheaf, all []*bought, known map[*check.Material]*bought) []*bought {
	lines, _ := eval.BuyTogether(s.Results, s.Together) // each order's own buying has told of what cannot be bought
	for _, l := range lines {
		b := known[l.Material]
		if b == nil {
			b = &bought{why: newReasons(s.Results[0], ""), line: l}
			all = append(all, b)
		}
		b.need = l.Need
		b.saved = b.apart.Sub(l.Need)
	}
	return slices.DeleteFunc(all, func(b *bought) bool {
		sign, _ := b.need.Sign()
		return sign == 0
	})
}

func (b *bought) amount(n quantity.Number) Num {
	num := b.why.bare(check.Num(n), b.line.Type)
	num.Shown = b.why.plan().ShowAmount(b.line, n)
	return num
}

func (b *bought) row() (boughtRow, quantity.Number) {
	buy := b.rounded()
	cost, _ := quantity.Cents(buy.Mul(b.line.Each))
	m := b.line.Material
	row := boughtRow{Name: titleOf(m), Kind: words(m.Kind.Name), Needs: b.needs, Need: b.amount(b.need), Bought: b.amount(buy)}
	if sign, _ := b.saved.Sign(); sign > 0 {
		apart := b.amount(b.apart)
		row.Apart = &apart
	}
	row.Each = b.why.bare(check.Num(b.line.Each), b.line.EachType)
	row.Cost = b.why.bare(check.Num(cost), check.MoneyType())
	return row, cost
}

// rounded rounds the needs together up to what the material is sold by: whole ones of sheets and sticks that do not say.
func (b *bought) rounded() quantity.Number {
	sold, ok := b.why.plan().Stock(b.line.Material).Measure("sold")
	if sign, _ := sold.Sign(); !ok || sign <= 0 {
		sold = quantity.Int(1)
	}
	buy, ok := b.need.RoundUp(sold)
	if !ok {
		return b.need
	}
	return buy
}
