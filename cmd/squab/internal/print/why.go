package print

import (
	"encoding/json"

	"squab/eval/check"
	"squab/eval/trace"
	"squab/lang/diag"
)

// Why is one value and where it came from.
type Why struct {
	Schema     int             `json:"schema,omitempty"` // of the outermost only
	Cell       string          `json:"cell"`
	Value      json.RawMessage `json:"value"`
	Because    string          `json:"because"`
	Formula    string          `json:"formula"`
	At         At              `json:"at"`
	Layer      string          `json:"layer"`
	Role       string          `json:"role"`
	Chosen     string          `json:"chosen"`
	Source     string          `json:"source"`
	Notes      []string        `json:"notes"`
	Where      []Where         `json:"where,omitempty"` // what the formula's parameters stand for
	PassedOver []PassedOver    `json:"passed_over"`
	Beneath    []Beneath       `json:"beneath,omitempty"` // what the amendment that gave the value lies over
	Same       bool            `json:"same"`              // its derivation stands earlier
	From       []Why           `json:"from"`
}

// At is a place in a source.
type At struct {
	File   string `json:"file"`
	Line   int    `json:"line"`
	Column int    `json:"column"`
}

// PassedOver is a case, row or amendment that was not chosen, and why.
type PassedOver struct {
	Text  string  `json:"text"`
	Why   string  `json:"why"`
	At    At      `json:"at"`
	Layer string  `json:"layer"`
	Where []Where `json:"where,omitempty"` // what it calls by other names than the chosen one does
}

// Where is a parameter or a loop's variable with its value.
type Where struct {
	Name  string          `json:"name"`
	Value json.RawMessage `json:"value"`
}

// Beneath is what a value would be without the amendment over it; Value is null where Why says that it gives none.
type Beneath struct {
	Text    string          `json:"text"`
	Value   json.RawMessage `json:"value"`
	Because string          `json:"because"`
	Why     string          `json:"why"`
	At      At              `json:"at"`
	Layer   string          `json:"layer"`
	Where   []Where         `json:"where,omitempty"` // as of PassedOver
}

// WhyOf makes a trace ready for JSON.
func WhyOf(program *check.Program, n *trace.Node) Why {
	w := whyMaker{maker{program}, program.Files}
	why := w.node(n)
	why.Schema = Schema
	return why
}

type whyMaker struct {
	maker
	files *diag.Files
}

func (w whyMaker) at(span diag.Span) At {
	p := w.files.Place(span.Start)
	return At{p.File, p.Line, p.Column}
}

func (w whyMaker) node(n *trace.Node) Why {
	out := Why{Cell: n.Name, Value: json.RawMessage("null"), Because: n.Because, Formula: n.Formula, At: w.at(n.At), Layer: n.Layer.String(),
		Role: string(n.Role), Chosen: n.Chosen, Source: n.Source, Notes: append([]string{}, n.Notes...), Same: n.Same, PassedOver: []PassedOver{}, From: []Why{}}
	if n.Fault == nil {
		out.Value = w.value(n.Value, n.Type)
	}
	for _, p := range n.Passed {
		out.PassedOver = append(out.PassedOver, PassedOver{p.Text, p.Why, w.at(p.At), p.Layer.String(), w.where(p.Args)})
	}
	out.Where = w.where(n.Args)
	for _, u := range n.Beneath {
		b := Beneath{u.Text, json.RawMessage("null"), u.Because, u.Why, w.at(u.At), u.Layer.String(), w.where(u.Args)}
		if u.Why == "" {
			b.Value = w.value(u.Value, u.Type)
		}
		out.Beneath = append(out.Beneath, b)
	}
	for _, from := range n.From {
		out.From = append(out.From, w.node(from))
	}
	return out
}

func (w whyMaker) where(args []trace.Arg) []Where {
	var all []Where
	for _, arg := range args {
		all = append(all, Where{arg.Name, w.value(arg.Value, arg.Type)})
	}
	return all
}
