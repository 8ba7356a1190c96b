package page

import (
	"fmt"
	"slices"
	"sort"
	"strings"
	"unicode/utf8"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
)

// What drawings keep to, in CSS pixels.
const (
	plotLong    = 216 // the longest side of the largest piece of a group
	plotBeside  = 180 // of one of three or more, so that they stand side by side
	textHigh    = 11
	textWide    = 7  // of one character, at most, in the stack of fonts used
	sizeGap     = 13 // between two sizes written along one edge
	leaderLong  = 16
	sizesMost   = 40 // written along one edge
	dotLeast    = 2.5
	edgeMargin  = 8
	laneHigh    = 16
	sameScaleBy = 4 // pieces up to so many times smaller share the scale of the largest
)

// Drawing is a piece to scale with its marks, seen with its left front corner, the datum, at the lower left.
type Drawing struct {
	Piece      string
	Note       string // what is drawn, for one who does not see it
	Left, Top  float64
	Wide, High float64
	Outline    Rect
	GhostOf    string // the piece whose marks are shown faintly behind these
	Ghost      *Rect
	Ghosts     []Dot
	Centres    []Line
	Leaders    []Path
	Spans      []Line // the lines that carry the whole sizes
	Dots       []Dot
	Sizes      []Label
	Grain      []Path
	Datum      Label
	Key        []KeyLine
	Thinned    string // what is not written for want of room
}

// The shapes of a drawing, in its own pixels, y downward.
type (
	// Rect is a rectangle.
	Rect struct{ X, Y, Wide, High float64 }
	// Line is a straight line.
	Line struct{ X1, Y1, X2, Y2 float64 }
	// Path is a line of several legs, as SVG writes it.
	Path string
	// Dot is a mark: Shape tells one set of marks from another.
	Dot struct {
		X, Y, R float64
		Shape   int
	}
	// Label is text at a place. Turned text reads upward. Link is the id of the derivation.
	Label struct {
		X, Y   float64
		Turned bool
		Anchor string
		Text   string
		Link   string
	}
	// KeyLine tells what a shape stands for.
	KeyLine struct {
		Shape int
		Text  string
		Hole  *Num
	}
)

// Dot is the shape itself, for the key.
func (k KeyLine) Dot() Dot { return Dot{R: dotLeast, Shape: k.Shape} }

// markedPiece is a piece with the sets of marks that lie on it.
type markedPiece struct {
	piece  eval.Piece
	sets   []eval.Marks
	places []setPlaces    // of each set
	x, y   []place        // of all sets
	holes  map[string]Num // by the set's name, of sets that have holes
}

// setPlaces are the distinct running sizes of one set of marks, rising.
type setPlaces struct{ x, y []place }

// place is one running size: the marks' name and number explain it.
type place struct {
	at     quantity.Number
	name   string
	number int
	num    Num
}

// markedPieces lists the pieces that carry marks, in the order of the cut list.
func markedPieces(r *eval.Result) []*markedPiece {
	var all []*markedPiece
	for _, p := range r.Pieces {
		m := &markedPiece{piece: p}
		for _, set := range r.Marks {
			if slices.Contains(set.On, p.Name) && len(set.Points) > 0 {
				m.sets = append(m.sets, set)
			}
		}
		if len(m.sets) > 0 {
			all = append(all, m)
		}
	}
	return all
}

// placesOf gathers the running sizes of a set along one edge, with the first mark that has each.
func placesOf(set eval.Marks, side func(eval.Point) quantity.Number) []place {
	var all []place
	for i, pt := range set.Points {
		all = append(all, place{at: side(pt), name: set.Name, number: i + 1})
	}
	return distinct(all)
}

// distinct sorts places, and keeps the first of each size.
func distinct(all []place) []place {
	sort.SliceStable(all, func(i, j int) bool {
		order, _ := all[i].at.Cmp(all[j].at)
		return order < 0
	})
	kept := all[:0]
	for _, p := range all {
		if len(kept) == 0 || !p.at.Equal(kept[len(kept)-1].at) {
			kept = append(kept, p)
		}
	}
	return kept
}

