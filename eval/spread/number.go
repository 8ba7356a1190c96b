package spread

import (
	"squab/eval/quantity"
)

// way says how a value moves when an input grows.
type way uint8

// The ways: not at all, never down, never up, or either.
const (
	still way = iota
	up
	down
	mixed
)

func (w way) and(v way) way {
	if w == still {
		return v
	}
	if v == still || w == v {
		return w
	}
	return mixed
}

func (w way) turned() way {
	switch w {
	case up:
		return down
	case down:
		return up
	}
	return w
}

// times is the way of a product's part, where the other factor has a sign: 0 where it may have either.
func (w way) times(sign int) way {
	switch {
	case w == still || sign > 0:
		return w
	case sign < 0:
		return w.turned()
	}
	return mixed
}

// number is every value that a measure can take while the inputs run over a box: nothing outside its ends, though not each value between them.
type number struct {
	lo, hi         quantity.Number   // exact
	loOpen, hiOpen bool              // the end itself is not taken
	line           []quantity.Number // where the measure runs straight: the rise for each input, and its value where all are nothing, last
	ways           []way             // for each input
}

// fixed is a number that no input moves. One known only within a bound is enclosed by it.
func fixed(n quantity.Number, inputs int) *number {
	x := &number{lo: n, hi: n, ways: make([]way, inputs)}
	if !n.Exact() {
		middle := quantity.FromRat(n.Rat())
		x.lo, x.hi = middle.Sub(n.Within()), middle.Add(n.Within())
		return x
	}
	x.line = make([]quantity.Number, inputs+1)
	x.line[inputs] = n
	return x
}

func (x *number) isFixed() bool { return x.moves() == 0 }

// moves is the set of inputs that move a number, a bit for each.
func (x *number) moves() uint64 {
	var set uint64
	for i, w := range x.ways {
		if w != still {
			set |= 1 << i
		}
	}
	return set
}

// sign is 1 or -1 where the whole range has that sign or is nothing, else 0.
func (x *number) sign() int {
	low, _ := x.lo.Sign()
	high, _ := x.hi.Sign()
	switch {
	case low >= 0:
		return 1
	case high <= 0:
		return -1
	}
	return 0
}

func (x *number) neg() *number {
	out := &number{lo: x.hi.Neg(), hi: x.lo.Neg(), loOpen: x.hiOpen, hiOpen: x.loOpen, ways: make([]way, len(x.ways))}
	for i, w := range x.ways {
		out.ways[i] = w.turned()
	}
	for _, c := range x.line {
		out.line = append(out.line, c.Neg())
	}
	return out
}

// joinWays gives the ways of a sum.
func joinWays(x, y *number) []way {
	ways := make([]way, len(x.ways))
	for i := range ways {
		ways[i] = x.ways[i].and(y.ways[i])
	}
	return ways
}

// plus adds; where both run straight so does the sum, and its ends are worked out anew, since the two may move against each other.
func (x *number) plus(y *number, b *box) *number {
	if x.line != nil && y.line != nil {
		line := make([]quantity.Number, len(x.line))
		for i := range line {
			line[i] = x.line[i].Add(y.line[i])
		}
		return straight(line, b)
	}
	return &number{lo: x.lo.Add(y.lo), hi: x.hi.Add(y.hi), loOpen: x.loOpen || y.loOpen, hiOpen: x.hiOpen || y.hiOpen, ways: joinWays(x, y)}
}

// straight is a number that runs straight in each input.
func straight(line []quantity.Number, b *box) *number {
	n := len(line) - 1
	x := &number{lo: line[n], hi: line[n], line: line, ways: make([]way, n)}
	for i, rise := range line[:n] {
		side := b.sides[i]
		switch sign, _ := rise.Sign(); {
		case sign > 0:
			x.ways[i] = up
			x.lo, x.hi = x.lo.Add(rise.Mul(side.lo)), x.hi.Add(rise.Mul(side.hi))
			x.loOpen, x.hiOpen = x.loOpen || side.loOpen, x.hiOpen || side.hiOpen
		case sign < 0:
			x.ways[i] = down
			x.lo, x.hi = x.lo.Add(rise.Mul(side.hi)), x.hi.Add(rise.Mul(side.lo))
			x.loOpen, x.hiOpen = x.loOpen || side.hiOpen, x.hiOpen || side.loOpen
		}
	}
	return x
}

// constant is the only value of a number that no input moves and that is exact.
func (x *number) constant() (quantity.Number, bool) {
	if x.isFixed() && x.lo.Equal(x.hi) {
		return x.lo, true
	}
	return quantity.Number{}, false
}

func (x *number) scaled(k quantity.Number, b *box) *number {
	if x.line != nil {
		line := make([]quantity.Number, len(x.line))
		for i := range line {
			line[i] = x.line[i].Mul(k)
		}
		return straight(line, b)
	}
	sign, _ := k.Sign()
	switch {
	case sign < 0:
		return x.neg().scaled(k.Neg(), b)
	case sign == 0:
		return fixed(k, len(x.ways))
	}
	out := &number{lo: x.lo.Mul(k), hi: x.hi.Mul(k), loOpen: x.loOpen, hiOpen: x.hiOpen, ways: make([]way, len(x.ways))}
	copy(out.ways, x.ways)
	return out
}

