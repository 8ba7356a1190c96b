package layout

import (
	"fmt"
	"html"
	"strings"
)

// pictureWide is the width of a picture in its own units, the margin included.
const (
	pictureWide   = 960
	pictureMargin = 30
	mostGridLines = 400
	stickHigh     = 24
)

// SVG draws every sheet to scale, one below the other: a roll lies with its
// length running to the right, sheets and sticks with their width. show writes a
// measure in grid units for a person; nil shows grid units. Names are escaped.
func (r Result) SVG(show func(int64) string) string {
	d := &drawing{result: r, show: shower(show)}
	top := int64(0)
	for i := range r.Sheets {
		top = d.sheet(i, top)
	}
	head := fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" font-family="sans-serif" font-size="11" role="img">`, pictureWide, max(top, 1))
	title := fmt.Sprintf("<title>%s: %s</title>", html.EscapeString(string(r.Form)), html.EscapeString(d.show(r.Used)))
	return head + title + d.out.String() + "</svg>\n"
}

// drawing is a picture under way: the sheet's scale is num/den picture units.
type drawing struct {
	result    Result
	show      func(int64) string
	out       strings.Builder
	num, den  int64
	left, top int64
	onItsSide bool
}

// box is a rectangle in hundredths of a picture unit.
type box struct{ x, y, w, h int64 }

// sheet draws one sheet below top and returns where the next may start.
func (d *drawing) sheet(i int, top int64) int64 {
	s := d.result.Sheets[i]
	d.onItsSide = d.result.Form == FormRoll
	d.left, d.top = pictureMargin, top+pictureMargin
	d.num, d.den = (pictureWide-2*pictureMargin)*100, d.result.longestSide()
	d.text(pictureMargin*100, (d.top-8)*100, "start", d.result.sheetTitle(i, d.show))
	outline := d.box(Rect{0, 0, s.Wide, s.Deep})
	d.rect(outline, `fill="#fff" stroke="#222" stroke-width="1.5"`, "")
	d.contents(i, outline)
	if d.onItsSide {
		d.arrow(outline)
	}
	return d.top + outline.h/100 + pictureMargin
}

func (d *drawing) contents(i int, outline box) {
	for _, f := range d.result.flawsOn(i) {
		d.rect(d.box(f), `fill="#b33" fill-opacity="0.45" stroke="#b33"`, "flaw")
	}
	for _, o := range d.result.Offcuts {
		if o.Sheet == i {
			b := d.box(o.Rect)
			d.rect(b, `fill="none" stroke="#777" stroke-dasharray="4 3"`, o.Name)
			d.label(b, o.Name, d.size(o.Wide, o.Deep))
		}
	}
	for _, p := range d.result.Placed {
		if p.Sheet == i {
			b := d.box(Rect{p.X, p.Y, p.Wide, p.Deep})
			d.piece(b, p)
			d.label(b, p.title(), d.size(p.Wide, p.Deep))
		}
	}
	if d.result.Form == FormRoll {
		d.grid(i) // over the pieces, to show the motif that each has
	}
}

// piece draws a copy: a rectangle, or where a stick's ends are mitred a shape with slanted ends. Turned over, its short side lies above.
func (d *drawing) piece(b box, p Placed) {
	if p.Mitre == 0 {
		d.rect(b, pieceStyle(p), p.title())
		return
	}
	above, below := int64(0), d.scale(p.Mitre)
	if p.Turned {
		above, below = below, above
	}
	fmt.Fprintf(&d.out, `<path d="M%s %s L%s %s L%s %s L%s %s Z" %s><title>%s</title></path>`+"\n",
		hundredths(b.x+above), hundredths(b.y), hundredths(b.x+b.w-above), hundredths(b.y), hundredths(b.x+b.w-below), hundredths(b.y+b.h),
		hundredths(b.x+below), hundredths(b.y+b.h), pieceStyle(p), html.EscapeString(p.title()))
}

func pieceStyle(p Placed) string {
	switch {
	case p.Strips > 0:
		return `fill="#e3e7d3" stroke="#222"`
	case p.Turned:
		return `fill="#d9e2e8" stroke="#222"`
	}
	return `fill="#f3eadb" stroke="#222"`
}

func (d *drawing) size(wide, deep int64) string {
	if d.result.Form == FormStick {
		return d.show(wide)
	}
	return d.show(wide) + " × " + d.show(deep)
}

// box is a rectangle of the material as it stands in the picture.
func (d *drawing) box(r Rect) box {
	if d.onItsSide {
		r = Rect{r.Y, r.X, r.Deep, r.Wide}
	}
	if d.result.Form == FormStick {
		return box{d.left*100 + d.scale(r.X), d.top * 100, d.scale(r.Wide), stickHigh * 100}
	}
	return box{d.left*100 + d.scale(r.X), d.top*100 + d.scale(r.Y), d.scale(r.Wide), d.scale(r.Deep)}
}

