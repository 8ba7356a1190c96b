package layout

// maxTotals limits the table of totals: steps of the costs' common divisor.
const maxTotals = 2_000_000

// nextTotal is the least sum of any numbers of the costs that is not below
// least: what is bought comes to some such sum, so a bound may be raised to it.
func nextTotal(costs []int64, least int64) int64 {
	unit, dearest := int64(0), int64(0)
	for _, c := range costs {
		unit, dearest = gcd(unit, c), max(dearest, c)
	}
	if unit == 0 || least <= 0 || (least+dearest)/unit >= maxTotals {
		return least
	}
	first := ceilDiv(least, unit)
	comes := make([]bool, first+dearest/unit+1)
	comes[0] = true
	for at := range comes {
		for _, c := range costs {
			from := int64(at) - c/unit
			comes[at] = comes[at] || c > 0 && from >= 0 && comes[from]
		}
		if int64(at) >= first && comes[at] {
			return int64(at) * unit
		}
	}
	return least
}
