package bound

import "math"

// compensated sums with Neumaier's correction: the error does not grow with
// the count of terms.
type compensated struct{ sum, lost float64 }

func (c *compensated) add(x float64) {
	t := c.sum + x
	if math.Abs(c.sum) >= math.Abs(x) {
		c.lost += (c.sum - t) + x
	} else {
		c.lost += (x - t) + c.sum
	}
	c.sum = t
}

func (c *compensated) total() float64 {
	if math.IsInf(c.sum, 0) {
		return c.sum
	}
	return c.sum + c.lost
}
