//go:build !unix

package benchtest

import "time"

var began = time.Now()

// processorTime is the time since the program began, where the system does not tell better.
func processorTime() time.Duration { return time.Since(began) }
