package page

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"squab/eval"
	"squab/eval/check"
)

// TemplateOptions says which piece's marks are made at full size, and on what paper. Strip gives only strips with the running marks; SVG one drawing.
type TemplateOptions struct {
	Piece      string
	Strip, SVG bool
	Sheet      Sheet
}

// UnknownPiece says that no order cuts a piece of the name, and which would do.
type UnknownPiece struct {
	Name  string
	Known []string
}

func (e UnknownPiece) Error() string {
	if len(e.Known) == 0 {
		return fmt.Sprintf("no order cuts flat pieces, so there is no template of %s", e.Name)
	}
	if near := check.Nearest(e.Name, e.Known); near != "" {
		return fmt.Sprintf("no order cuts a piece called %s; did you mean %s?", e.Name, near)
	}
	return fmt.Sprintf("no order cuts a piece called %s: the pieces are %s", e.Name, strings.Join(e.Known, ", "))
}

// SeveralOrders says that one drawing was asked for, and several orders cut the piece.
type SeveralOrders struct{ Piece string }

func (e SeveralOrders) Error() string {
	return fmt.Sprintf("several orders cut %s: one drawing is of one order", e.Piece)
}

// TooLarge says that a template would take more sheets than anyone tiles.
type TooLarge struct {
	Piece string
	Strip bool
}

func (e TooLarge) Error() string {
	if e.Strip {
		return fmt.Sprintf("the strips of %s would take more than %d sheets", e.Piece, sheetsOfTemplate)
	}
	return fmt.Sprintf("the template of %s would take more than %d sheets: use strips", e.Piece, sheetsOfTemplate)
}

const (
	milli            = 1000 // units an inch of a full-size drawing
	tileOverlap      = 0.5  // inches by which neighbouring sheets overlap
	stripHigh        = 1.5
	stripLane        = 1.9 // from one strip to the next
	sheetsOfTemplate = 200 // at most, for one piece
)

type templatePage struct {
	Title  string
	Sheet  Sheet
	Metric bool
	Pieces []fullPiece
}

// fullPiece is a piece at full size, in thousandths of an inch, y downward from its back edge.
type fullPiece struct {
	ID, Order, Piece, Size string
	Wide, High             float64
	Marks                  []fullMark
	UpRoll                 string
	Tiles                  []tile
	Columns, Rows          int
	Registers              []Dot
	Strips                 []stripSheet
}

// fullMark is a mark at full size with its running sizes from the left and from the front; Hole is its radius, 0 where none is known.
type fullMark struct {
	X, Y, Hole  float64
	Left, Front string
}

// Text is both running sizes.
func (m fullMark) Text() string { return m.Left + " | " + m.Front }

// tile is the stretch of a piece that one sheet carries.
type tile struct {
	Name             string
	X, Y, Wide, High float64
}

// WriteTemplate writes the template of a piece, for every order that cuts it. The error is UnknownPiece where none does, TooLarge, or SeveralOrders.
func WriteTemplate(w io.Writer, s Sheaf, o TemplateOptions) error {
	page := templatePage{Title: "Template of " + words(o.Piece), Sheet: o.Sheet}
	known := []string{}
	for i, r := range s.Results {
		for _, p := range r.Pieces {
			if p.Form == check.Stick {
				continue
			}
			if !slices.Contains(known, p.Name) {
				known = append(known, p.Name)
			}
			if p.Name == o.Piece {
				page.Metric = strings.HasSuffix(newReasons(r, "").plan().Program().Style.Length, "m")
				page.Pieces = append(page.Pieces, newFullPiece(r, p, prefixOf(i)))
			}
		}
	}
	if len(page.Pieces) == 0 {
		return UnknownPiece{o.Piece, known}
	}
	return page.write(w, o)
}

func (page templatePage) write(w io.Writer, o TemplateOptions) error {
	if o.SVG {
		if len(page.Pieces) > 1 {
			return SeveralOrders{o.Piece}
		}
		return write(w, "template.svg.tmpl", page.Pieces[0])
	}
	for i := range page.Pieces {
		p := &page.Pieces[i]
		cut := p.tile
		if o.Strip {
			cut = p.strips
		}
		if !cut(o.Sheet) {
			return TooLarge{p.Piece, o.Strip}
		}
	}
	if o.Strip {
		return write(w, "strips.html.tmpl", page)
	}
	return write(w, "template.html.tmpl", page)
}

