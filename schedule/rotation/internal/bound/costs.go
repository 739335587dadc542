package bound

import (
	"math"

	"emberquilt/schedule/rotation/internal/model"
)

// price turns row prices into what burns and states cost the units.
func (e *Engine) price() {
	if e.years != nil {
		e.years.addUp()
	}
	for c := range e.M.Classes {
		e.priceClass(c)
	}
	for i := range e.M.N {
		e.priceUnit(i)
	}
}

// priceClass brings up to date what an acre in a class costs.
func (e *Engine) priceClass(class int) {
	r, t := &e.M.Rows, e.M.T
	for x := class * t; x < class*t+t; x++ {
		e.classPrice[x] = e.Price[int(r.MixHigh)+x] - e.Price[int(r.MixLow)+x]
	}
}

// priceUnit brings up to date what burns and years cost unit i, and, of year blocks,
// what its classes cost.
func (e *Engine) priceUnit(i int) {
	m := e.M
	r, t := &m.Rows, m.T
	p := e.Price
	a, c := m.Acres[i], m.Dollars[i]
	burn := e.burn[i*t : i*t+t]
	for y := range burn {
		burn[y] = a*(p[int(r.Acres)+y]+p[int(r.EvenHigh)+y]-p[int(r.EvenLow)+y]) + p[int(r.Burns)+y] + c*p[int(r.Cost)+y]
	}
	if g := m.RefugeOf[i]; g >= 0 {
		row := p[int(r.Refuge)+int(g)*t:]
		for y := range burn {
			burn[y] += a * row[y]
		}
	}
	if e.years != nil {
		e.priceYears(i)
	}
	addPairs(burn, &m.ApartOf, i, p[r.Apart:])
	addPairs(burn, &m.NeighborsOf, i, p[r.Neighbors:])
	d := m.Days[i]
	for y := range t {
		at := i*t + y
		least, season := model.Inf, model.Rest
		if e.Fix[at] != FixedRest && m.MayBurn[at] {
			barred := e.Barred[at]
			for s := range m.S {
				if barred>>s&1 == 1 {
					continue
				}
				c := m.BurnOwn[at*m.S+s] + d*p[int(r.Days)+s*t+y]
				if e.years != nil && e.years.seasonCost != nil {
					c += e.years.seasonCost[at*m.S+s]
				}
				if c < least {
					least, season = c, int8(s)
				}
			}
		}
		e.burn[at] += least
		e.Season[at] = season
		e.rest[at] = m.RestOwn[at]
		if e.Fix[at] == FixedBurn {
			e.rest[at] = model.Inf
		}
	}
}

// addPairs adds the prices of the pairs that unit i is in to its burns.
func addPairs(burn []float64, of *model.Adjacent, i int, price []float64) {
	for x := of.Start[i]; x < of.Start[i+1]; x++ {
		row := price[int(of.Pair[x])*len(burn):][:len(burn)]
		for y, p := range row {
			burn[y] += p
		}
	}
}

// stateCost writes what the states of unit i cost, times share, to out (T·K).
func (e *Engine) stateCost(i int, out []float64) {
	m := e.M
	k, a := int(m.K[i]), m.Acres[i]
	base := int(m.StateBase[i])
	overdue, class := m.OverdueCost[base:base+k], m.Class[base:base+k]
	if m.MixOf[i] < 0 {
		for y := range m.T {
			copy(out[y*k:y*k+k], overdue)
		}
		return
	}
	for y := range m.T {
		row := out[y*k : y*k+k]
		for s := range row {
			row[s] = overdue[s] + a*e.classPrice[int(class[s])*m.T+y]
		}
	}
	if e.years != nil {
		own := e.years.classCost
		at := int(e.years.classBase[i])
		for y := range m.T {
			row := out[y*k : y*k+k]
			for s := range row {
				row[s] += own[at+int(class[s])*m.T+y]
			}
		}
	}
}

// copyCost writes what a copy of unit i pays at t·K+k: in state 0 for a burn,
// else for a rest.
func (e *Engine) copyCost(i, c int, out []float64) {
	t, k := e.M.T, int(e.M.K[i])
	e.stateCost(i, out)
	share := e.share[c]
	for y := range t {
		row := out[y*k : y*k+k]
		row[0] += e.burn[i*t+y]
		rest := e.rest[i*t+y]
		for s := 1; s < k; s++ {
			row[s] += rest
		}
		if share != 1 {
			for s := range row {
				row[s] *= share
			}
			if share == 0 { // Inf · 0 is not a number: what is forbidden stays so
				if math.IsInf(e.burn[i*t+y], 1) {
					row[0] = model.Inf
				} else {
					row[0] = 0
				}
				for s := 1; s < k; s++ {
					row[s] = 0
					if math.IsInf(rest, 1) {
						row[s] = model.Inf
					}
				}
			}
		}
		if e.shift != nil {
			row[0] += e.shift[c*t+y]
		}
		if e.age != nil && len(e.copies[i]) > 1 {
			for s, p := range e.age[e.ageAt[c]+y*k:][:k] {
				row[s] += p
			}
		}
	}
}
