package print

import (
	"bytes"
	"encoding/json"
	"fmt"

	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang/diag"
)

// Schema is the version of every JSON that is written.
const Schema = 1

// Quantity is a measure for programs: Exact is a whole number or p/q in lowest terms, in Unit; Within is the bound of an approximation.
type Quantity struct {
	Exact  string `json:"exact"`
	Unit   string `json:"unit"`
	Shown  string `json:"shown"`
	Within string `json:"within,omitempty"`
}

// named is one member of an object whose members keep their order.
type named[T any] struct {
	name  string
	value T
}

type object[T any] []named[T]

// MarshalJSON writes the members in order.
func (o object[T]) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, m := range o {
		if i > 0 {
			b.WriteByte(',')
		}
		b.Write(Line(m.name))
		b.WriteByte(':')
		b.Write(Line(m.value))
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// UnmarshalJSON reads the members in order.
func (o *object[T]) UnmarshalJSON(data []byte) error {
	d := json.NewDecoder(bytes.NewReader(data))
	if t, err := d.Token(); err != nil || t != json.Delim('{') {
		return fmt.Errorf("expected an object, found %.20s", data)
	}
	*o = object[T]{}
	for d.More() {
		t, err := d.Token()
		if err != nil {
			return err
		}
		var m named[T]
		m.name, _ = t.(string)
		if err := d.Decode(&m.value); err != nil {
			return fmt.Errorf("%s: %w", m.name, err)
		}
		*o = append(*o, m)
	}
	return nil
}

// find gives the member of a name.
func (o object[T]) find(name string) (value T, ok bool) {
	for _, m := range o {
		if m.name == name {
			return m.value, true
		}
	}
	return value, false
}

// Line writes a value as JSON on one line, without a line end. It is for this package's own types, none of which can fail to be written.
func Line[T any](value T) []byte {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(value); err != nil {
		return []byte("null")
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n"))
}

// Order is an order worked out.
type Order struct {
	ID       string                  `json:"id"`
	Title    string                  `json:"title"`
	Recipe   string                  `json:"recipe"`
	Count    int64                   `json:"count"`
	Date     string                  `json:"date"`
	Given    []string                `json:"given"` // which of the cells the order gives
	Cells    object[json.RawMessage] `json:"cells"`
	Pieces   []Piece                 `json:"pieces"`
	Marks    []Marks                 `json:"marks"`
	Layouts  []Layout                `json:"layouts"`
	Buy      []Buy                   `json:"buy"`
	Work     []Work                  `json:"work"`
	Charges  object[Quantity]        `json:"charges"` // the recipe's own
	Price    object[Quantity]        `json:"price"`
	Steps    []string                `json:"steps"`
	Cautions []Caution               `json:"cautions"`
}

// Piece is a cut piece; Deep is absent for a piece of a stick.
type Piece struct {
	Name     string    `json:"name"`
	Material string    `json:"material"`
	Wide     Quantity  `json:"wide"`
	Deep     *Quantity `json:"deep,omitempty"`
	Thick    *Quantity `json:"thick,omitempty"`
	Count    int64     `json:"count"`
	Up       string    `json:"up"`
	Bias     bool      `json:"bias,omitempty"` // a strip so long and so wide, cut at 45 degrees
	Mitre    *Quantity `json:"mitre,omitempty"`
}

// Marks is a set of marks.
type Marks struct {
	Name   string    `json:"name"`
	On     []string  `json:"on"`
	Hole   *Quantity `json:"hole,omitempty"`
	Points []Mark    `json:"points"`
}

// Mark is a mark from the datum corner. Its label is the letter of its row from the front, and its place in the row from the left.
type Mark struct {
	Label string   `json:"label"`
	X     Quantity `json:"x"`
	Y     Quantity `json:"y"`
}

// Layout says how pieces lie on a material; without Placed they were reckoned by area alone.
type Layout struct {
	Material string   `json:"material"`
	Form     string   `json:"form"`
	Wide     Quantity `json:"wide"`
	Used     Quantity `json:"used"`
	Bound    Quantity `json:"bound"`
	Waste    Quantity `json:"waste"`
	Proved   bool     `json:"proved"`
	Placed   []Placed `json:"placed"`

	Goal    *Goal    `json:"goal,omitempty"`
	Sheets  []Sheet  `json:"sheets,omitempty"`
	Offcuts []Offcut `json:"offcuts,omitempty"`
	SetBy   []string `json:"set_by,omitempty"`
	Rests   string   `json:"bound_rests_on,omitempty"`
}

// Goal is what was kept least where a material comes in several sizes, and the proven least; proved speaks of it.
type Goal struct {
	Used  Quantity `json:"used"`
	Bound Quantity `json:"bound"`
}

// Sheet is a sheet or stick that is cut, or the length of the roll that is used and then each remnant. A stick has no depth.
type Sheet struct {
	Name string    `json:"name"`
	Wide Quantity  `json:"wide"`
	Deep *Quantity `json:"deep,omitempty"`
}

// Offcut is a rectangle that is left over.
type Offcut struct {
	Name  string   `json:"name"`
	Sheet int      `json:"sheet"`
	X     Quantity `json:"x"`
	Y     Quantity `json:"y"`
	Wide  Quantity `json:"wide"`
	Deep  Quantity `json:"deep"`
}

// Placed is a copy of a piece where it lies.
type Placed struct {
	Piece  string   `json:"piece"`
	Order  string   `json:"order"`
	Copy   int      `json:"copy"`
	Sheet  int      `json:"sheet"`
	X      Quantity `json:"x"`
	Y      Quantity `json:"y"`
	Wide   Quantity `json:"wide"`
	Deep   Quantity `json:"deep"`
	Turned bool     `json:"turned"`
	Ended  bool     `json:"turned_end_for_end,omitempty"`
	Panel  int      `json:"panel,omitempty"`
	Strips int64    `json:"strips,omitempty"`
}

// Buy is a line of the buying list.
type Buy struct {
	Material string   `json:"material"`
	Need     Quantity `json:"need"`
	Buy      Quantity `json:"buy"`
	Each     Quantity `json:"each"`
	Cost     Quantity `json:"cost"`
}

// Work is a line of labour.
type Work struct {
	Name string   `json:"name"`
	Time Quantity `json:"time"`
	Cost Quantity `json:"cost"`
}

// Caution is a caution with its words.
type Caution struct {
	Name string `json:"name"`
	Text string `json:"text"`
}

// Refused is an order that could not be worked out.
type Refused struct {
	Order    string    `json:"order"`
	Problems []Problem `json:"problems"`
}

// Problem is a diagnostic for programs; lines and columns count from 1, and are 0 where there is no place.
type Problem struct {
	Severity  string `json:"severity"`
	Code      string `json:"code"`
	File      string `json:"file"`
	Line      int    `json:"line"`
	Column    int    `json:"column"`
	EndLine   int    `json:"end_line"`
	EndColumn int    `json:"end_column"`
	Message   string `json:"message"`
	Help      string `json:"help"`
}

// ProblemList makes problems ready for JSON.
func ProblemList(files *diag.Files, problems []diag.Diagnostic) []Problem {
	all := make([]Problem, len(problems))
	for i, d := range problems {
		p := placeOf(files, d)
		end := p
		if !d.At.IsZero() {
			end = files.Place(d.At.End)
		}
		all[i] = Problem{d.Severity.String(), d.Code, p.File, p.Line, p.Column, end.Line, end.Column, d.Message, d.Help}
	}
	return all
}

// maker makes quantities in the shop's own units.
type maker struct{ program *check.Program }

func (m maker) quantity(n quantity.Number, t check.Type) Quantity {
	exact, unit, within := m.program.Style.Exact(n, t.ShownDim())
	return Quantity{exact, unit, m.program.Style.Show(n, t.ShownDim()).Text, within}
}

func (m maker) money(n quantity.Number) Quantity { return m.quantity(n, check.MoneyType()) }

// value writes a value by its kind: a quantity, a text, a yes or no, a list, a size or a point.
func (m maker) value(v check.Value, t check.Type) json.RawMessage {
	w := jsonWriter{program: m.program, measures: newMeasures(m.program.Style, 1)}
	w.value(v, t)
	return w.b
}
