package column

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"testing"

	"squab/lang"
)

// bench is a builder with some input columns, and how to run what it makes.
type bench struct {
	builder
	inputs []operand
}

func newBench(bounds ...bound) *bench {
	b := &bench{builder: *newBuilder()}
	for _, x := range bounds {
		b.inputs = append(b.inputs, operand{reg: b.register(), b: x})
	}
	return b
}

// run works operands out for rows of input values, in blocks of a width.
func (b *bench) run(width int, rows [][]int64, outs ...operand) [][]int64 {
	p := &Program{}
	var inputs []int32
	for _, in := range b.inputs {
		inputs = append(inputs, in.reg)
	}
	var read needs
	for _, out := range outs {
		read.addRegister(out)
	}
	b.finish(p, inputs, read)
	m := p.NewMachine(width)
	var results [][]int64
	for from := 0; from < len(rows); from += width {
		m.rows = min(width, len(rows)-from)
		for i, reg := range inputs {
			for r := range m.rows {
				m.columns[p.place[reg]][r] = rows[from+r][i]
			}
		}
		m.Run()
		for r := range m.rows {
			var result []int64
			for _, out := range outs {
				result = append(result, m.at(out, r))
			}
			results = append(results, result)
		}
	}
	return results
}

// rowsOf makes rows of values within the inputs' bounds, their ends among them.
func (b *bench) rowsOf(r *rand.Rand, n int) [][]int64 {
	var rows [][]int64
	for i := range n {
		var row []int64
		for _, in := range b.inputs {
			v := in.b.lo + r.Int64N(in.b.hi-in.b.lo+1)
			switch i {
			case 0:
				v = in.b.lo
			case 1:
				v = in.b.hi
			}
			row = append(row, v)
		}
		rows = append(rows, row)
	}
	return rows
}

// step is one operation of the builder beside what it should come to.
type step struct {
	out  operand
	want func(row []int64) int64
}

// truthOf is a truth as a mask.
func truthOf(b bool) int64 {
	if b {
		return -1
	}
	return 0
}

// grow adds one operation on earlier steps, chosen at random.
func (b *bench) grow(r *rand.Rand, steps, truths []step) (measure, truth *step) {
	x, y := steps[r.IntN(len(steps))], steps[r.IntN(len(steps))]
	p, q := truths[r.IntN(len(truths))], truths[r.IntN(len(truths))]
	k, m := r.Int64N(9)-4, r.Int64N(9)-4
	d := 1 + r.Int64N(9)
	num := func(out operand, want func([]int64) int64) (*step, *step) { return &step{out, want}, nil }
	is := func(out operand, want func([]int64) int64) (*step, *step) { return nil, &step{out, want} }
	switch r.IntN(17) {
	case 0:
		return num(b.scaled(x.out, k, m), func(v []int64) int64 { return x.want(v)*k + m })
	case 1:
		return num(b.sum(x.out, k, y.out, m), func(v []int64) int64 { return x.want(v)*k + y.want(v)*m })
	case 2:
		return num(b.product(x.out, y.out), func(v []int64) int64 { return x.want(v) * y.want(v) })
	case 3:
		return num(b.lesser(x.out, y.out), func(v []int64) int64 { return min(x.want(v), y.want(v)) })
	case 4:
		return num(b.greater(x.out, y.out), func(v []int64) int64 { return max(x.want(v), y.want(v)) })
	case 5:
		return num(b.abs(x.out), func(v []int64) int64 { return max(x.want(v), -x.want(v)) })
	case 6:
		return num(b.signed(x.out, y.out), func(v []int64) int64 {
			if y.want(v) < 0 {
				return -x.want(v)
			}
			return x.want(v)
		})
	case 7:
		return num(b.pick(p.out, x.out, y.out), func(v []int64) int64 {
			if p.want(v) != 0 {
				return x.want(v)
			}
			return y.want(v)
		})
	case 8:
		return num(b.floor(x.out, k, m, d), func(v []int64) int64 { return floorDiv(x.want(v)*k+m, d) })
	case 9, 10:
		divisor, _ := b.notZero(y.out)
		by := func(v []int64) int64 {
			if n := y.want(v); n != 0 {
				return n
			}
			return 1
		}
		if k > 0 {
			return num(b.floorOver(x.out, divisor), func(v []int64) int64 { return floorDiv(x.want(v), by(v)) })
		}
		return num(b.remainder(x.out, divisor), func(v []int64) int64 { return x.want(v) - by(v)*floorDiv(x.want(v), by(v)) })
	case 11:
		out, _ := b.positive(x.out)
		return num(out, func(v []int64) int64 { return max(x.want(v), 1) })
	case 12:
		return is(b.less(x.out, y.out), func(v []int64) int64 { return truthOf(x.want(v) < y.want(v)) })
	case 13:
		return is(b.equal(x.out, y.out), func(v []int64) int64 { return truthOf(x.want(v) == y.want(v)) })
	case 14:
		return is(b.not(p.out), func(v []int64) int64 { return ^p.want(v) })
	case 15:
		return is(b.and(p.out, q.out), func(v []int64) int64 { return p.want(v) & q.want(v) })
	}
	return is(b.pick(p.out, q.out, truths[0].out), func(v []int64) int64 { return p.want(v)&q.want(v) | ^p.want(v)&truths[0].want(v) })
}

