package stdlib

import (
	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/stdlib/layout"
)

// layout tells a result in inches and money.
func (j *LayJob) layout(g grid, r layout.Result) eval.Layout {
	l := eval.Layout{Material: j.Material, Form: j.Form, Laid: true, Proved: r.Proved, SetBy: r.SetBy, Rests: r.BoundRests}
	l.Repeat, l.Flaws = j.Roll.Repeat, j.Roll.Flaws
	l.Waste = j.wasted(r)
	if j.Form == check.Roll {
		l.Wide, l.Used, l.Bound = j.Roll.Wide, g.inches(r.Used), g.inches(r.Bound)
	} else {
		j.countSheets(&l, g, r)
	}
	for _, s := range r.Sheets {
		l.Sheets = append(l.Sheets, eval.Opened{Name: s.Name, Wide: g.inches(s.Wide), Deep: g.inches(s.Deep)})
	}
	for _, p := range r.Placed {
		l.Placed = append(l.Placed, j.placed(g, p))
	}
	if j.Rule.Join {
		numberParts(l.Placed, r.Placed)
	}
	for _, o := range r.Offcuts {
		l.Offcuts = append(l.Offcuts, eval.Offcut{Name: o.Name, Sheet: j.sheetNumber(o.Sheet), Area: g.area(o.Rect)})
	}
	return l
}

// wasted is the share of what is used that no piece covers. A remnant is no waste: it was there.
func (j *LayJob) wasted(r layout.Result) quantity.Number {
	total := r.Used
	if j.Form == check.Roll {
		total *= r.Wide
	}
	if total == 0 {
		return quantity.Number{}
	}
	return quantity.Frac(r.Waste, total)
}

// countSheets counts sheets and sticks by size. Of several sizes the number has a bound of its own, and what was kept least is the goal.
func (j *LayJob) countSheets(l *eval.Layout, g grid, r layout.Result) {
	l.Wide = j.Sizes[0].Wide
	l.Used = quantity.Int(int64(len(r.Sheets)))
	if len(j.Sizes) == 1 {
		l.Bound = quantity.Int(r.CostBound)
		return
	}
	counts := make([]int64, len(j.Sizes))
	for _, s := range r.Sheets {
		counts[s.Stock]++
	}
	l.Taken = []eval.Taken{}
	for i, s := range j.Sizes {
		if counts[i] > 0 {
			l.Taken = append(l.Taken, eval.Taken{Material: s.Material, Amount: quantity.Int(counts[i])})
		}
	}
	l.Bound = fewest(r, g, j.Sizes)
	l.Goal = j.goal(g, r)
}

// fewest is a number of sheets or sticks that none can do without: the least area or length proved, over the largest size.
func fewest(r layout.Result, g grid, sizes []Size) quantity.Number {
	largest := int64(1)
	for _, s := range sizes {
		largest = max(largest, g.down(s.Wide)*max(g.down(s.Deep), 1))
	}
	return quantity.Int((r.Bound + largest - 1) / largest)
}

func (j *LayJob) goal(g grid, r layout.Result) *eval.Goal {
	coins, per := j.coins()
	for _, c := range coins {
		if c > 0 {
			return &eval.Goal{Type: check.MoneyType(), Came: quantity.Frac(r.Cost, per), Bound: quantity.Frac(r.CostBound, per)}
		}
	}
	came, bound := g.inches(r.Used), g.inches(r.Bound)
	if j.Form == check.Stick {
		return &eval.Goal{Type: check.LengthType(), Came: came, Bound: bound}
	}
	one := g.inches(1)
	return &eval.Goal{Type: check.AreaType(), Came: came.Mul(one), Bound: bound.Mul(one)}
}

// sheetNumber is how a person counts: sheets and sticks from 1, a roll as 0 and its remnants from 1.
func (j *LayJob) sheetNumber(sheet int) int {
	if j.Form == check.Roll {
		return sheet
	}
	return sheet + 1
}

func (j *LayJob) placed(g grid, p layout.Placed) eval.Placed {
	return eval.Placed{Piece: p.Piece, Order: p.Order, Copy: p.Copy, Panel: p.Panel, Sheet: j.sheetNumber(p.Sheet),
		Area: g.area(layout.Rect{X: p.X, Y: p.Y, Wide: p.Wide, Deep: p.Deep}), Turned: p.Turned, Ended: p.Ended, Strips: p.Strips, Mitre: g.inches(p.Mitre)}
}

func (g grid) area(r layout.Rect) eval.Area {
	return eval.Area{X: g.inches(r.X), Y: g.inches(r.Y), Wide: g.inches(r.Wide), Deep: g.inches(r.Deep)}
}

// numberParts numbers the parts of pieces that run on from one reel to the next.
func numberParts(placed []eval.Placed, parts []layout.Placed) {
	for i := 1; i < len(placed); i++ {
		if parts[i].Part > 0 {
			before := &placed[i-1]
			before.Panel = max(before.Panel, 1)
			placed[i].Panel = before.Panel + 1
		}
	}
}
