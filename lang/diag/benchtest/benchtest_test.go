package benchtest

import (
	"testing"
	"time"
)

// Work takes processor time; waiting takes none to speak of.
func TestClockCountsWork(t *testing.T) {
	idle := Start()
	time.Sleep(100 * time.Millisecond)
	waited := idle.Since()
	busy, n := Start(), uint64(1)
	for range 200_000_000 {
		n = n*6364136223846793005 + 1
	}
	if worked := busy.Since(); n == 0 || worked <= waited {
		t.Errorf("work took %v, waiting %v", worked, waited)
	}
}
