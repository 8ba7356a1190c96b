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
	length, count, money := check.LengthType(), check.CountType(), check.MoneyType()
	var facts []Fact
	add := func(name string, v check.Value, t check.Type) { facts = append(facts, Fact{name, v, t}) }
	for _, p := range r.Pieces {
		add(p.Name+".wide", check.Num(p.Wide), length)
		if p.Form != check.Stick {
			add(p.Name+".deep", check.Num(p.Deep), length)
		}
		add(p.Name+".count", check.Num(quantity.Int(p.Count)), count)
		add(p.Name+".from", check.TextValue(p.Material.Name), check.TextType())
	}
	for _, m := range r.Marks {
		add(m.Name+".count", check.Num(quantity.Int(int64(len(m.Points)))), count)
		if s, _ := m.Hole.Sign(); s != 0 {
			add(m.Name+".hole", check.Num(m.Hole), length)
		}
		for i, at := range m.Points {
			add(fmt.Sprintf("%s[%d].x", m.Name, i+1), check.Num(at.X), length)
			add(fmt.Sprintf("%s[%d].y", m.Name, i+1), check.Num(at.Y), length)
		}
	}
	for _, l := range r.Buy {
		add("buy."+l.Material.Name, check.Num(l.Buy), l.Type)
		add("cost."+l.Material.Name, check.Num(l.Cost), money)
	}
	for _, l := range r.Work {
		add("time."+l.Name, check.Num(l.Time), check.TimeType())
		add("work."+l.Name, check.Num(l.Cost), money)
	}
	for _, l := range r.Charges {
		add("charge."+l.Name, check.Num(l.Value), l.Type)
	}
	for _, l := range r.Price {
		add("price."+l.Name, check.Num(l.Value), l.Type)
	}
	return facts
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
