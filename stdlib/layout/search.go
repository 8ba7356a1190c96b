package layout

import (
	"context"
	"sync"
	"sync/atomic"
	"time"
)

// clock is what is left of an Effort.
type clock struct {
	ctx      context.Context
	effort   Effort
	start    time.Time
	deadline time.Time
	work     int64
	most     int64 // counted work, 0 where time decides
}

func newClock(ctx context.Context, e Effort) *clock {
	c := &clock{ctx: ctx, effort: e, start: time.Now(), most: e.Work}
	if e.Work <= 0 && e.Time > 0 {
		c.deadline = c.start.Add(e.Time)
	} else if e.Work <= 0 {
		c.most = DefaultWork
	}
	return c
}

func (c *clock) over() bool {
	if c.ctx.Err() != nil || c.most > 0 && c.work >= c.most {
		return true
	}
	return !c.deadline.IsZero() && time.Now().After(c.deadline)
}

// affords tells how much of a round of that cost there is effort for, in 1024ths and
// at most 1024.
func (c *clock) affords(work int64, took time.Duration) int64 {
	if c.most > 0 {
		return fraction(c.most-c.work, work)
	}
	return fraction(int64(time.Until(c.deadline)), int64(took))
}

func fraction(left, need int64) int64 {
	if need <= 0 || left >= need {
		return 1024
	}
	return max(0, left) * 1024 / need
}

// slices runs tasks over the workers and returns the least index that reported
// success in reaching the bound, or len(tasks). A task of a higher index may be
// cut short then, so its outcome must not be used.
func (c *clock) slices(tasks []func(*meter) bool) int {
	var beaten, next atomic.Int64
	beaten.Store(int64(len(tasks)))
	meters := make([]meter, len(tasks))
	var group sync.WaitGroup
	for range min(c.effort.workers(), len(tasks)) {
		group.Go(func() { c.worker(tasks, meters, &next, &beaten) })
	}
	group.Wait()
	won := int(beaten.Load())
	for i := range meters[:min(won+1, len(tasks))] {
		c.work += meters[i].work
	}
	return won
}

func (c *clock) worker(tasks []func(*meter) bool, meters []meter, next, beaten *atomic.Int64) {
	for {
		i := next.Add(1) - 1
		if i >= int64(len(tasks)) {
			return
		}
		meters[i] = meter{ctx: c.ctx, deadline: c.deadline, beaten: beaten, slice: i, most: c.remaining()}
		if beaten.Load() > i && tasks[i](&meters[i]) {
			lower(beaten, i)
		}
	}
}

// firstWork is the most work of a first answer, where no other is asked for.
const firstWork = 4 * DefaultWork

// meter measures work on this core alone.
func (c *clock) meter() *meter {
	m := &meter{ctx: c.ctx, deadline: c.deadline, most: c.remaining()}
	if c.most == 1 {
		m.most = firstWork
	}
	return m
}

// remaining is the work a slice may do at most, 0 for no limit.
func (c *clock) remaining() int64 {
	if c.most == 0 {
		return 0
	}
	return max(1, c.most-c.work)
}

func lower(v *atomic.Int64, to int64) {
	for {
		now := v.Load()
		if now <= to || v.CompareAndSwap(now, to) {
			return
		}
	}
}

// random is a small generator whose sequence depends on its seed alone.
type random uint64

func (r *random) next() uint64 {
	*r += 0x9e3779b97f4a7c15
	z := uint64(*r)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

func (r *random) below(n int) int { return int(r.next() % uint64(n)) }
