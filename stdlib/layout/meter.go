package layout

import (
	"context"
	"sync/atomic"
	"time"
)

// meter counts the work of one slice and says when it must end.
type meter struct {
	work, most int64
	checked    int64
	ctx        context.Context
	deadline   time.Time
	beaten     *atomic.Int64 // the least slice that reached the bound
	slice      int64
	over       bool
}

func (m *meter) count(n int64) { m.work += n }

// checkEvery is the work between two looks at the clock.
const checkEvery = 4096

func (m *meter) spent() bool {
	m.over = m.over || m.most > 0 && m.work >= m.most
	if m.over || m.work-m.checked < checkEvery {
		return m.over
	}
	m.checked, m.over = m.work, m.stopped()
	return m.over
}

func (m *meter) stopped() bool {
	if m.ctx != nil && m.ctx.Err() != nil {
		return true
	}
	if m.beaten != nil && m.beaten.Load() < m.slice {
		return true
	}
	return !m.deadline.IsZero() && time.Now().After(m.deadline)
}
