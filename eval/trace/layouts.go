package trace

import (
	"slices"
	"strings"

	"squab/eval"
	"squab/eval/check"
)

// usedNamed traces what a layout takes: layout.NAME.used, by the material's name or that of an ask that is one, or layout.used where there is one
// layout only; nil where there is none of that name.
func (t *tracer) usedNamed(name string) *Node {
	if name == "layout.used" && len(t.r.Layouts) == 1 {
		return t.used(t.r.Layouts[0])
	}
	front, ok := strings.CutSuffix(name, ".used")
	material, ok2 := strings.CutPrefix(front, "layout.")
	if !ok || !ok2 {
		return nil
	}
	if slot := t.p.Slot(material); slot >= 0 {
		if v, _ := t.s.Value(slot); v.Material() != nil {
			material = v.Material().Name
		}
	}
	for _, l := range t.r.Layouts {
		if l.Material.Name == material {
			return t.used(l)
		}
	}
	return nil
}

// layoutNames lists what can be asked of layouts.
func (t *tracer) layoutNames() []string {
	if t.r == nil {
		return nil
	}
	var all []string
	for _, l := range t.r.Layouts {
		all = append(all, "layout."+l.Material.Name+".used")
	}
	return all
}

// used traces how much of a material a layout takes: the pieces that set it first, then the others, then what the material says.
func (t *tracer) used(l eval.Layout) *Node {
	kind := check.CountType()
	if l.Form == check.Roll {
		kind = check.LengthType()
	}
	n := t.node("layout."+l.Material.Name+".used", ByLine, check.Num(l.Used), kind)
	n.At = l.Material.At
	n.Layer = t.layer(n.At)
	n.Formula = usedFormula(l)
	if !t.once(n.Name, n) {
		return n
	}
	n.Notes = append(n.Notes, t.usedNotes(l, kind)...)
	for _, p := range settingFirst(t.r.Pieces, l) {
		for _, side := range []string{".wide", ".deep", ".long", ".count"} {
			if slot := t.p.Slot(p.Name + side); slot >= 0 && t.p.Slots[slot].Cell.Source != nil {
				n.From = append(n.From, t.slot(slot))
			}
		}
	}
	for _, field := range []string{"usable", "repeat_along", "repeat_across", "wide", "deep", "long", "kerf"} {
		if f := l.Material.Kind.Field(field); f != nil {
			n.From = append(n.From, t.fieldNode(l.Material, f.Index))
		}
	}
	return n
}

func usedFormula(l eval.Layout) string {
	pieces := strings.Join(pieceNames(l), ", ")
	switch {
	case !l.Laid && l.Form == check.Roll:
		return "the pieces' area over the usable width"
	case !l.Laid:
		return "the pieces together, in whole ones"
	case l.Form == check.Roll:
		return "the length of the roll on which these lie: " + pieces
	}
	return "the number of them that these are cut from: " + pieces
}

// pieceNames lists the pieces that a layout lays, each once, as they lie.
func pieceNames(l eval.Layout) []string {
	var all []string
	for _, p := range l.Placed {
		if !slices.Contains(all, p.Piece) {
			all = append(all, p.Piece)
		}
	}
	return all
}

// usedNotes tells what set the length, whether less can do, and what that rests on.
func (t *tracer) usedNotes(l eval.Layout, kind check.Type) []string {
	if !l.Laid {
		return []string{"not laid out: by area alone, so the least that any layout could take"}
	}
	var notes []string
	if len(l.SetBy) > 0 {
		notes = append(notes, "the length is set by "+strings.Join(l.SetBy, ", ")+": nothing else ends so far along")
	}
	least := "no layout takes less than " + t.p.Show(check.Num(l.Bound), kind)
	switch {
	case l.Goal != nil && l.Proved:
		least = "the sizes together come to " + t.p.Show(check.Num(l.Goal.Came), l.Goal.Type) + ": proved that none do it for less"
	case l.Goal != nil:
		least = "the sizes together come to " + t.p.Show(check.Num(l.Goal.Came), l.Goal.Type) + "; none do it for less than " + t.p.Show(check.Num(l.Goal.Bound), l.Goal.Type)
	case l.Proved:
		least = "proved: no layout takes less"
	}
	if l.Rests != "" {
		least += "; that rests on " + l.Rests
	}
	return append(notes, least)
}

// settingFirst lists a layout's pieces, those that set its length before the others.
func settingFirst(pieces []eval.Piece, l eval.Layout) []eval.Piece {
	var first, rest []eval.Piece
	for _, p := range pieces {
		switch {
		case p.Material != l.Material:
		case slices.Contains(l.SetBy, p.Name):
			first = append(first, p)
		default:
			rest = append(rest, p)
		}
	}
	return append(first, rest...)
}
