// Package benchtest reports rates by the time that the processor takes, so that other work on the machine does not spoil them: a rate for one core.
package benchtest

import (
	"testing"
	"time"
)

// Clock counts processor time.
type Clock struct{ start time.Duration }

// Start starts a clock.
func Start() Clock { return Clock{processorTime()} }

// Since is the processor time that the program has taken since the clock was started, its collector's included.
func (c Clock) Since() time.Duration { return max(processorTime()-c.start, 1) }

// Rate reports how many things a core does in a second.
func (c Clock) Rate(b *testing.B, many float64, what string) {
	b.ReportMetric(many/c.Since().Seconds(), what+"/s/core")
}
