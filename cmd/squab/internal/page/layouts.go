package page

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"squab/cmd/squab/internal/print"
	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
)

// layoutView is how an order's pieces lie on one material.
type layoutView struct {
	Material   string
	Laid       bool
	Used       Num
	Goal       *Num // what several sizes come to
	Bound      *Num // where no layout is proved to use less
	Waste      Num  // as a share of what is used
	Sheets     []sheetDrawing
	MoreSheets int
}

// sheetDrawing is one sheet or stick, or the length of a roll, with its pieces; across the roll is drawn upward.
type sheetDrawing struct {
	Name       string
	Wide, High float64
	Outline    Rect
	Flaws      []Rect
	Motifs     []point
	Offcuts    []laidPiece
	Pieces     []laidPiece

	at func(eval.Area) Rect
}

type laidPiece struct {
	Rect  Rect // round its shape
	Shape Path
	Label Label
	Title string
}

const (
	layoutLong = 640 // along a roll
	layoutHigh = 150
	sheetLong  = 240
	stickHigh  = 18
	sheetsMost = 24
)

func layoutsOf(r *reasons) []layoutView {
	var all []layoutView
	for _, l := range r.result.Layouts {
		all = append(all, newLayout(r, l))
	}
	return all
}

func newLayout(r *reasons, l eval.Layout) layoutView {
	v := layoutView{Material: titleOf(l.Material), Laid: l.Laid}
	v.Used = r.cell("layout." + l.Material.Name + ".used")
	r.reword(v.Used.Why.Name, &v.Used, usedText(r, l, l.Used))
	if g := l.Goal; g != nil {
		came := r.made("what "+l.Material.Name+" comes to", check.Num(g.Came), g.Type, "the sizes that it is cut from, together")
		v.Goal = &came
	}
	if !l.Proved && l.Laid {
		bound := r.least(l)
		v.Bound = &bound
	}
	v.Waste = r.made("waste of "+l.Material.Name, check.Num(l.Waste), check.CountType(), "1 - the area of its pieces / the area of what is used")
	r.reword(v.Waste.Why.Name, &v.Waste, print.Percent(l.Waste))
	if l.Laid {
		v.draw(r, l)
	}
	return v
}

// least is what no layout can do with less than: a length or a number, or what several sizes come to.
func (r *reasons) least(l eval.Layout) Num {
	name, how := "least of "+l.Material.Name, "no layout can use less than this: it rests on "+l.Rests
	if g := l.Goal; g != nil {
		return r.made(name, check.Num(g.Bound), g.Type, how)
	}
	t := check.CountType()
	if l.Form == check.Roll {
		t = check.LengthType()
	}
	bound := r.made(name, check.Num(l.Bound), t, how)
	r.reword(bound.Why.Name, &bound, usedText(r, l, l.Bound))
	return bound
}

func usedText(r *reasons, l eval.Layout, used quantity.Number) string {
	if l.Form == check.Roll {
		for _, line := range r.result.Buy {
			if line.Material == l.Material {
				return r.plan().ShowAmount(line, used)
			}
		}
		return r.plan().Show(check.Num(used), check.LengthType())
	}
	return r.plan().Show(check.Num(used), check.CountType()) + " × " + string(l.Form)
}

func (v *layoutView) draw(r *reasons, l eval.Layout) {
	for i, s := range l.Sheets[:min(len(l.Sheets), sheetsMost)] {
		n := i + 1
		if l.Form == check.Roll {
			n = i
		}
		v.Sheets = append(v.Sheets, newSheet(r, l, s, n))
	}
	v.MoreSheets = max(len(l.Sheets)-sheetsMost, 0)
}

// newSheet draws what lies on the sheet that placed pieces know by its number.
func newSheet(r *reasons, l eval.Layout, s eval.Opened, n int) sheetDrawing {
	d := onSheet(s)
	switch {
	case l.Form == check.Roll:
		d = onRoll(s)
		if n > 0 {
			d.Name = words(s.Name) + ", " + d.Name
		}
	case l.Taken != nil:
		d.Name = fmt.Sprintf("%s %d, %s", l.Form, n, words(s.Name))
	default:
		d.Name = fmt.Sprintf("%s %d", l.Form, n)
	}
	for _, f := range l.Flaws {
		if n == 0 {
			d.Flaws = append(d.Flaws, d.at(f))
		}
	}
	for _, o := range l.Offcuts {
		if o.Sheet == n {
			d.Offcuts = append(d.Offcuts, laidPiece{Rect: d.at(o.Area), Title: o.Name + ", " + areaText(r, o.Area)})
		}
	}
	for _, p := range l.Placed {
		if p.Sheet == n {
			d.add(r, p)
		}
	}
	d.motifs(l.Repeat, s)
	d.Wide, d.High = d.Outline.Wide+4, d.Outline.High+4
	return d
}

// onRoll lays the roll on its side, so that its length runs across the page.
func onRoll(s eval.Opened) sheetDrawing {
	wide, long := inches(s.Wide), inches(s.Deep)
	scale := min(layoutHigh/wide, layoutLong/max(long, 1))
	return sheetDrawing{
		Name:    "the roll runs to the right",
		Outline: Rect{0, 0, long * scale, wide * scale},
		at: func(a eval.Area) Rect {
			return Rect{inches(a.Y) * scale, (wide - inches(a.X) - inches(a.Wide)) * scale, inches(a.Deep) * scale, inches(a.Wide) * scale}
		},
	}
}

