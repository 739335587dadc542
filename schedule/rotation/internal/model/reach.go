package model

import "math"

// divisor gives the largest number of which all amounts above 0 are whole
// multiples; 0 where that is not a number of a few bits, as for acres with
// decimals, which no power of two holds exactly.
func divisor(amounts []float64) float64 {
	const grain = 1.0 / 1024
	var d uint64
	for _, a := range amounts {
		if a <= 0 {
			continue
		}
		whole := a / grain
		if whole != math.Trunc(whole) || whole >= 1<<40 {
			return 0
		}
		d = gcd(d, uint64(whole))
	}
	return float64(d) * grain
}

func gcd(a, b uint64) uint64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// reach brings a limit down to what a sum of whole multiples of d can come to.
func reach(limit, d float64) float64 {
	if d == 0 || math.IsInf(limit, 0) || limit < 0 || limit/d >= 1<<40 {
		return limit
	}
	// Exact: d has at most 40 bits above its grain, and so has the product.
	whole := math.Floor(limit / d)
	for whole*d > limit {
		whole--
	}
	if (whole+1)*d <= limit {
		whole++
	}
	if whole*d >= 1<<42 {
		return limit
	}
	return whole * d
}
