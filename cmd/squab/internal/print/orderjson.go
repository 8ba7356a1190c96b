package print

import (
	"strconv"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
)

// jsonWriter appends JSON to b.
type jsonWriter struct {
	program *check.Program
	measures
	b []byte
}

// appendString appends a text as encoding/json writes it without escapes for HTML; that is asked only for what is not plain ASCII.
func appendString(b []byte, s string) []byte {
	for i := range len(s) {
		if c := s[i]; c < 0x20 || c >= 0x7f || c == '"' || c == '\\' {
			return append(b, Line(s)...)
		}
	}
	return append(append(append(b, '"'), s...), '"')
}

func appendQuantity(b []byte, q Quantity) []byte {
	b = appendString(append(b, `{"exact":`...), q.Exact)
	b = appendString(append(b, `,"unit":`...), q.Unit)
	b = appendString(append(b, `,"shown":`...), q.Shown)
	if q.Within != "" {
		b = appendString(append(b, `,"within":`...), q.Within)
	}
	return append(b, '}')
}

// raw appends what is JSON already: brackets, commas and keys.
func (w *jsonWriter) raw(s string) { w.b = append(w.b, s...) }

func (w *jsonWriter) text(key, s string) {
	w.raw(key)
	w.b = appendString(w.b, s)
}

func (w *jsonWriter) whole(key string, n int64) {
	w.raw(key)
	w.b = strconv.AppendInt(w.b, n, 10)
}

func (w *jsonWriter) truth(key string, is bool) {
	w.raw(key)
	w.b = strconv.AppendBool(w.b, is)
}

func (w *jsonWriter) measure(key string, n quantity.Number, t check.Type) {
	w.raw(key)
	w.b = w.appendJSON(w.b, n, t)
}

func (w *jsonWriter) length(key string, n quantity.Number) { w.measure(key, n, check.LengthType()) }

func (w *jsonWriter) money(key string, n quantity.Number) { w.measure(key, n, check.MoneyType()) }

// each appends a list of n items between brackets.
func (w *jsonWriter) each(open string, n int, end string, item func(i int)) {
	w.raw(open)
	for i := range n {
		if i > 0 {
			w.raw(",")
		}
		item(i)
	}
	w.raw(end)
}

// order appends what an order comes to.
func (w *jsonWriter) order(r *eval.Result) {
	w.text(`{"id":`, r.Order.ID)
	w.text(`,"title":`, r.Order.Title)
	w.text(`,"recipe":`, r.Recipe.Name)
	w.whole(`,"count":`, r.Off)
	w.text(`,"date":`, check.DateText(r.Day))
	w.given(r)
	w.cells(r.Sheet)
	w.each(`,"pieces":[`, len(r.Pieces), "]", func(i int) { w.piece(&r.Pieces[i]) })
	w.each(`,"marks":[`, len(r.Marks), "]", func(i int) { w.marks(r.Marks[i]) })
	w.raw(`,"layouts":`)
	w.layouts(r.Layouts)
	w.each(`,"buy":[`, len(r.Buy), "]", func(i int) { w.buy(&r.Buy[i]) })
	w.each(`,"work":[`, len(r.Work), "]", func(i int) { w.work(&r.Work[i]) })
	w.lines(`,"charges":{`, r.Charges)
	w.lines(`,"price":{`, r.Price)
	w.each(`,"steps":[`, len(r.Steps), "]", func(i int) { w.text("", r.Steps[i]) })
	w.each(`,"cautions":[`, len(r.Cautions), "]", func(i int) {
		w.text(`{"name":`, r.Cautions[i].Name)
		w.text(`,"text":`, r.Cautions[i].Text)
		w.raw("}")
	})
	w.raw("}")
}

// given appends the names of the cells that the order gives.
func (w *jsonWriter) given(r *eval.Result) {
	w.raw(`,"given":[`)
	comma := ""
	for _, ask := range r.Recipe.Asks {
		if r.Sheet.Given(ask.Index) != nil {
			w.text(comma, ask.Name)
			comma = ","
		}
	}
	w.raw("]")
}

