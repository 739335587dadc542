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

// costStep gives the number of which what plans pay are whole multiples, 0 where
// there is none of a few bits, as with mixes, whose bands are shares; and by how
// much costs can be off them, since products stand in them as they are and not
// as they are rounded here.
func (m *Model) costStep() (step, off float64) {
	p := m.Problem
	w := &p.Weights
	if len(p.Mixes) > 0 && w.Mix != 0 {
		return 0, 0
	}
	var amounts []float64
	paid := 0.0
	add := func(x, y float64) {
		amounts = append(amounts, math.Abs(x*y))
		paid += math.Abs(x * y)
	}
	for i := range p.Units {
		for _, weight := range [...]float64{w.Overdue, w.Evenness, w.Keep} {
			add(weight, m.Acres[i])
		}
		if growth := w.Overdue * p.OverdueGrowth; growth > 0 {
			// Costs are whole multiples of the first year and of what each year adds.
			add(growth, m.Acres[i])
			paid += float64(p.OverdueGrowthYears) * math.Abs(growth*m.Acres[i])
		}
		for _, penalty := range p.Units[i].Penalty {
			if penalty > 0 {
				add(w.Season*penalty, m.Acres[i])
			}
		}
	}
	for _, pair := range m.Neighbors {
		add(pair.Cost, 1)
	}
	for _, end := range [...]float64{p.EvenLo, p.EvenHi} {
		if !math.IsInf(end, 0) {
			add(w.Evenness, end)
		}
	}
	return divisor(amounts), 4 * 0x1p-52 * paid * float64(m.T)
}

// RaiseBound brings what no plan can beat up to the next cost that a plan can
// have.
func (m *Model) RaiseBound(bound float64) float64 {
	d := m.costMeasure
	if d == 0 || math.IsInf(bound, 0) || bound <= m.costOff || bound/d >= 1<<40 || !(m.costOff*1e6 < d) {
		return bound
	}
	whole := math.Ceil((bound - m.costOff) / d)
	if (whole-1)*d >= bound-m.costOff {
		whole--
	}
	if whole*d >= 1<<42 {
		return bound
	}
	return math.Max(bound, whole*d-m.costOff)
}

// EnoughBelow gives by how much less than a plan's cost a bound may be for
// RaiseBound to bring it up to the cost; 0 where it does not.
func (m *Model) EnoughBelow() float64 {
	return math.Max(0, m.costMeasure*(1-1e-6)-2*m.costOff)
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
