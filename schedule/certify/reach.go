package certify

import (
	"math"
	"math/bits"
)

// divisor is the largest number of which all of some amounts are whole multiples:
// odd·2^exponent, which a float64 holds, or 0.
type divisor struct {
	odd      uint64
	exponent int
}

// add takes in an amount; those of 0 change nothing.
func (d *divisor) add(amount float64) {
	if !(amount > 0) {
		return
	}
	fraction, exponent := math.Frexp(amount)
	odd := uint64(math.Ldexp(fraction, 53))
	zeros := bits.TrailingZeros64(odd)
	odd, exponent = odd>>zeros, exponent-53+zeros
	if d.odd == 0 {
		d.odd, d.exponent = odd, exponent
		return
	}
	// The common part of odd numbers is odd, and powers of two go by themselves.
	for odd != 0 {
		d.odd, odd = odd, d.odd%odd
	}
	d.exponent = min(d.exponent, exponent)
}

// reach brings a limit down to the largest sum of the amounts that it can allow,
// a whole multiple of the divisor. It is rounded up where no float64 holds that.
func (d *divisor) reach(limit float64) float64 {
	step := math.Ldexp(float64(d.odd), d.exponent)
	if step == 0 || math.IsInf(limit, 0) || limit < 0 {
		return limit
	}
	over := math.Mod(limit, step) // exact, as that of floats always is
	most := limit - over
	if limit-most != over {
		most = math.Nextafter(most, math.Inf(1))
	}
	return min(most, limit)
}

// setReach brings the limits of rows down to what their sums can reach.
func (f *frame) setReach() {
	var acres, burns, cost, days divisor
	groups := make([]divisor, len(f.refuge))
	burns.add(1)
	for i := range f.p.Units {
		u := &f.p.Units[i]
		acres.add(u.Acres)
		cost.add(u.Cost)
		days.add(u.BurnDays)
		if u.Refuge >= 0 {
			groups[u.Refuge].add(u.Acres)
		}
	}
	for _, l := range f.limits {
		r := limits{acres.reach(l.acres), burns.reach(l.burns), cost.reach(l.cost), nil}
		for _, d := range l.days {
			r.days = append(r.days, days.reach(d))
		}
		f.reach = append(f.reach, r)
	}
	for r, limit := range f.refuge {
		f.reachRefuge = append(f.reachRefuge, groups[r].reach(limit))
	}
}

// addProduct takes in a product as float64 rounds it, and gives its magnitude.
func (d *divisor) addProduct(x, y float64) float64 {
	p := math.Abs(x * y)
	d.add(p)
	return p
}

// raise brings a bound up to the next cost that a plan can have: what plans pay
// are whole multiples of what all amounts of the cost are whole multiples of,
// where there is such a measure. Mixes have shares of sums in them, and none.
//
// A product that float64 rounds stands in the cost unrounded, so that costs are
// off their multiples by up to 2⁻⁵³ of all that can be paid.
func (f *frame) raise(bound float64) float64 {
	w := &f.p.Weights
	if len(f.p.Mixes) > 0 && w.Mix != 0 {
		return bound
	}
	var d divisor
	paid := 0.0 // at most, in a year
	for i := range f.p.Units {
		u := &f.p.Units[i]
		for _, weight := range [...]float64{w.Overdue, w.Evenness, w.Keep} {
			paid += d.addProduct(weight, u.Acres)
		}
		if growth := w.Overdue * f.p.OverdueGrowth; growth > 0 {
			// What each further year adds, rounded twice, that many times over.
			paid += 2 * float64(f.p.OverdueGrowthYears) * d.addProduct(growth, u.Acres)
		}
		for _, penalty := range u.Penalty {
			if penalty > 0 {
				paid += 2 * d.addProduct(w.Season*penalty, u.Acres) // rounded twice
			}
		}
	}
	for _, pair := range f.p.Neighbors {
		paid += d.addProduct(w.Neighbors, f.smaller(pair))
	}
	for _, end := range [...]float64{f.p.EvenLo, f.p.EvenHi} {
		if !math.IsInf(end, 0) {
			paid += d.addProduct(w.Evenness, end)
		}
	}
	off := 0x1p-52 * paid * float64(f.T)
	step := math.Ldexp(float64(d.odd), d.exponent)
	if step == 0 || math.IsInf(bound, 0) || bound <= 0 || math.IsInf(off, 0) || off*1e6 > step {
		return bound
	}
	// What plans pay is above bound − off, and so at least the multiple above that.
	from := math.Nextafter(bound-off, 0)
	over := math.Mod(from, step)
	next := from - over
	if from-next != over {
		return bound // no float64 holds the multiple
	}
	if over > 0 {
		if next+step-step != next {
			return bound
		}
		next += step
	}
	return max(bound, math.Nextafter(next-off, 0))
}
