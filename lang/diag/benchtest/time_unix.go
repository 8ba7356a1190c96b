//go:build unix

package benchtest

import (
	"syscall"
	"time"
)

// processorTime is the time that the program has been running for, on all cores together.
func processorTime() time.Duration {
	var used syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &used) != nil {
		return 0
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}
