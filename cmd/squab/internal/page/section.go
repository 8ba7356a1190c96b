package page

import (
	"fmt"
	"sort"
	"strings"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
)

// Section is a cut through the left edge of a stack of pieces, to scale. Cloth has no thickness and is drawn as a line.
type Section struct {
	Of                    string   // the part that the stack is of; "" of the order's own pieces
	Alike                 []string // the parts whose section is the same
	Base                  string   // the layer that the others are measured past
	Left, Top, Wide, High float64
	Layers                []Layer // from the top down
	Drawn                 []Path  // the faces where they are drawn down to what stands at the side
	Welts                 []Dot
	Fixings               []Line // where what is turned under is fixed
	Leaders               []Path
	Labels                []Label
}

// Layer is one piece in the section. Thick is nil of cloth; Past of the first layer and of what stands at the edge; AtEdge where the recipe says nothing of
// how the piece lies there. Manner words what AtEdge measures.
type Layer struct {
	Shape   Path
	Pattern int // 0 of cloth
	Name    string
	Thick   *Num
	Past    *Num
	AtEdge  *Num
	Manner  string

	high float64 // as drawn
}

const (
	sectionLong  = 230
	sectionHigh  = 190
	sectionInner = 3.0 // inches shown inside the edge, at least
	clothThick   = 2.5 // of a line that stands for cloth
	// A piece of which the recipe does not say how it lies belongs to the section where it covers this share of the first layer or more both ways.
	layerShare = 0.8
)

// stack is the pieces of one recipe or part that lie upon each other.
type stack struct {
	of                         string
	base                       eval.Piece
	above, below, side, welted []eval.Piece
}

// sectionsOf draws every stack of an order, and those that are alike once.
func sectionsOf(r *reasons) []*Section {
	var all []*Section
	drawn := map[string]*Section{}
	for _, st := range stacksOf(r) {
		key := st.looks()
		if first := drawn[key]; first != nil {
			first.Alike = append(first.Alike, words(st.of))
			continue
		}
		drawn[key] = newSection(r, st)
		all = append(all, drawn[key])
	}
	return all
}

// stacksOf parts the pieces by recipe and part; what has nothing laid on its first sheet is no stack.
func stacksOf(r *reasons) []*stack {
	var all []*stack
	for _, group := range byPart(r.result.Pieces) {
		if st := newStack(r, group); st != nil {
			all = append(all, st)
		}
	}
	return all
}

func byPart(pieces []eval.Piece) [][]eval.Piece {
	var groups [][]eval.Piece
	at := map[string]int{}
	for _, p := range pieces {
		i, known := at[partOf(p.Name)]
		if !known {
			i = len(groups)
			at[partOf(p.Name)] = i
			groups = append(groups, nil)
		}
		groups[i] = append(groups[i], p)
	}
	return groups
}

// partOf names the part that a piece belongs to; "" where it is the recipe's own.
func partOf(piece string) string { return piece[:max(strings.LastIndexByte(piece, '.'), 0)] }

// shortName is a piece's name without its part's.
func shortName(piece string) string { return strings.TrimPrefix(piece[len(partOf(piece)):], ".") }

func newStack(r *reasons, pieces []eval.Piece) *stack {
	st := &stack{}
	for _, p := range pieces {
		if p.Form == check.Sheet && p.HasThick {
			st.base, st.of = p, partOf(p.Name)
			break
		}
	}
	for _, p := range pieces {
		if p.Name != st.base.Name {
			st.lay(p)
		}
	}
	if st.base.Name == "" || len(st.above)+len(st.below) == 0 {
		return nil
	}
	softer(r, st.above)
	softer(r, st.below)
	return st
}

// lay puts a piece where its recipe says it lies, or upon the stack where it is large enough.
func (st *stack) lay(p eval.Piece) {
	switch e := p.Edge; {
	case p.Form == check.Stick:
	case e.Side != nil:
		st.side = append(st.side, p)
	case e.Welt != nil:
		st.welted = append(st.welted, p)
	case e.Face == "below":
		st.below = append(st.below, p)
	case e.Face == "both":
		st.above, st.below = append(st.above, p), append(st.below, p)
	case e.Face == "above" || e.Beneath != nil || st.covered(p):
		st.above = append(st.above, p)
	}
}

func (st *stack) covered(p eval.Piece) bool {
	return inches(p.Wide) >= layerShare*inches(st.base.Wide) && inches(p.Deep) >= layerShare*inches(st.base.Deep)
}

// softer orders layers from the stack outward: sheets, then wadding, then cloth.
func softer(r *reasons, layers []eval.Piece) {
	rank := func(p eval.Piece) int {
		switch {
		case p.Form == check.Sheet:
			return 0
		case r.thickness(p) > 0:
			return 1
		}
		return 2
	}
	sort.SliceStable(layers, func(i, j int) bool { return rank(layers[i]) < rank(layers[j]) })
}

// thickFields are the fields that say how thick a material lies.
var thickFields = [...]string{"thick", "loft"}

// thickField finds which of them a piece's material gives; "" of cloth.
func (r *reasons) thickField(p eval.Piece) string {
	for _, field := range thickFields {
		if n, ok := r.plan().Stock(p.Material).Measure(field); ok && inches(n) > 0 {
			return field
		}
	}
	return ""
}

// thickness is in inches; 0 of cloth.
func (r *reasons) thickness(p eval.Piece) float64 {
	n, _ := r.plan().Stock(p.Material).Measure(r.thickField(p))
	return inches(n)
}

// looks tells stacks apart that are not drawn alike.
func (st *stack) looks() string {
	var b strings.Builder
	for _, layers := range [][]eval.Piece{{st.base}, st.above, st.below, st.side, st.welted} {
		for _, p := range layers {
			cell, n := edgeCell(p)
			fmt.Fprintf(&b, "%s %s %s %s %s|", shortName(p.Name), p.Material.Name, st.past(p), cell, n)
		}
		b.WriteByte('/')
	}
	return b.String()
}

// edgeCell names the cell that says how a piece lies at the edge, with its measure; "" where the recipe has none.
func edgeCell(p eval.Piece) (string, quantity.Number) {
	switch e := p.Edge; {
	case e.Beneath != nil:
		return "beneath", *e.Beneath
	case e.Side != nil:
		return "side", *e.Side
	case e.Welt != nil:
		return "welt", *e.Welt
	}
	return "", quantity.Number{}
}

// manners word what the cells measure.
var manners = map[string]string{"beneath": "turned under", "side": "high", "welt": "cord"}

// past is how far a piece laid in the middle reaches beyond the first layer's left edge.
func (st *stack) past(p eval.Piece) quantity.Number {
	return p.Wide.Sub(st.base.Wide).Mul(quantity.Frac(1, 2))
}
