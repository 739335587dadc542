package bound

// take moves the mean of block b toward what it chose last, at the prices x, by the part
// that is best for all means together, or by all of it.
//
// With a mean of cost c that takes g, and a choice of c' and g', the objective changes by
// part·((c' − c) + (g' − g)·prices) + part²/2·pace·Σ weight·(g' − g)²; prices at an end of
// their range do not move.
func (p *Proximal) take(b int, x []float64, isAll bool) {
	e := p.e
	blk := &p.blocks[b]
	for _, k := range blk.at {
		p.found[k] = 0
	}
	cost := 0.0
	if b < len(e.blocks) {
		cost = e.value[b]
		p.findPaths(b)
	} else {
		cost = e.years.value[b-len(e.blocks)]
		p.findYear(b - len(e.blocks))
	}
	change, curve := 0.0, 0.0
	for n, k := range blk.at {
		found := p.found[k]
		cost -= found * x[k]
		off := found - blk.take[n]
		if off == 0 {
			continue
		}
		at := p.x[k]
		change += off * at
		if low, high := p.rangeOf(int(k)); at > low && at < high {
			curve += p.weight[k] * p.free(int(k)) * off * off
		}
	}
	change += cost - blk.cost
	part := 1.0
	switch {
	case isAll:
	case change >= 0:
		return
	case curve > 0:
		part = min(1, -change/(p.pace*curve))
	}
	blk.cost += part * (cost - blk.cost)
	for n, k := range blk.at {
		move := part * (p.found[k] - blk.take[n])
		blk.take[n] += move
		p.sum[k] += move
	}
}

// free is 1, or 1 − 1/n for a price that sums to 0 over the n copies of a unit.
func (p *Proximal) free(k int) float64 {
	c, _ := p.tied(k)
	if c < 0 {
		return 1
	}
	return 1 - 1/float64(len(p.e.copies[p.e.copyUnit[c]]))
}

// findPaths finds what the paths of unit block b take of the coordinates.
func (p *Proximal) findPaths(b int) {
	e, t := p.e, p.e.M.T
	for u, i := range e.blocks[b].units {
		c := e.blocks[b].first + u
		states := e.State[c*t : c*t+t]
		p.findPath(int(i), states, e.share[c])
		if len(e.copies[i]) == 1 {
			continue
		}
		for year, k := range states {
			switch {
			case e.age != nil:
				p.found[p.ageAt+e.ageAt[c]+year*int(e.M.K[i])+int(k)] = 1
			case k == 0:
				p.found[p.shiftAt+c*t+year] = 1
			}
		}
	}
	for _, s := range e.years.blockSplits[b] {
		for year := range t {
			if e.State[s.one*t+year] == 0 && e.State[s.two*t+year] == 0 {
				p.found[p.splitAt+s.k*t+year] = -1
			}
		}
	}
	if e.partsOf == nil {
		return
	}
	for _, k := range e.partsOf[b] {
		side, sign := &e.parts[k].paid, -1.0
		if e.parts[k].payer.block == int32(b) {
			side, sign = &e.parts[k].payer, 1
		}
		for year := range t {
			if e.State[side.one*t+year] == 0 && e.State[side.two*t+year] == 0 {
				p.found[p.partAt+k*t+year] = sign
			}
		}
	}
}

// findPath adds what a path of unit i takes of its coordinates, times a share.
func (p *Proximal) findPath(i int, states []int16, share float64) {
	e, m, t := p.e, p.e.M, p.e.M.T
	r, y, found := &m.Rows, p.e.years, p.found
	acres := share * m.Acres[i]
	for year, k := range states {
		if c := int(m.Class[int(m.StateBase[i])+int(k)]); c >= 0 {
			found[int(r.MixHigh)+c*t+year] += acres
			found[int(r.MixLow)+c*t+year] -= acres
		}
		if k != 0 {
			continue
		}
		found[int(r.Acres)+year] += acres
		found[int(r.EvenHigh)+year] += acres
		found[int(r.EvenLow)+year] -= acres
		found[int(r.Burns)+year] += share
		found[int(r.Cost)+year] += share * m.Dollars[i]
		if s := int(e.Season[i*t+year]); s >= 0 {
			found[int(r.Days)+s*t+year] += share * m.Days[i]
		}
		if g := int(m.RefugeOf[i]); g >= 0 {
			found[int(r.Refuge)+g*t+year] += acres
		}
		for x := m.ApartOf.Start[i]; x < m.ApartOf.Start[i+1]; x++ {
			found[int(r.Apart)+int(m.ApartOf.Pair[x])*t+year] += share
		}
		for x := m.NeighborsOf.Start[i]; x < m.NeighborsOf.Start[i+1]; x++ {
			found[int(r.Neighbors)+int(m.NeighborsOf.Pair[x])*t+year] += share
		}
	}
	for _, place := range y.places[i] {
		b := &y.blocks[place.block]
		k := states[b.year]
		is := k == 0
		if b.class >= 0 {
			is = m.Class[int(m.StateBase[i])+int(k)] == b.class
		} else if b.season >= 0 {
			is = is && int(e.Season[i*t+b.year]) == b.season
		}
		if !is {
			continue
		}
		found[p.priceAt+b.first+int(place.at)] += share
		if b.class >= 0 {
			found[p.commonAt+int(place.block)] += share * b.sum.amounts[place.at]
		}
	}
}

// findYear finds what the choice of year block x takes of its coordinates.
func (p *Proximal) findYear(x int) {
	y := p.e.years
	b := &y.blocks[x]
	for u := range b.units {
		if y.take[b.first+u] == 0 {
			continue
		}
		p.found[p.priceAt+b.first+u] = -1
		if b.class >= 0 {
			p.found[p.commonAt+x] -= b.sum.amounts[u]
		}
	}
	if b.graph == nil {
		return
	}
	for s := range y.splits {
		if y.isBoth(s, b.year) {
			p.found[p.splitAt+s*p.e.M.T+b.year] = 1
		}
	}
}