// Operations put together at random come, in blocks and one by one, to what each does by itself, and stay within their bounds.
func TestOperationsPutTogether(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for trial := range 600 {
		b := newBench(someBound(r, 50), bound{0, 7}, bound{-300, -1}, truths)
		at := func(i int) step { return step{b.inputs[i], func(v []int64) int64 { return v[i] }} }
		measures := []step{at(0), at(1), at(2), {fixed(3), func([]int64) int64 { return 3 }}, {fixed(0), func([]int64) int64 { return 0 }}}
		masks := []step{at(3), {yes, func([]int64) int64 { return -1 }}, {no, func([]int64) int64 { return 0 }}}
		for range 40 {
			measure, truth := b.grow(r, measures, masks)
			if b.why != "" {
				b.why = ""
				continue
			}
			if measure != nil {
				measures = append(measures, *measure)
			} else {
				masks = append(masks, *truth)
			}
		}
		all := append(measures, masks...)
		if err := b.hold(r, all); err != nil {
			t.Fatalf("trial %d: %v", trial, err)
		}
	}
}

func (b *bench) hold(r *rand.Rand, all []step) error {
	var outs []operand
	for _, s := range all {
		outs = append(outs, s.out)
	}
	rows := b.rowsOf(r, 11)
	for _, width := range []int{1, 4} {
		again := &bench{builder: b.copy(), inputs: b.inputs}
		for i, result := range again.run(width, rows, outs...) {
			for k, got := range result {
				if want := all[k].want(rows[i]); got != want || !outs[k].b.has(got) {
					return fmt.Errorf("width %d, row %v, step %d: %d, want %d within %v", width, rows[i], k, got, want, outs[k].b)
				}
			}
		}
	}
	return nil
}

// copy is the builder before it is finished, which changes its operations.
func (b *builder) copy() builder {
	twin := *b
	twin.blocks = []*block{{code: append([]instr{}, b.blocks[0].code...)}}
	return twin
}

// The reciprocal divides exactly over all that a column may hold.
func TestReciprocalDivides(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for range 20_000 {
		x := r.Int64N(most) - most/2
		q := 1 + r.Int64N(1<<r.IntN(40))
		if err := divides(x, q); err != nil {
			t.Fatal(err)
		}
	}
}

func FuzzReciprocal(f *testing.F) {
	for _, seed := range [][2]int64{{0, 3}, {most, 3}, {-most, 7}, {most - 1, most - 2}, {5, 1}, {-1, 10}} {
		f.Add(seed[0], seed[1])
	}
	f.Fuzz(func(t *testing.T, x, q int64) {
		if q < 1 || q > most || x > most || x < -most {
			t.Skip()
		}
		if err := divides(x, q); err != nil {
			t.Fatal(err)
		}
	})
}