// explain gathers the running sizes of every set, each with its derivation.
func (m *markedPiece) explain(r *reasons) {
	m.holes = map[string]Num{}
	for _, set := range m.sets {
		x := placesOf(set, func(p eval.Point) quantity.Number { return p.X })
		y := placesOf(set, func(p eval.Point) quantity.Number { return p.Y })
		for i, p := range x {
			x[i].num = r.cell(fmt.Sprintf("%s[%d].x", p.name, p.number))
		}
		for i, p := range y {
			y[i].num = r.cell(fmt.Sprintf("%s[%d].y", p.name, p.number))
		}
		if holeRadius(set) > 0 {
			m.holes[set.Name] = r.cell(set.Name + ".hole")
		}
		m.places = append(m.places, setPlaces{x, y})
		m.x, m.y = append(m.x, x...), append(m.y, y...)
	}
	m.x, m.y = distinct(m.x), distinct(m.y)
}

// holeRadius is half a hole's width in inches; 0 where none is made.
func holeRadius(set eval.Marks) float64 { return inches(set.Hole) / 2 }

// drawer draws one piece at a scale, in pixels an inch.
type drawer struct {
	d     *Drawing
	m     *markedPiece
	r     *reasons
	scale float64
}

// draw makes the drawing of a marked piece; behind it lies the first of its group.
func (m *markedPiece) draw(r *reasons, scale float64, first *markedPiece) Drawing {
	d := drawer{&Drawing{Piece: words(m.piece.Name)}, m, r, scale}
	d.d.Outline = Rect{0, 0, inches(m.piece.Wide) * scale, inches(m.piece.Deep) * scale}
	d.centres()
	d.behind(first)
	d.dots()
	d.across()
	d.upward()
	d.wholes()
	d.grain()
	d.datum()
	d.frame()
	d.d.Note = d.note()
	return *d.d
}

func inches(n quantity.Number) float64 {
	x, _ := n.Rat().Float64()
	return x
}

// at turns a place on the piece into one on the page: the front edge is below.
func (d drawer) at(p eval.Point) (x, y float64) {
	return inches(p.X) * d.scale, d.d.Outline.High - inches(p.Y)*d.scale
}

func (d drawer) centres() {
	w, h := d.d.Outline.Wide, d.d.Outline.High
	d.d.Centres = []Line{{w / 2, -4, w / 2, h + 4}, {-4, h / 2, w + 4, h / 2}}
}

// behind shows the marks of a smaller piece faintly, as it would lie in the middle of this one, so that the spread of the wider grid is seen.
func (d drawer) behind(small *markedPiece) {
	half := quantity.Frac(1, 2)
	over := eval.Point{X: d.m.piece.Wide.Sub(small.piece.Wide).Mul(half), Y: d.m.piece.Deep.Sub(small.piece.Deep).Mul(half)}
	if inches(over.X) <= 0 || inches(over.Y) <= 0 {
		return
	}
	d.d.GhostOf = words(small.piece.Name)
	left, below := d.at(over)
	wide, high := inches(small.piece.Wide)*d.scale, inches(small.piece.Deep)*d.scale
	d.d.Ghost = &Rect{left, below - high, wide, high}
	for _, set := range small.sets {
		for _, pt := range set.Points {
			x, y := d.at(eval.Point{X: pt.X.Add(over.X), Y: pt.Y.Add(over.Y)})
			d.d.Ghosts = append(d.d.Ghosts, Dot{X: x, Y: y})
		}
	}
}

func (d drawer) dots() {
	for shape, set := range d.m.sets {
		key := KeyLine{Shape: shape, Text: words(set.Name)}
		r := dotLeast
		if hole, ok := d.m.holes[set.Name]; ok {
			key.Hole = &hole
			r = max(r, holeRadius(set)*d.scale)
		}
		d.d.Key = append(d.d.Key, key)
		for _, pt := range set.Points {
			x, y := d.at(pt)
			d.d.Dots = append(d.d.Dots, Dot{x, y, r, shape})
		}
	}
}

