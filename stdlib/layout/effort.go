package layout

import (
	"runtime"
	"time"
)

// DefaultWork is the counted work of a layout when Effort asks for nothing else.
const DefaultWork = 1_000_000

// Effort says how long to improve a layout. Work counts placements tried, so the
// same Work gives the same bytes on every machine; what was begun within it may end
// past it. Where Work is zero and Time is
// not, improving stops at the first slice of work that ends after Time. Where both
// are zero DefaultWork holds; Work 1 asks for the first answer only.
type Effort struct {
	Work     int64
	Time     time.Duration
	Workers  int // 0: one for each core
	Progress func(Progress)
}

// Progress is a report between slices of work.
type Progress struct {
	Work        int64
	Used, Bound int64
}

func (e Effort) workers() int {
	if e.Workers > 0 {
		return e.Workers
	}
	return runtime.GOMAXPROCS(0)
}