// divides holds a division of a column against math/big.
func divides(x, q int64) error {
	reach := max(x, -x)
	b := newBench(bound{-reach, reach})
	out := b.floor(b.inputs[0], 1, 0, q)
	if b.why != "" {
		return fmt.Errorf("%d / %d: %s", x, q, b.why)
	}
	got := b.run(1, [][]int64{{x}}, out)[0][0]
	if want := new(big.Int).Div(big.NewInt(x), big.NewInt(q)); want.Int64() != got {
		return fmt.Errorf("%d / %d = %d, want %s", x, q, got, want)
	}
	return nil
}

// Every way of rounding, of whole numbers and of quotients, to every step.
func TestRoundings(t *testing.T) {
	for _, way := range []lang.RoundWay{lang.RoundUp, lang.RoundDown, lang.RoundTo} {
		for _, step := range []ratio{{1, 1}, {1, 4}, {2, 3}, {7, 5}} {
			for _, unit := range []ratio{{1, 1}, {1, 16}, {3, 10}} {
				for _, divisor := range []int64{1, 3} {
					roundingsOf(t, way, step, unit, divisor)
				}
			}
		}
	}
}

func roundingsOf(t *testing.T, way lang.RoundWay, step, unit ratio, divisor int64) {
	t.Helper()
	b := newBench(bound{-40, 40}, bound{1, 3})
	x := whole(b.inputs[0], unit)
	if divisor > 1 {
		x.d = b.inputs[1]
	}
	out := b.rounded(x, whole(fixed(step.num), ratio{1, step.den}), way)
	for n := int64(-40); n <= 40; n++ {
		got := b.twin().run(1, [][]int64{{n, divisor}}, out.n, out.d)[0]
		value := new(big.Rat).Mul(rat(unit), big.NewRat(n, divisor))
		times := roundedRatio(new(big.Rat).Quo(value, rat(step)), way)
		want := new(big.Rat).Mul(rat(step), new(big.Rat).SetInt(times))
		if have := new(big.Rat).Mul(rat(out.unit), big.NewRat(got[0], got[1])); have.Cmp(want) != 0 {
			t.Errorf("%s rounded %s %v = %s, want %s", value, way, step, have, want)
		}
	}
}

func (b *bench) twin() *bench { return &bench{builder: b.copy(), inputs: b.inputs} }

// roundedRatio makes a rational whole; a tie goes away from zero.
func roundedRatio(r *big.Rat, way lang.RoundWay) *big.Int {
	floor := func(r *big.Rat) *big.Int { return new(big.Int).Div(r.Num(), r.Denom()) }
	switch {
	case way == lang.RoundDown:
		return floor(r)
	case way == lang.RoundUp:
		up := floor(new(big.Rat).Neg(r))
		return up.Neg(up)
	case r.Sign() < 0:
		near := floor(new(big.Rat).Add(new(big.Rat).Neg(r), big.NewRat(1, 2)))
		return near.Neg(near)
	}
	return floor(new(big.Rat).Add(r, big.NewRat(1, 2)))
}

// Equal operations are one, and what nothing reads is left out.
func TestWorkIsSharedAndLeftOut(t *testing.T) {
	b := newBench(bound{0, 9}, bound{0, 9})
	x, y := b.inputs[0], b.inputs[1]
	product := b.product(x, y)
	if again := b.product(y, x); again != product {
		t.Error("y·x is worked out beside x·y")
	}
	b.scaled(product, 7, 1) // nothing reads it
	p := &Program{}
	b.finish(p, []int32{x.reg, y.reg}, needs{regs: []int32{product.reg}})
	if n := len(p.main.code); n != 1 {
		t.Errorf("%d operations are left of one that is read", n)
	}
}
