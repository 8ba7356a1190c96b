package print

import (
	"squab/eval/audit"
	"squab/eval/check"
	"squab/eval/quantity"
)

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
		step := m.quantity(l.Step, l.StepType)
		if l.Share {
			step = m.quantity(l.Step, check.Type{Base: check.Quantity})
		}
		out.Leans[i] = LeanLine{l.Name, l.Sort, step, m.moved(l.Up, kind), m.moved(l.Down, kind)}
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