// lines appends amounts of money under their names.
func (w *jsonWriter) lines(open string, all []eval.PriceLine) {
	w.each(open, len(all), "}", func(i int) {
		w.text("", all[i].Name)
		w.measure(":", all[i].Value, all[i].Type)
	})
}

// cells appends every named cell that could be worked out, in the order of the recipe.
func (w *jsonWriter) cells(s *eval.Sheet) {
	w.raw(`,"cells":{`)
	comma := ""
	for i := range s.Plan.Slots {
		slot := &s.Plan.Slots[i]
		v, fault := s.Value(i)
		if slot.Cell.Role == check.HiddenCell || fault != nil {
			continue
		}
		w.text(comma, slot.Name)
		comma = ","
		w.raw(":")
		w.value(v, slot.Cell.Type)
	}
	w.raw("}")
}

func (w *jsonWriter) value(v check.Value, t check.Type) {
	switch t.Base {
	case check.Quantity:
		w.measure("", v.Num, t)
	case check.YesNo:
		w.truth("", v.Yes())
	case check.Size:
		w.length(`{"wide":`, v.Item(0).Num)
		w.length(`,"deep":`, v.Item(1).Num)
		w.raw("}")
	case check.Point:
		w.length(`{"x":`, v.Item(0).Num)
		w.length(`,"y":`, v.Item(1).Num)
		w.raw("}")
	case check.List:
		w.each("[", len(v.Items()), "]", func(i int) { w.value(v.Items()[i], *t.Elem) })
	default:
		w.text("", eval.Show(w.program, v, t))
	}
}

// piece appends a cut piece; deep is absent for a piece of a stick.
func (w *jsonWriter) piece(p *eval.Piece) {
	w.text(`{"name":`, p.Name)
	w.text(`,"material":`, p.Material.Name)
	w.length(`,"wide":`, p.Wide)
	if p.Form != check.Stick {
		w.length(`,"deep":`, p.Deep)
	}
	if p.HasThick {
		w.length(`,"thick":`, p.Thick)
	}
	w.whole(`,"count":`, p.Count)
	w.text(`,"up":`, p.Up)
	if p.Bias != nil {
		w.truth(`,"bias":`, true)
	}
	if isMitred(*p) {
		w.length(`,"mitre":`, p.Mitre)
	}
	w.raw("}")
}

// marks appends a set of marks. A mark's label is the letter of its row from the front, and its place in the row from the left.
func (w *jsonWriter) marks(set eval.Marks) {
	labels := labelsOf(set)
	w.text(`{"name":`, set.Name)
	w.each(`,"on":[`, len(set.On), "]", func(i int) { w.text("", set.On[i]) })
	if sign, _ := set.Hole.Sign(); sign != 0 {
		w.length(`,"hole":`, set.Hole)
	}
	w.each(`,"points":[`, len(set.Points), "]}", func(i int) {
		w.text(`{"label":`, labels[i])
		w.length(`,"x":`, set.Points[i].X)
		w.length(`,"y":`, set.Points[i].Y)
		w.raw("}")
	})
}

// layouts appends how pieces lie on their materials; without what is placed they were reckoned by area alone.
func (w *jsonWriter) layouts(all []eval.Layout) {
	w.each("[", len(all), "]", func(i int) { w.layout(&all[i]) })
}

func (w *jsonWriter) layout(l *eval.Layout) {
	w.layoutParts(l)
	w.raw("}")
}

