package layout

import "math/big"

// costStep is the common divisor of the costs: every total is a multiple of it.
func (c *cutting) costStep() int64 {
	step := int64(0)
	for _, cost := range c.costs {
		step = gcd(step, cost)
	}
	return max(1, step)
}

// provenCost is a cost no set of patterns can beat, from prices of pieces and the
// most that a stick of each stock can hold of them: since no pattern of stock s
// is worth more than holds[s], one unit of price costs at least the least
// costs[s]/holds[s] (Farley 1990, from memory). A stock with a limit may be worth
// more than it costs, so often as the limit allows. Whole numbers only.
func (c *cutting) provenCost(values []int64, demand []int, holds []int64) int64 {
	worth := new(big.Int)
	for i, v := range values {
		worth.Add(worth, new(big.Int).Mul(big.NewInt(v), big.NewInt(int64(demand[i]))))
	}
	best := int64(0)
	for s, hold := range holds {
		if hold > 0 {
			best = max(best, c.costAt(s, worth, holds))
		}
	}
	return best
}

// costAt is the cost proved where a unit of price costs what it does at stock at;
// 0 where a stock without limit is cheaper.
func (c *cutting) costAt(at int, worth *big.Int, holds []int64) int64 {
	total := new(big.Int).Mul(worth, big.NewInt(c.costs[at]))
	for s := range holds {
		if cmpProducts(c.costs[at], holds[s], c.costs[s], holds[at]) <= 0 {
			continue
		}
		if !c.limited(s) {
			return 0
		}
		gain := new(big.Int).Mul(big.NewInt(c.costs[at]), big.NewInt(holds[s]))
		gain.Sub(gain, new(big.Int).Mul(big.NewInt(c.costs[s]), big.NewInt(holds[at])))
		total.Sub(total, gain.Mul(gain, big.NewInt(int64(c.limits[s]))))
	}
	return c.inSteps(total, holds[at])
}

func (c *cutting) limited(stock int) bool {
	return c.limits != nil && c.limits[stock] <= MaxCopies
}

// inSteps is total/per rounded up to a sum of costs, and no less than nothing.
func (c *cutting) inSteps(total *big.Int, per int64) int64 {
	if total.Sign() <= 0 {
		return 0
	}
	step := big.NewInt(c.costStep())
	steps, rest := new(big.Int).QuoRem(total, new(big.Int).Mul(big.NewInt(per), step), new(big.Int))
	if rest.Sign() > 0 {
		steps.Add(steps, big.NewInt(1))
	}
	return steps.Mul(steps, step).Int64()
}

// quickCost bounds the cost by dual feasible values that need no search: lengths
// themselves, and lengths with long ones counted as whole sticks. It holds for
// any mixture of stocks when the longest stock's length is the whole.
func (c *cutting) quickCost(demand []int) int64 {
	best := c.provenCost(c.takes(), demand, c.holds)
	if len(c.holds) != 1 {
		return best
	}
	whole := c.holds[0]
	for _, t := range c.lengthThresholds(whole) {
		values := make([]int64, len(c.kinds))
		for i := range values {
			values[i] = roundWidth(c.kinds[i].take, t, whole)
		}
		best = max(best, c.provenCost(values, demand, c.holds))
	}
	return best
}

func (c *cutting) lengthThresholds(whole int64) []int64 {
	ts := roundings(c.takes(), whole)
	return ts[:min(len(ts), 300)]
}
