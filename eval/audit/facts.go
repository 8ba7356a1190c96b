package audit

import (
	"fmt"
	"strings"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
)

// Fact is one thing that an order comes to: a piece's size, a mark, a purchase, a line of the price, or that it was refused.
type Fact struct {
	Name  string
	Value check.Value
	Type  check.Type
}

// Refused is the fact of an order that cannot be made; its value is the first reason.
const Refused = "refused"

// Facts lists what a result comes to, by names that do not depend on the names of cells. problems are the reasons where r is nil.
func Facts(r *eval.Result, problems []string) []Fact {
	if r == nil {
		why := ""
		if len(problems) > 0 {
			why = problems[0]
		}
		return []Fact{{Refused, check.TextValue(why), check.TextType()}}
	}
	var f facts
	for _, p := range r.Pieces {
		f.piece(p)
	}
	for _, m := range r.Marks {
		f.mark(m)
	}
	for _, l := range r.Buy {
		f.add("buy."+l.Material.Name, check.Num(l.Buy), l.Type)
		f.add("cost."+l.Material.Name, check.Num(l.Cost), check.MoneyType())
	}
	for _, l := range r.Work {
		f.add("time."+l.Name, check.Num(l.Time), check.TimeType())
		f.add("work."+l.Name, check.Num(l.Cost), check.MoneyType())
	}
	for _, l := range r.Charges {
		f.add("charge."+l.Name, check.Num(l.Value), l.Type)
	}
	for _, l := range r.Price {
		f.add("price."+l.Name, check.Num(l.Value), l.Type)
	}
	return f
}

type facts []Fact

func (f *facts) add(name string, v check.Value, t check.Type) { *f = append(*f, Fact{name, v, t}) }

func (f *facts) piece(p eval.Piece) {
	f.add(p.Name+".wide", check.Num(p.Wide), check.LengthType())
	if p.Form != check.Stick {
		f.add(p.Name+".deep", check.Num(p.Deep), check.LengthType())
	}
	if p.HasThick {
		f.add(p.Name+".thick", check.Num(p.Thick), check.LengthType())
	}
	if s, _ := p.Mitre.Sign(); s != 0 {
		f.add(p.Name+".mitre", check.Num(p.Mitre), check.LengthType())
	}
	f.add(p.Name+".count", check.Num(quantity.Int(p.Count)), check.CountType())
	f.add(p.Name+".from", check.TextValue(p.Material.Name), check.TextType())
	if p.Form != check.Stick {
		f.add(p.Name+".up", check.TextValue(up(p)), check.TextType())
	}
}

// up is what lies along a roll: a side of the piece, or neither where it is cut on the bias.
func up(p eval.Piece) string {
	if p.Bias != nil {
		return "bias"
	}
	return p.Up
}

func (f *facts) mark(m eval.Marks) {
	f.add(m.Name+".count", check.Num(quantity.Int(int64(len(m.Points)))), check.CountType())
	if s, _ := m.Hole.Sign(); s != 0 {
		f.add(m.Name+".hole", check.Num(m.Hole), check.LengthType())
	}
	for i, at := range m.Points {
		f.add(fmt.Sprintf("%s[%d].x", m.Name, i+1), check.Num(at.X), check.LengthType())
		f.add(fmt.Sprintf("%s[%d].y", m.Name, i+1), check.Num(at.Y), check.LengthType())
	}
}

// AddsUp reports whether facts of a name are added up over orders: what is bought and what it costs, time and what it costs, and the money of the price.
func AddsUp(name string, isMoney bool) bool {
	front, _, _ := strings.Cut(name, ".")
	switch front {
	case "buy", "cost", "time", "work":
		return true
	case "price":
		return isMoney
	}
	return false
}

// byName finds facts by name.
func byName(facts []Fact) map[string]Fact {
	m := make(map[string]Fact, len(facts))
	for _, f := range facts {
		m[f.Name] = f
	}
	return m
}
