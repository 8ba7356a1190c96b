package eval

import (
	"sync"

	"squab/eval/check"
	"squab/eval/column"
)

// enoughFills is how many orders a plan has worked out before it pays to make a program of it: that takes as long as some hundred orders.
const enoughFills = 256

// quick is a plan's program for one order at a time, made when the plan has been used enough.
type quick struct {
	mu      sync.Mutex
	fills   int
	tried   bool
	program *column.Program
	idle    []*column.Machine
}

// take counts an order, and gives a machine of the program once there is one.
func (q *quick) take(p *Plan) *column.Machine {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.fills++
	if q.fills > enoughFills && !q.tried {
		q.tried = true
		q.program, _ = p.columns(column.NotJudged, func(*column.Program) []int { return p.sequence }) // without one, formulas are worked out one by one
	}
	if q.program == nil {
		return nil
	}
	if last := len(q.idle) - 1; last >= 0 {
		m := q.idle[last]
		q.idle = q.idle[:last]
		return m
	}
	return q.program.NewMachine(1)
}

// give takes a machine back for another sheet's use.
func (q *quick) give(m *column.Machine) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.idle = append(q.idle, m)
}

// workQuickly works every slot out by the plan's program, and by its formula where the program does not hold it; false where there is no program, or it does not cover the order.
func (s *Sheet) workQuickly() bool {
	m := s.Plan.quick.take(s.Plan)
	if m == nil {
		return false
	}
	defer s.Plan.quick.give(m)
	if !s.giveAsks(m) {
		return false
	}
	m.Run()
	m.Plain(0, s.f.slots)
	for _, i := range m.Others() {
		if v, ok := m.Value(i, 0, &s.f.stock); ok {
			s.f.slots[i] = v
			continue
		}
		s.work(i)
	}
	return true
}

// giveAsks puts the order's asks into a machine; false where its program does not cover them.
func (s *Sheet) giveAsks(m *column.Machine) bool {
	m.Begin(1)
	inputs := m.Inputs()
	for i := range inputs {
		in := &inputs[i]
		switch {
		case in.Slot > check.DateIndex && s.given[in.Slot] == nil:
			m.Withhold(in, 0)
		case !m.Give(in, 0, s.f.slots[in.Slot]):
			return false
		}
	}
	return true
}