// across writes the running sizes from the left below the piece.
func (d drawer) across() {
	want, sizes := d.running(d.m.x, d.m.piece.Wide, d.side("wide"), func(n quantity.Number) float64 { return inches(n) * d.scale })
	base := d.d.Outline.High
	for i, x := range spread(want, sizeGap, 0) {
		d.d.Leaders = append(d.d.Leaders, leader(want[i], base, want[i], base+4, x, base+leaderLong-3))
		d.d.Sizes = append(d.d.Sizes, Label{X: x, Y: base + leaderLong, Turned: true, Anchor: "end", Text: sizes[i].text, Link: sizes[i].link})
	}
}

// upward writes the running sizes from the front to the left of the piece.
func (d drawer) upward() {
	want, sizes := d.running(d.m.y, d.m.piece.Deep, d.side("deep"), func(n quantity.Number) float64 { return inches(n) * d.scale })
	base := d.d.Outline.High
	for i, up := range spread(want, sizeGap, 0) {
		d.d.Leaders = append(d.d.Leaders, leader(0, base-want[i], -4, base-want[i], 3-leaderLong, base-up))
		d.d.Sizes = append(d.d.Sizes, Label{X: -leaderLong, Y: base - up + 4, Anchor: "end", Text: sizes[i].text, Link: sizes[i].link})
	}
}

func leader(x1, y1, x2, y2, x3, y3 float64) Path {
	return Path(fmt.Sprintf("M%s %sL%s %sL%s %s", px(x1), px(y1), px(x2), px(y2), px(x3), px(y3)))
}

// size is one size to be written.
type size struct{ text, link string }

// running lists where sizes stand along an edge and what is written there: nought at the datum, every mark, and the centre line, which
// leads to the side that it halves.
func (d drawer) running(places []place, whole quantity.Number, side string, to func(quantity.Number) float64) (want []float64, sizes []size) {
	picked := thin(len(places), sizesMost)
	if len(picked) < len(places) {
		d.d.Thinned = "not every size is written; the table has all"
	}
	half := whole.Mul(quantity.Frac(1, 2))
	centred := false
	add := func(n quantity.Number, s size) {
		want, sizes = append(want, to(n)), append(sizes, s)
	}
	if len(places) == 0 || !places[0].at.Equal(quantity.Number{}) {
		add(quantity.Number{}, size{text: "0"})
	}
	for _, i := range picked {
		p := places[i]
		if order, _ := p.at.Cmp(half); !centred && order > 0 {
			centred = true
			add(half, size{"mid " + d.short(half), side})
		}
		text := d.short(p.at)
		if p.at.Equal(half) {
			centred, text = true, "mid "+text
		}
		add(p.at, size{text, p.num.ID})
	}
	if !centred {
		add(half, size{"mid " + d.short(half), side})
	}
	return want, sizes
}

// short is a length without its unit, which the page states once.
func (d drawer) short(n quantity.Number) string {
	return shortLength(d.r.plan().Program().Style, n)
}

func shortLength(style quantity.Style, n quantity.Number) string {
	return bareLength(style, style.Show(n, quantity.LengthDim).Text)
}

// bareLength takes the shop's unit off a length, where it stands behind it.
func bareLength(style quantity.Style, text string) string {
	if style.Feet {
		return text
	}
	unit := style.Length
	if unit == "" {
		unit = "in"
	}
	return strings.TrimSuffix(text, " "+unit)
}

// wholes writes the piece's whole sizes above and to the right.
func (d drawer) wholes() {
	w, h := d.d.Outline.Wide, d.d.Outline.High
	d.d.Spans = []Line{{0, -edgeMargin, w, -edgeMargin}, {w + edgeMargin, 0, w + edgeMargin, h}}
	d.d.Sizes = append(d.d.Sizes,
		Label{X: w / 2, Y: -edgeMargin - 4, Anchor: "middle", Text: d.short(d.m.piece.Wide), Link: d.side("wide")},
		Label{X: w + edgeMargin + textHigh + 1, Y: h / 2, Turned: true, Anchor: "middle", Text: d.short(d.m.piece.Deep), Link: d.side("deep")})
}

// side is where the derivation of a side stands, in the cut list.
func (d drawer) side(name string) string { return d.r.said[d.m.piece.Name+"."+name].ID }

