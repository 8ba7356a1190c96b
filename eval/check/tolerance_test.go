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

// What stands beside a field's value goes before what the material states, and that before what its kind does.
func TestToleranceOfField(t *testing.T) {
	p, problems := checkText(`kind board: sheet "Board" {
  thick: length tolerance 1/8 in
  wide: length = 4 ft tolerance 1/4 in
  deep: length = 8 ft
  price: money per each
}
material birch: board {
  thick = 1/2 in tolerance 1/16 in
  price = $40 per each
}
amend material birch from 2026-03-01 {
  thick = 5/8 in tolerance 1/32 in
}
amend material birch from 2026-04-01 {
  thick = 3/4 in
}
`)
	for _, d := range problems {
		t.Fatalf("%s: %s", d.Code, d.Message)
	}
	birch := p.Materials[len(p.Materials)-1]
	unit, _ := p.Units.Lookup("in")
	inch := unit.Factor
	cells := map[string]*check.Cell{"given": birch.Given[birch.Kind.Field("thick").Index], "of the kind": birch.Kind.Field("wide")}
	for _, a := range birch.Amends {
		cells[check.DateText(a.From)] = a.Cell
	}
	for _, test := range []struct {
		name string
		want quantity.Number // in sixteenths of an inch
	}{
		{"given", quantity.Int(1)}, {"of the kind", quantity.Int(4)}, {"2026-03-01", quantity.Frac(1, 2)}, {"2026-04-01", quantity.Int(1)},
	} {
		got := birch.Tolerance(cells[test.name])
		if want := test.want.Mul(inch).Mul(quantity.Frac(1, 16)); got == nil || !got.Up.Num.Equal(want) {
			t.Errorf("%s: tolerance %+v, want %v", test.name, got, want)
		}
	}
}
