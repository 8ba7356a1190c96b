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
	job.dropHalfJoined()
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
	return &strip{wide: wide + j.roll.Gap, gap: j.roll.Gap, repeat: repeat, flaws: flawsOf(flaws)}
}

func (j *rollJob) onRoll() *strip {
	return j.strip(j.roll.Wide, j.roll.Repeat.First, j.roll.Flaws)
}

func (j *rollJob) gather() {
	s := j.onRoll()
	for i, p := range j.pieces {
		if reason, help := badCloth(p); reason != "" {
			j.refuse(i, reason, help)
			continue
		}
		if options := optionsOf(p, j.roll.Gap, j.roll.Repeat.patterned()); len(s.able(options)) > 0 {
			for c := range p.Count {
				j.set.add(options, copyRef{i, c + 1, 0})
			}
			continue
		}
		j.gatherPanels(i, p)
	}
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
	short := j.roll.Long > 0 && best.top-j.roll.Gap > j.roll.Long
	if short {
		best = j.shorten(s)
	}
	if !short && !j.remnantsHold() {
		j.result.Bound, j.result.BoundRests = bound-j.roll.Gap, why
	}
	j.result.Used = max(0, best.top-j.roll.Gap)
	j.place(s, best.spots, 0)
}

// areaLaid is the area of the pieces that are laid, without the seams of joins.
func (j *rollJob) areaLaid() int64 {
	area := int64(0)
	for _, l := range j.result.Placed {
		if l.Strips == 0 && l.Panel <= 1 {
			area += j.pieces[l.Item].Wide * j.pieces[l.Item].Deep
		}
	}
	return area
}

// remnantsHold is true where a piece or a panel that is left may lie on a remnant, or,
// on one wider than the cloth, a piece that is joined here.
func (j *rollJob) remnantsHold() bool {
	return slices.ContainsFunc(j.roll.Remnants, func(r Remnant) bool {
		return r.Wide > j.roll.Wide || slices.ContainsFunc(j.set.kinds, func(k kind) bool {
			return len(k.copies) > 0 && slices.ContainsFunc(k.options, func(o option) bool { return o.wide-j.roll.Gap <= r.Wide && o.deep-j.roll.Gap <= r.Deep })
		})
	})
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
