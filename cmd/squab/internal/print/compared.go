package print

import (
	"regexp"
	"slices"
	"strings"

	"squab/eval/audit"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang/diag"
)

// Compared is a comparison: what the text and the page say, and what programs read. Old and New name what was compared.
type Compared struct {
	Schema  int      `json:"schema"`
	Of      string   `json:"of"` // OfRules, OfResults or OfRecord
	Shop    string   `json:"shop"`
	Old     string   `json:"old"`
	New     string   `json:"new"`
	Orders  int      `json:"orders"`  // worked out on both sides
	Changed int      `json:"changed"` // of those
	Refused int      `json:"refused"` // of those, on both sides
	Changes []Change `json:"changes"`
	Added   []string `json:"added"`
	Removed []string `json:"removed"`
	Total   Total    `json:"total"`  // of the prices
	Totals  []Total  `json:"totals"` // of all that is added up, over the orders that both sides can make
	Notes   []string `json:"notes"`  // what the comparison cannot tell
}

// What two sides can be compared of.
const (
	OfRules   = "rules"
	OfResults = "results"
	OfRecord  = "record"
)

// Change is one fact of an order that differs, with what made it so. Before and After are null where the fact is only in the other; Difference is
// null where there is none to tell.
type Change struct {
	Order      string    `json:"order"`
	Name       string    `json:"name"`
	Before     *Value    `json:"before"`
	After      *Value    `json:"after"`
	Difference *Quantity `json:"change"`
	Causes     []Cause   `json:"causes"`
}

// Total is what facts of one name come to over all orders.
type Total struct {
	Name       string    `json:"name"`
	Before     Quantity  `json:"before"`
	After      Quantity  `json:"after"`
	Difference *Quantity `json:"change"`
}

// Same reports that a total has not changed.
func (t Total) Same() bool {
	return t.Before.Exact == t.After.Exact && t.Before.Unit == t.After.Unit && t.Before.Within == t.After.Within
}

// Value is a quantity, or a text where Quantity is nil.
type Value struct {
	Quantity *Quantity
	Text     string
}

// MarshalJSON writes the quantity as an object, or the text.
func (v Value) MarshalJSON() ([]byte, error) {
	if v.Quantity != nil {
		return Line(*v.Quantity), nil
	}
	return Line(v.Text), nil
}

// Shown is the value as a page shows it; "—" where there is none.
func (v *Value) Shown() string {
	switch {
	case v == nil:
		return "—"
	case v.Quantity != nil:
		return v.Quantity.Shown
	}
	return v.Text
}

// Cause is one change of a book, with its text before and after, or of an order's asks. At has no file where it stands in none.
type Cause struct {
	Label  string `json:"label"`
	Before string `json:"before"`
	After  string `json:"after"`
	At     At     `json:"at"`
}

// priceTotal is the fact whose total the last line tells.
const priceTotal = "price.total"

// ComparisonOf makes a comparison of rules ready to be written.
func ComparisonOf(files *diag.Files, c audit.Comparison) Compared {
	old, now := maker{c.Before}, maker{c.After}
	out := Compared{Schema: Schema, Of: OfRules, Shop: c.After.Title, Orders: c.Orders, Refused: c.Refused, Changes: []Change{}, Totals: []Total{}, Notes: []string{},
		Added: append([]string{}, c.Added...), Removed: append([]string{}, c.Removed...)}
	out.Total = Total{priceTotal, old.money(quantity.Number{}), now.money(quantity.Number{}), nil}
	for _, ch := range c.Changes {
		change := Change{ch.Order, ch.Name, old.fact(ch.Old), now.fact(ch.New), now.difference(ch), []Cause{}}
		for _, cause := range ch.Causes {
			change.Causes = append(change.Causes, causeOf(files, cause))
		}
		out.Changes = append(out.Changes, change)
	}
	for _, t := range c.Totals {
		out.addTotal(Total{t.Name, old.quantity(t.Old, t.Type), now.quantity(t.New, t.Type), now.signed(t.New.Sub(t.Old), t.Type)})
	}
	out.settle()
	return out
}

func (c *Compared) addTotal(t Total) {
	if t.Name == priceTotal {
		c.Total = t
	}
	c.Totals = append(c.Totals, t)
}

// Word leads from a change to what stands as its cause: of results alone, only to what else changed.
func (c Compared) Word() string {
	if c.Of == OfResults {
		return "with"
	}
	return "because of"
}

// settle counts the orders that changed, and puts the totals in order: material, work, price.
func (c *Compared) settle() {
	slices.SortStableFunc(c.Totals, func(a, b Total) int { return rank(a.Name) - rank(b.Name) })
	changed := map[string]bool{}
	for _, ch := range c.Changes {
		changed[ch.Order] = true
	}
	c.Changed = len(changed)
}

func rank(name string) int {
	front, _, _ := strings.Cut(name, ".")
	return slices.Index([]string{"buy", "cost", "time", "work", "price"}, front)
}

func (m maker) fact(f *audit.Fact) *Value {
	switch {
	case f == nil:
		return nil
	case f.Type.Base == check.Quantity:
		q := m.quantity(f.Value.Num, f.Type)
		return &Value{Quantity: &q}
	}
	return &Value{Text: f.Value.Text()}
}

// difference is how far a quantity moved; nil where there is none on one side, or the two measure different things.
func (m maker) difference(ch audit.Change) *Quantity {
	if ch.Old == nil || ch.New == nil || ch.New.Type.Base != check.Quantity || ch.Old.Type.Dim != ch.New.Type.Dim {
		return nil
	}
	return m.signed(ch.New.Value.Num.Sub(ch.Old.Value.Num), ch.New.Type)
}

// signed is a quantity that is shown with its sign.
func (m maker) signed(n quantity.Number, t check.Type) *Quantity {
	q := m.quantity(n, t)
	q.Shown = signed(m.program, n, t)
	return &q
}

func causeOf(files *diag.Files, c audit.Cause) Cause {
	at := c.New
	if at.IsZero() {
		at = c.Old
	}
	p := files.Place(at.Start)
	return Cause{c.Label, files.Text(c.Old), files.Text(c.New), At{p.File, p.Line, p.Column}}
}

var reason = regexp.MustCompile(`\s+(because|source)\s+"([^"\\]|\\.)*"`)

// Said gives what was written before and after, each on one line: without reasons, which never change a value, and without what stands alike before
// the = of both.
func (c Cause) Said() (before, after string) {
	before, after = unreasoned(c.Before), unreasoned(c.After)
	head, old, ok := strings.Cut(before, " = ")
	head2, now, ok2 := strings.Cut(after, " = ")
	if ok && ok2 && head == head2 {
		return old, now
	}
	return before, after
}

func unreasoned(text string) string {
	return strings.Join(strings.Fields(reason.ReplaceAllString(text, "")), " ")
}
