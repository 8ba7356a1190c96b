package print

import (
	"fmt"
	"strings"
)

// CauseGroup is the changes of one order that have the same causes.
type CauseGroup struct {
	Causes  []Cause
	Changes []Change
}

// OrderGroup is the changes of one order, by their causes.
type OrderGroup struct {
	Order  string
	Groups []CauseGroup
}

// ByOrder groups the changes by order and by causes, in the order in which they stand.
func (c Compared) ByOrder() []OrderGroup {
	var all []OrderGroup
	for _, ch := range c.Changes {
		if n := len(all); n == 0 || all[n-1].Order != ch.Order {
			all = append(all, OrderGroup{Order: ch.Order})
		}
		all[len(all)-1].add(ch)
	}
	return all
}

func (o *OrderGroup) add(ch Change) {
	for i := range o.Groups {
		if labels(o.Groups[i].Causes) == labels(ch.Causes) {
			o.Groups[i].Changes = append(o.Groups[i].Changes, ch)
			return
		}
	}
	o.Groups = append(o.Groups, CauseGroup{ch.Causes, []Change{ch}})
}

func labels(causes []Cause) string {
	var b strings.Builder
	for _, c := range causes {
		b.WriteString(c.Label + "\n")
	}
	return b.String()
}

// Comparison writes a comparison order by order, with the causes, and the totals.
func Comparison(c Compared) string {
	var b strings.Builder
	for _, o := range c.ByOrder() {
		b.WriteString(Paragraph("ORDER " + o.Order))
		for _, g := range o.Groups {
			g.write(&b, c.Word())
		}
		b.WriteString("\n")
	}
	c.writeTotals(&b)
	c.writeEnd(&b)
	return b.String()
}

func (g CauseGroup) write(b *strings.Builder, word string) {
	for _, cause := range g.Causes {
		b.WriteString(indentWrap(word+" "+cause.String(), "", "  "))
	}
	if len(g.Causes) == 0 {
		b.WriteString("no ask of the order changed\n")
	}
	t := changeTable()
	few := &fewMarks{count: map[string]int{}, left: map[string]int{}}
	few.gather(g.Changes)
	for _, ch := range g.Changes {
		if row := few.row(ch); row != nil {
			t.row(row...)
		}
	}
	t.write(Page{}, b)
}

func changeTable() *table {
	t := &table{}
	t.column("what", false)
	t.column("before", true)
	t.column("after", true)
	t.column("change", true)
	return t
}

// fewMarks keeps the text short where many marks of one set changed.
type fewMarks struct{ count, left map[string]int }

const fewOfASet = 4

func (f *fewMarks) gather(changes []Change) {
	for _, ch := range changes {
		if set, _, isMark := strings.Cut(ch.Name, "["); isMark {
			f.count[set]++
		}
	}
}

// row gives the cells of a change; of a large set, the first few, then one that says how many more there are, then nothing.
func (f *fewMarks) row(ch Change) []string {
	set, _, isMark := strings.Cut(ch.Name, "[")
	if isMark && f.count[set] > fewOfASet {
		f.left[set]++
		switch {
		case f.left[set] == fewOfASet+1:
			return []string{fmt.Sprintf("%s: %d more", set, f.count[set]-fewOfASet), "", "", ""}
		case f.left[set] > fewOfASet:
			return nil
		}
	}
	return []string{ch.Name, ch.Before.Shown(), ch.After.Shown(), shownOr(ch.Difference)}
}

func shownOr(q *Quantity) string {
	if q == nil {
		return ""
	}
	return q.Shown
}

// String says what changed, as it was written before and after, and where.
func (c Cause) String() string {
	before, after := c.Said()
	const most = 160
	before, after = clipTo(before, most), clipTo(after, most)
	text := c.Label
	switch {
	case before == "":
		text += ", put in: " + after
	case after == "":
		text += ", taken out: " + before
	default:
		text += ": " + before + " → " + after
	}
	if c.At.File == "" {
		return text
	}
	return fmt.Sprintf("%s (%s:%d)", text, c.At.File, c.At.Line)
}

func clipTo(text string, most int) string {
	if r := []rune(text); len(r) > most {
		return string(r[:most]) + "…"
	}
	return text
}

// writeTotals lists the totals that changed; that of the prices has a line of its own.
func (c Compared) writeTotals(b *strings.Builder) {
	t := changeTable()
	for _, total := range c.Totals {
		if !total.Same() && total.Name != priceTotal {
			t.row(total.Name, total.Before.Shown, total.After.Shown, shownOr(total.Difference))
		}
	}
	if len(t.rows) == 0 {
		return
	}
	b.WriteString("ALL ORDERS TOGETHER\n")
	t.write(Page{}, b)
	b.WriteString("\n")
}

func (c Compared) writeEnd(b *strings.Builder) {
	for _, line := range c.Ending() {
		b.WriteString(indentWrap(line, "", "  "))
	}
}

// Ending is what is said of a comparison as a whole, in sentences.
func (c Compared) Ending() []string {
	all := []string{fmt.Sprintf("%s compared: %d changed, %d the same.", Counted(c.Orders, "order"), c.Changed, c.Orders-c.Changed)}
	if c.Refused > 0 {
		all = append(all, fmt.Sprintf("%d of them cannot be made on either side.", c.Refused))
	}
	if len(c.Added) > 0 {
		all = append(all, "Only in the new: "+strings.Join(c.Added, ", ")+".")
	}
	if len(c.Removed) > 0 {
		all = append(all, "Only in the old: "+strings.Join(c.Removed, ", ")+".")
	}
	if c.Changed > 0 {
		line := fmt.Sprintf("All prices together: %s before, %s after", c.Total.Before.Shown, c.Total.After.Shown)
		if c.Total.Difference != nil {
			line += " (" + c.Total.Difference.Shown + ")"
		}
		all = append(all, line+".")
	}
	return append(all, c.Notes...)
}
