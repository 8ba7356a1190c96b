package layout

import "slices"

// rank is a candidate's score and its place in the pool, which settles ties.
type rank struct {
	score int64
	at    int32
}

func (r rank) before(o rank) bool {
	return r.score < o.score || r.score == o.score && r.at < o.at
}

func compareRanks(a, b rank) int {
	switch {
	case a.before(b):
		return -1
	case b.before(a):
		return 1
	}
	return 0
}

// ranking hands out ranks best first, sorting no more of them than are asked for.
type ranking struct {
	ranks  []rank
	sorted int
}

// rank takes in the scores of a pool of n.
func (r *ranking) rank(n int, score func(int) int64) {
	r.ranks, r.sorted = r.ranks[:0], 0
	for i := range n {
		r.ranks = append(r.ranks, rank{score(i), int32(i)})
	}
}

// next returns the i-th best; batch is how many to sort when none are left.
func (r *ranking) next(i, batch int) rank {
	if i >= r.sorted {
		end := min(len(r.ranks), r.sorted+batch)
		rest := r.ranks[r.sorted:]
		selectBest(rest, end-r.sorted)
		slices.SortFunc(rest[:end-r.sorted], compareRanks)
		r.sorted = end
	}
	return r.ranks[i]
}

// selectBest moves the n best to the front, in any order.
func selectBest(ranks []rank, n int) {
	for low, high := 0, len(ranks); high-low > 16 && n > low && n < high; {
		pivot := middleOf(ranks[low], ranks[(low+high)/2], ranks[high-1])
		i, j := low, high-1
		for i <= j {
			for ranks[i].before(pivot) {
				i++
			}
			for pivot.before(ranks[j]) {
				j--
			}
			if i <= j {
				ranks[i], ranks[j] = ranks[j], ranks[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case n <= j+1:
			high = j + 1
		case n >= i:
			low = i
		default:
			return
		}
	}
	smallSelect(ranks, n)
}

// smallSelect finishes a selection whose undecided part is short and unknown.
func smallSelect(ranks []rank, n int) {
	low, high := max(0, n-16), min(len(ranks), n+16)
	slices.SortFunc(ranks[low:high], compareRanks)
}

func middleOf(a, b, c rank) rank {
	if b.before(a) {
		a, b = b, a
	}
	if c.before(b) {
		b = c
	}
	if b.before(a) {
		return a
	}
	return b
}
