package layout

// panel is one width of cloth in a joined piece: the stretch of the piece it
// covers with its seam allowances, and where the piece's motif lies from it.
type panel struct {
	wide  int64
	match Point
}

// panels makes up a piece too wide for the cloth; none where the rule cannot.
func (r Roll) panels(p Piece) []panel {
	match := r.Repeat.First
	if p.Match != nil {
		match = *p.Match
	}
	switch p.Join.How {
	case JoinSideBySide:
		return r.sideBySide(p, match)
	case JoinCentred:
		return r.centred(p, match)
	}
	return nil
}

// room is the width left for a panel that starts at from within the piece.
func (r Roll) room(match Point, from int64) int64 {
	if r.Repeat.Across == 0 {
		return r.Wide
	}
	return r.Wide - upTo(0, r.Repeat.First.X-(match.X-from), r.Repeat.Across)
}

// sideBySide takes the widest panel there is room for, from the left, until the
// piece is covered. Each seam takes the allowance from both panels.
func (r Roll) sideBySide(p Piece, match Point) []panel {
	var out []panel
	from, seam := int64(0), p.Join.Seam
	for {
		start := max(0, from-seam)
		room := r.room(match, start)
		rest := p.Wide - start
		if rest <= room {
			return append(out, panel{rest, Point{match.X - start, match.Y}})
		}
		next := start + room - seam
		if next <= from || len(out) >= maxPanels {
			return nil
		}
		out = append(out, panel{room, Point{match.X - start, match.Y}})
		from = next
	}
}

// maxPanels is the most panels a piece may be made up from.
const maxPanels = 64

// centred keeps the widest middle panel there is room for and two equal sides.
func (r Roll) centred(p Piece, match Point) []panel {
	seam := p.Join.Seam
	for middle := r.Wide - 2*seam; middle > 0; middle-- {
		side := (p.Wide - middle) / 2
		if (p.Wide-middle)%2 != 0 || r.room(match, side-seam) < middle+2*seam {
			continue
		}
		if side < seam || side+seam > r.room(match, 0) || side+seam > r.room(match, side+middle-seam) {
			continue
		}
		return []panel{
			{side + seam, match},
			{middle + 2*seam, Point{match.X - side + seam, match.Y}},
			{side + seam, Point{match.X - side - middle + seam, match.Y}},
		}
	}
	return nil
}

// panelOption lays a panel as it is: pattern and nap forbid turning it.
func (r Roll) panelOption(p Piece, q panel) option {
	return option{wide: q.wide + r.Gap, deep: p.Deep + r.Gap, match: q.match, matched: r.Repeat.patterned()}
}

func (r Repeat) patterned() bool { return r.Along > 0 || r.Across > 0 }
