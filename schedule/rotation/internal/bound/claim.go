package bound

import (
	"math"

	"emberquilt/schedule/problem"
)

// grain is what prices, shares and shifts of a claim are multiples of: a power
// of two, so that they are short and their sums are exact.
const grain = 1.0 / (1 << 20)

// fine is the grain of row prices, which may be small (a price per dollar).
const fine = 1.0 / (1 << 40)

// Round brings prices, shares and shifts to multiples of their grain, within
// their ranges, with shares that sum to exactly 1 and shifts to exactly 0.
func (e *Engine) Round() {
	top := e.M.Rows.PriceMax
	for _, row := range e.Active {
		p := e.Price[row]
		if p > 0 && p >= top[row]*(1-1e-15) {
			// The product that limits the price may itself be rounded up.
			p = top[row] * (1 - 1e-15)
		}
		if p < 1<<10 {
			p = math.Floor(p/fine) * fine
		}
		e.Price[row] = max(0, p)
	}
	if e.years != nil {
		e.years.round()
	}
	if e.shift == nil {
		return
	}
	t, coarse := e.M.T, e.splitGrain()
	for _, i := range e.shared {
		copies := e.copies[i]
		last := copies[len(copies)-1]
		left := 1.0
		for _, c := range copies[:len(copies)-1] {
			e.share[c] = math.Floor(e.share[c]/grain) * grain
			left -= e.share[c]
		}
		e.share[last] = left
		for y := range t {
			left := 0.0
			for _, c := range copies[:len(copies)-1] {
				x := int(c)*t + y
				e.shift[x] = math.Round(e.shift[x]/coarse) * coarse
				left -= e.shift[x]
			}
			e.shift[int(last)*t+y] = left
		}
	}
	e.roundAges()
	for x, h := range e.part {
		e.part[x] = math.Trunc(h/coarse) * coarse
	}
}

// splitGrain is what shifts, prices of ages and parts of pairs are multiples of. Ages are
// priced on problems far from a proof, whose certificates hold many such prices: coarse ones
// are short.
func (e *Engine) splitGrain() float64 {
	if e.age == nil {
		return grain
	}
	return 1.0 / (1 << 10)
}

// Margin bounds the float error of Value: every plan costs at least
// Value − Margin.
//
// Each block's value is a least sum of at most T·(units+1) costs, each of which
// is a sum of a few prices (three for each pair of the unit beside the year
// rows), so its relative error is below the count of additions times 2⁻⁵³, of
// the sum of all magnitudes; a row's constant is a product with a limit that
// may be a sum over all units. A block that pays a mix pays for acres that its check counts
// in whole parts.
func (e *Engine) Margin() float64 {
	m := e.M
	r := &m.Rows
	var size, constants, acres float64
	rounding := m.ClassRounding()
	for _, row := range e.Active {
		constants += e.Price[row] * math.Abs(r.Right[row])
	}
	degree, units := 0, 1
	for i := range m.N {
		degree = max(degree, int(m.ApartOf.Start[i+1]-m.ApartOf.Start[i]), int(m.NeighborsOf.Start[i+1]-m.NeighborsOf.Start[i]))
		top := 0.0
		for k := m.StateBase[i]; k < m.StateBase[i+1]; k++ {
			top = max(top, m.OverdueCost[k])
		}
		for t := range m.T {
			at := i*m.T + t
			size += top
			if b := e.burn[at]; !math.IsInf(b, 1) {
				size += math.Abs(b) + 2*m.Acres[i]*e.Price[int(r.EvenLow)+t]
			}
			if b := e.rest[at]; !math.IsInf(b, 1) {
				size += b
			}
		}
	}
	for x := range e.classPrice {
		c := m.Classes[x/m.T]
		inMix := 0.0
		for i := range m.N {
			if m.MixOf[i] == c.Mix {
				inMix += m.Acres[i]
			}
		}
		size += inMix * (e.Price[int(r.MixLow)+x] + e.Price[int(r.MixHigh)+x])
	}
	for _, s := range e.shift {
		size += math.Abs(s)
	}
	size += e.ageSize()
	for _, h := range e.part {
		size += 2 * h
	}
	if e.years != nil {
		size += e.years.magnitude()
	}
	for _, b := range e.blocks {
		units = max(units, len(b.units))
		if b.shape != nil {
			for _, table := range b.shape.joint {
				top := 0.0
				for _, c := range table {
					if !math.IsInf(c, 1) {
						top = max(top, c)
					}
				}
				size += top
			}
			top := 0.0
			for _, c := range b.shape.mix {
				top = max(top, c)
			}
			size += float64(m.T) * top
			for _, x := range b.shape.mixes {
				acres += float64(m.T*len(m.Problem.Mixes[x].Classes)) * rounding
			}
		}
	}
	years := 0.0
	if e.years != nil {
		years = e.years.margin()
	}
	const unit = 1.2e-16 // a little above 2⁻⁵³
	additions := float64(4*m.T*(units+2) + 4*degree + 64)
	return unit*(additions*size+float64(m.N+64)*constants) + years + acres
}

