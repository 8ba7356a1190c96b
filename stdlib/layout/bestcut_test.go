package layout_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"squab/stdlib/layout"
	"squab/stdlib/layout/verify"
)

// everyCut is the greatest value of a sheet by trying every straight cut, and how
// often each item is then cut. It has nothing in common with the engines.
type everyCut struct {
	items []layout.Valued
	kerf  int64
	known map[[2]int64]map[string]int64 // the greatest value of each count of items
}

func (e *everyCut) ways(wide, deep int64) map[string]int64 {
	if wide <= 0 || deep <= 0 {
		return map[string]int64{string(make([]byte, len(e.items))): 0}
	}
	key := [2]int64{wide, deep}
	if known, ok := e.known[key]; ok {
		return known
	}
	out := map[string]int64{string(make([]byte, len(e.items))): 0}
	for i, v := range e.items {
		if v.Wide <= wide && v.Deep <= deep || v.Turn && v.Deep <= wide && v.Wide <= deep {
			counts := make([]byte, len(e.items))
			counts[i] = 1
			out[string(counts)] = v.Value
		}
	}
	for x := int64(1); x < wide; x++ {
		e.join(out, e.ways(x, deep), e.ways(wide-x-e.kerf, deep))
	}
	for y := int64(1); y < deep; y++ {
		e.join(out, e.ways(wide, y), e.ways(wide, deep-y-e.kerf))
	}
	e.known[key] = out
	return out
}

// join adds what two parts of a sheet give together, within the limits.
func (e *everyCut) join(out, p, q map[string]int64) {
	for a, va := range p {
		for b, vb := range q {
			counts, over := []byte(a), false
			for i := range counts {
				counts[i] += b[i]
				over = over || int(counts[i]) > e.items[i].Most
			}
			if !over {
				out[string(counts)] = va + vb
			}
		}
	}
}

func smallValues(seed uint64) (layout.Size, int64, []layout.Valued) {
	r := rand.New(rand.NewPCG(seed, 92))
	var items []layout.Valued
	for i := range 1 + r.IntN(3) {
		items = append(items, layout.Valued{Name: fmt.Sprint(i), Wide: within(r, 2, 5), Deep: within(r, 2, 5), Value: within(r, 1, 40), Most: 1 + r.IntN(2), Turn: r.IntN(2) == 0})
	}
	return layout.Size{Wide: within(r, 4, 8), Deep: within(r, 4, 8)}, r.Int64N(2), items
}

func TestBestCutAgainstEveryCut(t *testing.T) {
	for seed := range uint64(120) {
		size, kerf, items := smallValues(seed)
		e := &everyCut{items: items, kerf: kerf, known: map[[2]int64]map[string]int64{}}
		want := int64(0)
		for _, value := range e.ways(size.Wide, size.Deep) {
			want = max(want, value)
		}
		got, err := layout.BestCut(context.Background(), size, kerf, items, layout.Effort{})
		if err != nil {
			t.Fatal(err)
		}
		report(t, seed, items, verify.BestCut(size, kerf, items, got))
		if got.Value != want || !got.Proved || got.Bound != want {
			t.Errorf("seed %d: value %d, bound %d, proved %v, want %d from %+v, kerf %d, of %+v", seed, got.Value, got.Bound, got.Proved, want, size, kerf, items)
		}
	}
}

// Values that can be told at sight.
func TestBestCutAtSight(t *testing.T) {
	for _, c := range []struct {
		name  string
		size  layout.Size
		kerf  int64
		items []layout.Valued
		want  int64
	}{
		{"four quarters", layout.Size{Wide: 10, Deep: 10}, 0, []layout.Valued{{Wide: 5, Deep: 5, Value: 3}}, 12},
		{"a kerf leaves one", layout.Size{Wide: 10, Deep: 10}, 1, []layout.Valued{{Wide: 5, Deep: 5, Value: 3}}, 3},
		{"no more than wanted", layout.Size{Wide: 10, Deep: 10}, 0, []layout.Valued{{Wide: 5, Deep: 5, Value: 3, Most: 3}}, 9},
		{"one large is worth more than four small", layout.Size{Wide: 10, Deep: 10}, 0, []layout.Valued{{Wide: 5, Deep: 5, Value: 3}, {Wide: 9, Deep: 9, Value: 13}}, 13},
		{"turned it fits twice", layout.Size{Wide: 10, Deep: 6}, 0, []layout.Valued{{Wide: 6, Deep: 5, Value: 4, Turn: true}}, 8},
		{"not turned only once", layout.Size{Wide: 10, Deep: 6}, 0, []layout.Valued{{Wide: 6, Deep: 5, Value: 4}}, 4},
		{"nothing fits", layout.Size{Wide: 4, Deep: 4}, 0, []layout.Valued{{Wide: 5, Deep: 5, Value: 3}}, 0},
		{"worth nothing", layout.Size{Wide: 9, Deep: 9}, 0, []layout.Valued{{Wide: 5, Deep: 5}}, 0},
		{"five in a pinwheel cannot be cut apart", layout.Size{Wide: 5, Deep: 5}, 0,
			[]layout.Valued{{Wide: 3, Deep: 2, Value: 6, Most: 2}, {Wide: 2, Deep: 3, Value: 6, Most: 2}, {Wide: 1, Deep: 1, Value: 1, Most: 1}}, 19},
	} {
		got, err := layout.BestCut(context.Background(), c.size, c.kerf, c.items, layout.Effort{})
		if err != nil || got.Value != c.want || !got.Proved {
			t.Errorf("%s: value %d, proved %v (%v), want %d", c.name, got.Value, got.Proved, err, c.want)
		}
		report(t, 0, c.name, verify.BestCut(c.size, c.kerf, c.items, got))
	}
}

