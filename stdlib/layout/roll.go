package layout

import (
	"context"
	"fmt"
	"slices"
)

// LayRoll lays pieces on a roll in the least length it finds. Remnants are
// filled first, bias strips are taken from what is left. Pieces that cannot be
// laid are in Result.Unplaced; the others are laid all the same. It reports
// ErrMaterial and ErrTooLarge.
//
// A joined piece without a match point starts its first panel on the pattern at
// a selvage. Panels lie as the piece does and are not turned.
func LayRoll(ctx context.Context, roll Roll, pieces []Piece, effort Effort) (Result, error) {
	if err := roll.check(); err != nil {
		return Result{}, fmt.Errorf("roll %q: %w", roll.Name, err)
	}
	if err := checkCopies(pieces, Piece.copies); err != nil {
		return Result{}, fmt.Errorf("roll %q: %w", roll.Name, err)
	}
	job := &rollJob{roll: roll, pieces: pieces, joined: make([]int, len(pieces)), clock: newClock(ctx, effort)}
	job.result = Result{Form: FormRoll, Wide: roll.Wide, Repeat: roll.Repeat, Flaws: roll.Flaws, Remnants: roll.Remnants}
	job.result.Sheets = []Sheet{{Name: roll.Name, Stock: -1, Wide: roll.Wide}}
	job.gather()
	job.fillRemnants()
	job.layStrip()
	job.layBias()
	job.finish()
	return job.result, ctx.Err()
}

// rollJob is one call of LayRoll under way.
type rollJob struct {
	roll   Roll
	pieces []Piece
	clock  *clock
	set    kindSet
	joined []int // panels of each joined piece, 0 for the others
	result Result
}

// strip is an empty strip of this cloth.
func (j *rollJob) strip(wide int64, first Point, flaws []Rect) *strip {
	repeat := j.roll.Repeat
	repeat.First = first
	return &strip{wide: wide + j.roll.Gap, gap: j.roll.Gap, repeat: repeat, flaws: flaws}
}

func (j *rollJob) onRoll() *strip {
	return j.strip(j.roll.Wide, j.roll.Repeat.First, j.roll.Flaws)
}

func (j *rollJob) gather() {
	s := j.onRoll()
	for i, p := range j.pieces {
		if reason, help := badPiece(p.Wide, p.Deep, p.Count); reason != "" {
			j.refuse(i, reason, help)
			continue
		}
		if options := j.able(s, p); len(options) > 0 {
			for c := range p.Count {
				j.set.add(options, copyRef{i, c + 1, 0})
			}
			continue
		}
		j.gatherPanels(i, p)
	}
}

func (j *rollJob) able(s *strip, p Piece) []option {
	var able []option
	for _, o := range optionsOf(p, j.roll.Gap, j.roll.Repeat.patterned()) {
		if s.canLie(&o) {
			able = append(able, o)
		}
	}
	return able
}

func (j *rollJob) gatherPanels(i int, p Piece) {
	panels := j.roll.panels(p)
	if panels == nil {
		reason, help := j.tooWide(p)
		j.refuse(i, reason, help)
		return
	}
	j.joined[i] = len(panels)
	for c := range p.Count {
		for n, q := range panels {
			j.set.add([]option{j.roll.panelOption(p, q)}, copyRef{i, c + 1, n + 1})
		}
	}
}

// tooWide says why a piece fits nowhere across the cloth and what would help.
func (j *rollJob) tooWide(p Piece) (reason, help string) {
	switch {
	case p.Wide <= j.roll.Wide:
		return "no place across the cloth shows the motif where it must", "move its match point, or use wider cloth"
	case p.Join.How != JoinNone:
		return "its joining rule leaves no panel that fits the cloth", "join side by side, lessen the seam, or use wider cloth"
	case !p.Turn && p.Deep <= j.roll.Wide:
		return "it is wider than the cloth", "let it be turned, let it be joined, or use wider cloth"
	}
	return "it is wider than the cloth", "let it be joined, or use wider cloth"
}

func (j *rollJob) refuse(i int, reason, help string) {
	p := j.pieces[i]
	j.result.Unplaced = append(j.result.Unplaced, Unplaced{Piece: p.Name, Order: p.Order, Item: i, Count: p.Count, Reason: reason, Help: help})
}

func (j *rollJob) refuseCopy(i int, reason, help string) {
	p := j.pieces[i]
	j.result.Unplaced = append(j.result.Unplaced, Unplaced{Piece: p.Name, Order: p.Order, Item: i, Count: 1, Reason: reason, Help: help})
}

// fillRemnants lays as much as it can on each remnant in turn.
func (j *rollJob) fillRemnants() {
	for _, r := range j.roll.Remnants {
		s := j.strip(r.Wide, r.First, nil)
		sheet := len(j.result.Sheets)
		j.result.Sheets = append(j.result.Sheets, Sheet{Name: fmt.Sprintf("remnant %d", sheet), Stock: -2, Wide: r.Wide, Deep: r.Deep})
		s.kinds = j.set.kinds
		j.place(s, s.mostWithin(r.Deep+j.roll.Gap, j.clock), sheet)
	}
}

