package audit

import (
	"fmt"
	"strings"

	"squab/eval"
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
		writePiece(&b, p)
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
		b.WriteString("|" + v.Key())
	}
}

func writePiece(b *strings.Builder, p eval.Piece) {
	fmt.Fprintf(b, "|%q %s %d of %s by %s %s %t %t mitre %s", p.Order, p.Name, p.Count, p.Wide, p.Deep, p.Up, p.Turn, p.SideBySide, p.Mitre)
	if p.Match != nil {
		fmt.Fprintf(b, " match %s %s", p.Match.X, p.Match.Y)
	}
	if p.Join != nil {
		fmt.Fprintf(b, " join %s", p.Join)
	}
	if p.Bias != nil {
		fmt.Fprintf(b, " bias %s", p.Bias)
	}
}