// grain draws the arrow that runs up the roll, beyond the whole sizes.
func (d drawer) grain() {
	if d.m.piece.Form != check.Roll {
		return
	}
	w, h := d.d.Outline.Wide, d.d.Outline.High
	if d.m.piece.Up == "wide" {
		y := -edgeMargin - laneHigh - 6.0
		d.d.Grain = arrow(0, y, min(w, 60), y)
		d.d.Sizes = append(d.d.Sizes, Label{X: min(w, 60) + 5, Y: y + 4, Anchor: "start", Text: "up the roll"})
		return
	}
	x := w + edgeMargin + laneHigh + 8.0
	d.d.Grain = arrow(x, h, x, h-min(h, 60))
	d.d.Sizes = append(d.d.Sizes, Label{X: x + textHigh + 2, Y: h, Turned: true, Anchor: "start", Text: "up the roll"})
}

// arrow draws a shaft with a head at its second end; it runs upward or to the right.
func arrow(x1, y1, x2, y2 float64) []Path {
	if y1 == y2 {
		return []Path{leader(x1, y1, x1, y1, x2, y2), leader(x2-6, y2-3, x2, y2, x2-6, y2+3)}
	}
	return []Path{leader(x1, y1, x1, y1, x2, y2), leader(x2-3, y2+6, x2, y2, x2+3, y2+6)}
}

func (d drawer) datum() {
	d.d.Datum = Label{X: -leaderLong, Y: d.d.Outline.High + leaderLong + 4, Anchor: "end", Text: "datum"}
}

// frame sets the part of the plane that the drawing shows, so that no text is cut off.
func (d drawer) frame() {
	o := d.d.Outline
	left, top, right, bottom := -12.0, -12.0, o.Wide+12, o.High+12
	for _, l := range append(d.d.Sizes, d.d.Datum) {
		x1, y1, x2, y2 := l.extent()
		left, top, right, bottom = min(left, x1), min(top, y1), max(right, x2), max(bottom, y2)
	}
	d.d.Left, d.d.Top = left-4, top-4
	d.d.Wide, d.d.High = right-left+8, bottom-top+8
}

// extent is where a label's ink may lie.
func (l Label) extent() (x1, y1, x2, y2 float64) {
	long := float64(utf8.RuneCountInString(l.Text)) * textWide
	before := map[string]float64{"start": 0, "middle": long / 2, "end": long}[l.Anchor]
	if l.Turned {
		return l.X - textHigh, l.Y - long + before, l.X + 3, l.Y + before
	}
	return l.X - before, l.Y - textHigh, l.X - before + long, l.Y + 3
}

// note tells the drawing in words.
func (d drawer) note() string {
	parts := []string{fmt.Sprintf("%s, %s wide and %s deep, to scale", words(d.m.piece.Name), d.short(d.m.piece.Wide), d.short(d.m.piece.Deep))}
	for _, set := range d.m.sets {
		parts = append(parts, fmt.Sprintf("%s: %s", words(set.Name), counted(len(set.Points), "mark")))
	}
	return strings.Join(parts, "; ") + ". Sizes run from the left front corner."
}

// words turns a name into words: "left_seats.core" is "left seats: core".
func words(name string) string { return strings.NewReplacer("_", " ", ".", ": ").Replace(name) }

// group is a row of drawings at one scale.
type group []*markedPiece

// sideBySide parts marked pieces into groups that share a scale, so that a wider grid is seen to be wider.
func sideBySide(all []*markedPiece) []group {
	var groups []group
	for len(all) > 0 {
		most := longest(all)
		var near group
		var rest []*markedPiece
		for _, m := range all {
			if longest([]*markedPiece{m})*sameScaleBy >= most {
				near = append(near, m)
				continue
			}
			rest = append(rest, m)
		}
		groups, all = append(groups, near), rest
	}
	return groups
}

func longest(all []*markedPiece) float64 {
	most := 0.0
	for _, m := range all {
		most = max(most, inches(m.piece.Wide), inches(m.piece.Deep))
	}
	return most
}

func (g group) scale() float64 {
	if len(g) > 2 {
		return plotBeside / longest(g)
	}
	return plotLong / longest(g)
}

func showLength(style quantity.Style, n quantity.Number) string {
	return style.Show(n, quantity.LengthDim).Text
}
