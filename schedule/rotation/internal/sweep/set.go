package sweep

import (
	"math"
	"math/bits"

	"emberquilt/schedule/rotation/internal/model"
)

// setCosts knows what a set of free units that burn costs in a year, beside the
// fixed ones that do: its seasons and keep, neighbors and evenness; +Inf where
// it breaks a requirement. Units go by their places among the free ones.
type setCosts struct {
	s     *Sweeper
	m     *model.Model
	t     int
	known map[uint32]float64
	// apart holds the partners of each unit among the free, refuge the members
	// of each group, near the neighbor pairs among the free.
	apart  []uint32
	refuge []uint32
	near   []model.Pair
	// Of the packing into seasons.
	units  []int
	days   []float64
	chosen []int8
	best   []int8
	least  []float64 // sum of the cheapest seasons of the units from x on
	lowest float64
}

func newSetCosts(s *Sweeper) setCosts {
	m := s.m
	c := setCosts{s: s, m: m, t: -1, apart: make([]uint32, len(s.free)), refuge: make([]uint32, len(m.RefugeLimit)), days: make([]float64, m.S)}
	for _, p := range m.Apart {
		if a, b := s.bit[p.I], s.bit[p.J]; a >= 0 && b >= 0 {
			c.apart[a] |= 1 << b
		}
	}
	for _, p := range m.Neighbors {
		if a, b := s.bit[p.I], s.bit[p.J]; a >= 0 && b >= 0 {
			c.near = append(c.near, model.Pair{I: int32(a), J: int32(b), Cost: p.Cost})
		}
	}
	for x, i := range s.free {
		if r := m.RefugeOf[i]; r >= 0 {
			c.refuge[r] |= 1 << x
		}
	}
	return c
}

// begin turns to a year and forgets the sets of another.
func (c *setCosts) begin(t int) {
	if c.t != t {
		c.t, c.known = t, make(map[uint32]float64)
	}
}

// of gives the cost of a set.
func (c *setCosts) of(set uint32) float64 {
	cost, ok := c.known[set]
	if !ok {
		cost = c.compute(set)
		c.known[set] = cost
	}
	return cost
}

func (c *setCosts) compute(set uint32) float64 {
	m, base := c.m, &c.s.base[c.t]
	acres, burns, dollars, pairs := base.acres, base.burns, base.dollars, 0.0
	for rest := set; rest != 0; rest &= rest - 1 {
		x := bits.TrailingZeros32(rest)
		if c.apart[x]&set != 0 || math.IsInf(base.beside[x], 1) {
			return model.Inf
		}
		i := c.s.free[x]
		acres += m.Acres[i]
		burns++
		dollars += m.Dollars[i]
		pairs += base.beside[x]
	}
	l := &m.Limit[c.t]
	if acres > l.Acres || burns > l.Burns || dollars > l.Cost {
		return model.Inf
	}
	for r, members := range c.refuge {
		sum := base.refuge[r]
		for rest := set & members; rest != 0; rest &= rest - 1 {
			sum += m.Acres[c.s.free[bits.TrailingZeros32(rest)]]
		}
		if set&members != 0 && sum > m.RefugeLimit[r] {
			return model.Inf
		}
	}
	for _, p := range c.near {
		if set>>p.I&1 == 1 && set>>p.J&1 == 1 {
			pairs += p.Cost
		}
	}
	even := m.Problem.Weights.Evenness * (math.Max(0, m.EvenLo-acres) + math.Max(0, acres-m.EvenHi))
	if c.pack(set) == nil {
		return model.Inf
	}
	return pairs + even + c.lowest
}

// pack finds the cheapest seasons of a set within the burn days, exactly: unit
// by unit, cut where the cheapest seasons of the rest cannot beat the best so
// far. It gives nil where none fit; the cost is in lowest.
func (c *setCosts) pack(set uint32) []int8 {
	m := c.m
	c.units = c.units[:0]
	for rest := set; rest != 0; rest &= rest - 1 {
		c.units = append(c.units, int(c.s.free[bits.TrailingZeros32(rest)]))
	}
	n := len(c.units)
	for len(c.chosen) < n+1 {
		c.chosen, c.best, c.least = append(c.chosen, 0), append(c.best, 0), append(c.least, 0)
	}
	c.least = c.least[:n+1]
	c.least[n] = 0
	for x := n - 1; x >= 0; x-- {
		low := model.Inf
		for s := range m.S {
			low = math.Min(low, m.BurnOwn[(c.units[x]*m.T+c.t)*m.S+s])
		}
		c.least[x] = c.least[x+1] + low
	}
	copy(c.days, c.s.base[c.t].days)
	c.lowest = model.Inf
	c.place(0, 0)
	c.least = c.least[:cap(c.least)]
	if math.IsInf(c.lowest, 1) {
		return nil
	}
	return c.best[:n]
}

func (c *setCosts) place(x int, cost float64) {
	if cost+c.least[x] >= c.lowest {
		return
	}
	if x == len(c.units) {
		c.lowest = cost
		copy(c.best, c.chosen[:x])
		return
	}
	m, i := c.m, c.units[x]
	for s := range m.S {
		own := m.BurnOwn[(i*m.T+c.t)*m.S+s]
		if math.IsInf(own, 1) || c.days[s]+m.Days[i] > m.Limit[c.t].Days[s] {
			continue
		}
		before := c.days[s]
		c.days[s] += m.Days[i]
		c.chosen[x] = int8(s)
		c.place(x+1, cost+own)
		c.days[s] = before
	}
}
