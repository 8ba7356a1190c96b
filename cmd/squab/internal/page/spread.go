package page

// spread moves places that rise apart until each lies at least gap from the next and none below least, moving them no further in all than it must
// (least squares, by pooling neighbours that would cross). It is how sizes written along an edge are kept from colliding.
func spread(want []float64, gap, least float64) []float64 {
	var pools []pool
	for i, w := range want {
		pools = append(pools, pool{sum: max(w, least) - float64(i)*gap, count: 1})
		for len(pools) > 1 && pools[len(pools)-1].mean() < pools[len(pools)-2].mean() {
			pools = joinLast(pools)
		}
	}
	placed := make([]float64, 0, len(want))
	for _, p := range pools {
		for range p.count {
			placed = append(placed, max(p.mean(), least)+float64(len(placed))*gap)
		}
	}
	return placed
}

// pool is a run of places that stand shoulder to shoulder.
type pool struct {
	sum   float64
	count int
}

func (p pool) mean() float64 { return p.sum / float64(p.count) }

func joinLast(pools []pool) []pool {
	a, b := pools[len(pools)-2], pools[len(pools)-1]
	return append(pools[:len(pools)-2], pool{a.sum + b.sum, a.count + b.count})
}

// thin picks which of n places are written where there is room for most of them only: the first, the last, and every so manyth between.
func thin(n, most int) []int {
	step := 1
	for n > 1 && (n-1+step-1)/step+1 > most {
		step++
	}
	var picked []int
	for i := 0; i < n; i += step {
		picked = append(picked, i)
	}
	if last := n - 1; n > 0 && picked[len(picked)-1] != last {
		picked = append(picked, last)
	}
	return picked
}
