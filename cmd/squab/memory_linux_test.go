package main

import (
	"os"
	"syscall"
	"testing"
)

// reportMemory reports the most memory that a process took; other systems count it in other units, or not at all.
func reportMemory(b *testing.B, state *os.ProcessState) {
	if used, ok := state.SysUsage().(*syscall.Rusage); ok {
		b.ReportMetric(float64(used.Maxrss)/1024, "MB")
	}
}
