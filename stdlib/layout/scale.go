package layout

import (
	"errors"
	"fmt"
	"math/big"
)

// ErrTooFine is returned where measures need a grid too fine for int64 areas.
var ErrTooFine = errors.New("the measures need too fine a common grid")

// Fraction is Num/Den of the caller's unit; Den must be positive.
type Fraction struct{ Num, Den int64 }

// Scale returns the least number of grid units in the caller's unit that makes
// every fraction whole, and each fraction in grid units. It reports a
// denominator that is not positive, and ErrTooFine where a measure would pass
// the limit of 2²⁴ units.
func Scale(measures ...Fraction) (unitsPer int64, units []int64, err error) {
	common := big.NewInt(1)
	for i, m := range measures {
		if m.Den <= 0 {
			return 0, nil, fmt.Errorf("measure %d: denominator %d is not positive", i+1, m.Den)
		}
		common = lcm(common, big.NewRat(m.Num, m.Den).Denom())
		if !common.IsInt64() || common.Int64() > MaxMeasure {
			return 0, nil, fmt.Errorf("measure %d (%d/%d): %w", i+1, m.Num, m.Den, ErrTooFine)
		}
	}
	units = make([]int64, len(measures))
	for i, m := range measures {
		scaled := new(big.Int).Mul(big.NewInt(m.Num), common)
		scaled.Quo(scaled, big.NewInt(m.Den))
		if !scaled.IsInt64() || scaled.CmpAbs(big.NewInt(MaxMeasure)) > 0 {
			return 0, nil, fmt.Errorf("measure %d (%d/%d): %w", i+1, m.Num, m.Den, ErrTooFine)
		}
		units[i] = scaled.Int64()
	}
	return common.Int64(), units, nil
}

func lcm(a, b *big.Int) *big.Int {
	gcd := new(big.Int).GCD(nil, nil, a, b)
	return new(big.Int).Mul(a, new(big.Int).Quo(b, gcd))
}
