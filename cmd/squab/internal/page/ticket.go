package page

import (
	"fmt"
	"io"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/eval/trace"
	"squab/stdlib"
)

// Sheaf is what one page of tickets is made of. Rules is the fingerprint of every source that the orders were worked out from; Together is how the pieces
// of all the orders lie in one, which only the buying list asks for.
type Sheaf struct {
	Results  []*eval.Result
	Rules    string
	Together []eval.Layout
}

// WriteTickets writes the tickets of some orders as one HTML page, each beginning a sheet of its own in print.
func WriteTickets(w io.Writer, s Sheaf) error {
	page := ticketPage{Title: "Tickets", Rules: s.Rules}
	for i, r := range s.Results {
		page.Tickets = append(page.Tickets, newTicket(r, prefixOf(i)))
	}
	if len(page.Tickets) == 1 {
		page.Title = page.Tickets[0].Heading()
	}
	return write(w, "ticket.html.tmpl", page)
}

// prefixOf keeps the ids of the n-th order of a page apart from the others'.
func prefixOf(n int) string { return fmt.Sprintf("o%d-", n+1) }

type ticketPage struct {
	Title   string
	Rules   string
	Tickets []ticket
}

// ticket is one order as its page shows it.
type ticket struct {
	Prefix   string
	Shop     string
	Order    string
	Title    string
	Recipe   string
	Day      string
	Unit     string // of lengths, said once where it is left out
	Off      Num
	Facts    []fact
	Cut      []cutGroup
	Marks    []marksGroup
	Sections []*Section
	Layouts  []layoutView
	Buy      []buyRow
	Work     []workRow
	Price    []priceRow
	Steps    []stepView
}

// Heading names a ticket.
func (t ticket) Heading() string { return heading(t.Order, t.Title) }

func heading(order, title string) string {
	if title == "" {
		return "Order " + order
	}
	return "Order " + order + ": " + title
}

// fact is something that the order gave, or that was taken for want of it.
type fact struct {
	Name, Help string
	Num        Num
	IsDefault  bool
}

type cutGroup struct {
	Name, Kind string
	Thick      *Num
	Rows       []cutRow
}

// cutRow is a piece of the cut list. Boxes is how many it has to tick.
type cutRow struct {
	Number     int
	Name       string
	Wide, Deep Num
	IsLength   bool
	Count      Num
	Boxes      int64
	Note       string
}

type buyRow struct {
	Name                  string
	Need, Buy, Each, Cost Num
}

type workRow struct {
	Name       string
	Time, Cost Num
}

type priceRow struct {
	Name            string
	Num             Num
	IsTotal, IsNote bool
}

func newTicket(r *eval.Result, prefix string) ticket { return newReasons(r, prefix).ticket() }

func (r *reasons) ticket() ticket {
	res, p := r.result, r.plan().Program()
	t := ticket{Prefix: r.prefix, Shop: p.Title, Order: res.Order.ID, Title: res.Order.Title, Recipe: recipeTitle(res.Recipe), Day: check.DateText(res.Day), Unit: unitWord(p.Style)}
	t.Off = r.cell("off")
	t.Facts = facts(r)
	t.Cut = cutList(r)
	t.Marks = marksOf(r)
	t.Sections = sectionsOf(r)
	t.Layouts = layoutsOf(r)
	t.Buy, t.Work, t.Price = buyRows(r), workRows(r), priceRows(r)
	t.Steps = steps(r)
	return t
}

func recipeTitle(r *check.Recipe) string {
	if r.Title == "" {
		return words(r.Name)
	}
	return r.Title
}

func unitWord(s quantity.Style) string {
	switch {
	case s.Feet:
		return "feet and inches"
	case s.Length == "" || s.Length == "in":
		return "inches"
	}
	return s.Length
}

func facts(r *reasons) []fact {
	var all []fact
	for _, ask := range r.result.Recipe.Asks {
		num := r.cell(ask.Name)
		given := r.result.Sheet.Given(ask.Index) != nil
		if ask.Type.Base == check.OfMaterial {
			r.reword(ask.Name, &num, r.materialTitle(ask))
		}
		if ask.Type.Base == check.ChoiceWord {
			r.reword(ask.Name, &num, words(num.Shown))
		}
		all = append(all, fact{words(ask.Name), ask.Help, num, !given})
	}
	return all
}

func (r *reasons) materialTitle(ask *check.Cell) string {
	v, _ := r.result.Sheet.Value(ask.Index)
	return titleOf(v.Material())
}

