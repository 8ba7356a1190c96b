package quantity

import (
	"math"
	"math/rand/v2"
	"testing"
)

func TestRounding(t *testing.T) {
	for _, test := range []struct{ n, step, up, down, near string }{
		{"2", "1/4", "2", "2", "2"},
		{"21/10", "1/4", "9/4", "2", "2"},
		{"17/8", "1/4", "9/4", "2", "9/4"},     // a tie goes away from zero
		{"-17/8", "1/4", "-2", "-9/4", "-9/4"}, // on either side
		{"-21/10", "1/4", "-2", "-9/4", "-2"},
		{"1/3", "1/16", "3/8", "5/16", "5/16"},
		{"0", "1/16", "0", "0", "0"},
		{"1/1000", "1", "1", "0", "0"},
		{"-1/1000", "1", "0", "-1", "0"},
		{"1/2", "1", "1", "0", "1"},
		{"-1/2", "1", "0", "-1", "-1"},
		{"7", "5/2", "15/2", "5", "15/2"},
		{"25", "10", "30", "20", "30"},
		{"1", "2/3", "4/3", "2/3", "4/3"},
		{"9223372036854775807/2", "1", "4611686018427387904", "4611686018427387903", "4611686018427387904"},
		{"9223372036854775807", "2", "9223372036854775808", "9223372036854775806", "9223372036854775808"},
		{"-100000000000000000001/2", "1", "-50000000000000000000", "-50000000000000000001", "-50000000000000000001"},
	} {
		for name, round := range map[string]struct {
			by   func(Number, Number) (Number, bool)
			want string
		}{
			"up": {Number.RoundUp, test.up}, "down": {Number.RoundDown, test.down}, "near": {Number.RoundNear, test.near},
		} {
			if got, ok := round.by(num(t, test.n), num(t, test.step)); got.String() != round.want || !ok {
				t.Errorf("%s rounded %s to %s is %s, %t; want %s", test.n, name, test.step, got, ok, round.want)
			}
		}
	}
}

func TestNoRoundingToNothing(t *testing.T) {
	for _, step := range []Number{Int(0), Int(-1), Frac(-1, 16), num(t, "-100000000000000000001")} {
		if got, ok := Frac(5, 8).RoundUp(step); ok {
			t.Errorf("5/8 rounded up to %s is %s", step, got)
		}
	}
}

func TestRoundingProperties(t *testing.T) {
	random := rand.New(rand.NewPCG(17, 18))
	for range 20_000 {
		n := randomExpression(random, random.IntN(6)).number
		step := Frac(1+random.Int64N(64), 1+random.Int64N(64))
		up, _ := n.RoundUp(step)
		down, _ := n.RoundDown(step)
		near, _ := n.RoundNear(step)
		mirrored, _ := n.Neg().RoundUp(step)
		again, _ := up.RoundUp(step)
		twice := n.Sub(near).Abs().Mul(Int(2))
		gap := up.Sub(down)
		for law, holds := range map[string]bool{
			"down ≤ n ≤ up":                !n.less(down) && !up.less(n),
			"up and down a step apart":     gap.Equal(step) || gap == Int(0) && n.Equal(up),
			"near is up or down":           near.Equal(up) || near.Equal(down),
			"near is no further than half": !step.less(twice),
			"a tie goes away from zero":    !twice.Equal(step) || n.Abs().less(near.Abs()),
			"up is down in the mirror":     mirrored.Equal(down.Neg()),
			"what is rounded stays":        again.Equal(up),
			"a multiple of the step":       isMultiple(up, step) && isMultiple(down, step) && isMultiple(near, step),
		} {
			if !holds {
				t.Fatalf("%q fails for %s and %s: up %s, down %s, near %s", law, n, step, up, down, near)
			}
		}
	}
}

func isMultiple(n, step Number) bool {
	ratio, ok := n.Div(step)
	return ok && ratio.IsInt()
}

func TestMod(t *testing.T) {
	for _, test := range []struct{ a, b, want string }{
		{"7", "2", "1"}, {"-7", "2", "1"}, {"7", "-2", "-1"}, {"-7", "-2", "-1"}, {"54", "27/2", "0"},
		{"197/8", "12", "5/8"}, {"1/2", "1/3", "1/6"}, {"0", "5", "0"},
	} {
		if got, ok := num(t, test.a).Mod(num(t, test.b)); got.String() != test.want || !ok {
			t.Errorf("%s mod %s = %s, %t; want %s", test.a, test.b, got, ok, test.want)
		}
	}
	if _, ok := Int(7).Mod(Int(0)); ok {
		t.Error("7 mod 0 is answered")
	}
}

func TestCents(t *testing.T) {
	for _, test := range []struct{ n, want string }{
		{"0", "0"}, {"1/3", "33/100"}, {"2/3", "67/100"}, {"1/200", "1/100"}, {"-1/200", "-1/100"},
		{"4149/100", "4149/100"}, {"1/201", "0"}, {"9223372036854775807", "9223372036854775807"},
	} {
		if got, ok := Cents(num(t, test.n)); got.String() != test.want || !ok {
			t.Errorf("%s to the cent is %s, %t; want %s", test.n, got, ok, test.want)
		}
	}
	third := Frac(math.MaxInt64, 3)
	if got, ok := Cents(third); got.String() != "307445734561825860233/100" || !ok {
		t.Errorf("%s to the cent is %s, %t", third, got, ok)
	}
}
