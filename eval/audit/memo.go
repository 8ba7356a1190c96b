package audit

import (
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
		return a.layout, a.err
	}
}

// layKey writes all that a layout can rest on: the material's fields but for those of money, and the pieces.
func layKey(s eval.Stock, pieces []eval.Piece) string {
	var b strings.Builder
	b.WriteString(s.Material.Name)
	for _, f := range s.Material.Kind.Fields {
		if f.Type.Dim.Money != 0 {
			continue
		}
		v, _ := s.Field(f.Name)
		b.WriteString("|" + v.Num.String() + v.Text())
	}
	for _, p := range pieces {
		b.WriteString("|" + p.Order + " " + p.Name + " " + p.Wide.String() + " " + p.Deep.String() + " " + p.Up)
		b.WriteString(pieceRest(p))
	}
	return b.String()
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
	return b.String() + strings.Repeat("+", int(min(p.Count, 10_000)))
}
