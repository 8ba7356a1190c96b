package page

import (
	"io"
	"slices"
	"strings"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
)

type quotationPage struct {
	Title      string
	Quotations []quotation
}

// quotation is what a customer is sent: sizes and the price, neither costs nor rules.
type quotation struct {
	Shop, Order, Title, Recipe, Day string
	Off                             Num
	Facts                           []fact
	Lines                           []quotedLine
	Total                           Num
	After                           []quotedLine // the deposit, and what is left to pay
}

type quotedLine struct {
	Name string
	Num  Num
}

// Heading names a quotation.
func (q quotation) Heading() string { return "Quotation " + q.Order }

// WriteQuotations writes the quotations of some orders as one HTML page, each beginning a sheet of its own.
func WriteQuotations(w io.Writer, s Sheaf) error {
	page := quotationPage{Title: "Quotations"}
	for _, r := range s.Results {
		page.Quotations = append(page.Quotations, newQuotation(r))
	}
	return write(w, "quotation.html.tmpl", page)
}

func newQuotation(r *eval.Result) quotation {
	why := newReasons(r, "")
	p := why.plan().Program()
	q := quotation{Shop: p.Title, Order: r.Order.ID, Title: r.Order.Title, Recipe: recipeTitle(r.Recipe), Day: check.DateText(r.Day)}
	q.Off = why.bare(check.Num(quantity.Int(r.Off)), check.CountType())
	for _, f := range facts(why) {
		if !f.IsDefault {
			f.Num.Why = nil
			q.Facts = append(q.Facts, f)
		}
	}
	q.price(why)
	return q
}

// apart are the charges that a customer is told of one by one, by the words in their names; all others are one line, so that no cost price shows.
var apart = [...]string{"tax", "vat", "delivery"}

func isApart(name string) bool {
	parts := strings.FieldsFunc(name, func(r rune) bool { return r == '_' || r == '.' })
	return slices.ContainsFunc(parts, func(part string) bool { return slices.Contains(apart[:], part) })
}

// price sums the charges, which are whole cents already, so that the lines add up to the total.
func (q *quotation) price(why *reasons) {
	var together, total quantity.Number
	var rest []quotedLine
	for _, l := range why.result.Price {
		switch {
		case l.IsTotal:
			total = l.Value
		case l.IsNote:
		case isApart(l.Name):
			rest = append(rest, why.quoted(words(l.Name), l.Value))
		default:
			together = together.Add(l.Value)
		}
	}
	q.Lines = append([]quotedLine{why.quoted("making and material", together)}, rest...)
	q.Total = why.quoted("total", total).Num
	for _, l := range why.result.Price {
		if l.IsNote && l.Name == "deposit" {
			deposit := l.Value
			if cents, ok := quantity.Cents(deposit); ok { // a share of whole cents may be half a cent, which nobody pays
				deposit = cents
			}
			q.After = []quotedLine{why.quoted("deposit", deposit), why.quoted("left to pay", total.Sub(deposit))}
		}
	}
}

func (r *reasons) quoted(name string, n quantity.Number) quotedLine {
	return quotedLine{name, r.bare(check.Num(n), check.MoneyType())}
}