func (x *number) times(y *number, b *box) *number {
	if k, ok := y.constant(); ok {
		return x.scaled(k, b)
	}
	if k, ok := x.constant(); ok {
		return y.scaled(k, b)
	}
	out := hull(x.lo.Mul(y.lo), x.lo.Mul(y.hi), x.hi.Mul(y.lo), x.hi.Mul(y.hi))
	out.ways = make([]way, len(x.ways))
	for i := range out.ways {
		out.ways[i] = x.ways[i].times(y.sign()).and(y.ways[i].times(x.sign()))
	}
	return out
}

// over divides; nil where the divisor may be nothing.
func (x *number) over(y *number, b *box) *number {
	if k, ok := y.constant(); ok {
		if inverse, ok := quantity.Int(1).Div(k); ok {
			return x.scaled(inverse, b)
		}
	}
	low, _ := y.lo.Sign()
	high, _ := y.hi.Sign()
	if low*high <= 0 {
		return nil
	}
	inverse := &number{ways: make([]way, len(y.ways))}
	inverse.lo, _ = quantity.Int(1).Div(y.hi)
	inverse.hi, _ = quantity.Int(1).Div(y.lo)
	for i, w := range y.ways {
		inverse.ways[i] = w.turned()
	}
	return x.times(inverse, b)
}

// hull is the least range that holds some values.
func hull(all ...quantity.Number) *number {
	x := &number{lo: all[0], hi: all[0]}
	for _, n := range all[1:] {
		if less(n, x.lo) {
			x.lo = n
		}
		if less(x.hi, n) {
			x.hi = n
		}
	}
	return x
}

func less(a, b quantity.Number) bool {
	order, decided := a.Cmp(b)
	return decided && order < 0
}

// through is a number put through a function that never goes down; nil where the function has no value.
func (x *number) through(f func(quantity.Number) (quantity.Number, bool)) *number {
	lo, ok := f(x.lo)
	hi, ok2 := f(x.hi)
	if !ok || !ok2 {
		return nil
	}
	low, high := fixed(lo, len(x.ways)), fixed(hi, len(x.ways))
	return &number{lo: low.lo, hi: high.hi, ways: x.ways}
}

// rounded is a number rounded to a step that no input moves. Just past an end that is not taken, rounding up gives the next step.
func (x *number) rounded(f func(n, step quantity.Number) (quantity.Number, bool), step quantity.Number, isUp, isDown bool) *number {
	out := x.through(func(n quantity.Number) (quantity.Number, bool) { return f(n, step) })
	if out == nil {
		return nil
	}
	if isUp && x.loOpen && out.lo.Equal(x.lo) {
		out.lo = out.lo.Add(step.Abs())
	}
	if isDown && x.hiOpen && out.hi.Equal(x.hi) {
		out.hi = out.hi.Sub(step.Abs())
	}
	if less(out.hi, out.lo) {
		out.hi = out.lo
	}
	return out
}

// union holds what either number may be, where which of them it is rests on some inputs.
func (x *number) union(y *number, on uint64) *number {
	out := hull(x.lo, x.hi, y.lo, y.hi)
	out.ways = joinWays(x, y)
	if a, ok := x.constant(); ok {
		if b, ok := y.constant(); ok && a.Equal(b) {
			return x
		}
	}
	for i := range out.ways {
		if on&(1<<i) != 0 {
			out.ways[i] = mixed
		}
	}
	return out
}

// most is the greater of two numbers.
func (x *number) most(y *number) *number {
	lo, _ := quantity.Max(x.lo, y.lo)
	hi, _ := quantity.Max(x.hi, y.hi)
	switch {
	case !less(x.lo, y.hi):
		return x
	case !less(y.lo, x.hi):
		return y
	}
	return &number{lo: lo, hi: hi, ways: joinWays(x, y)}
}

// size is a number without its sign.
func (x *number) size() *number {
	switch x.sign() {
	case 1:
		return x
	case -1:
		return x.neg()
	}
	out := hull(quantity.Number{}, x.lo.Abs(), x.hi.Abs())
	out.ways = make([]way, len(x.ways))
	for i, w := range x.ways {
		if w != still {
			out.ways[i] = mixed
		}
	}
	return out
}

// within is that part of a number that lies between two values.
func (x *number) within(lo, hi quantity.Number) *number {
	if !less(x.lo, lo) && !less(hi, x.hi) {
		return x
	}
	out := &number{lo: x.lo, hi: x.hi, ways: x.ways}
	if less(x.lo, lo) {
		out.lo = lo
	}
	if less(hi, x.hi) {
		out.hi = hi
	}
	return out
}
