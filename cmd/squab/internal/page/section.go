package page

import (
	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
)

// Section is a cut through the left edge: the layers one upon another to scale, and how far each reaches past the first.
type Section struct {
	Left, Top, Wide, High float64
	Edge                  Line // the first layer's edge, carried up
	Layers                []Layer
}

// Layer is one piece in the section. Thick is nil for cloth, which is drawn as a line.
type Layer struct {
	Rect    Rect
	Pattern int
	Name    string
	Thick   *Num
	Past    *Num // nil for the first layer
	Label   Label
	Leader  Path
}

const (
	sectionLong  = 205
	sectionInner = 3 // inches shown inside the edge
	clothThick   = 3 // of a line that stands for cloth
	layerGap     = 2
	// A piece belongs to the section where it covers this share of the first layer or more both ways.
	layerShare = 0.8
)

// newSection draws the section; nil where the order stacks no layers on a sheet.
func newSection(r *reasons) *Section {
	layers := stacked(r.result.Pieces)
	if len(layers) < 2 {
		return nil
	}
	base := layers[0]
	reach := 0.0
	for _, p := range layers {
		reach = max(reach, past(p, base))
	}
	scale := min(40, sectionLong/(sectionInner+reach))
	s := &Section{}
	top := 0.0
	for i, p := range layers {
		top = s.stack(r, p, base, i, top, scale)
	}
	s.finish(scale, top)
	return s
}

// stacked lists the layers from the first sheet with a thickness upward.
func stacked(pieces []eval.Piece) []eval.Piece {
	var layers []eval.Piece
	for _, p := range pieces {
		isBase := len(layers) == 0 && p.Form == check.Sheet && p.HasThick
		isLayer := len(layers) > 0 && p.Form != check.Stick && covers(p, layers[0])
		if isBase || isLayer {
			layers = append(layers, p)
		}
	}
	return layers
}

func covers(p, base eval.Piece) bool {
	return inches(p.Wide) >= layerShare*inches(base.Wide) && inches(p.Deep) >= layerShare*inches(base.Deep)
}

// past is how far a piece laid in the middle reaches beyond the first layer's left edge, in inches.
func past(p, base eval.Piece) float64 { return inches(pastExact(p, base)) }

func pastExact(p, base eval.Piece) quantity.Number {
	return p.Wide.Sub(base.Wide).Mul(quantity.Frac(1, 2))
}

// stack puts a layer on what lies there; the edge is at x = 0 and what is inside it to the right.
func (s *Section) stack(r *reasons, p, base eval.Piece, i int, top, scale float64) float64 {
	l := Layer{Name: words(p.Name), Pattern: i % 4}
	high := float64(clothThick)
	for _, field := range []string{"thick", "loft"} {
		if thick, ok := r.field(p.Material, field); ok && l.Thick == nil && thick.inches > 0 {
			l.Thick = &thick
			high = max(high, thick.inches*scale)
		}
	}
	if i > 0 {
		beyond := r.made(p.Name+" past "+base.Name, check.Num(pastExact(p, base)), check.LengthType(), "half of what it is wider", r.node(p.Name+".wide"), r.node(base.Name+".wide"))
		l.Past = &beyond
	}
	beyond := past(p, base) * scale
	top -= high + layerGap
	l.Rect = Rect{-beyond, top, beyond + sectionInner*scale, high}
	s.Layers = append(s.Layers, l)
	return top
}

// finish writes the labels beside the layers and sets what the drawing shows.
func (s *Section) finish(scale, top float64) {
	right := sectionInner*scale + 26
	var want []float64
	for i := range s.Layers {
		want = append(want, middle(s.Layers[len(s.Layers)-1-i].Rect)-top)
	}
	left, edge := 0.0, right
	for i, y := range spread(want, sizeGap+1, 0) {
		l := &s.Layers[len(s.Layers)-1-i]
		l.Label = Label{X: right, Y: y + top, Anchor: "start", Text: l.Name}
		l.Leader = leader(sectionInner*scale+2, middle(l.Rect), sectionInner*scale+4, middle(l.Rect), right-3, y+top)
		_, _, end, _ := l.Label.extent()
		left, edge = min(left, l.Rect.X), max(edge, end)
		s.High = max(s.High, y+textHigh)
	}
	s.Edge = Line{0, top - 6, 0, 4}
	s.Left, s.Top = left-8, top-12
	s.Wide, s.High = edge+4-left+8, max(s.High, -top)+24
}

func middle(r Rect) float64 { return r.Y + r.High/2 }

// Base names the layer that the others are measured past.
func (s *Section) Base() string { return s.Layers[0].Name }

// Down lists the layers from the top.
func (s *Section) Down() []Layer {
	down := make([]Layer, 0, len(s.Layers))
	for i := range s.Layers {
		down = append(down, s.Layers[len(s.Layers)-1-i])
	}
	return down
}
