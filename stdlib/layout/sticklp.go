package layout

import "math"

// The linear programme only proposes patterns and prices; it may use floating
// point because every bound is proved again in integers (see stickbound.go).
// Products are converted one by one so that no machine fuses them.

// column is a pattern as a column: rows and their coefficients.
type column struct {
	rows []int
	by   []float64
	cost float64
	cut  int // index of its pattern, or -1
}

// columnOf has the counts of a pattern in the rows of its kinds.
func columnOf(entries []entry, row func(kind int) int) column {
	c := column{cut: -1}
	for _, e := range entries {
		c.rows = append(c.rows, row(e.kind))
		c.by = append(c.by, float64(e.count))
	}
	return c
}

// programme is: least cost, rows ≥ demand, by the revised simplex method with an
// explicit inverse. Rows past the kinds are limits on stocks.
type programme struct {
	size    int
	columns []column
	basis   []int
	inverse []float64
	amount  []float64
	price   []float64
	within  []bool
}

// dearest is the cost of leaving a demand unmet, over any pattern's.
const dearest = 1000.0

// newProgramme has no columns but those that leave a demand unmet, at a high cost,
// and those that pass it, at none.
func newProgramme(demand, limits []float64) *programme {
	n := len(demand) + len(limits)
	p := &programme{size: n, inverse: make([]float64, n*n), amount: make([]float64, n), price: make([]float64, n)}
	for i := range n {
		p.inverse[i*n+i] = 1
		cost, amount := dearest, 0.0
		if i < len(demand) {
			amount = demand[i] + float64(1e-7*float64(i%97+1))
		} else {
			cost, amount = 0, limits[i-len(demand)]
		}
		p.columns = append(p.columns, column{rows: []int{i}, by: []float64{1}, cost: cost, cut: -1})
		p.basis = append(p.basis, i)
		p.amount[i], p.price[i] = amount, cost
	}
	for i := range demand {
		p.columns = append(p.columns, column{rows: []int{i}, by: []float64{-1}, cut: -1})
	}
	p.within = make([]bool, len(p.columns))
	for _, b := range p.basis {
		p.within[b] = true
	}
	return p
}

func (p *programme) add(c column) {
	p.columns = append(p.columns, c)
	p.within = append(p.within, false)
}

const tiny = 1e-9

func (p *programme) reduced(c *column) float64 {
	r := c.cost
	for i, row := range c.rows {
		r -= float64(p.price[row] * c.by[i])
	}
	return r
}

// solve pivots until no column improves, or the meter is spent.
func (p *programme) solve(m *meter) {
	for range 60*p.size + 3000 {
		enter, least := -1, -tiny
		for j := range p.columns {
			if p.within[j] {
				continue
			}
			if r := p.reduced(&p.columns[j]); r < least {
				enter, least = j, r
			}
		}
		m.count(int64(len(p.columns)/8 + p.size*p.size/64 + 1))
		if enter < 0 || m.spent() || !p.pivot(enter, least) {
			return
		}
	}
}

// pivot brings a column into the basis; false where nothing leaves.
func (p *programme) pivot(enter int, reduced float64) bool {
	n, c := p.size, &p.columns[enter]
	along := make([]float64, n)
	leave, least := -1, math.Inf(1)
	for i := range n {
		row := p.inverse[i*n : i*n+n]
		for k, at := range c.rows {
			along[i] += float64(row[at] * c.by[k])
		}
		if along[i] > tiny {
			if ratio := p.amount[i] / along[i]; ratio < least-1e-12 || ratio < least+1e-12 && along[i] > along[max(leave, 0)] {
				leave, least = i, min(least, ratio)
			}
		}
	}
	if leave < 0 {
		return false
	}
	p.update(leave, along, reduced)
	p.within[p.basis[leave]] = false
	p.basis[leave], p.within[enter] = enter, true
	return true
}

func (p *programme) update(leave int, along []float64, reduced float64) {
	n := p.size
	pivotRow := p.inverse[leave*n : leave*n+n]
	scale := 1 / along[leave]
	for k := range pivotRow {
		pivotRow[k] = float64(pivotRow[k] * scale)
		p.price[k] += float64(reduced * pivotRow[k])
	}
	p.amount[leave] = float64(p.amount[leave] * scale)
	for i := range n {
		if f := along[i]; i != leave && f != 0 {
			row := p.inverse[i*n : i*n+n]
			for k, v := range pivotRow {
				row[k] -= float64(f * v)
			}
			p.amount[i] = max(0, p.amount[i]-float64(f*p.amount[leave]))
		}
	}
}

// value is the cost of the present solution.
func (p *programme) value() float64 {
	v := 0.0
	for i, b := range p.basis {
		v += float64(p.amount[i] * p.columns[b].cost)
	}
	return v
}
