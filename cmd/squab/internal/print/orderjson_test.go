package print

import (
	"encoding/json"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
)

// What follows writes an order by encoding/json, slowly and plainly, to hold the writer against.

// resultOf makes an order's result ready for JSON.
func resultOf(program *check.Program, r *eval.Result) Order {
	m := maker{program}
	o := Order{ID: r.Order.ID, Title: r.Order.Title, Recipe: r.Recipe.Name, Count: r.Off, Date: check.DateText(r.Day), Cells: m.cells(r.Sheet),
		Pieces: []Piece{}, Marks: []Marks{}, Layouts: []Layout{}, Buy: []Buy{}, Work: []Work{}, Charges: object[Quantity]{}, Price: object[Quantity]{}, Given: []string{}, Steps: []string{}, Cautions: []Caution{}}
	for _, ask := range r.Recipe.Asks {
		if r.Sheet.Given(ask.Index) != nil {
			o.Given = append(o.Given, ask.Name)
		}
	}
	for _, p := range r.Pieces {
		o.Pieces = append(o.Pieces, m.piece(p))
	}
	for _, set := range r.Marks {
		o.Marks = append(o.Marks, m.marks(set))
	}
	o.Layouts = layoutsOf(program, r.Layouts)
	for _, l := range r.Buy {
		o.Buy = append(o.Buy, Buy{l.Material.Name, m.quantity(l.Need, l.Type), m.quantity(l.Buy, l.Type), m.quantity(l.Each, l.EachType), m.money(l.Cost)})
	}
	for _, l := range r.Work {
		o.Work = append(o.Work, Work{l.Name, m.quantity(l.Time, check.TimeType()), m.money(l.Cost)})
	}
	for _, l := range r.Charges {
		o.Charges = append(o.Charges, named[Quantity]{l.Name, m.quantity(l.Value, l.Type)})
	}
	for _, l := range r.Price {
		o.Price = append(o.Price, named[Quantity]{l.Name, m.quantity(l.Value, l.Type)})
	}
	o.Steps = append(o.Steps, r.Steps...)
	for _, c := range r.Cautions {
		o.Cautions = append(o.Cautions, Caution{c.Name, c.Text})
	}
	return o
}

func (m maker) piece(p eval.Piece) Piece {
	out := Piece{Name: p.Name, Material: p.Material.Name, Wide: m.length(p.Wide), Count: p.Count, Up: p.Up}
	if p.Form != check.Stick {
		deep := m.length(p.Deep)
		out.Deep = &deep
	}
	if p.HasThick {
		thick := m.length(p.Thick)
		out.Thick = &thick
	}
	if out.Bias = p.Bias != nil; isMitred(p) {
		mitre := m.length(p.Mitre)
		out.Mitre = &mitre
	}
	return out
}

func (m maker) marks(set eval.Marks) Marks {
	labels := labelsOf(set)
	out := Marks{Name: set.Name, On: append([]string{}, set.On...), Points: make([]Mark, len(set.Points))}
	if s, _ := set.Hole.Sign(); s != 0 {
		hole := m.length(set.Hole)
		out.Hole = &hole
	}
	for i, p := range set.Points {
		out.Points[i] = Mark{labels[i], m.length(p.X), m.length(p.Y)}
	}
	return out
}

// layoutsOf makes layouts ready for JSON.
func layoutsOf(program *check.Program, layouts []eval.Layout) []Layout {
	m := maker{program}
	all := make([]Layout, len(layouts))
	for i, l := range layouts {
		all[i] = m.layout(l)
	}
	return all
}

func (m maker) layout(l eval.Layout) Layout {
	used := m.plain
	if l.Form == check.Roll {
		used = m.length
	}
	out := Layout{Material: l.Material.Name, Form: string(l.Form), Wide: m.length(l.Wide), Used: used(l.Used), Bound: used(l.Bound),
		Waste: m.plain(l.Waste), Proved: l.Proved, Placed: make([]Placed, len(l.Placed)), SetBy: l.SetBy, Rests: l.Rests}
	if g := l.Goal; g != nil {
		out.Goal = &Goal{m.quantity(g.Came, g.Type), m.quantity(g.Bound, g.Type)}
	}
	for j, p := range l.Placed {
		out.Placed[j] = Placed{p.Piece, p.Order, p.Copy, p.Sheet, m.length(p.X), m.length(p.Y), m.length(p.Wide), m.length(p.Deep), p.Turned, p.Ended, p.Panel, p.Strips}
	}
	for _, s := range l.Sheets {
		out.Sheets = append(out.Sheets, m.sheet(l.Form, s))
	}
	for _, o := range l.Offcuts {
		out.Offcuts = append(out.Offcuts, Offcut{o.Name, o.Sheet, m.length(o.X), m.length(o.Y), m.length(o.Wide), m.length(o.Deep)})
	}
	return out
}

