package column

import "squab/eval/check"

// Stock holds the objects of values that are no single number, so that one order's can be used again for the next. The zero Stock is empty.
type Stock struct {
	objects []check.Object
	items   []check.Value
}

// Object makes a value that holds items.
func (s *Stock) Object(items []check.Value) check.Value {
	if len(s.objects) == cap(s.objects) {
		s.objects = make([]check.Object, 0, roomFor(cap(s.objects), 64))
	}
	s.objects = append(s.objects, check.Object{Items: items})
	return check.Value{Obj: &s.objects[len(s.objects)-1]}
}

// Pair makes a size or a point.
func (s *Stock) Pair(x, y check.Value) check.Value {
	items := s.Items(2)
	items[0], items[1] = x, y
	return s.Object(items)
}

// Items gives n values to be set.
func (s *Stock) Items(n int) []check.Value {
	if len(s.items)+n > cap(s.items) {
		s.items = make([]check.Value, 0, max(roomFor(cap(s.items), 256), n))
	}
	from := len(s.items)
	s.items = s.items[:from+n]
	return s.items[from : from+n : from+n]
}

// roomFor is twice what was not enough, within reason, so that one piece of room soon holds all that an order makes.
func roomFor(before, least int) int { return min(max(2*before, least), 1<<14) }

// Reset takes everything back; what was made must no longer be used.
func (s *Stock) Reset() { s.objects, s.items = s.objects[:0], s.items[:0] }
