package certify

import (
	"math"
	"math/bits"
)

// band is one age class of a mix with its wanted acres, in whole grains of its
// own scale: acres of each unit floored, so that the true acres of any set lie
// between their sum and that sum with one grain more for each unit.
type band struct {
	weight float64
	acre   scale
	acres  []int64
	lo, hi int64 // floored; the true ends are below one grain more
	slack  int64
}

// bands makes the bands of all classes, in the order of rowIndex.class.
func (s *frame) bands() []band {
	var all []band
	for m := range s.p.Mixes {
		for k := range s.p.Mixes[m].Classes {
			class := &s.p.Mixes[m].Classes[k]
			total := s.mixAcres[m].float()
			acre, _ := scaleOf(4*total + 1)
			b := band{weight: s.p.Weights.Mix, acre: acre, acres: make([]int64, s.N)}
			for i := range s.units {
				if s.units[i].Mix == m {
					b.acres[i] = acre.floor(of(s.units[i].Acres))
				}
			}
			b.lo, b.hi = acre.floor(s.mixAcres[m].times(class.MinShare)), acre.floor(s.mixAcres[m].times(class.MaxShare))
			// Each floor takes off fewer than three grains.
			b.slack = 3 * int64(s.N+1)
			all = append(all, b)
		}
	}
	return all
}

// cost gives at most what the acres in the class cost; sum is that of the
// floored acres.
func (b *band) cost(sum int64, grain scale) int64 {
	off := max(b.lo-sum-b.slack, sum-b.hi-b.slack)
	if off <= 0 {
		return 0
	}
	return downward(math.Ldexp(float64(off), -int(b.acre)), b.weight, grain)
}

// downward gives at most x·y in whole grains, for x and y of 0 or more.
func downward(x, y float64, grain scale) int64 {
	v := min(0x1p61, math.Ldexp(x*y*(1-0x1p-48), int(grain))) // larger ones are capped anyway
	return max(0, int64(math.Floor(v))-1)
}

// setCosts gives what a set of burning units costs in a year beyond what the
// parts carry: seasons, keep, neighbors, evenness.
type setCosts struct {
	s         *sweeper
	decisions []decision
	year      int
	known     map[uint32]int64
	apart     []uint32
	group     []uint32
	// season at i·S+s is what a burn in the year costs, infinite where it is not
	// allowed.
	season []int64
}

func newSetCosts(s *sweeper, decisions []decision) *setCosts {
	c := &setCosts{s: s, decisions: decisions, apart: make([]uint32, s.N), group: make([]uint32, len(s.refuge)), season: make([]int64, s.N*s.S)}
	for i := range s.units {
		for _, j := range s.apartOf[i] {
			c.apart[i] |= 1 << j
		}
		if r := s.units[i].Refuge; r >= 0 {
			c.group[r] |= 1 << i
		}
	}
	return c
}

func (c *setCosts) begin(t int) {
	s := c.s
	c.year, c.known = t, map[uint32]int64{}
	for i := range s.units {
		x := i*s.T + t
		allow := append([]bool(nil), s.allow[x*s.S:(x+1)*s.S]...)
		rest := true
		for _, d := range c.decisions {
			if d.unit == i && d.year == t {
				s.decide(d, allow, &rest)
			}
		}
		for q := range s.S {
			c.season[i*s.S+q] = infinite
			if allow[q] && s.alone[x] {
				c.season[i*s.S+q] = s.floor(s.units[i].season[q])
				if s.units[i].keepBurn[t] {
					c.season[i*s.S+q] += s.floor(s.units[i].keep)
				}
			}
		}
	}
}

func (c *setCosts) of(set uint32) int64 {
	cost, known := c.known[set]
	if !known {
		cost = c.find(set)
		c.known[set] = cost
	}
	return cost
}

func (c *setCosts) find(set uint32) int64 {
	s := c.s
	var acres, burns, dollars float64
	var units []int
	for rest := set; rest != 0; rest &= rest - 1 {
		i := bits.TrailingZeros32(rest)
		if c.apart[i]&set != 0 {
			return infinite
		}
		units = append(units, i)
		acres, burns, dollars = acres+s.units[i].Acres, burns+1, dollars+s.units[i].Cost
	}
	l := &s.limits[c.year]
	if passes(acres, l.acres) || passes(burns, l.burns) || passes(dollars, l.cost) {
		return infinite
	}
	for r, members := range c.group {
		sum := 0.0
		for rest := set & members; rest != 0; rest &= rest - 1 {
			sum += s.units[bits.TrailingZeros32(rest)].Acres
		}
		if passes(sum, s.refuge[r]) {
			return infinite
		}
	}
	cost := c.seasons(units, make([]float64, s.S))
	if cost >= infinite {
		return infinite
	}
	for _, pair := range s.p.Neighbors {
		if set>>pair[0]&1 == 1 && set>>pair[1]&1 == 1 {
			cost = min(s.cap, cost+s.floor(product(s.p.Weights.Neighbors, s.smaller(pair))))
		}
	}
	return cost + min(s.cap, c.evenness(acres))
}

// evenness gives at most what the acres burned in the year cost. The float sum
// of at most 32 acres errs by less than 2⁻⁴⁷ of it.
func (c *setCosts) evenness(acres float64) int64 {
	p := c.s.p
	off := 0.0
	if lo := p.EvenLo; !math.IsInf(lo, -1) {
		off = lo - acres - 0x1p-46*(math.Abs(lo)+acres)
	}
	if hi := p.EvenHi; !math.IsInf(hi, 1) {
		off = max(off, acres-hi-0x1p-46*(math.Abs(hi)+acres))
	}
	if off <= 0 {
		return 0
	}
	return downward(off, p.Weights.Evenness, c.s.grain)
}

// seasons finds the cheapest seasons of the units within the burn days, by
// going through them all; infinite where none fit.
func (c *setCosts) seasons(units []int, days []float64) int64 {
	if len(units) == 0 {
		return 0
	}
	s, i := c.s, units[0]
	best := infinite
	for q := range s.S {
		own := c.season[i*s.S+q]
		if own >= best || passes(days[q]+s.units[i].BurnDays, s.limits[c.year].days[q]) {
			continue
		}
		before := days[q]
		days[q] += s.units[i].BurnDays
		if rest := c.seasons(units[1:], days); rest < infinite {
			best = min(best, own+rest)
		}
		days[q] = before
	}
	return best
}
