package layout

// optionsOf lists the ways a piece may lie that differ, with gap added.
func optionsOf(p Piece, gap int64, patterned bool) []option {
	base := option{wide: p.Wide + gap, deep: p.Deep + gap}
	if p.Match != nil && patterned {
		base.match, base.matched = *p.Match, true
	}
	options := []option{base}
	if p.EndForEnd && base.matched {
		options = append(options, base.half(p))
	}
	if p.Turn && (p.Wide != p.Deep || base.matched) {
		quarter := base.quarter(p)
		options = append(options, quarter)
		if p.EndForEnd && base.matched {
			options = append(options, quarter.half(Piece{Wide: p.Deep, Deep: p.Wide}))
		}
	}
	return options
}

// half turns end for end.
func (o option) half(p Piece) option {
	o.match = Point{p.Wide - o.match.X, p.Deep - o.match.Y}
	o.ended = !o.ended
	return o
}

// quarter turns so that the left edge becomes the near edge: (x, y) goes to (Deep-y, x).
func (o option) quarter(p Piece) option {
	o.wide, o.deep = o.deep, o.wide
	o.match = Point{p.Deep - o.match.Y, o.match.X}
	o.turned = true
	return o
}

// kindKey tells kinds apart; a zero match stands for none.
type kindKey struct {
	wide, deep int64
	match      Point
	turns      int
	matched    bool
}

// kindSet gathers copies that lie alike.
type kindSet struct {
	kinds []kind
	known map[kindKey]int
}

func (set *kindSet) add(options []option, ref copyRef) {
	first := options[0]
	key := kindKey{first.wide, first.deep, first.match, len(options), first.matched}
	at, ok := set.known[key]
	if !ok {
		at = len(set.kinds)
		if set.known == nil {
			set.known = map[kindKey]int{}
		}
		set.known[key] = at
		set.kinds = append(set.kinds, kind{options: options, area: first.wide * first.deep})
	}
	set.kinds[at].copies = append(set.kinds[at].copies, ref)
}

// fill puts the kinds into a strip, without options that lie nowhere.
func (set *kindSet) fill(s *strip) {
	s.kinds, s.total, s.area = nil, 0, 0
	for _, k := range set.kinds {
		if len(k.copies) == 0 {
			continue
		}
		var able []option
		for _, o := range k.options {
			if s.canLie(&o) {
				able = append(able, o)
			}
		}
		k.options = able
		s.kinds = append(s.kinds, k)
		s.total += len(k.copies)
		s.area += k.area * int64(len(k.copies))
	}
}