// ClaimValue rounds, evaluates and gives a lower bound that holds in exact
// arithmetic for the rounded dual, and the margin that it takes off.
func (e *Engine) ClaimValue() (value, margin float64) {
	e.Round()
	v := e.Evaluate()
	if math.IsInf(v, 1) {
		return v, 0
	}
	margin = e.Margin()
	return v - margin, margin
}

// Leaf gives the engine's prices and blocks as a certificate's leaf. The engine
// must have been rounded.
func (e *Engine) Leaf() *problem.Leaf {
	m := e.M
	leaf := &problem.Leaf{}
	for _, row := range e.Active {
		if p := e.Price[row]; p > 0 {
			leaf.Prices = append(leaf.Prices, problem.RowPrice{Row: m.Name(row), PerUnit: p})
		}
	}
	leaf.Cuts = e.dayCuts()
	leaf.Years = e.leafYears()
	for x, b := range e.blocks {
		if b.shape == nil && len(e.copies[b.units[0]]) == 1 {
			continue
		}
		out := problem.Block{}
		if b.shape != nil {
			out.Mixes = b.shape.mixes
			out.Parts = e.leafParts(x)
		}
		for u, i := range b.units {
			out.Units = append(out.Units, int(i))
			c := b.first + u
			if e.share[c] != 1 && out.Share == nil {
				out.Share = make([]float64, 0, len(b.units))
			}
			out.Ages = e.leafAges(i, c, out.Ages)
			if e.shift == nil || e.isShiftAnAge(i) {
				continue
			}
			for t, s := range e.shift[c*m.T : (c+1)*m.T] {
				if s != 0 {
					out.Shift = append(out.Shift, problem.Shift{Unit: int(i), Year: m.Problem.FirstYear + t, Price: s})
				}
			}
		}
		if out.Share != nil {
			out.Share = append(out.Share, e.share[b.first:b.first+len(b.units)]...)
		}
		leaf.Blocks = append(leaf.Blocks, out)
	}
	return leaf
}

// dayCuts says of the burns that alone pass a burn-day cap, which the engine
// never makes, that they cost more than a whole plan.
func (e *Engine) dayCuts() []problem.Cut {
	m := e.M
	if len(m.DayBans) == 0 {
		return nil
	}
	// No plan, whatever its prices, differs from another by as much.
	high := 1.0
	for t := range m.T {
		for i := range m.N {
			at := i*m.T + t
			for _, c := range [2]float64{e.burn[at], e.rest[at]} {
				if !math.IsInf(c, 1) {
					high += math.Abs(c)
				}
			}
		}
	}
	for _, c := range m.OverdueCost {
		high += float64(m.T) * c
	}
	w := &m.Problem.Weights
	for i := range m.N {
		high += 2 * float64(m.T) * w.Mix * m.Acres[i]
	}
	for _, pair := range m.Neighbors {
		high += float64(m.T) * pair.Cost
	}
	for _, s := range e.shift {
		high += math.Abs(s)
	}
	high += e.ageSize()
	if e.years != nil {
		high += 2 * e.years.magnitude()
	}
	_, exponent := math.Frexp(high)
	price := math.Ldexp(1, exponent+2)
	var cuts []problem.Cut
	type key struct{ t, s int32 }
	open := map[key]int{}
	for _, ban := range m.DayBans {
		k := key{ban.Year, ban.Season}
		at, ok := open[k]
		if !ok || len(cuts[at].Units) == problem.MaxCutUnits {
			at = len(cuts)
			open[k] = at
			cuts = append(cuts, problem.Cut{Year: m.Problem.FirstYear + int(ban.Year), Season: int(ban.Season), Price: price})
		}
		cuts[at].Units = append(cuts[at].Units, int(ban.Unit))
		cuts[at].Weight = append(cuts[at].Weight, 1)
	}
	return cuts
}
