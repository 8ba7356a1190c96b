package trace

import (
	"math/big"
	"strings"

	"squab/eval/check"
	"squab/eval/quantity"
)

// fine writes a measure finely enough to tell what a rounding lost: as the page shows it where that is exact, else to four decimal places.
func (t *tracer) fine(v check.Value, kind check.Type) string {
	style := t.p.Program().Style
	shown := style.Show(v.Num, kind.ShownDim())
	if shown.Exact {
		return shown.Text
	}
	exact, unit, _ := style.Exact(v.Num, kind.ShownDim())
	r, ok := new(big.Rat).SetString(exact)
	if !ok {
		return shown.Text
	}
	text := strings.TrimRight(strings.TrimRight(r.FloatString(4), "0"), ".")
	if written, _ := new(big.Rat).SetString(text); r.Cmp(written) != 0 {
		text = "~" + text
	}
	return strings.TrimSpace(text + " " + unit)
}

// places counts the decimal places to which a bound vouches for a value.
func places(within quantity.Number) int {
	r := within.Rat()
	tenth := big.NewRat(1, 10)
	step := big.NewRat(1, 1)
	n := 0
	for ; n < 200 && r.Cmp(step) <= 0 && r.Sign() > 0; n++ {
		step.Mul(step, tenth)
	}
	return max(n-1, 0)
}
