package layout

import (
	"fmt"
	"strconv"
	"strings"
)

// maxSketchRows keeps a sketch of one sheet on a screen or two.
const maxSketchRows = 60

// Sketch draws every sheet in text, at most columns wide (0: 100), and lists
// which letter is which piece. A roll's width runs across, its length down.
// show writes a measure for a person; nil shows grid units.
func (r Result) Sketch(show func(int64) string, columns int) string {
	if columns <= 0 {
		columns = 100
	}
	columns = max(columns, 20)
	var out strings.Builder
	shown := shower(show)
	letters := r.letters()
	for i := range r.Sheets {
		out.WriteString(cutShort(r.sheetTitle(i, shown)+r.running(), columns) + "\n")
		if r.Form == FormStick {
			out.WriteString(r.stickLine(i, columns, letters) + "\n")
			continue
		}
		for _, line := range r.sheetGrid(i, columns, letters) {
			out.WriteString(strings.TrimRight(string(line), " ") + "\n")
		}
	}
	r.legend(&out, shown, columns, letters)
	return out.String()
}

// running says which way a roll is drawn.
func (r Result) running() string {
	if r.Form == FormRoll {
		return ", running down"
	}
	return ""
}

// pieceKey is what one letter stands for.
type pieceKey struct {
	item int
	bias bool
}

func (p Placed) key() pieceKey { return pieceKey{p.Item, p.Strips > 0} }

const alphabet = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"

// letters gives each piece the next letter in the order placed, again from the
// start where there are too many.
func (r Result) letters() map[pieceKey]byte {
	letters := map[pieceKey]byte{}
	for _, p := range r.Placed {
		if _, ok := letters[p.key()]; !ok {
			letters[p.key()] = alphabet[len(letters)%len(alphabet)]
		}
	}
	return letters
}

// canvas is a grid of characters: a column is num/den of a unit across, a row
// twice that along, since a character is about twice as high as wide.
type canvas struct {
	lines    [][]byte
	cols     int64
	rows     int64
	num, den int64
}

// newCanvas is a canvas for one sheet, to the one scale at which every sheet fits.
func (r Result) newCanvas(s Sheet, columns int) *canvas {
	wide, deep := int64(1), int64(0)
	for _, o := range r.Sheets {
		wide, deep = max(wide, o.Wide), max(deep, o.Deep)
	}
	c := &canvas{num: int64(columns - 1), den: wide}
	if mulDiv(deep, c.num, 2*c.den) > maxSketchRows {
		c.num, c.den = 2*maxSketchRows, deep
	}
	c.cols = max(2, mulDiv(s.Wide, c.num, c.den))
	c.rows = max(1, mulDiv(s.Deep, c.num, 2*c.den))
	for range c.rows + 1 {
		c.lines = append(c.lines, []byte(strings.Repeat(" ", int(c.cols)+1)))
	}
	return c
}

func (c *canvas) col(x int64) int64 { return min(c.cols, mulDiv(x, c.num, c.den)) }
func (c *canvas) row(y int64) int64 { return min(c.rows, mulDiv(y, c.num, 2*c.den)) }

// frame draws a rectangle's edge and a mark in its middle.
func (c *canvas) frame(r Rect, mark string) {
	left, right, near, far := c.col(r.X), c.col(r.X+r.Wide), c.row(r.Y), c.row(r.Y+r.Deep)
	for x := left; x <= right; x++ {
		c.lines[near][x], c.lines[far][x] = '-', '-'
	}
	for y := near; y <= far; y++ {
		c.lines[y][left], c.lines[y][right] = '|', '|'
	}
	for _, y := range []int64{near, far} {
		c.lines[y][left], c.lines[y][right] = '+', '+'
	}
	c.write((near+far)/2, (left+right)/2, mark)
}

// write puts a mark in place, as much of it as there is room for.
func (c *canvas) write(row, col int64, mark string) {
	for i := range mark {
		if at := col + int64(i); at <= c.cols && (i == 0 || c.lines[row][at] == ' ') {
			c.lines[row][at] = mark[i]
		}
	}
}

// dot marks a place that nothing stands in yet.
func (c *canvas) dot(p Point, mark byte) {
	if at := &c.lines[c.row(p.Y)][c.col(p.X)]; *at == ' ' {
		*at = mark
	}
}

