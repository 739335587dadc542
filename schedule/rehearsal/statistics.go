package rehearsal

import (
	"math"
	"slices"
)

// Summary says what a figure was over the futures.
type Summary struct {
	// Mean lies between Low and High, its 95% interval: that of the mean over all
	// futures that could be drawn, from Student's t.
	Mean, Low, High float64
	// P10, P50 and P90 are percentiles over the futures.
	P10, P50, P90 float64
}

// Summarize sums up the figures of the futures. It panics where there is none.
func Summarize(x []float64) Summary {
	n := float64(len(x))
	mean := 0.0 // above the first figure, so that equal ones have no spread
	for _, v := range x {
		mean += v - x[0]
	}
	mean = x[0] + mean/n
	squares := 0.0
	for _, v := range x {
		squares += (v - mean) * (v - mean)
	}
	half := 0.0
	if len(x) > 1 {
		half = studentT975(len(x)-1) * math.Sqrt(squares/(n-1)/n)
	}
	sorted := slices.Sorted(slices.Values(x))
	return Summary{Mean: mean, Low: mean - half, High: mean + half,
		P10: Percentile(sorted, 0.1), P50: Percentile(sorted, 0.5), P90: Percentile(sorted, 0.9)}
}

// Percentile gives the value below which a share of sorted figures lies, between
// two figures in proportion.
func Percentile(sorted []float64, share float64) float64 {
	at := share * float64(len(sorted)-1)
	below := int(at)
	if below+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[below] + (at-float64(below))*(sorted[below+1]-sorted[below])
}

// studentT975 gives the 97.5th percentile of Student's t with some degrees of
// freedom, by halving on its distribution.
func studentT975(freedom int) float64 {
	lo, hi := 1.9, 13.0
	for range 60 {
		mid := (lo + hi) / 2
		if tailT(mid, freedom) > 0.025 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// tailT gives the chance that Student's t is above x > 0, for whole degrees of
// freedom n, by the finite sums in sines and cosines of θ = arctan(x/√n).
//
// Source: Abramowitz and Stegun (1964), Handbook of Mathematical Functions,
// 26.7.3 and 26.7.4.
func tailT(x float64, n int) float64 {
	theta := math.Atan2(x, math.Sqrt(float64(n)))
	sin, cos := math.Sincos(theta)
	term, total := 1.0, 0.0
	if n%2 == 0 {
		for k := 2; k <= n; k += 2 {
			total += term
			term *= cos * cos * float64(k-1) / float64(k)
		}
		return (1 - sin*total) / 2
	}
	term = cos
	for k := 3; k <= n; k += 2 {
		total += term
		term *= cos * cos * float64(k-1) / float64(k)
	}
	return (1 - 2/math.Pi*(theta+sin*total)) / 2
}