func titleOf(m *check.Material) string {
	switch {
	case m == nil:
		return "?"
	case m.Title == "":
		return words(m.Name)
	}
	return m.Title
}

// cutList groups the pieces by material, in the order in which materials first come.
func cutList(r *reasons) []cutGroup {
	var groups []cutGroup
	place := map[*check.Material]int{}
	for i, p := range r.result.Pieces {
		at, known := place[p.Material]
		if !known {
			at = len(groups)
			place[p.Material] = at
			groups = append(groups, newCutGroup(r, p.Material))
		}
		groups[at].Rows = append(groups[at].Rows, newCutRow(r, p, i+1))
	}
	return groups
}

func newCutGroup(r *reasons, m *check.Material) cutGroup {
	g := cutGroup{Name: titleOf(m), Kind: words(m.Kind.Name)}
	if thick, ok := r.field(m, "thick"); ok {
		g.Thick = &thick
	}
	return g
}

// boxesMost is how many boxes a row has to tick; a piece cut more often has one box for all.
const boxesMost = 60

func newCutRow(r *reasons, p eval.Piece, number int) cutRow {
	row := cutRow{Number: number, Name: words(p.Name), Boxes: p.Count, IsLength: p.Form == check.Stick}
	if p.Count > boxesMost {
		row.Boxes = 1
	}
	row.Wide = r.cell(p.Name + ".wide")
	if row.IsLength {
		row.Wide = r.cell(p.Name + ".long")
	} else {
		row.Deep = r.cell(p.Name + ".deep")
	}
	row.Count = r.made(p.Name+" for the whole order", check.Num(quantity.Int(p.Count)), check.CountType(), "for one × how many the order makes", r.node(p.Name+".count"), r.node("off"))
	row.Note = r.turning(p)
	return row
}

// turning says how a piece lies on what it is cut from, where that matters.
func (r *reasons) turning(p eval.Piece) string {
	sign, _ := p.Mitre.Sign()
	switch {
	case sign > 0:
		return "long points; mitred at both ends"
	case p.Form != check.Roll:
		return ""
	case p.Bias != nil:
		return "in strips cut on the bias"
	case stdlib.MayTurn(r.plan().Stock(p.Material), p):
		return p.Up + " runs up the roll; may be turned"
	}
	return p.Up + " runs up the roll"
}

func buyRows(r *reasons) []buyRow {
	var rows []buyRow
	for _, l := range r.result.Buy {
		rows = append(rows, buyRow{
			Name: titleOf(l.Material),
			Cost: r.cell("buy." + l.Material.Name),
			Need: r.needed(l),
			Buy:  r.amount("to buy of "+l.Material.Name, l, l.Buy),
			Each: r.each(l),
		})
	}
	return rows
}

func (r *reasons) needed(l eval.BuyLine) Num {
	return r.amount("need of "+l.Material.Name, l, l.Need)
}

// amount shows how much of a material is needed or bought; it is explained as the line that charges it is.
func (r *reasons) amount(name string, l eval.BuyLine, n quantity.Number) Num {
	v := check.Num(n)
	shown := r.plan().ShowAmount(l, n)
	node := &trace.Node{Name: name, Role: trace.ByLine, Value: v, Type: l.Type, Shown: shown}
	if line := r.node("buy." + l.Material.Name); line != nil {
		node.Notes, node.From = line.Notes, line.From
	}
	return r.num(node)
}

// each is the price of a material.
func (r *reasons) each(l eval.BuyLine) Num {
	if each, ok := r.field(l.Material, "price"); ok {
		return each
	}
	return r.bare(check.Num(l.Each), l.EachType)
}

func workRows(r *reasons) []workRow {
	var rows []workRow
	for _, l := range r.result.Work {
		row := workRow{Name: words(l.Name), Cost: r.cell("work." + l.Name)}
		row.Time = r.made(l.Name+" for the whole order", check.Num(l.Time), check.TimeType(), "for one × how many the order makes, and the setup once", r.node(l.Name+".time"), r.node("off"), r.node(l.Name+".setup"))
		rows = append(rows, row)
	}
	return rows
}

func priceRows(r *reasons) []priceRow {
	var rows []priceRow
	for _, l := range r.result.Price {
		rows = append(rows, priceRow{words(l.Name), r.cell("price." + l.Name), l.IsTotal, l.IsNote})
	}
	return rows
}
