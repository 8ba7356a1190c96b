package layout

import "math/big"

// Bias strips are cut at 45° to the selvage with their ends on the straight
// grain, so all measures along and across them carry a square root of two. They
// are rounded to the safe side: the reach of a strip down, lengths down, what a
// strip and a seam take up.

// rootTwoDown is the greatest whole number not above v·√2.
func rootTwoDown(v int64) int64 {
	square := new(big.Int).Mul(big.NewInt(v), big.NewInt(v))
	return square.Sqrt(square.Lsh(square, 1)).Int64()
}

// rootTwoUp is the least whole number not below v·√2.
func rootTwoUp(v int64) int64 {
	if v == 0 {
		return 0
	}
	return rootTwoDown(v) + 1
}

// maxStrips limits the strips counted in one rectangle.
const maxStrips = 100_000

// strips counts the strips that a rectangle gives and their length together when
// joined. A strip lies between two lines at 45°, pitch apart along the edge; the
// lines meet the rectangle's far edges where they may.
func (b Bias) strips(wide, deep int64) (count, long int64) {
	pitch := rootTwoUp(b.Wide)
	lost := rootTwoUp(2 * b.Seam)
	if (wide+deep)/pitch > maxStrips {
		return 0, 0
	}
	for at := -deep; at < wide; at += pitch {
		reach := min(deep, wide-at-pitch) - max(0, -at)
		if reach < 2*pitch {
			continue
		}
		if gain := rootTwoDown(reach) - lost; gain > 0 {
			count, long = count+1, long+gain
		}
	}
	return count, long
}

// layBias takes bias strips from offcuts, largest first, and lays the rest as a
// band across the end of the cloth.
func (j *rollJob) layBias() {
	for i, b := range j.roll.Bias {
		if b.Wide <= 0 || b.Long <= 0 || b.Seam < 0 || b.Wide > MaxMeasure || b.Long > MaxMeasure || b.Seam > MaxMeasure {
			j.refuseBias(i, "its width and length must be greater than zero and its seam no less", "give the strip's width and the length needed")
			continue
		}
		j.layOneBias(i, b)
	}
}

func (j *rollJob) refuseBias(i int, reason, help string) {
	b := j.roll.Bias[i]
	j.result.Unplaced = append(j.result.Unplaced, Unplaced{Piece: b.Name, Order: b.Order, Item: i, Count: 1, Reason: reason, Help: help, Bias: true})
}

// layOneBias takes the smallest offcut that gives enough, and of it only the
// length needed; where none does it takes the largest in turn.
func (j *rollJob) layOneBias(i int, b Bias) {
	j.result.nameOffcuts(j.roll.Gap, Size{3 * b.Wide, 3 * b.Wide}, j.roll.Flaws)
	need, copies := b.Long, 0
	free := j.result.Offcuts
	for at := len(free) - 1; at >= 0; at-- {
		if _, long := b.strips(free[at].Wide, free[at].Deep); long >= need {
			free = free[at : at+1]
			free[0].Deep = b.leastDeep(free[0].Wide, need, free[0].Deep)
			break
		}
	}
	for _, f := range free {
		if count, long := b.strips(f.Wide, f.Deep); need > 0 && count > 0 {
			copies++
			j.addBias(i, copies, f.Sheet, f.Rect, count)
			need -= long
		}
	}
	if need > 0 {
		j.bandOfBias(i, copies+1, b, need)
	}
}

// leastDeep is a short length of cloth so wide that gives enough strip; enough
// itself must do.
func (b Bias) leastDeep(wide, need, enough int64) int64 {
	for low := int64(0); low+1 < enough; {
		middle := low + (enough-low)/2
		if _, long := b.strips(wide, middle); long >= need {
			enough = middle
		} else {
			low = middle
		}
	}
	return enough
}

func (j *rollJob) addBias(i, copies, sheet int, r Rect, count int64) {
	b := j.roll.Bias[i]
	j.result.Placed = append(j.result.Placed, Placed{
		Piece: b.Name, Order: b.Order, Item: i, Copy: copies, Sheet: sheet,
		X: r.X, Y: r.Y, Wide: r.Wide, Deep: r.Deep, Strips: count,
	})
}

// bandOfBias lays a full width at the end of the cloth that gives what is needed.
func (j *rollJob) bandOfBias(i, copies int, b Bias, need int64) {
	deep := int64(1)
	for long := int64(0); long < need && deep < MaxMeasure; {
		deep *= 2
		_, long = b.strips(j.roll.Wide, deep)
	}
	if _, long := b.strips(j.roll.Wide, deep); long < need {
		j.refuseBias(i, "the cloth is too narrow for its strips", "use wider cloth or a narrower strip")
		return
	}
	deep = b.leastDeep(j.roll.Wide, need, deep)
	at := j.clearBand(deep)
	if j.roll.Long > 0 && at+deep > j.roll.Long {
		j.refuseBias(i, "the roll is too short", "use a longer roll")
		return
	}
	count, _ := b.strips(j.roll.Wide, deep)
	j.addBias(i, copies, 0, Rect{0, at, j.roll.Wide, deep}, count)
	j.result.Used = at + deep
}

// clearBand is where a full width of that length next fits, clear of flaws.
func (j *rollJob) clearBand(deep int64) int64 {
	at := j.result.Used
	if at > 0 {
		at += j.roll.Gap
	}
	o := &option{wide: j.roll.Wide + j.roll.Gap, deep: deep + j.roll.Gap}
	return j.onRoll().upY(o, 0, at, 0)
}
