package print

import (
	"fmt"
	"strings"

	"squab/eval"
	"squab/eval/audit"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang/diag"
)

// Comparison writes what a change of the rules changes, order by order, with the causes.
func Comparison(files *diag.Files, c audit.Comparison) string {
	var b strings.Builder
	for i := 0; i < len(c.Changes); {
		n := i
		for n < len(c.Changes) && c.Changes[n].Order == c.Changes[i].Order {
			n++
		}
		writeChanges(&b, files, c, c.Changes[i:n])
		i = n
	}
	b.WriteString(comparisonEnd(c))
	return b.String()
}

// writeChanges writes the changes of one order, those of one cause together.
func writeChanges(b *strings.Builder, files *diag.Files, c audit.Comparison, changes []audit.Change) {
	fmt.Fprintf(b, "ORDER %s\n", clean(changes[0].Order))
	var done []string
	for _, ch := range changes {
		key := causesKey(ch.Causes)
		if contains(done, key) {
			continue
		}
		done = append(done, key)
		for _, cause := range ch.Causes {
			b.WriteString(indentWrap("because of "+causeText(files, cause), "", "  "))
		}
		t := &table{}
		t.column("what", false)
		t.column("before", true)
		t.column("after", true)
		t.column("change", true)
		var alike []audit.Change
		for _, other := range changes {
			if causesKey(other.Causes) == key {
				alike = append(alike, other)
			}
		}
		changeRows(t, c.After, alike)
		t.write(Page{}, b)
	}
	b.WriteString("\n")
}

// changeRows writes a row a change; of many marks of one name only the first few.
func changeRows(t *table, p *check.Program, changes []audit.Change) {
	const few = 4
	shown := map[string]int{}
	for _, ch := range changes {
		if set, _, isMark := strings.Cut(ch.Name, "["); isMark {
			shown[set]++
		}
	}
	left := map[string]int{}
	for _, ch := range changes {
		set, _, isMark := strings.Cut(ch.Name, "[")
		if isMark && shown[set] > few {
			if left[set]++; left[set] == few+1 {
				t.row(fmt.Sprintf("%s: %d more", set, shown[set]-few), "", "", "")
			}
			if left[set] > few {
				continue
			}
		}
		t.row(changeCells(p, ch)...)
	}
}

func contains(all []string, s string) bool {
	for _, x := range all {
		if x == s {
			return true
		}
	}
	return false
}

func causesKey(causes []audit.Cause) string {
	s := ""
	for _, c := range causes {
		s += c.Label + "\n"
	}
	return s
}

// causeText says what changed, as it was written before and after, and where.
func causeText(files *diag.Files, c audit.Cause) string {
	text := c.Label
	old, now := oneLine(files, c.Old), oneLine(files, c.New)
	switch {
	case old == "":
		text += ", put in: " + now
	case now == "":
		text += ", taken out: " + old
	default:
		text += ": " + old + " → " + now
	}
	at := c.New
	if at.IsZero() {
		at = c.Old
	}
	p := files.Place(at.Start)
	return fmt.Sprintf("%s (%s:%d)", text, p.File, p.Line)
}

// oneLine gives source text on one line, shortened.
func oneLine(files *diag.Files, at diag.Span) string {
	text := strings.Join(strings.Fields(files.Text(at)), " ")
	const most = 72
	if r := []rune(text); len(r) > most {
		return string(r[:most]) + "…"
	}
	return text
}

func changeCells(p *check.Program, ch audit.Change) []string {
	before, after, change := "—", "—", ""
	if ch.Old != nil {
		before = eval.Show(p, ch.Old.Value, ch.Old.Type)
	}
	if ch.New != nil {
		after = eval.Show(p, ch.New.Value, ch.New.Type)
	}
	if ch.Old != nil && ch.New != nil && ch.New.Type.Base == check.Quantity {
		change = signed(p, ch.New.Value.Num.Sub(ch.Old.Value.Num), ch.New.Type)
	}
	return []string{ch.Name, before, after, change}
}

// signed shows a difference with its sign.
func signed(p *check.Program, n quantity.Number, t check.Type) string {
	text := eval.Show(p, check.Num(n), t)
	if sign, _ := n.Sign(); sign > 0 {
		bare, marked := strings.CutPrefix(text, "~")
		if marked {
			return "~+" + bare
		}
		return "+" + text
	}
	return text
}

func comparisonEnd(c audit.Comparison) string {
	changed := map[string]bool{}
	for _, ch := range c.Changes {
		changed[ch.Order] = true
	}
	s := fmt.Sprintf("%d orders compared: %d changed, %d the same.\n", c.Orders, len(changed), c.Orders-len(changed))
	if c.Refused > 0 {
		s += fmt.Sprintf("%d of them cannot be made by either set of rules.\n", c.Refused)
	}
	if len(c.Added) > 0 {
		s += "Only in the new: " + clean(strings.Join(c.Added, ", ")) + ".\n"
	}
	if len(c.Removed) > 0 {
		s += "Only in the old: " + clean(strings.Join(c.Removed, ", ")) + ".\n"
	}
	if diff := c.NewTotal.Sub(c.OldTotal); len(changed) > 0 {
		s += fmt.Sprintf("All prices together: %s before, %s after (%s).\n", money(c.After, c.OldTotal), money(c.After, c.NewTotal), signed(c.After, diff, check.MoneyType()))
	}
	return s
}

func money(p *check.Program, n quantity.Number) string {
	return eval.Show(p, check.Num(n), check.MoneyType())
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
		fmt.Fprintf(&b, "No value of %s gives %s %s.\n", f.Ask.Name, cell, target)
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
		return fmt.Sprintf("%s leans on no measure.\n", cell)
	}
	t := &table{}
	t.column("what", false)
	t.column("sort", false)
	t.column("a step of", true)
	t.column("more moves it", true)
	t.column("less moves it", true)
	for _, l := range leans {
		t.row(l.Name, l.Sort, eval.Show(p, check.Num(l.Step), l.StepType), moved(p, l.Up, kind), moved(p, l.Down, kind))
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s, for one small step of what it leans on:\n", cell)
	t.write(Page{}, &b)
	return b.String()
}

func moved(p *check.Program, n *quantity.Number, kind check.Type) string {
	if n == nil {
		return "refused"
	}
	return signed(p, *n, kind)
}
