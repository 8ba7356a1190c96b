package page

import (
	"cmp"
	"fmt"
	"io"

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

// boughtRow is a material across orders. Apart is what they would need laid out one by one, nil where that is no more.
type boughtRow struct {
	Name, Kind               string
	Needs                    []orderNeed
	Apart                    *Num
	Need, Bought, Each, Cost Num
}

type orderNeed struct {
	Order string
	Need  Num
}

// bought gathers a material's lines; the first order that takes it gives the price and what it is sold by.
type bought struct {
	why   *reasons
	line  eval.BuyLine    // of all the orders
	apart quantity.Number // what they need one by one
	needs []orderNeed
}

// WriteBuying writes one buying list across some orders, by material in the order in which they first take it. The error tells what cannot be bought
// together.
func WriteBuying(w io.Writer, s Sheaf) error {
	page := buyingPage{Title: "Buying list", Orders: len(s.Results), IsTogether: len(s.Together) > 0}
	all, err := gather(s)
	if err != nil {
		return err
	}
	var total quantity.Number
	var lines []*Why
	for _, b := range all {
		row, cost := b.row()
		page.Rows = append(page.Rows, row)
		total = total.Add(cost)
		lines = append(lines, leadingTo(row.Name, row.Cost))
	}
	if len(all) > 0 {
		page.Shop = all[0].why.plan().Program().Title
		page.Total = all[0].why.added("all", all[0].why.bare(check.Num(total), check.MoneyType()), "what each material comes to, together", lines...)
	}
	return write(w, "buying.html.tmpl", page)
}

// gather lists what all the orders need of each material; what they do without where they are laid out in one is left out, and a size that only then is
// cut comes last.
func gather(s Sheaf) ([]*bought, error) {
	lines, problems := eval.BuyTogether(s.Results, s.laid())
	if len(problems) > 0 {
		return nil, fmt.Errorf("the buying list of all orders: %s", problems[0].Message)
	}
	all := make([]*bought, 0, len(lines))
	known := map[*check.Material]*bought{}
	for _, l := range lines {
		b := &bought{line: l}
		all, known[l.Material] = append(all, b), b
	}
	var first *reasons
	for i, r := range s.Results {
		why := newReasons(r, prefixOf(i))
		first = cmp.Or(first, why)
		for _, l := range r.Buy {
			if b := known[l.Material]; b != nil {
				b.take(why, l)
			}
		}
	}
	for _, b := range all {
		b.why = cmp.Or(b.why, first)
	}
	return all, nil
}

// laid is how the pieces of all the orders lie: together, or each order's by themselves.
func (s Sheaf) laid() []eval.Layout {
	if len(s.Together) > 0 {
		return s.Together
	}
	var all []eval.Layout
	for _, r := range s.Results {
		all = append(all, r.Layouts...)
	}
	return all
}

// take adds what one order needs.
func (b *bought) take(why *reasons, l eval.BuyLine) {
	b.why = cmp.Or(b.why, why)
	b.apart = b.apart.Add(l.Need)
	b.needs = append(b.needs, orderNeed{why.result.Order.ID, why.needed(l)})
}

func (b *bought) amount(n quantity.Number) Num {
	num := b.why.bare(check.Num(n), b.line.Type)
	num.Shown = b.why.plan().ShowAmount(b.line, n)
	return num
}

// row says what is bought, as many as are sold, and what that comes to.
func (b *bought) row() (boughtRow, quantity.Number) {
	m, l := b.line.Material, b.line
	row := boughtRow{Name: titleOf(m), Kind: words(m.Kind.Name), Needs: b.needs}
	b.need(&row)
	cost, _ := quantity.Cents(l.Buy.Mul(l.Each)) // decided where l.Buy was
	step := []*Why{leadingTo("needed", row.Need)}
	if sold, ok := b.why.field(m, "sold"); ok {
		step = append(step, sold.Why)
	}
	row.Bought = b.why.added("to buy of "+m.Name, b.amount(l.Buy), "needed, rounded up to what it is sold by", step...)
	row.Each = b.why.each(l)
	row.Cost = b.why.added("cost of "+m.Name, b.why.bare(check.Num(cost), check.MoneyType()), "buy × at, to the cent", leadingTo("buy", row.Bought), leadingTo("at", row.Each))
	return row, cost
}

// need says what the orders need together, and one by one where that is more.
func (b *bought) need(row *boughtRow) {
	name, sum := "need of "+b.line.Material.Name, "what each order needs, together"
	var orders []*Why
	for _, n := range b.needs {
		orders = append(orders, leadingTo("order "+n.Order, n.Need))
	}
	order, _ := b.line.Need.Cmp(b.apart)
	if order < 0 {
		apart := b.why.added(name+", cut apart", b.amount(b.apart), sum, orders...)
		row.Apart = &apart
	}
	if order != 0 {
		sum = "what the pieces of all orders take laid out together, and what is used besides"
	}
	row.Need = b.why.added(name, b.amount(b.line.Need), sum, orders...)
}
