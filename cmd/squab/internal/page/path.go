package page

import "strings"

// point is a place in a drawing.
type point struct{ x, y float64 }

func (p point) String() string { return px(p.x) + " " + px(p.y) }

// path begins a path at its first point and runs straight to the others.
func path(points ...point) Path { return Path("M"+points[0].String()) + line(points[1:]...) }

// line goes on to some points.
func line(points ...point) Path {
	var b strings.Builder
	for _, p := range points {
		b.WriteString("L" + p.String())
	}
	return Path(b.String())
}

// closed is a shape with straight sides.
func closed(points ...point) Path { return path(points...) + "Z" }

// arc goes on to a point by a quarter of a circle; sweep is 1 to turn clockwise.
func arc(r float64, to point, sweep int) Path {
	if r <= 0 {
		return line(to)
	}
	turn := "0"
	if sweep == 1 {
		turn = "1"
	}
	return Path("A" + px(r) + " " + px(r) + " 0 0 " + turn + " " + to.String())
}