func (d *drawing) scale(v int64) int64 { return mulDiv(v, d.num, d.den) }

func (d *drawing) rect(b box, style, title string) {
	fmt.Fprintf(&d.out, `<rect x="%s" y="%s" width="%s" height="%s" %s>`, hundredths(b.x), hundredths(b.y), hundredths(b.w), hundredths(b.h), style)
	if title != "" {
		fmt.Fprintf(&d.out, "<title>%s</title>", html.EscapeString(plainName(title)))
	}
	d.out.WriteString("</rect>\n")
}

func hundredths(v int64) string { return fmt.Sprintf("%d.%02d", v/100, v%100) }

func (d *drawing) text(x, y int64, anchor, text string) {
	fmt.Fprintf(&d.out, `<text x="%s" y="%s" text-anchor="%s">%s</text>`+"\n", hundredths(x), hundredths(y), anchor, html.EscapeString(text))
}

// runeWide is about how wide a letter is, in hundredths.
const runeWide = 620

// leastLabel is the fewest letters of a name worth writing.
const leastLabel = 4

// label writes a name and a size where there is room for them, along a narrow box where it is longer than it is wide.
func (d *drawing) label(b box, name, size string) {
	if room := int(b.w / runeWide); room >= 8 || b.w >= b.h {
		d.level(b, name, size, room)
		return
	}
	if room := int(b.h / runeWide); room >= leastLabel && b.w >= 1300 {
		x, y := b.x+b.w/2+400, b.y+b.h/2
		fmt.Fprintf(&d.out, `<text transform="translate(%s %s) rotate(-90)" text-anchor="middle">%s</text>`+"\n",
			hundredths(x), hundredths(y), html.EscapeString(cutShort(name, room)))
	}
}

func (d *drawing) level(b box, name, size string, room int) {
	middle := b.x + b.w/2
	switch {
	case room < leastLabel || b.h < 1300:
	case b.h < 2800:
		d.text(middle, b.y+b.h/2+400, "middle", cutShort(name, room))
	default:
		d.text(middle, b.y+b.h/2-200, "middle", cutShort(name, room))
		d.text(middle, b.y+b.h/2+1100, "middle", cutShort(size, room))
	}
}

// arrow shows which way the roll runs.
func (d *drawing) arrow(b box) {
	y := b.y + b.h + 1200
	d.text(b.x, y+400, "start", "the roll runs this way")
	fmt.Fprintf(&d.out, `<path d="M%s %s h60 l-6 -3 m6 3 l-6 3" fill="none" stroke="#222"/>`+"\n", hundredths(b.x+13_000), hundredths(y))
}

// grid draws the repeat: lines where it runs one way or squarely, crosses at the
// motifs of a half drop.
func (d *drawing) grid(sheet int) {
	s, rep := d.result.Sheets[sheet], d.result.repeatOn(sheet)
	if rep.HalfDrop {
		d.crosses(sheet)
		return
	}
	if rep.Across > 0 && s.Wide/rep.Across < mostGridLines {
		for x := upTo(0, rep.First.X, rep.Across); x <= s.Wide; x += rep.Across {
			d.line(d.box(Rect{x, 0, 0, s.Deep}))
		}
	}
	if rep.Along > 0 && s.Deep/rep.Along < mostGridLines {
		for y := upTo(0, rep.First.Y, rep.Along); y <= s.Deep; y += rep.Along {
			d.line(d.box(Rect{0, y, s.Wide, 0}))
		}
	}
}

// line draws a rectangle of no width or no height.
func (d *drawing) line(b box) {
	fmt.Fprintf(&d.out, `<path d="M%s %s h%s v%s" fill="none" stroke="#a8703a" stroke-opacity="0.45"/>`+"\n", hundredths(b.x), hundredths(b.y), hundredths(b.w), hundredths(b.h))
}

// longestSide is the longest side of any sheet: all are drawn to one scale.
func (r Result) longestSide() int64 {
	longest := int64(1)
	for _, s := range r.Sheets {
		longest = max(longest, s.Wide, s.Deep)
	}
	return longest
}

// crosses marks each motif.
func (d *drawing) crosses(sheet int) {
	for _, m := range d.result.motifs(sheet) {
		b := d.box(Rect{m.X, m.Y, 0, 0})
		fmt.Fprintf(&d.out, `<path d="M%s %s h6 m-3 -3 v6" stroke="#a8703a"/>`+"\n", hundredths(max(0, b.x-300)), hundredths(b.y))
	}
}