func (m maker) sheet(form check.Form, s eval.Opened) Sheet {
	out := Sheet{Name: s.Name, Wide: m.length(s.Wide)}
	if form != check.Stick {
		deep := m.length(s.Deep)
		out.Deep = &deep
	}
	return out
}

// cells lists every named cell that could be worked out, in the order of the recipe.
func (m maker) cells(s *eval.Sheet) object[json.RawMessage] {
	all := object[json.RawMessage]{}
	for i, slot := range s.Plan.Slots {
		if slot.Cell.Role == check.HiddenCell {
			continue
		}
		if v, fault := s.Value(i); fault == nil {
			all = append(all, named[json.RawMessage]{slot.Name, m.slowValue(v, slot.Cell.Type)})
		}
	}
	return all
}

// slowValue writes a value by its kind: a quantity, a text, a yes or no, a list, a size or a point.
func (m maker) slowValue(v check.Value, t check.Type) json.RawMessage {
	switch t.Base {
	case check.Quantity:
		return Line(m.quantity(v.Num, t))
	case check.YesNo:
		return Line(v.Yes())
	case check.Size:
		return Line(object[Quantity]{{"wide", m.length(v.Item(0).Num)}, {"deep", m.length(v.Item(1).Num)}})
	case check.Point:
		return Line(object[Quantity]{{"x", m.length(v.Item(0).Num)}, {"y", m.length(v.Item(1).Num)}})
	case check.List:
		items := make([]json.RawMessage, len(v.Items()))
		for i, item := range v.Items() {
			items[i] = m.slowValue(item, *t.Elem)
		}
		return Line(items)
	}
	return Line(eval.Show(m.program, v, t))
}

// length and the like give a measure ready for encoding/json.
func (m maker) length(n quantity.Number) Quantity { return m.quantity(n, check.LengthType()) }

func (m maker) plain(n quantity.Number) Quantity {
	return m.quantity(n, check.Type{Base: check.Quantity})
}

func TestOrderJSONIsEncodingJSON(t *testing.T) {
	p, r := worked(t)
	hostile := *r.Order
	hostile.ID, hostile.Title = "7\"\\\n<&>\u2028", "caf\u00e9 \xff \x7f\x01"
	w := NewWriter(Page{}, p)
	for _, o := range []*check.Order{r.Order, &hostile, r.Order} {
		named := *r
		named.Order = o
		if diff := cmp.Diff(string(Line(resultOf(p, &named))), string(w.JSON(nil, &named))); diff != "" {
			t.Errorf("order %q: %s", o.ID, diff)
		}
	}
}

func FuzzStringIsEncodingJSON(f *testing.F) {
	for _, s := range []string{"", "plate", "4 5/8\"", "a\\b", "\x00\x1f\x7f\x80", "é\u2028\U0001f6cb"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if got, want := string(appendString(nil, s)), string(Line(s)); got != want {
			t.Errorf("%q: %s, want %s", s, got, want)
		}
	})
}

// Measures that share a place among those kept do not stand in for one another.
func TestMeasuresAreNotMixedUp(t *testing.T) {
	style := quantity.Style{}
	m := newMeasures(style, recently)
	dims := []check.Type{check.LengthType(), check.MoneyType(), check.TimeType(), {Base: check.Quantity}}
	for i := range int64(40_000) {
		n, kind := quantity.Frac(i%9_973-4_000, 1+i%7), dims[i%4]
		s, want := m.of(n, kind), style.Show(n, kind.ShownDim())
		if s.text != want.Text || s.exact != want.Exact {
			t.Fatalf("%s is shown as %q, want %q", n, s.text, want.Text)
		}
		exact, unit, within := style.Exact(n, kind.ShownDim())
		if got, want := string(m.appendJSON(nil, n, kind)), string(Line(Quantity{exact, unit, want.Text, within})); got != want {
			t.Fatalf("%s, want %s", got, want)
		}
	}
}
