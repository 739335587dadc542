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

// costStep gives the number of which the costs of all plans are whole multiples; 0
// where there is none of a few bits, as with mixes, whose bands are shares.
func (m *Model) costStep() float64 {
	p := m.Problem
	w := &p.Weights
	if len(p.Mixes) > 0 && w.Mix != 0 {
		return 0
	}
	amounts := make([]float64, 0, 8*m.N)
	exact := true
	add := func(x, y float64) {
		amounts = append(amounts, math.Abs(x*y))
		exact = exact && math.FMA(x, y, -(x*y)) == 0
	}
	for i := range p.Units {
		for _, weight := range [...]float64{w.Overdue, w.Evenness, w.Keep, w.Neighbours} {
			add(weight, m.Acres[i])
		}
		for _, penalty := range p.Units[i].Penalty {
			if penalty > 0 {
				add(w.Season, penalty)
				amounts = amounts[:len(amounts)-1]
				add(w.Season*penalty, m.Acres[i])
			}
		}
	}
	for _, end := range [...]float64{p.EvenLo, p.EvenHi} {
		if !math.IsInf(end, 0) {
			add(w.Evenness, end)
		}
	}
	if !exact {
		return 0
	}
	return divisor(amounts)
}

// RaiseBound brings what no plan can beat up to the next cost that a plan can
// have.
func (m *Model) RaiseBound(bound float64) float64 {
	d := m.CostStep
	if d == 0 || math.IsInf(bound, 0) || bound <= 0 || bound/d >= 1<<40 {
		return bound
	}
	whole := math.Ceil(bound / d)
	if (whole-1)*d >= bound {
		whole--
	}
	if whole*d >= 1<<42 {
		return bound
	}
	return math.Max(bound, whole*d)
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