func newFullPiece(r *eval.Result, p eval.Piece, id string) fullPiece {
	why := newReasons(r, "")
	style := why.plan().Program().Style
	full := fullPiece{ID: id + "piece", Order: r.Order.ID, Piece: words(p.Name), Size: sizeText(why, p), Wide: inches(p.Wide) * milli, High: inches(p.Deep) * milli}
	if p.Form == check.Roll {
		full.UpRoll = p.Up
	}
	for _, m := range markedPieces(r) {
		if m.piece.Name != p.Name {
			continue
		}
		for _, set := range m.sets {
			for _, pt := range set.Points {
				full.Marks = append(full.Marks, fullMark{
					X: inches(pt.X) * milli, Y: full.High - inches(pt.Y)*milli, Hole: holeRadius(set) * milli,
					Left: shortLength(style, pt.X), Front: shortLength(style, pt.Y),
				})
			}
		}
	}
	return full
}

// tile parts a piece into sheets that overlap, each stretch with its name: rows by letter from the front, columns by number from the left. It is false
// where there would be too many.
func (p *fullPiece) tile(s Sheet) bool {
	wide, high := s.inner()
	stepX, stepY := wide-tileOverlap, high-tileOverlap
	p.Columns, p.Rows = tilesAlong(p.Wide, stepX), tilesAlong(p.High, stepY)
	if p.Columns*p.Rows > sheetsOfTemplate {
		return false
	}
	for row := range p.Rows {
		for column := range p.Columns {
			t := tile{Name: rowLetter(row) + strconv.Itoa(column+1), Wide: wide * milli, High: high * milli}
			t.X = float64(column)*stepX*milli - fullEdge
			t.Y = p.High + fullEdge - (float64(row)*stepY+high)*milli
			p.Tiles = append(p.Tiles, t)
		}
	}
	p.registers(stepX*milli, stepY*milli)
	return true
}

// tilesAlong counts the sheets along a side and its edges; a side that ends within the overlap of the last needs no more, and one that is far too long
// counts as a million.
func tilesAlong(long, step float64) int {
	return int(min(max(1, math.Ceil(((long+2*fullEdge)/milli-tileOverlap)/step-1e-9)), 1e6))
}

func rowLetter(row int) string {
	letters := ""
	for row++; row > 0; row = (row - 1) / 26 {
		letters = string(rune('A'+(row-1)%26)) + letters
	}
	return letters
}

// registers puts a register mark in the middle of every overlap, so that each falls on all the sheets that meet there; the outermost corners meet none.
func (p *fullPiece) registers(stepX, stepY float64) {
	for row := range p.Rows + 1 {
		for column := range p.Columns + 1 {
			if (column == 0 || column == p.Columns) && (row == 0 || row == p.Rows) {
				continue
			}
			x := float64(column)*stepX + tileOverlap/2*milli - fullEdge
			y := p.High + fullEdge - float64(row)*stepY - tileOverlap/2*milli
			p.Registers = append(p.Registers, Dot{X: x, Y: y})
		}
	}
}

// stripSheet is one sheet of strips.
type stripSheet struct{ Strips []strip }

// strip is a stretch of a straight edge with its running marks; X is where it begins, in thousandths of an inch from the datum.
type strip struct {
	Name  string
	X     float64
	Wide  float64
	Top   float64
	Ticks []stripTick
	Joins []float64
}

type stripTick struct {
	X     float64
	TextX float64
	Text  string
}

// edge is one of the two straight edges that meet in the datum, with the marks measured along it.
type edge struct {
	Name string
	Long float64
	At   func(fullMark) (x float64, text string)
}

func (p *fullPiece) edges() []edge {
	return []edge{
		{"from the left", p.Wide, func(m fullMark) (float64, string) { return m.X, m.Left }},
		{"from the front", p.High, func(m fullMark) (float64, string) { return p.High - m.Y, m.Front }},
	}
}