func TestBestCutRefuses(t *testing.T) {
	good := layout.Valued{Wide: 2, Deep: 2, Value: 1}
	for _, c := range []struct {
		name  string
		size  layout.Size
		kerf  int64
		items []layout.Valued
		want  error
	}{
		{"a sheet of no width", layout.Size{Deep: 3}, 0, []layout.Valued{good}, layout.ErrMaterial},
		{"a kerf below nothing", layout.Size{Wide: 3, Deep: 3}, -1, []layout.Valued{good}, layout.ErrMaterial},
		{"a piece of no width", layout.Size{Wide: 3, Deep: 3}, 0, []layout.Valued{{Deep: 2, Value: 1}}, layout.ErrMaterial},
		{"a value below nothing", layout.Size{Wide: 3, Deep: 3}, 0, []layout.Valued{{Wide: 2, Deep: 2, Value: -1}}, layout.ErrMaterial},
		{"a limit below nothing", layout.Size{Wide: 3, Deep: 3}, 0, []layout.Valued{{Wide: 2, Deep: 2, Most: -1}}, layout.ErrMaterial},
		{"a value past the limit", layout.Size{Wide: 3, Deep: 3}, 0, []layout.Valued{{Wide: 2, Deep: 2, Value: layout.MaxPrice + 1}}, layout.ErrTooLarge},
		{"a piece past the limit", layout.Size{Wide: 3, Deep: 3}, 1, []layout.Valued{{Wide: math.MaxInt64, Deep: 2, Value: 1}}, layout.ErrTooLarge},
		{"a piece whose area is past all numbers", layout.Size{Wide: 3, Deep: 3}, 0, []layout.Valued{{Wide: 1, Deep: 1, Value: 1, Most: 1}, {Wide: 1 << 32, Deep: 1 << 32, Value: 1, Turn: true}}, layout.ErrTooLarge},
		{"a sheet past the limit", layout.Size{Wide: layout.MaxMeasure + 1, Deep: 3}, 0, []layout.Valued{good}, layout.ErrTooLarge},
		{"too many extents to table", layout.Size{Wide: 100_000, Deep: 100_000}, 0, []layout.Valued{{Wide: 7, Deep: 7, Value: 1}, {Wide: 11, Deep: 11, Value: 1}}, layout.ErrTooLarge},
	} {
		if _, err := layout.BestCut(context.Background(), c.size, c.kerf, c.items, layout.Effort{}); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
}

// The value never falls with more effort spent, and the bound never rises.
func TestBestCutImprovesWithEffort(t *testing.T) {
	for seed := range uint64(6) {
		r := rand.New(rand.NewPCG(seed, 93))
		var items []layout.Valued
		for i := range 15 {
			v := limited(9, 33, 3)(r)
			v.Name = fmt.Sprint(i)
			items = append(items, v)
		}
		value, bound := int64(0), int64(1)<<60
		for _, work := range []int64{1, 1000, 50_000, 1_000_000} {
			got, err := layout.BestCut(context.Background(), layout.Size{Wide: 70, Deep: 40}, 0, items, layout.Effort{Work: work})
			if err != nil {
				t.Fatal(err)
			}
			if got.Value < value || got.Bound > bound || got.Bound < got.Value {
				t.Errorf("seed %d, work %d: value %d after %d, bound %d after %d", seed, work, got.Value, value, got.Bound, bound)
			}
			value, bound = got.Value, got.Bound
		}
	}
}
