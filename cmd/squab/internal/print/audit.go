package print

import (
	"fmt"
	"strings"

	"squab/eval"
	"squab/eval/audit"
	"squab/eval/check"
	"squab/eval/quantity"
)

// signed shows a difference with its sign.
func signed(p *check.Program, n quantity.Number, t check.Type) string {
	return withSign(eval.Show(p, check.Num(n), t), n)
}

// withSign puts a plus into how a number is shown, where it is more than nothing.
func withSign(shown string, n quantity.Number) string {
	if sign, _ := n.Sign(); sign <= 0 {
		return shown
	}
	if bare, marked := strings.CutPrefix(shown, "~"); marked {
		return "~+" + bare
	}
	return "+" + shown
}

// indentWrap writes text in lines of the page's width.
func indentWrap(text, head, rest string) string {
	var b strings.Builder
	for i, line := range Wrap(clean(text), 80-len(rest)) {
		if i == 0 {
			b.WriteString(head + line + "\n")
			continue
		}
		b.WriteString(rest + line + "\n")
	}
	return b.String()
}

// Found writes the answer of a search.
func Found(p *check.Program, cell, target string, f audit.Found) string {
	show := func(n quantity.Number, t check.Type) string { return eval.Show(p, check.Num(n), t) }
	var b strings.Builder
	for _, s := range f.Stretches {
		if s.Single {
			fmt.Fprintf(&b, "%s = %s\n", f.Ask.Name, show(s.From, f.Ask.Type))
			continue
		}
		fmt.Fprintf(&b, "%s from %s to %s\n", f.Ask.Name, show(s.From, f.Ask.Type), show(s.To, f.Ask.Type))
	}
	for _, s := range f.Jumps {
		b.WriteString(indentWrap(fmt.Sprintf("between %s and %s, %s goes past without meeting it: a rounding or a condition lies there",
			show(s.From, f.Ask.Type), show(s.To, f.Ask.Type), cell), "", "  "))
	}
	if len(f.Stretches) == 0 {
		b.WriteString(indentWrap(fmt.Sprintf("No value of %s gives %s %s.", f.Ask.Name, cell, target), "", "  "))
		if f.Least != nil {
			b.WriteString(indentWrap(fmt.Sprintf("Over the range %s runs from %s to %s.", cell, show(*f.Least, f.Kind), show(*f.Most, f.Kind)), "", "  "))
		}
	}
	b.WriteString(indentWrap(fmt.Sprintf("Looked at %s from %s to %s, every %s; a place where %s crosses and crosses back within one step is not seen.",
		f.Ask.Name, show(f.From, f.Ask.Type), show(f.To, f.Ask.Type), show(f.Step, f.Ask.Type), cell), "", ""))
	if f.Refused > 0 {
		b.WriteString(indentWrap(fmt.Sprintf("For %d of these values the order is refused.", f.Refused), "", ""))
	}
	return b.String()
}

// Leans writes what a cell leans on, the most first.
func Leans(p *check.Program, cell string, kind check.Type, leans []audit.Lean) string {
	if len(leans) == 0 {
		return Paragraph(cell + " leans on no measure.")
	}
	t := &table{}
	t.column("what", false)
	t.column("sort", false)
	t.column("a step of", true)
	t.column("more moves it", true)
	t.column("less moves it", true)
	for _, l := range leans {
		t.row(l.Name, l.Sort, stepText(p, l), moved(p, l.Up, kind), moved(p, l.Down, kind))
	}
	var b strings.Builder
	b.WriteString(indentWrap(cell+", for one small step of what it leans on:", "", "  "))
	t.write(Page{}, &b)
	return b.String()
}

// stepText shows one step: of a rule that may give several values, a share of each.
func stepText(p *check.Program, l audit.Lean) string {
	if l.Share {
		return "1%"
	}
	return eval.Show(p, check.Num(l.Step), l.StepType)
}

func moved(p *check.Program, n *quantity.Number, kind check.Type) string {
	if n == nil {
		return "refused"
	}
	return signed(p, *n, kind)
}
