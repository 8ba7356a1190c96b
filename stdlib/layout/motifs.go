package layout

// mostMotifs is the most motifs drawn on one sheet.
const mostMotifs = 400

// flawsOn lists the flaws on a sheet as far as it is used: they lie on the roll only.
func (r Result) flawsOn(sheet int) []Rect {
	if sheet > 0 {
		return nil
	}
	var all []Rect
	for _, f := range r.Flaws {
		if f.Y < r.Used && f.X < r.Wide {
			f.Wide, f.Deep = min(f.Wide, r.Wide-f.X), min(f.Deep, r.Used-f.Y)
			all = append(all, f)
		}
	}
	return all
}

// repeatOn is the pattern of a sheet: a remnant has a first motif of its own.
func (r Result) repeatOn(sheet int) Repeat {
	rep := r.Repeat
	if sheet > 0 && sheet <= len(r.Remnants) {
		rep.First = r.Remnants[sheet-1].First
	}
	return rep
}

// motifs lists where the pattern stands on a sheet; nothing where there is none, or there are too many to draw. A pattern that repeats one way
// only is told by one row or column of it.
func (r Result) motifs(sheet int) []Point {
	s, rep := r.Sheets[sheet], r.repeatOn(sheet)
	across, along := rep.Across, rep.Along
	if across == 0 {
		across = s.Wide + 1
	}
	if along == 0 {
		along = s.Deep + 1
	}
	if !rep.patterned() || (s.Wide/across+1)*(s.Deep/along+1) > mostMotifs {
		return nil
	}
	var all []Point
	for x := upTo(0, rep.First.X, across); x <= s.Wide; x += across {
		drop := int64(0)
		if rep.HalfDrop && (x-rep.First.X)/across%2 != 0 {
			drop = along / 2
		}
		for y := upTo(0, rep.First.Y+drop, along); y <= s.Deep; y += along {
			all = append(all, Point{x, y})
		}
	}
	return all
}