// layoutParts appends a layout without its last brace.
func (w *jsonWriter) layoutParts(l *eval.Layout) {
	used := plainType
	if l.Form == check.Roll {
		used = check.LengthType()
	}
	w.text(`{"material":`, l.Material.Name)
	w.text(`,"form":`, string(l.Form))
	w.length(`,"wide":`, l.Wide)
	w.measure(`,"used":`, l.Used, used)
	w.measure(`,"bound":`, l.Bound, used)
	w.measure(`,"waste":`, l.Waste, plainType)
	w.truth(`,"proved":`, l.Proved)
	w.each(`,"placed":[`, len(l.Placed), "]", func(i int) { w.placed(&l.Placed[i]) })
	if g := l.Goal; g != nil {
		w.measure(`,"goal":{"used":`, g.Came, g.Type)
		w.measure(`,"bound":`, g.Bound, g.Type)
		w.raw("}")
	}
	if len(l.Sheets) > 0 {
		w.each(`,"sheets":[`, len(l.Sheets), "]", func(i int) { w.sheet(l.Form, &l.Sheets[i]) })
	}
	if len(l.Offcuts) > 0 {
		w.each(`,"offcuts":[`, len(l.Offcuts), "]", func(i int) { w.offcut(&l.Offcuts[i]) })
	}
	w.texts(`,"set_by":`, l.SetBy)
	if l.Rests != "" {
		w.text(`,"bound_rests_on":`, l.Rests)
	}
}

// plainType is the kind of a number without a unit.
var plainType = check.Type{Base: check.Quantity}

// texts appends a list of texts under its key; nothing where it is empty.
func (w *jsonWriter) texts(key string, all []string) {
	if len(all) > 0 {
		w.each(key+"[", len(all), "]", func(i int) { w.text("", all[i]) })
	}
}

func (w *jsonWriter) sheet(form check.Form, s *eval.Opened) {
	w.text(`{"name":`, s.Name)
	w.length(`,"wide":`, s.Wide)
	if form != check.Stick {
		w.length(`,"deep":`, s.Deep)
	}
	w.raw("}")
}

func (w *jsonWriter) offcut(o *eval.Offcut) {
	w.text(`{"name":`, o.Name)
	w.whole(`,"sheet":`, int64(o.Sheet))
	w.area(&o.Area)
	w.raw("}")
}

func (w *jsonWriter) area(a *eval.Area) {
	w.length(`,"x":`, a.X)
	w.length(`,"y":`, a.Y)
	w.length(`,"wide":`, a.Wide)
	w.length(`,"deep":`, a.Deep)
}

func (w *jsonWriter) placed(p *eval.Placed) {
	w.text(`{"piece":`, p.Piece)
	w.text(`,"order":`, p.Order)
	w.whole(`,"copy":`, int64(p.Copy))
	w.whole(`,"sheet":`, int64(p.Sheet))
	w.area(&p.Area)
	w.truth(`,"turned":`, p.Turned)
	if p.Ended {
		w.truth(`,"turned_end_for_end":`, true)
	}
	if p.Panel > 0 {
		w.whole(`,"panel":`, int64(p.Panel))
	}
	if p.Strips > 0 {
		w.whole(`,"strips":`, p.Strips)
	}
	w.raw("}")
}

func (w *jsonWriter) buy(l *eval.BuyLine) {
	w.text(`{"material":`, l.Material.Name)
	w.measure(`,"need":`, l.Need, l.Type)
	w.measure(`,"buy":`, l.Buy, l.Type)
	w.measure(`,"each":`, l.Each, l.EachType)
	w.money(`,"cost":`, l.Cost)
	w.raw("}")
}

func (w *jsonWriter) work(l *eval.WorkLine) {
	w.text(`{"name":`, l.Name)
	w.measure(`,"time":`, l.Time, check.TimeType())
	w.money(`,"cost":`, l.Cost)
	w.raw("}")
}

// labelsOf gives each mark the letter of its row and its place in it.
func labelsOf(set eval.Marks) []string {
	labels := make([]string, len(set.Points))
	for _, row := range rowsOf(set) {
		for i, place := range row.places {
			labels[place] = row.letter + strconv.Itoa(i+1)
		}
	}
	return labels
}
