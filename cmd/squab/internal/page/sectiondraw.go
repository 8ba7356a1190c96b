package page

import (
	"cmp"
	"slices"

	"squab/eval"
	"squab/eval/check"
)

// sectionDrawer draws a stack in pixels, y downward, with the edge of the stack's first sheet at x = 0 and what lies inside it to the right.
type sectionDrawer struct {
	r           *reasons
	st          *stack
	s           *Section
	scale       float64
	inner       float64
	top, bottom float64 // faces of what is laid so far
	edge        float64 // how far the sheets reach out past the first
	soft        float64 // how thick what goes round the edge lies on it
	ends        float64 // how far down that reaches
	seams       []float64
	patterns    map[string]int
	right, left []tag
}

// tag is a label that is not yet kept apart from others, and what it points at.
type tag struct {
	x, y float64
	text string
	num  *Num
}

func newSection(r *reasons, st *stack) *Section {
	d := sectionDrawer{r: r, st: st, patterns: map[string]int{}, s: &Section{Of: words(st.of), Base: words(shortName(st.base.Name))}}
	d.fit()
	d.over(st.base)
	for _, p := range st.above {
		d.over(p)
	}
	slices.Reverse(d.s.Layers)
	slices.Reverse(d.right)
	for _, p := range st.below {
		d.under(p)
	}
	for _, p := range st.side {
		d.stand(p)
	}
	for _, p := range st.welted {
		d.welt(p)
	}
	d.frame()
	return d.s
}

// fit chooses the scale, in pixels an inch.
func (d *sectionDrawer) fit() {
	inner, high := sectionInner, d.r.thickness(d.st.base)
	for _, p := range d.st.above {
		high += d.r.thickness(p)
	}
	for _, p := range slices.Concat(d.st.above, d.st.side) {
		if p.Edge.Beneath != nil {
			inner = max(inner, inches(*p.Edge.Beneath)+0.5)
		}
	}
	d.scale = min(40, sectionLong/(inner+high/2), sectionHigh/high)
	d.inner = inner * d.scale
}

// layer begins the layer of a piece.
func (d *sectionDrawer) layer(p eval.Piece) Layer {
	l := Layer{Name: words(shortName(p.Name)), high: clothThick}
	if field := d.r.thickField(p); field != "" {
		thick, _ := d.r.field(p.Material, field)
		l.Thick, l.high = &thick, max(thick.inches*d.scale, clothThick)
		l.Pattern = d.pattern(l.Name)
	}
	if cell, _ := edgeCell(p); cell != "" {
		num := d.r.cell(p.Name + "." + cell)
		l.AtEdge, l.Manner = &num, manners[cell]
	}
	if p.Name != d.st.base.Name && p.Edge.Side == nil && p.Edge.Welt == nil {
		past := d.r.made(p.Name+" past "+d.st.base.Name, check.Num(d.st.past(p)), check.LengthType(), "half of what it is wider", d.r.node(p.Name+".wide"), d.r.node(d.st.base.Name+".wide"))
		l.Past = &past
	}
	return l
}

// pattern gives every thick piece one of its own, as far as they go.
func (d *sectionDrawer) pattern(name string) int {
	if d.patterns[name] == 0 {
		d.patterns[name] = 1 + len(d.patterns)%4
	}
	return d.patterns[name]
}

// out is how far the side stands out so far.
func (d *sectionDrawer) out() float64 { return d.edge + d.soft }

// reach is how far a piece would reach past the edge if it lay flat.
func (d *sectionDrawer) reach(p eval.Piece) float64 { return inches(d.st.past(p)) * d.scale }