// onSheet has the depth of a sheet upward.
func onSheet(s eval.Opened) sheetDrawing {
	deep := inches(s.Deep)
	if deep == 0 {
		return onStick(s)
	}
	scale := min(sheetLong/inches(s.Wide), layoutHigh/deep)
	return sheetDrawing{
		Outline: Rect{0, 0, inches(s.Wide) * scale, deep * scale},
		at: func(a eval.Area) Rect {
			return Rect{inches(a.X) * scale, (deep - inches(a.Y) - inches(a.Deep)) * scale, inches(a.Wide) * scale, inches(a.Deep) * scale}
		},
	}
}

// onStick gives a stick a height that can be seen.
func onStick(s eval.Opened) sheetDrawing {
	scale := sheetLong / inches(s.Wide)
	return sheetDrawing{
		Outline: Rect{0, 0, sheetLong, stickHigh},
		at:      func(a eval.Area) Rect { return Rect{inches(a.X) * scale, 0, inches(a.Wide) * scale, stickHigh} },
	}
}

// shape is a piece as it is cut: a rectangle, or of a stick with mitres the long side below, above where it is turned over.
func (d *sheetDrawing) shape(at Rect, mitre quantity.Number, turned bool) Path {
	m := d.at(eval.Area{Wide: mitre}).Wide
	long, short := at.Y+at.High, at.Y
	if turned {
		long, short = short, long
	}
	return closed(point{at.X, long}, point{at.X + at.Wide, long}, point{at.X + at.Wide - m, short}, point{at.X + m, short})
}

func (d *sheetDrawing) add(r *reasons, p eval.Placed) {
	at := d.at(p.Area)
	d.Pieces = append(d.Pieces, laidPiece{at, d.shape(at, p.Mitre, p.Turned), pieceLabel(at, pieceNumber(r.result, p.Piece), words(p.Piece)), placedTitle(r, p)})
}

// placedTitle tells which copy lies there and how.
func placedTitle(r *reasons, p eval.Placed) string {
	title := fmt.Sprintf("%s, copy %d, %s", words(p.Piece), p.Copy, areaText(r, p.Area))
	if p.Panel > 0 {
		title += fmt.Sprintf(", panel %d", p.Panel)
	}
	if p.Strips > 0 {
		title += fmt.Sprintf(", cut into %s on the bias", counted(int(p.Strips), "strip"))
	}
	if p.Turned {
		title += ", turned"
	}
	return title
}

// areaText is the size of an area, or the length of a stick's.
func areaText(r *reasons, a eval.Area) string {
	style := r.plan().Program().Style
	if inches(a.Deep) == 0 {
		return shortLength(style, a.Wide)
	}
	return shortLength(style, a.Wide) + " by " + shortLength(style, a.Deep)
}

// motifsMost is the most motifs drawn: more could not be told apart.
const motifsMost = 400

// motifs marks where a pattern that repeats both ways stands.
func (d *sheetDrawing) motifs(rep eval.Repeat, s eval.Opened) {
	across, along := inches(rep.Across), inches(rep.Along)
	if across <= 0 || along <= 0 || inches(s.Wide)/across*inches(s.Deep)/along > motifsMost {
		return
	}
	scale := d.Outline.High / inches(s.Wide)
	before := int(inches(rep.First.X) / across) // columns left of the first motif's
	for column := -before; inches(rep.First.X)+float64(column)*across <= inches(s.Wide); column++ {
		x, y := inches(rep.First.X)+float64(column)*across, inches(rep.First.Y)
		if rep.HalfDrop && column%2 != 0 {
			y += along / 2
		}
		for y -= along * float64(int(y/along)); y <= inches(s.Deep); y += along {
			d.Motifs = append(d.Motifs, point{y * scale, d.Outline.High - x*scale})
		}
	}
}

func pieceNumber(r *eval.Result, name string) int {
	for i, p := range r.Pieces {
		if p.Name == name {
			return i + 1
		}
	}
	return 0
}

// pieceLabel writes a piece's number and name in it where they fit, along or upward, else its number alone, else nothing.
func pieceLabel(at Rect, number int, name string) Label {
	short := strconv.Itoa(number)
	for _, text := range []string{short + " " + name, short} {
		long := float64(utf8.RuneCountInString(text))*textWide + 4
		l := Label{X: at.X + at.Wide/2, Y: at.Y + at.High/2 + 4, Anchor: "middle", Text: text}
		switch {
		case long <= at.Wide && textHigh+2 <= at.High:
			return l
		case long <= at.High && textHigh+2 <= at.Wide:
			l.X, l.Y, l.Turned = at.X+at.Wide/2+4, at.Y+at.High/2, true
			return l
		}
	}
	return Label{}
}

// Summary tells a drawing in words.
func (d sheetDrawing) Summary() string {
	var names []string
	for _, p := range d.Pieces {
		names = append(names, p.Title)
	}
	return d.Name + ": " + strings.Join(names, "; ")
}
