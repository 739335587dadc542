package bound

import "math"

// yearVaryDecay is varyDecay for prices of year blocks: where unit blocks and a year
// agree in most steps, the few gradients must not be forgotten, or each is taken for
// the rule. Measured with 400 steps: medium-104 5,955 with 0.99, 6,004 with 0.997 and
// a first length of 0.03, 5,981 to 6,005 with 0.999; real-101 16,256, 16,263 and 16,261
// from 0.01.
const yearVaryDecay = 0.997

// coordinates counts the prices that an ascent moves.
func (y *Years) coordinates() int {
	if y == nil {
		return 0
	}
	return len(y.price) + len(y.common) + len(y.split)
}

// stepYears moves the prices of the year blocks toward agreement: a unit that its
// unit blocks burn, or bring into the class, more than the year block does is
// charged more for it.
func (a *Ascent) stepYears(warm float64) {
	e, y, t := a.e, a.e.years, a.e.M.T
	base := len(e.Price) + len(e.shift) + len(e.share)
	move := func(at int, g float64) float64 {
		mean := meanDecay*a.mean[at] + (1-meanDecay)*g
		vary := yearVaryDecay*a.vary[at] + (1-yearVaryDecay)*g*g
		a.mean[at], a.vary[at] = mean, vary
		return warm * mean / (math.Sqrt(vary) + tiny)
	}
	a.stepSplits(move, base+len(y.price)+len(y.common))
	for x := range y.blocks {
		b := &y.blocks[x]
		off := 0.0
		for u, i := range b.units {
			g := 0.0
			switch {
			case b.class >= 0:
				g = a.ended[int(y.classBase[i])+int(b.class)*t+b.year]
			case b.season >= 0 && int(e.Season[int(i)*t+b.year]) != b.season:
			default:
				g = a.Burned[int(i)*t+b.year]
			}
			p := b.first + u
			if y.take[p] == 1 {
				g--
			}
			price := y.price[p] + e.M.Acres[i]*move(base+p, g)
			if b.sum != nil {
				price = max(-b.sum.most[u], min(b.sum.most[u], price))
				off += g * b.sum.amounts[u]
			}
			y.price[p] = price
		}
		if b.class >= 0 {
			y.common[x] += move(base+len(y.price)+x, off)
		}
	}
}

// stepSplits lets a year pay more of a pair that it burns together and the unit
// block does not.
func (a *Ascent) stepSplits(move func(at int, g float64) float64, base int) {
	e, y, t := a.e, a.e.years, a.e.M.T
	if len(y.splits) == 0 {
		return
	}
	for b := range y.blockSplits {
		for _, s := range y.blockSplits[b] {
			for year := range t {
				g := 0.0
				if e.State[s.one*t+year] == 0 && e.State[s.two*t+year] == 0 {
					g--
				}
				if y.isBoth(s.k, year) {
					g++
				}
				at := s.k*t + year
				cost := e.M.Neighbors[y.splits[s.k]].Cost
				y.split[at] = max(0, min(e.partLeft(y.splits[s.k], year), y.split[at]+cost*move(base+at, g)))
			}
		}
	}
}

// isBoth reports whether the graph block of a year chose both units of a pair.
func (y *Years) isBoth(k, year int) bool {
	at := y.splitAt[k]
	first := y.blocks[year].first
	return y.take[first+at[0]] == 1 && y.take[first+at[1]] == 1
}
