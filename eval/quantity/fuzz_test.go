package quantity

import (
	"encoding/binary"
	"math/big"
	"strings"
	"testing"
	"unicode/utf8"
)

// FuzzParse: whatever is read, its two written forms read back as the same.
func FuzzParse(f *testing.F) {
	for _, seed := range []string{
		"", "46", "5/8", "17 5/8", "17-5/8", "½", "3½", "3 ½", "12.5", ".5", "-5/8", "−5", "1,200", "5/0", "1e9",
		"5⁄8", "99999999999999999999/7", "0.00000000000000000000001", "-", "--1", "17 - 5/8", "\xff", "1/2/3",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		n, err := Parse(text)
		if err != nil {
			if n != (Number{}) || !utf8.ValidString(err.Error()) {
				t.Fatalf("%q: %s, %q", text, n, err)
			}
			return
		}
		for _, written := range []string{n.String(), n.Fraction()} {
			again, err := Parse(written)
			if err != nil && strings.Contains(err.Error(), "digits") {
				continue
			}
			if err != nil || !again.Equal(n) {
				t.Fatalf("%q reads as %s, %q as %s, %v", text, n, written, again, err)
			}
		}
	})
}

// FuzzArith runs a program of bytes, an operation and two int64 a step, on a
// Number and on a big.Rat.
func FuzzArith(f *testing.F) {
	for _, edge := range edges {
		seed := []byte{}
		for op := range byte(5) {
			seed = binary.LittleEndian.AppendUint64(append(seed, op), uint64(edge))
			seed = binary.LittleEndian.AppendUint64(seed, uint64(int64(op)*3+1))
		}
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, program []byte) {
		number, truth := Number{}, new(big.Rat)
		for step := 0; len(program) >= 17 && step < 40; step++ {
			n := int64(binary.LittleEndian.Uint64(program[1:]))
			d := int64(binary.LittleEndian.Uint64(program[9:]))
			if d == 0 {
				d = 1
			}
			number, truth = fuzzStep(t, program[0]%5, number, truth, Frac(n, d), big.NewRat(n, d))
			program = program[17:]
		}
		assertIs(t, "the program's result", number, truth)
	})
}

func fuzzStep(t *testing.T, op byte, a Number, x *big.Rat, b Number, y *big.Rat) (Number, *big.Rat) {
	if order, decided := a.Cmp(b); order != x.Cmp(y) || !decided {
		t.Fatalf("%s against %s is %d", a, b, order)
	}
	switch op {
	case 0:
		return a.Add(b), new(big.Rat).Add(x, y)
	case 1:
		return a.Sub(b), new(big.Rat).Sub(x, y)
	case 2:
		return a.Mul(b), new(big.Rat).Mul(x, y)
	case 3:
		if quotient, ok := a.Div(b); ok {
			return quotient, new(big.Rat).Quo(x, y)
		}
		return a, x
	}
	step := b.Abs()
	rounded, ok := a.RoundUp(step)
	if !ok {
		return a, x
	}
	if low := rounded.Sub(step); !isMultiple(rounded, step) || rounded.less(a) || !low.less(a) {
		t.Fatalf("%s rounded up to %s is %s", a, step, rounded)
	}
	return rounded, rounded.Rat()
}

// FuzzShow: nothing that can be measured fails to be shown, and what is shown
// and what is left of it make the whole.
func FuzzShow(f *testing.F) {
	f.Add(int64(197), int64(8), int8(1), int8(0), int8(0), int8(0), uint8(0))
	f.Add(int64(-83), int64(72), int8(-1), int8(0), int8(0), int8(1), uint8(1))
	f.Add(int64(1), int64(3), int8(-128), int8(127), int8(-12), int8(3), uint8(5))
	f.Fuzz(func(t *testing.T, n, d int64, length, mass, count, money int8, pick uint8) {
		lengths := []string{"", "in", "ft", "yd", "mm", "cm", "m"}
		style := Style{Length: lengths[int(pick)%len(lengths)], Feet: pick > 100}
		dim := Dimension{Length: length, Mass: mass, Count: count, Money: money}
		number := Frac(n, d)
		shown := style.Show(number, dim)
		if shown.Exact != (shown.Left == Int(0)) || shown.Exact == strings.HasPrefix(shown.Text, "~") {
			t.Fatalf("%s %s: %+v", number, dim, shown)
		}
		exact, unit, within := style.Exact(number, dim)
		if _, err := Parse(strings.TrimPrefix(exact, "-")); err != nil && !strings.Contains(err.Error(), "digits") || within != "" {
			t.Fatalf("%s %s: %s %s, %v", number, dim, exact, unit, err)
		}
	})
}
