package trace_test

import (
	"strings"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
)

// literalOf writes a value as a formula of the language that comes to exactly that value: 91/2 in, [1 in, 2 in], harbour_tweed. An approximation is
// written as the middle of its bounds; text is quoted.
func literalOf(p *check.Program, v check.Value, t check.Type) string {
	switch t.Base {
	case check.Quantity:
		return number(p, v.Num, t)
	case check.Text:
		return quoted(v.Text())
	case check.Size:
		return "(" + literalOf(p, v.Item(0), check.LengthType()) + " by " + literalOf(p, v.Item(1), check.LengthType()) + ")"
	case check.Point:
		return "(" + literalOf(p, v.Item(0), check.LengthType()) + " at " + literalOf(p, v.Item(1), check.LengthType()) + ")"
	case check.List:
		items := make([]string, len(v.Items()))
		for i, item := range v.Items() {
			items[i] = literalOf(p, item, *t.Elem)
		}
		return "[" + strings.Join(items, ", ") + "]"
	}
	return eval.Show(p, v, t)
}

func quoted(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", `\n`, "{", `\{`).Replace(s) + `"`
}

// number writes a measure in base units: inches, pounds, minutes, degrees.
func number(p *check.Program, n quantity.Number, t check.Type) string {
	r := n.Rat()
	plain := r.Num().String()
	if !r.IsInt() {
		plain += "/" + r.Denom().String()
	}
	d := t.Dim
	if d.Count <= 0 && d.Count+t.Slack >= 0 {
		d.Count = 0
	}
	if d == quantity.LengthDim && r.Sign() >= 0 {
		return plain + " in"
	}
	if d == (quantity.Dimension{}) && r.Sign() >= 0 && r.IsInt() {
		return plain
	}
	return "(" + strings.Join(append([]string{plain}, units(p, d)...), "") + ")"
}

// units writes the factors that give a plain number its dimension.
func units(p *check.Program, d quantity.Dimension) []string {
	var all []string
	for _, u := range []struct {
		one   string
		power int8
	}{{currencyOne(p), d.Money}, {"1 lb", d.Mass}, {"1 in", d.Length}, {"1 min", d.Time}, {"1 deg", d.Angle}, {"1 each", d.Count}} {
		for range u.power {
			all = append(all, " * ("+u.one+")")
		}
		for range -u.power {
			all = append(all, " / ("+u.one+")")
		}
	}
	return all
}

// currencyOne is one unit of the shop's money.
func currencyOne(p *check.Program) string {
	if sign := map[string]string{"GBP": "£", "EUR": "€"}[p.Style.Currency]; sign != "" {
		return sign + "1"
	}
	return "$1"
}
