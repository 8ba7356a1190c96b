package check_test

import (
	"testing"

	"squab/eval/check"
	"squab/eval/quantity"
)

// A true value lies as far under as Down says and as far over as Up; a share is of the value's size, whichever way the value is measured.
func TestToleranceRange(t *testing.T) {
	measure := func(n, d int64) check.Leeway { return check.Leeway{Num: quantity.Frac(n, d)} }
	share := func(n, d int64) check.Leeway { return check.Leeway{Num: quantity.Frac(n, d), Share: true} }
	for _, test := range []struct {
		name            string
		given           quantity.Number
		up, down        check.Leeway
		least, greatest quantity.Number
	}{
		{"27 tolerance 1/8", quantity.Int(27), measure(1, 8), measure(1, 8), quantity.Frac(215, 8), quantity.Frac(217, 8)},
		{"27 tolerance +1/4 -0", quantity.Int(27), measure(1, 4), measure(0, 1), quantity.Int(27), quantity.Frac(109, 4)},
		{"40 tolerance +1 -5%", quantity.Int(40), measure(1, 1), share(1, 20), quantity.Int(38), quantity.Int(41)},
		{"40 tolerance +5% -1", quantity.Int(40), share(1, 20), measure(1, 1), quantity.Int(39), quantity.Int(42)},
		{"-40 tolerance +5% -10%", quantity.Int(-40), share(1, 20), share(1, 10), quantity.Int(-44), quantity.Int(-38)},
		{"0 tolerance 5%", quantity.Int(0), share(1, 20), share(1, 20), quantity.Int(0), quantity.Int(0)},
	} {
		tolerance := check.Tolerance{Up: test.up, Down: test.down}
		least, greatest := tolerance.Range(test.given)
		if !least.Equal(test.least) || !greatest.Equal(test.greatest) {
			t.Errorf("%s: from %v to %v, want from %v to %v", test.name, least, greatest, test.least, test.greatest)
		}
	}
}
