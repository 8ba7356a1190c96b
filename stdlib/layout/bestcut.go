package layout

import (
	"context"
	"errors"
	"fmt"
	"slices"
)

// Valued is a piece worth Value each time it is cut, at most Most times (0: as
// often as wanted).
type Valued struct {
	Name              string
	Wide, Deep, Value int64
	Most              int
	Turn              bool
}

// Cut is the most valuable way found to cut one sheet. Bound is a proven limit.
type Cut struct {
	Value, Bound int64
	Proved       bool
	Placed       []Placed
	Work         int64
}

// BestCut cuts one sheet by guillotine cuts, any number of stages, for the
// greatest value. Without limits on the pieces it is exact: a table over the
// extents that pieces can fill (Gilmore and Gomory 1966; Beasley 1985, from
// memory). With limits it joins pieces into blocks, most promising first, until
// no block can beat the best (Viswanathan and Bagchi 1993, from memory). It
// reports ErrMaterial, and ErrTooLarge where the extents are too many to table.
func BestCut(ctx context.Context, sheet Size, kerf int64, items []Valued, effort Effort) (Cut, error) {
	if err := checkValued(sheet, kerf, items); err != nil {
		return Cut{}, fmt.Errorf("sheet: %w", err)
	}
	t, err := newValueTable(Size{sheet.Wide + kerf, sheet.Deep + kerf}, kerf, items)
	if err != nil {
		return Cut{}, err
	}
	t.fill()
	cut := Cut{Value: t.at(len(t.xs)-1, len(t.ys)-1)}
	cut.Bound, cut.Proved = cut.Value, true
	spots := t.trace()
	if t.tooMany(spots) {
		b := newBlocks(t, newClock(ctx, effort))
		cut.Proved = b.search()
		cut.Value, spots = b.best.value, b.trace(b.best, 0, 0, nil)
		cut.Bound, cut.Work = max(cut.Value, b.bound), b.clock.work
	}
	cut.Placed = t.place(spots)
	return cut, ctx.Err()
}

func checkValued(sheet Size, kerf int64, items []Valued) error {
	err := errors.Join(checkMeasure("width", sheet.Wide, 1), checkMeasure("length", sheet.Deep, 1), checkMeasure("kerf", kerf, 0))
	for i, v := range items {
		err = errors.Join(err, checkMeasure(fmt.Sprintf("item %d width", i+1), v.Wide, 1), checkMeasure(fmt.Sprintf("item %d length", i+1), v.Deep, 1))
		if v.Value < 0 || v.Most < 0 {
			err = errors.Join(err, fmt.Errorf("item %d: the value or the limit is less than zero: %w", i+1, ErrMaterial))
		}
		if v.Value > MaxPrice {
			err = errors.Join(err, fmt.Errorf("item %d: the value is over %d: %w", i+1, int64(MaxPrice), ErrTooLarge))
		}
	}
	return err
}

// maxPoints limits the extents tabled each way.
const maxPoints = 3000

// shape is an item as it may lie, kerf included.
type shape struct {
	item       int
	wide, deep int64
	turned     bool
}

// valueTable holds the greatest value of every rectangle without limits on items.
type valueTable struct {
	size   Size
	kerf   int64
	items  []Valued
	shapes []shape
	xs, ys []int64
	value  []int64
	how    []int32 // 0 nothing, shape+1, or a cut: -(2i+1) across at xs[i], -(2i+2) along at ys[i]
}

func newValueTable(size Size, kerf int64, items []Valued) (*valueTable, error) {
	t := &valueTable{size: size, kerf: kerf, items: items}
	for i, v := range items {
		t.addShape(shape{i, v.Wide + kerf, v.Deep + kerf, false})
		if v.Turn && v.Wide != v.Deep {
			t.addShape(shape{i, v.Deep + kerf, v.Wide + kerf, true})
		}
	}
	t.xs = fillable(size.Wide, t.shapes, func(s shape) int64 { return s.wide })
	t.ys = fillable(size.Deep, t.shapes, func(s shape) int64 { return s.deep })
	if t.xs == nil || t.ys == nil {
		return nil, fmt.Errorf("over %d different extents can be filled: %w", maxPoints, ErrTooLarge)
	}
	nx, ny := int64(len(t.xs)), int64(len(t.ys))
	if nx*ny*(nx+ny) > maxTableWork {
		return nil, fmt.Errorf("%d by %d different extents can be filled: %w", nx, ny, ErrTooLarge)
	}
	return t, nil
}

