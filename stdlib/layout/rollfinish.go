package layout

import "slices"

// finish names offcuts and adds up.
func (j *rollJob) finish() {
	r := &j.result
	r.gatherUnplaced()
	r.sortPlaced()
	r.nameSetBy()
	r.Sheets[0].Deep = r.Used
	r.nameOffcuts(j.roll.Gap, j.roll.LeastOffcut, j.roll.Flaws)
	r.Waste = r.Wide * r.Used
	for _, p := range r.Placed {
		if p.Sheet == 0 {
			r.Waste -= p.Wide * p.Deep
		}
	}
	j.boundByArea()
	r.Bound = min(r.Bound, r.Used)
	r.Proved = r.Used == r.Bound && len(r.Unplaced) == 0
	r.Work = j.clock.work
}

// nameSetBy names the pieces that end where the roll is cut off.
func (r *Result) nameSetBy() {
	for _, p := range r.Placed {
		if p.Sheet == 0 && p.Y+p.Deep == r.Used && !slices.Contains(r.SetBy, p.Piece) {
			r.SetBy = append(r.SetBy, p.Piece)
		}
	}
}

// boundByArea raises the bound to the area of pieces and bias strips together, less
// the remnants that they may be cut from. What joining strips and the corners lose is
// left out.
func (j *rollJob) boundByArea() {
	bias := j.areaOfBias()
	area, what := j.areaLaid()+bias, "the area of the pieces"
	if bias > 0 {
		what += " and the bias strips"
	}
	for _, r := range j.roll.Remnants {
		area -= r.Wide * r.Deep
	}
	if len(j.roll.Remnants) > 0 {
		what += " less the remnants"
	}
	if bound := ceilDiv(area, j.roll.Wide); bound > j.result.Bound || j.result.BoundRests == "" {
		j.result.Bound, j.result.BoundRests = bound, what+" over the usable width"
	}
}

// areaOfBias is the area of the bias strips but those refused.
func (j *rollJob) areaOfBias() int64 {
	area := int64(0)
	for i, b := range j.roll.Bias {
		if !slices.ContainsFunc(j.result.Unplaced, func(u Unplaced) bool { return u.Bias && u.Item == i }) {
			area += b.Wide * b.Long
		}
	}
	return area
}

type copyKey struct{ item, copy int }

// dropHalfJoined takes up panels of copies that lack another panel, refuses those
// copies and measures the length again.
func (j *rollJob) dropHalfJoined() {
	have := map[copyKey]int{}
	for _, p := range j.result.Placed {
		if p.Panel > 0 {
			have[copyKey{p.Item, p.Copy}]++
		}
	}
	for i, panels := range j.joined {
		for c := 1; panels > 0 && c <= j.pieces[i].Count; c++ {
			if have[copyKey{i, c}] < panels {
				j.refuseCopy(i, "the roll is too short", "use a longer roll, or let pieces be turned")
			}
		}
	}
	kept, used := j.result.Placed[:0], int64(0)
	for _, p := range j.result.Placed {
		if p.Panel > 0 && have[copyKey{p.Item, p.Copy}] < j.joined[p.Item] {
			continue
		}
		kept = append(kept, p)
		if p.Sheet == 0 {
			used = max(used, p.Y+p.Deep)
		}
	}
	j.result.Placed, j.result.Used = kept, used
}

// gatherUnplaced makes one line of each item refused for one reason.
func (r *Result) gatherUnplaced() {
	type key struct {
		item   int
		bias   bool
		reason string
	}
	at := map[key]int{}
	var out []Unplaced
	for _, u := range r.Unplaced {
		k := key{u.Item, u.Bias, u.Reason}
		if i, ok := at[k]; ok {
			out[i].Count += u.Count
			continue
		}
		at[k] = len(out)
		out = append(out, u)
	}
	r.Unplaced = out
}