// fill covers a rectangle, one character at least.
func (c *canvas) fill(r Rect, mark byte) {
	for y := c.row(r.Y); y <= max(c.row(r.Y), c.row(r.Y+r.Deep)-1); y++ {
		for x := c.col(r.X); x <= max(c.col(r.X), c.col(r.X+r.Wide)-1); x++ {
			c.lines[y][x] = mark
		}
	}
}

func (r Result) sheetGrid(i, columns int, letters map[pieceKey]byte) [][]byte {
	c := r.newCanvas(r.Sheets[i], columns)
	c.frame(Rect{0, 0, r.Sheets[i].Wide, r.Sheets[i].Deep}, "")
	for _, f := range r.flawsOn(i) {
		c.fill(f, '#')
	}
	for _, o := range r.Offcuts {
		if o.Sheet == i {
			c.lines[c.row(o.Y+o.Deep/2)][c.col(o.X+o.Wide/2)] = '.'
		}
	}
	for _, p := range r.Placed {
		if p.Sheet == i {
			c.frame(Rect{p.X, p.Y, p.Wide, p.Deep}, markOf(p, letters))
		}
	}
	if motifs := r.motifs(i); c.apart(r.Repeat) {
		for _, m := range motifs {
			c.dot(m, '*')
		}
	}
	return c.lines
}

// markOf is a piece's letter, and the number of a panel.
func markOf(p Placed, letters map[pieceKey]byte) string {
	mark := string(letters[p.key()])
	if p.Panel > 0 {
		mark += strconv.Itoa(p.Panel)
	}
	return mark
}

// apart reports whether motifs are far enough apart to be told from one another.
func (c *canvas) apart(r Repeat) bool {
	return (r.Across == 0 || mulDiv(r.Across, c.num, c.den) >= 4) && (r.Along == 0 || mulDiv(r.Along, c.num, 2*c.den) >= 2)
}

func (r Result) stickLine(i, columns int, letters map[pieceKey]byte) string {
	c := r.newCanvas(r.Sheets[i], columns)
	line := []byte(strings.Repeat(".", int(c.cols)+1))
	for _, p := range r.Placed {
		if p.Sheet != i {
			continue
		}
		left, right := c.col(p.X), c.col(p.X+p.Wide)
		for x := left; x < right; x++ {
			line[x] = letters[p.key()]
		}
		line[left], line[right] = '|', '|'
	}
	return string(line)
}

// legend lists the letters, what else is drawn, and the offcuts.
func (r Result) legend(out *strings.Builder, show func(int64) string, columns int, letters map[pieceKey]byte) {
	counts := map[pieceKey]int{}
	for _, p := range r.Placed {
		if p.Panel <= 1 {
			counts[p.key()]++
		}
	}
	listed := map[pieceKey]bool{}
	line := func(format string, args ...any) {
		out.WriteString(cutShort(fmt.Sprintf(format, args...), columns) + "\n")
	}
	for _, p := range r.Placed {
		if listed[p.key()] {
			continue
		}
		listed[p.key()] = true
		line("%c  %s  %s  x%d", letters[p.key()], plainName(p.Piece), r.made(p, show), counts[p.key()])
	}
	if len(r.Flaws) > 0 {
		line("#  flaw")
	}
	if r.Repeat.patterned() {
		line("*  motif%s", r.repeatText(show))
	}
	for _, o := range r.Offcuts {
		line(".  %s on %d  %s", o.Name, o.Sheet+1, r.extent(Placed{Wide: o.Wide, Deep: o.Deep}, show))
	}
}

// made is a piece's size, or where it is joined how many parts it is made of.
func (r Result) made(p Placed, show func(int64) string) string {
	parts := 0
	for _, q := range r.Placed {
		if q.key() == p.key() {
			parts = max(parts, q.Panel)
		}
	}
	switch {
	case parts > 0:
		return "joined from " + strconv.Itoa(parts)
	case p.Strips > 0:
		return "bias strips from " + r.extent(p, show)
	}
	return r.extent(p, show)
}

func (r Result) repeatText(show func(int64) string) string {
	text := ""
	if r.Repeat.Along > 0 {
		text += ", every " + show(r.Repeat.Along) + " along"
	}
	if r.Repeat.Across > 0 {
		text += ", every " + show(r.Repeat.Across) + " across"
	}
	if r.Repeat.HalfDrop {
		text += ", half drop"
	}
	return text
}

func (r Result) extent(p Placed, show func(int64) string) string {
	if r.Form == FormStick {
		return show(p.Wide)
	}
	return show(p.Wide) + " by " + show(p.Deep)
}