// strips parts the two edges into strips that overlap, several to a sheet. It is false where there would be too many sheets.
func (p *fullPiece) strips(s Sheet) bool {
	wide, high := s.inner()
	each := int(high / stripLane)
	if tilesAlong(p.Wide, wide-tileOverlap)+tilesAlong(p.High, wide-tileOverlap) > sheetsOfTemplate*each {
		return false
	}
	var all []strip
	for _, e := range p.edges() {
		all = append(all, p.stripsAlong(e, wide)...)
	}
	for len(all) > 0 {
		n := min(each, len(all))
		sheet := stripSheet{all[:n:n]}
		for i := range sheet.Strips {
			sheet.Strips[i].Top = float64(i) * stripLane * milli
		}
		p.Strips = append(p.Strips, sheet)
		all = all[n:]
	}
	return true
}

// stripsHigh is how high the strips of a sheet stand together.
func stripsHigh(all []strip) float64 { return float64(len(all)-1)*stripLane*milli + stripHigh*milli }

// stripsAlong parts an edge into strips as wide as the paper allows, in inches.
func (p *fullPiece) stripsAlong(e edge, wide float64) []strip {
	step := (wide - tileOverlap) * milli
	ticks := p.ticks(e)
	var all []strip
	count := tilesAlong(e.Long, wide-tileOverlap)
	for i := range count {
		st := strip{Name: fmt.Sprintf("%s, %d of %d", e.Name, i+1, count), X: float64(i)*step - fullEdge, Wide: wide * milli}
		for _, t := range ticks {
			if t.X >= st.X-1 && t.X <= st.X+st.Wide+1 {
				st.Ticks = append(st.Ticks, stripTick{t.X - st.X, t.TextX - st.X, t.Text})
			}
		}
		for _, join := range []int{i, i + 1} {
			if join > 0 && join < count {
				st.Joins = append(st.Joins, float64(join)*step+tileOverlap/2*milli-fullEdge-st.X)
			}
		}
		all = append(all, st)
	}
	return all
}

// ticks lists the distinct running marks along an edge, with the datum and the end, their texts kept apart.
func (p *fullPiece) ticks(e edge) []stripTick {
	ticks := []stripTick{{X: 0, Text: "datum"}}
	for _, m := range p.Marks {
		x, text := e.At(m)
		ticks = insertTick(ticks, stripTick{X: x, Text: text})
	}
	ticks = insertTick(ticks, stripTick{X: e.Long, Text: "end"})
	var want []float64
	for _, t := range ticks {
		want = append(want, t.X)
	}
	for i, x := range spread(want, stripText, 0) {
		ticks[i].TextX = x
	}
	return ticks
}

const stripText = 0.14 * milli // high

// insertTick keeps ticks in rising order, each place once.
func insertTick(ticks []stripTick, t stripTick) []stripTick {
	i := len(ticks)
	for i > 0 && ticks[i-1].X > t.X {
		i--
	}
	if i > 0 && ticks[i-1].X == t.X {
		return ticks
	}
	return append(ticks[:i], append([]stripTick{t}, ticks[i:]...)...)
}

// InchesWide and InchesHigh are a piece's size with room for its outline, as an SVG states it.
func (p fullPiece) InchesWide() string { return fullInches(p.Wide + 2*fullEdge) }

// InchesHigh is the height; see InchesWide.
func (p fullPiece) InchesHigh() string { return fullInches(p.High + 2*fullEdge) }

const fullEdge = 100 // thousandths of an inch round a whole drawing

func fullInches(x float64) string { return strconv.FormatFloat(x/milli, 'f', 4, 64) + "in" }

// Box is the tile's stretch as a viewBox.
func (t tile) Box() string {
	return strings.Join([]string{px(t.X), px(t.Y), px(t.Wide), px(t.High)}, " ")
}

// LabelY is where the tile's name stands: near its lower edge, above the front edge of the piece where that runs there.
func (t tile) LabelY() float64 { return t.Y + t.High - fullEdge - 60 }

// Plan is the viewBox of all the tiles together.
func (p fullPiece) Plan() string {
	last := p.Tiles[len(p.Tiles)-1]
	wide, high := last.X+last.Wide, p.Tiles[0].Y+p.Tiles[0].High-last.Y
	return strings.Join([]string{"-200", px(last.Y - 200), px(wide + 400), px(high + 400)}, " ")
}