// over lays a piece upon the stack. What is soft and reaches past the edge is wrapped round it, unless something stands there.
func (d *sectionDrawer) over(p eval.Piece) {
	l := d.layer(p)
	face := d.top
	d.tagRight(l, face-l.high/2)
	switch reach := d.reach(p); {
	case p.Form == check.Sheet:
		d.edge = max(d.edge, reach)
		l.Shape = d.flat(face-l.high, face, reach)
	case len(d.st.side) > 0:
		l.Shape = d.flat(face-l.high, face, d.out())
	case p.Edge.Beneath == nil && reach <= d.out()+d.soft:
		l.Shape = d.flat(face-l.high, face, reach)
	default:
		l.Shape = d.wrapped(p, l)
		d.soft += l.high
	}
	d.top = face - l.high
	d.s.Layers = append(d.s.Layers, l)
}

func (d *sectionDrawer) flat(top, bottom, reach float64) Path {
	return closed(point{-reach, top}, point{d.inner, top}, point{d.inner, bottom}, point{-reach, bottom})
}

// wrapped is the shape of what goes over the edge and down the side, and is turned under by what the recipe says or, of cloth, by what is left.
func (d *sectionDrawer) wrapped(p eval.Piece, l Layer) Path {
	side, down := d.bottom-d.top, d.reach(p)-d.out()
	outer, inner := -d.out()-l.high, -d.out()
	bend := d.top + d.soft
	round := path(point{d.inner, d.top - l.high}, point{-d.edge, d.top - l.high}) + arc(d.soft+l.high, point{outer, bend}, 0)
	back := line(point{inner, bend}) + arc(d.soft, point{-d.edge, d.top}, 1) + line(point{d.inner, d.top}) + "Z"
	under := d.turned(p, l, down-side-l.high)
	if under <= 0 {
		d.ends = max(d.top+min(down, side), bend)
		return round + line(point{outer, d.ends}, point{inner, d.ends}) + back
	}
	low := min(max(d.ends, bend), d.bottom)
	return round + line(point{outer, low}) + d.foot(l, under) + line(point{inner, low}) + back
}

// turned is how much of a piece goes beneath.
func (d *sectionDrawer) turned(p eval.Piece, l Layer, left float64) float64 {
	switch {
	case p.Edge.Beneath != nil:
		return inches(*p.Edge.Beneath) * d.scale
	case l.Thick == nil:
		return min(left, d.inner)
	}
	return 0
}

// foot turns cloth under the stack, drawn in to the sheets below what is soft; where the recipe says how much, it is fixed there and measured.
func (d *sectionDrawer) foot(l Layer, under float64) Path {
	low, end := d.bottom+l.high, under-d.edge
	if l.AtEdge != nil {
		d.fixed(l, end, low)
	}
	turned := line(point{-d.edge - l.high, low}, point{end, low}, point{end, d.bottom}, point{-d.edge, d.bottom})
	d.bottom = low
	return turned
}

// fixed draws where what is turned under is fixed, and writes how much it is, from the edge of the sheets.
func (d *sectionDrawer) fixed(l Layer, end, low float64) {
	left, y := -d.edge, low+10
	middle := (left + end) / 2
	d.s.Fixings = append(d.s.Fixings, Line{middle, low + 3, middle, d.bottom - 7})
	d.s.Leaders = append(d.s.Leaders, path(point{left, y - 3}, point{left, y + 3})+path(point{left, y}, point{end, y})+path(point{end, y - 3}, point{end, y + 3}))
	d.s.Labels = append(d.s.Labels, Label{X: end, Y: y + textHigh + 3, Anchor: "end", Text: d.bare(l.AtEdge) + " turned under", Link: l.AtEdge.ID})
}

// under lays a piece against the underside.
func (d *sectionDrawer) under(p eval.Piece) {
	l := d.layer(p)
	reach := min(d.reach(p), d.out())
	if len(d.st.side) > 0 {
		reach = d.out()
	}
	l.Shape = d.flat(d.bottom, d.bottom+l.high, reach)
	d.tagRight(l, d.bottom+l.high/2)
	d.bottom += l.high
	d.s.Layers = append(d.s.Layers, l)
}

