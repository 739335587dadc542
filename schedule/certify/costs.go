package certify

import "errors"

// costs holds, in whole grains, what each burn, rest and age costs under the
// prices of one leaf. Each unit has its own scale.
type costs struct {
	*frame
	scale []scale
	// size is the sum of the magnitudes of a unit's costs over all years.
	size []float64
	// season at (i·T+t)·S+s is the cost of a burn in a season whether allowed or
	// not by a decision, infinite where the problem is against it; burn at i·T+t
	// is the least of them, rest the cost of a rest.
	season, burn, rest []int64
	// overdue is the cost of a year that ends overdue; class at
	// classBase[i] + t·classes + k that of a year that ends in class k.
	overdue   []int64
	classBase []int
	class     []int64
}

var errTooLarge = errors.New("its prices are too large to add up")

// costsOf brings the prices of a leaf to whole grains.
func (f *frame) costsOf(q *priced) (*costs, error) {
	c := &costs{frame: f, scale: make([]scale, f.N), size: make([]float64, f.N),
		season: make([]int64, f.N*f.T*f.S), burn: make([]int64, f.N*f.T), rest: make([]int64, f.N*f.T),
		overdue: make([]int64, f.N), classBase: make([]int, f.N)}
	classes := 0
	for i := range f.units {
		c.classBase[i] = classes
		classes += f.classes(i) * f.T
	}
	c.class = make([]int64, classes)
	burns := make([]sum, f.T*f.S)
	for i := range f.units {
		if err := c.setUnit(i, q, burns); err != nil {
			return nil, err
		}
	}
	return c, nil
}

func (f *frame) classes(i int) int {
	if m := f.units[i].Mix; m >= 0 {
		return len(f.p.Mixes[m].Classes)
	}
	return 0
}

// setUnit forms the costs of one unit, finds the scale that holds them, and
// floors them.
func (c *costs) setUnit(i int, q *priced, burns []sum) error {
	f, u := c.frame, &c.units[i]
	size := 0.0
	late := max(0, min(f.T, u.Age+f.T+1-u.MaxInterval)) // years that may end overdue
	if late > 0 {
		size = float64(late) * u.overdue.abs
	}
	classes := f.classes(i)
	for t := range f.T {
		common := f.burnCost(i, t, q)
		most := 0.0
		for s := range f.S {
			if !f.allow[(i*f.T+t)*f.S+s] {
				continue
			}
			b := common.plus(u.season[s]).plus(q.day[s*f.T+t].times(u.BurnDays))
			if q.ownDay != nil {
				b = b.plus(q.ownDay[(i*f.T+t)*f.S+s])
			}
			burns[t*f.S+s] = b
			most = max(most, b.abs)
		}
		size += most
		if u.keepBurn[t] || f.keepRest(i, t) {
			size += u.keep.abs
		}
		most = 0
		for k := range classes {
			most = max(most, q.class[(f.rows.class[u.Mix]+k)*f.T+t].abs*u.Acres)
		}
		size += most
	}
	grain, ok := scaleOf(size)
	if !ok {
		return errTooLarge
	}
	c.scale[i], c.size[i] = grain, size
	if late > 0 {
		c.overdue[i] = grain.floor(u.overdue)
	}
	for t := range f.T {
		x := i*f.T + t
		c.burn[x] = infinite
		for s := range f.S {
			c.season[x*f.S+s] = infinite
			if f.allow[x*f.S+s] {
				b := grain.floor(burns[t*f.S+s])
				c.season[x*f.S+s] = b
				c.burn[x] = min(c.burn[x], b)
			}
		}
		switch {
		case !f.rest[x]:
			c.rest[x] = infinite
		case f.keepRest(i, t):
			c.rest[x] = grain.floor(u.keep)
		}
		for k := range classes {
			c.class[c.classBase[i]+t*classes+k] = grain.floor(q.class[(f.rows.class[u.Mix]+k)*f.T+t].times(u.Acres))
		}
	}
	return nil
}

