package audit

import (
	"strings"

	"squab/eval"
	"squab/eval/check"
)

// remembered lays each set of pieces on each state of a material once: most questions move prices and times, which no layout rests on.
func remembered(lay eval.LayFunc) eval.LayFunc {
	if lay == nil {
		return nil
	}
	type answer struct {
		layout eval.Layout
		err    error
	}
	known := map[string]answer{}
	return func(s eval.Stock, pieces []eval.Piece) (eval.Layout, error) {
		key := layKey(s, pieces)
		a, ok := known[key]
		if !ok {
			a.layout, a.err = lay(s, pieces)
			known[key] = a
		}
		return ofBook(s, a.layout), a.err
	}
}

// ofBook names a layout's materials by those of the book that asks: it may have been laid for another.
func ofBook(s eval.Stock, l eval.Layout) eval.Layout {
	l.Material = s.Material
	if l.Taken == nil {
		return l
	}
	taken := make([]eval.Taken, len(l.Taken))
	for i, t := range l.Taken {
		taken[i] = eval.Taken{Material: s.Material, Amount: t.Amount}
		for _, size := range s.Items("sizes") {
			if m := size.Material(); m.Name == t.Material.Name {
				taken[i].Material = m
			}
		}
	}
	l.Taken = taken
	return l
}

// layKey writes all that a layout can rest on: the material's fields but for those of money, the other sizes that it comes in with theirs, and the pieces.
func layKey(s eval.Stock, pieces []eval.Piece) string {
	var b strings.Builder
	sizes := s.Items("sizes")
	writeFields(&b, s, len(sizes) > 0)
	for _, size := range sizes {
		if m := size.Material(); m != nil {
			writeFields(&b, s.Other(m), true)
		}
	}
	for _, p := range pieces {
		b.WriteString("|" + p.Order + " " + p.Name + " " + p.Wide.String() + " " + p.Deep.String() + " " + p.Up)
		b.WriteString(pieceRest(p))
	}
	return b.String()
}

// writeFields writes a material's fields; what it costs only where the cheapest of several sizes is looked for.
func writeFields(b *strings.Builder, s eval.Stock, priced bool) {
	b.WriteString("|" + s.Material.Name)
	for _, f := range s.Material.Kind.Fields {
		if f.Type.Dim.Money != 0 && !priced {
			continue
		}
		v, _ := s.Field(f.Name)
		b.WriteString("|")
		writeValue(b, v)
	}
}

func writeValue(b *strings.Builder, v check.Value) {
	b.WriteString(v.Num.String() + v.Text())
	if m := v.Material(); m != nil {
		b.WriteString(m.Name)
	}
	for _, item := range v.Items() {
		b.WriteString("[")
		writeValue(b, item)
	}
}

func pieceRest(p eval.Piece) string {
	var b strings.Builder
	if p.Turn {
		b.WriteString(" turn")
	}
	if p.Match != nil {
		b.WriteString(" match " + p.Match.X.String() + " " + p.Match.Y.String())
	}
	if p.Join != nil {
		b.WriteString(" join " + p.Join.String())
	}
	if p.SideBySide {
		b.WriteString(" side by side")
	}
	if p.Bias != nil {
		b.WriteString(" bias " + p.Bias.String())
	}
	b.WriteString(" mitre " + p.Mitre.String())
	return b.String() + strings.Repeat("+", int(min(p.Count, 10_000)))
}
