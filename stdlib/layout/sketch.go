package layout

import (
	"fmt"
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
		out.WriteString(cutShort(r.sheetTitle(i, shown), columns) + "\n")
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
func (c *canvas) frame(r Rect, mark byte) {
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
	c.lines[(near+far)/2][(left+right)/2] = mark
}

func (r Result) sheetGrid(i, columns int, letters map[pieceKey]byte) [][]byte {
	c := r.newCanvas(r.Sheets[i], columns)
	c.frame(Rect{0, 0, r.Sheets[i].Wide, r.Sheets[i].Deep}, ' ')
	for _, o := range r.Offcuts {
		if o.Sheet == i {
			c.lines[c.row(o.Y+o.Deep/2)][c.col(o.X+o.Wide/2)] = '.'
		}
	}
	for _, p := range r.Placed {
		if p.Sheet == i {
			c.frame(Rect{p.X, p.Y, p.Wide, p.Deep}, letters[p.key()])
		}
	}
	return c.lines
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

// legend lists the letters, the offcuts and what was not laid.
func (r Result) legend(out *strings.Builder, show func(int64) string, columns int, letters map[pieceKey]byte) {
	counts := map[pieceKey]int{}
	for _, p := range r.Placed {
		counts[p.key()]++
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
		line("%c  %s  %s  x%d", letters[p.key()], plainName(p.Piece), r.extent(p, show), counts[p.key()])
	}
	for _, o := range r.Offcuts {
		line(".  %s on %d  %s", o.Name, o.Sheet+1, r.extent(Placed{Wide: o.Wide, Deep: o.Deep}, show))
	}
	for _, u := range r.Unplaced {
		line("not laid: %s x%d: %s; %s", plainName(u.Piece), u.Count, u.Reason, u.Help)
	}
}

func (r Result) extent(p Placed, show func(int64) string) string {
	if r.Form == FormStick {
		return show(p.Wide)
	}
	return show(p.Wide) + " by " + show(p.Deep)
}