// burnCost gives what a burn of a unit costs in a year in any season.
func (f *frame) burnCost(i, t int, q *priced) sum {
	u := &f.units[i]
	acre := q.acre[t]
	if u.Refuge >= 0 {
		acre = acre.plus(q.refuge[u.Refuge*f.T+t])
	}
	b := acre.times(u.Acres).plus(q.burn[t]).plus(q.dollar[t].times(u.Cost))
	if q.own != nil {
		b = b.plus(q.own[i*f.T+t])
	}
	if u.keepBurn[t] {
		b = b.plus(u.keep)
	}
	return b
}

// ageCost gives what it costs a unit to end year t with an age.
func (c *costs) ageCost(i, t, age int) int64 {
	u := &c.units[i]
	cost := int64(0)
	if age >= u.MaxInterval {
		cost = c.overdue[i]
	}
	if u.class != nil {
		cost += c.class[c.classBase[i]+t*c.classes(i)+u.class[min(age, u.top)]]
	}
	return cost
}

// choices says what each year costs a unit: its cheapest burn and a rest,
// infinite where a lock or a decision is against it.
type choices struct{ burn, rest []int64 }

// free gives the choices of a unit without decisions.
func (c *costs) free(i int) choices {
	return choices{c.burn[i*c.T : (i+1)*c.T], c.rest[i*c.T : (i+1)*c.T]}
}

// under gives the choices of a unit under decisions, those of other units
// being left out.
func (c *costs) under(i int, decisions []decision) choices {
	free := c.free(i)
	ch := choices{append([]int64(nil), free.burn...), append([]int64(nil), free.rest...)}
	allow := make([]bool, c.S)
	for k, d := range decisions {
		if d.unit != i || k > 0 && hasYear(decisions[:k], d) {
			continue
		}
		x := i*c.T + d.year
		copy(allow, c.allow[x*c.S:(x+1)*c.S])
		rest := c.frame.rest[x]
		for _, e := range decisions[k:] {
			if e.unit == i && e.year == d.year {
				c.decide(e, allow, &rest)
			}
		}
		ch.burn[d.year] = infinite
		for s := range c.S {
			if allow[s] {
				ch.burn[d.year] = min(ch.burn[d.year], c.season[x*c.S+s])
			}
		}
		if !rest {
			ch.rest[d.year] = infinite
		}
	}
	return ch
}

// hasYear reports whether a decision on the same unit and year is among those
// before.
func hasYear(before []decision, d decision) bool {
	for _, e := range before {
		if e.unit == d.unit && e.year == d.year {
			return true
		}
	}
	return false
}

// path gives the least cost of a unit's path through the years, infinite where
// there is none.
//
// Since its last burn a unit has an age 0 … young, of which the last stands for
// all from which nothing changes (or is reached in the last year only); or it
// has not burned yet.
func (c *costs) path(i int, ch choices) int64 {
	u := &c.units[i]
	since, next := make([]int64, u.young+1), make([]int64, u.young+1)
	for g := range since {
		since[g] = infinite
	}
	never := int64(0)
	for t := range c.T {
		before := infinite
		if ch.burn[t] < infinite && c.alone[i*c.T+t] {
			for g := max(0, u.MinInterval-1); g <= u.young; g++ {
				before = min(before, since[g])
			}
			if u.Age+t+1 >= u.MinInterval {
				before = min(before, never)
			}
		}
		for g := range next {
			next[g] = infinite
		}
		if ch.rest[t] < infinite {
			for g := 0; g <= u.young; g++ {
				if since[g] < infinite {
					to := min(g+1, u.young)
					next[to] = min(next[to], since[g]+ch.rest[t]+c.ageCost(i, t, to))
				}
			}
			if never < infinite {
				never += ch.rest[t] + c.ageCost(i, t, u.Age+t+1)
			}
		} else {
			never = infinite
		}
		if before < infinite {
			next[0] = before + ch.burn[t] + c.ageCost(i, t, 0)
		}
		since, next = next, since
	}
	best := never
	for _, cost := range since {
		best = min(best, cost)
	}
	return best
}