// stand puts a piece round the side.
func (d *sectionDrawer) stand(p eval.Piece) {
	l := d.layer(p)
	outer, inner := -d.out()-l.high, -d.out()
	half, middle := inches(*p.Edge.Side)*d.scale/2, (d.top+d.bottom)/2
	if p.Edge.Beneath != nil {
		l.Shape = path(point{inner, d.top}, point{outer, d.top}, point{outer, d.bottom}) + d.foot(l, inches(*p.Edge.Beneath)*d.scale) + "Z"
		d.seams = []float64{d.top}
	} else {
		l.Shape = upright(outer, inner, middle-half, middle+half)
		d.seams = []float64{middle - half, middle + half}
		d.s.Drawn = []Path{upright(outer, inner, d.top, middle-half), upright(outer, inner, middle+half, d.bottom)}
	}
	d.left = append(d.left, tag{outer, middle, l.Name, l.AtEdge})
	d.soft += l.high
	d.s.Layers = append(d.s.Layers, l)
}

// upright is an upright rectangle; of no height where it would be upside down.
func upright(left, right, top, bottom float64) Path {
	bottom = max(top, bottom)
	return closed(point{left, top}, point{right, top}, point{right, bottom}, point{left, bottom})
}

// welt draws the covered cord in the seams at the edge.
func (d *sectionDrawer) welt(p eval.Piece) {
	l := d.layer(p)
	if len(d.seams) == 0 {
		d.seams = []float64{d.top}
	}
	r := max(inches(*p.Edge.Welt)*d.scale/2, 2)
	x := -d.out() - 0.6*r
	for _, y := range d.seams {
		d.s.Welts = append(d.s.Welts, Dot{X: x, Y: y, R: r})
	}
	d.left = append(d.left, tag{x - r, d.s.Welts[0].Y, l.Name + ", " + d.bare(l.AtEdge) + " " + l.Manner, l.AtEdge})
	d.s.Layers = append(d.s.Layers, l)
}

func (d *sectionDrawer) tagRight(l Layer, y float64) {
	text := l.Name
	if l.Thick != nil {
		text += ", " + d.bare(l.Thick)
	}
	d.right = append(d.right, tag{d.inner, y, text, l.Thick})
}

// bare is a length as shown, without the unit that the heading states.
func (d *sectionDrawer) bare(n *Num) string { return bareLength(d.r.plan().Program().Style, n.Shown) }

// frame keeps the labels apart, and sets what the drawing shows.
func (d *sectionDrawer) frame() {
	slices.SortStableFunc(d.left, func(a, b tag) int { return cmp.Compare(a.y, b.y) })
	d.label(d.right, d.inner+26, "start", 1)
	d.label(d.left, -d.out()-30, "end", -1)
	left, top, right, bottom := -d.out()-12, d.top-12, d.inner, d.bottom+12
	for _, l := range d.s.Labels {
		x1, y1, x2, y2 := l.extent()
		left, top, right, bottom = min(left, x1), min(top, y1), max(right, x2), max(bottom, y2)
	}
	d.s.Left, d.s.Top, d.s.Wide, d.s.High = left-4, top-4, right-left+8, bottom-top+8
}

// label writes tags in a column at x, each led to from what it names; away is the direction from there.
func (d *sectionDrawer) label(tags []tag, x float64, anchor string, away float64) {
	var want []float64
	for _, t := range tags {
		want = append(want, t.y-d.top)
	}
	for i, y := range spread(want, sizeGap+1, 0) {
		t := tags[i]
		l := Label{X: x, Y: y + d.top + 4, Anchor: anchor, Text: t.text}
		if t.num != nil {
			l.Link = t.num.ID
		}
		d.s.Labels = append(d.s.Labels, l)
		d.s.Leaders = append(d.s.Leaders, path(point{t.x + 2*away, t.y}, point{t.x + 5*away, t.y}, point{x - 4*away, y + d.top}))
	}
}