func (j *rollJob) layStrip() {
	s := j.onRoll()
	j.set.fill(s)
	if s.total == 0 {
		j.result.BoundRests = "nothing is left to lay"
		return
	}
	best, bound, why := s.solve(j.clock)
	if j.roll.Long > 0 && best.top-j.roll.Gap > j.roll.Long {
		best = j.shorten(s)
		bound = min(bound, best.top)
	}
	j.set.kinds = s.kinds
	j.result.Used = max(0, best.top-j.roll.Gap)
	j.result.Bound = j.rollBound(bound)
	j.result.BoundRests = why
	j.setBy(s, best)
	j.place(s, best.spots, 0)
}

// rollBound is the bound on the whole cloth: what the remnants took may have
// been better chosen, so where a remnant can hold a piece only the area less
// those remnants is sure.
func (j *rollJob) rollBound(bound int64) int64 {
	useful := j.usefulRemnants()
	if len(useful) == 0 {
		return max(0, bound-j.roll.Gap)
	}
	area := j.areaLaid()
	for _, r := range useful {
		area -= r.Wide * r.Deep
	}
	return max(0, ceilDiv(area, j.roll.Wide))
}

// areaLaid is the area of all pieces but those refused.
func (j *rollJob) areaLaid() int64 {
	area := int64(0)
	for _, p := range j.pieces {
		if reason, _ := badPiece(p.Wide, p.Deep, p.Count); reason == "" {
			area += p.Wide * p.Deep * int64(p.Count)
		}
	}
	for _, u := range j.result.Unplaced {
		if p := j.pieces[u.Item]; !u.Bias && p.Wide > 0 && p.Deep > 0 && p.Count > 0 {
			area -= p.Wide * p.Deep * int64(u.Count)
		}
	}
	return area
}

// usefulRemnants are those on which a piece or a panel may lie.
func (j *rollJob) usefulRemnants() []Remnant {
	var useful []Remnant
	for _, r := range j.roll.Remnants {
		if slices.ContainsFunc(j.set.kinds, func(k kind) bool {
			return slices.ContainsFunc(k.options, func(o option) bool { return o.wide-j.roll.Gap <= r.Wide && o.deep-j.roll.Gap <= r.Deep })
		}) {
			useful = append(useful, r)
		}
	}
	return useful
}

// shorten lays what a roll too short for everything can take and refuses the rest.
func (j *rollJob) shorten(s *strip) plan {
	p := s.measure(s.mostWithin(j.roll.Long+j.roll.Gap, j.clock))
	laid := make([]int, len(s.kinds))
	for _, sp := range p.spots {
		laid[sp.kind]++
	}
	for k := range s.kinds {
		for _, c := range s.kinds[k].copies[laid[k]:] {
			if c.panel == 0 {
				j.refuseCopy(c.item, "the roll is too short", "use a longer roll, or let pieces be turned")
			}
		}
	}
	return p
}

// mostWithin lays as much area as greedy orders can within a length.
func (s *strip) mostWithin(length int64, c *clock) []spot {
	var best []spot
	most := int64(0)
	for _, order := range s.orders() {
		spots, area := s.within(order, length)
		c.work += int64(len(order)) * 4
		if area > most {
			best, most = spots, area
		}
	}
	return best
}

func (s *strip) within(order []int, length int64) (spots []spot, area int64) {
	line := []step{{0, 0}}
	for _, k := range order {
		p := s.lowestSpot(line, k)
		if p.y >= noWall || p.y+s.option(p).deep > length {
			continue
		}
		spots = append(spots, p)
		area += s.kinds[k].area
		line = cover(line, p.x, s.option(p).wide, p.y+s.option(p).deep, s.wide)
	}
	return spots, area
}

// setBy names the pieces that end at the length used.
func (j *rollJob) setBy(s *strip, p plan) {
	seen := map[int]bool{}
	for _, sp := range p.spots {
		if item := s.kinds[sp.kind].copies[0].item; sp.y+s.option(sp).deep == p.top && !seen[item] {
			seen[item] = true
			j.result.SetBy = append(j.result.SetBy, j.pieces[item].Name)
		}
	}
}

// place turns spots into placed copies on a sheet and takes them from the set.
func (j *rollJob) place(s *strip, spots []spot, sheet int) {
	for _, sp := range spots {
		k := &s.kinds[sp.kind]
		ref, o := k.copies[0], s.option(sp)
		k.copies = k.copies[1:]
		p := j.pieces[ref.item]
		j.result.Placed = append(j.result.Placed, Placed{
			Piece: p.Name, Order: p.Order, Item: ref.item, Copy: ref.copy, Panel: ref.panel, Sheet: sheet,
			X: sp.x, Y: sp.y, Wide: o.wide - j.roll.Gap, Deep: o.deep - j.roll.Gap, Turned: o.turned, Ended: o.ended,
		})
	}
}