// maxTableWork limits the table's cells times the cuts of each.
const maxTableWork = 20_000_000_000

func (t *valueTable) addShape(s shape) {
	if s.wide <= t.size.Wide && s.deep <= t.size.Deep {
		t.shapes = append(t.shapes, s)
	}
}

// fillable lists 0 and every sum of extents up to most; nil where they are too many.
func fillable(most int64, shapes []shape, of func(shape) int64) []int64 {
	sums := []int64{0}
	known := map[int64]bool{0: true}
	for at := 0; at < len(sums); at++ {
		for _, s := range shapes {
			if next := sums[at] + of(s); next <= most && !known[next] {
				known[next] = true
				sums = append(sums, next)
			}
		}
		if len(sums) > maxPoints {
			return nil
		}
	}
	slices.Sort(sums)
	return sums
}

func (t *valueTable) at(i, j int) int64 { return t.value[i*len(t.ys)+j] }

// under is the index of the greatest extent that is at most v.
func under(points []int64, v int64) int {
	at, found := slices.BinarySearch(points, v)
	if found {
		return at
	}
	return at - 1
}

func (t *valueTable) fill() {
	t.value = make([]int64, len(t.xs)*len(t.ys))
	t.how = make([]int32, len(t.value))
	restX, restY := rests(t.xs), rests(t.ys)
	for i := range t.xs {
		for j := range t.ys {
			t.fillOne(i, j, restX, restY)
		}
	}
}

// rests tells for each pair of extents which extent is left of the larger.
func rests(points []int64) [][]int32 {
	out := make([][]int32, len(points))
	for i, p := range points {
		for _, q := range points[:i+1] {
			if q*2 > p {
				break
			}
			out[i] = append(out[i], int32(under(points, p-q)))
		}
	}
	return out
}

func (t *valueTable) fillOne(i, j int, restX, restY [][]int32) {
	best, how := int64(0), int32(0)
	for n, s := range t.shapes {
		if v := t.items[s.item].Value; s.wide <= t.xs[i] && s.deep <= t.ys[j] && v > best {
			best, how = v, int32(n+1)
		}
	}
	for a := 1; a < len(restX[i]); a++ {
		if v := t.at(a, j) + t.at(int(restX[i][a]), j); v > best {
			best, how = v, int32(-2*a-1)
		}
	}
	row := t.value[i*len(t.ys):]
	for a := 1; a < len(restY[j]); a++ {
		if v := row[a] + row[restY[j][a]]; v > best {
			best, how = v, int32(-2*a-2)
		}
	}
	t.value[i*len(t.ys)+j], t.how[i*len(t.ys)+j] = best, how
}

// shapeSpot is where a shape lies.
type shapeSpot struct {
	shape int
	x, y  int64
}

func (t *valueTable) trace() []shapeSpot {
	return t.traceFrom(len(t.xs)-1, len(t.ys)-1, 0, 0, nil)
}

func (t *valueTable) traceFrom(i, j int, x, y int64, out []shapeSpot) []shapeSpot {
	how := t.how[i*len(t.ys)+j]
	switch {
	case how > 0:
		return append(out, shapeSpot{int(how - 1), x, y})
	case how < 0 && how%2 != 0:
		a := int(-how-1) / 2
		out = t.traceFrom(a, j, x, y, out)
		return t.traceFrom(under(t.xs, t.xs[i]-t.xs[a]), j, x+t.xs[a], y, out)
	case how < 0:
		a := int(-how-2) / 2
		out = t.traceFrom(i, a, x, y, out)
		return t.traceFrom(i, under(t.ys, t.ys[j]-t.ys[a]), x, y+t.ys[a], out)
	}
	return out
}

func (t *valueTable) tooMany(spots []shapeSpot) bool {
	counts := make([]int, len(t.items))
	for _, s := range spots {
		item := t.shapes[s.shape].item
		if counts[item]++; t.items[item].Most > 0 && counts[item] > t.items[item].Most {
			return true
		}
	}
	return false
}

func (t *valueTable) place(spots []shapeSpot) []Placed {
	counts := make([]int, len(t.items))
	var out []Placed
	for _, sp := range spots {
		s := t.shapes[sp.shape]
		counts[s.item]++
		out = append(out, Placed{Piece: t.items[s.item].Name, Item: s.item, Copy: counts[s.item],
			X: sp.x, Y: sp.y, Wide: s.wide - t.kerf, Deep: s.deep - t.kerf, Turned: s.turned})
	}
	return out
}
