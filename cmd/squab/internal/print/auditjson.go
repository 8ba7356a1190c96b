package print

import (
	"encoding/json"

	"squab/eval/audit"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang/diag"
)

// Compared is a comparison for programs. Before and After of a change are null where the fact is only in the other.
type Compared struct {
	Schema  int      `json:"schema"`
	Orders  int      `json:"orders"`
	Changes []Change `json:"changes"`
	Added   []string `json:"added"`
	Removed []string `json:"removed"`
	Total   struct {
		Before Quantity `json:"before"`
		After  Quantity `json:"after"`
	} `json:"total"`
}

// Change is one fact of an order that differs, with what made it so.
type Change struct {
	Order  string          `json:"order"`
	Name   string          `json:"name"`
	Before json.RawMessage `json:"before"`
	After  json.RawMessage `json:"after"`
	Causes []Cause         `json:"causes"`
}

// Cause is one change of a book, with its text before and after.
type Cause struct {
	Label  string `json:"label"`
	Before string `json:"before"`
	After  string `json:"after"`
	At     At     `json:"at"`
}

// ComparisonOf makes a comparison ready for JSON.
func ComparisonOf(files *diag.Files, c audit.Comparison) Compared {
	old, now := maker{c.Before}, maker{c.After}
	out := Compared{Schema: Schema, Orders: c.Orders, Changes: []Change{}, Added: append([]string{}, c.Added...), Removed: append([]string{}, c.Removed...)}
	out.Total.Before, out.Total.After = old.money(c.OldTotal), now.money(c.NewTotal)
	for _, ch := range c.Changes {
		change := Change{ch.Order, ch.Name, old.fact(ch.Old), now.fact(ch.New), []Cause{}}
		for _, cause := range ch.Causes {
			change.Causes = append(change.Causes, causeOf(files, cause))
		}
		out.Changes = append(out.Changes, change)
	}
	return out
}

func (m maker) fact(f *audit.Fact) json.RawMessage {
	if f == nil {
		return json.RawMessage("null")
	}
	return m.value(f.Value, f.Type)
}

func causeOf(files *diag.Files, c audit.Cause) Cause {
	at := c.New
	if at.IsZero() {
		at = c.Old
	}
	p := files.Place(at.Start)
	return Cause{c.Label, files.Text(c.Old), files.Text(c.New), At{p.File, p.Line, p.Column}}
}

// Sought is the answer of a search for programs.
type Sought struct {
	Schema  int       `json:"schema"`
	Cell    string    `json:"cell"`
	Ask     string    `json:"ask"`
	From    Quantity  `json:"from"`
	To      Quantity  `json:"to"`
	Step    Quantity  `json:"step"`
	Found   []Stretch `json:"found"`
	Jumps   []Stretch `json:"jumps"`
	Refused int       `json:"refused"`
}

// Stretch is a run of values, both ends in it.
type Stretch struct {
	From Quantity `json:"from"`
	To   Quantity `json:"to"`
}

// FoundOf makes a search's answer ready for JSON.
func FoundOf(p *check.Program, cell string, f audit.Found) Sought {
	m := maker{p}
	return Sought{Schema, cell, f.Ask.Name, m.quantity(f.From, f.Ask.Type), m.quantity(f.To, f.Ask.Type), m.quantity(f.Step, f.Ask.Type),
		m.stretches(f.Stretches, f.Ask.Type), m.stretches(f.Jumps, f.Ask.Type), f.Refused}
}

func (m maker) stretches(all []audit.Stretch, t check.Type) []Stretch {
	out := make([]Stretch, len(all))
	for i, s := range all {
		out[i] = Stretch{m.quantity(s.From, t), m.quantity(s.To, t)}
	}
	return out
}

// Leaning is what a cell leans on, for programs.
type Leaning struct {
	Schema int        `json:"schema"`
	Cell   string     `json:"cell"`
	Leans  []LeanLine `json:"leans"`
}

// LeanLine is how far a cell moves for one step; null where the order is refused there.
type LeanLine struct {
	Name string    `json:"name"`
	Sort string    `json:"sort"`
	Step Quantity  `json:"step"`
	More *Quantity `json:"more"`
	Less *Quantity `json:"less"`
}

// LeansOf makes what a cell leans on ready for JSON.
func LeansOf(p *check.Program, cell string, kind check.Type, leans []audit.Lean) Leaning {
	m := maker{p}
	out := Leaning{Schema, cell, make([]LeanLine, len(leans))}
	for i, l := range leans {
		out.Leans[i] = LeanLine{l.Name, l.Sort, m.quantity(l.Step, l.StepType), m.moved(l.Up, kind), m.moved(l.Down, kind)}
	}
	return out
}

func (m maker) moved(n *quantity.Number, kind check.Type) *Quantity {
	if n == nil {
		return nil
	}
	q := m.quantity(*n, kind)
	return &q
}
