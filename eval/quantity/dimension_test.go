package quantity

import (
	"math"
	"testing"
)

func TestDimensionReadsOut(t *testing.T) {
	for _, test := range []struct {
		dim  Dimension
		want string
	}{
		{Plain, "number"}, {LengthDim, "length"}, {AreaDim, "area"}, {VolumeDim, "volume"}, {MassDim, "mass"},
		{TimeDim, "time"}, {AngleDim, "angle"}, {MoneyDim, "money"}, {CountDim, "count"},
		{Dimension{Money: 1, Length: -1}, "money per length"},
		{Dimension{Money: 1, Length: -2}, "money per area"},
		{Dimension{Time: 1, Count: -1}, "time per count"},
		{Dimension{Mass: 1, Length: -3}, "mass per volume"},
		{Dimension{Length: -1}, "number per length"},
		{Dimension{Count: 1, Length: -2}, "count per area"},
		{Dimension{Length: 4, Time: -1}, "length⁴ per time"},
		{Dimension{Length: 1, Time: -2}, "length per time²"},
		{Dimension{Mass: 1, Length: 1}, "mass × length"},
		{Dimension{Money: 1, Time: -1, Count: -1}, "money per time per count"},
		{Dimension{Length: 12, Angle: -10}, "length¹² per angle¹⁰"},
	} {
		if got := test.dim.String(); got != test.want {
			t.Errorf("%#v reads %q, want %q", test.dim, got, test.want)
		}
	}
}

func TestDimensionsOfProducts(t *testing.T) {
	rate := Dimension{Money: 1, Length: -1}
	for _, test := range []struct{ a, b, product, quotient Dimension }{
		{LengthDim, LengthDim, AreaDim, Plain},
		{AreaDim, LengthDim, VolumeDim, LengthDim},
		{rate, LengthDim, MoneyDim, Dimension{Money: 1, Length: -2}},
		{MoneyDim, LengthDim, Dimension{Money: 1, Length: 1}, rate},
		{Dimension{Time: 1, Count: -1}, CountDim, TimeDim, Dimension{Time: 1, Count: -2}},
		{Plain, AngleDim, AngleDim, Dimension{Angle: -1}},
		{MassDim, Plain, MassDim, MassDim},
	} {
		if got, ok := test.a.Mul(test.b); got != test.product || !ok {
			t.Errorf("%s × %s is %s, %t; want %s", test.a, test.b, got, ok, test.product)
		}
		if got, ok := test.a.Div(test.b); got != test.quotient || !ok {
			t.Errorf("%s / %s is %s, %t; want %s", test.a, test.b, got, ok, test.quotient)
		}
	}
}

// Every exponent is carried, and stops at its limit in both directions.
func TestDimensionLimits(t *testing.T) {
	for _, one := range []Dimension{LengthDim, MassDim, TimeDim, AngleDim, MoneyDim, CountDim} {
		most, ok := one.Pow(MaxPower)
		least, ok2 := one.Pow(-MaxPower)
		if !ok || !ok2 {
			t.Fatalf("%s to the power %d is refused", one, MaxPower)
		}
		if got, ok := most.Mul(least); got != Plain || !ok {
			t.Errorf("%s × %s is %s, %t", most, least, got, ok)
		}
		refused := func(_ Dimension, ok bool) bool { return !ok }
		if !refused(most.Mul(one)) || !refused(least.Div(one)) || !refused(most.Div(least)) ||
			!refused(one.Pow(MaxPower+1)) || !refused(one.Pow(math.MaxInt)) || !refused(one.Pow(math.MinInt)) || !refused(most.Pow(2)) {
			t.Errorf("%s goes past the power %d", one, MaxPower)
		}
	}
	if got, ok := Plain.Pow(math.MaxInt); got != Plain || !ok {
		t.Errorf("a number to any power is %s, %t", got, ok)
	}
	if got, ok := AreaDim.Pow(0); got != Plain || !ok {
		t.Errorf("an area to the power 0 is %s, %t", got, ok)
	}
}
