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

// kindKey is every way in which a kind may lie.
type kindKey [4]option

// kindSet gathers copies that lie alike.
type kindSet struct {
	kinds []kind
	known map[kindKey]int
}

func (set *kindSet) add(options []option, ref copyRef) {
	var key kindKey
	copy(key[:], options)
	at, ok := set.known[key]
	if !ok {
		at = len(set.kinds)
		if set.known == nil {
			set.known = map[kindKey]int{}
		}
		set.known[key] = at
		set.kinds = append(set.kinds, kind{options: options, area: options[0].wide * options[0].deep})
	}
	set.kinds[at].copies = append(set.kinds[at].copies, ref)
}

// able are the options that have a place across the strip.
func (s *strip) able(options []option) []option {
	var able []option
	for _, o := range options {
		if s.canLie(&o) {
			able = append(able, o)
		}
	}
	return able
}

// fill puts the kinds into a strip, without options that lie nowhere.
func (set *kindSet) fill(s *strip) {
	s.kinds, s.total, s.area = nil, 0, 0
	for _, k := range set.kinds {
		if len(k.copies) == 0 {
			continue
		}
		k.options = s.able(k.options)
		s.kinds = append(s.kinds, k)
		s.total += len(k.copies)
		s.area += k.area * int64(len(k.copies))
	}
}
