package certify

import (
	"cmp"
	"errors"
	"math"
	"slices"
)

// sweepPart is a block, or one unit, within a sweep: its joint ages are numbered
// Σ age·stride.
type sweepPart struct {
	units  []int
	stride []int
	size   int
	// pay[t] holds, for each set of the part's units by position, the neighbors
	// that it pays, infinite where burning the set surely breaks a requirement.
	pay [][]int64
	// burn at u·T+t and rest are what a year costs at the prices, age at
	// (u·T+t)·(top+1)+age what its end does.
	burn, rest []int64
	age        [][]int64
	// toGo[t][state] is the least cost at the prices of years t … T−1.
	toGo  [][]int64
	known map[int][]option
	// mix is what the mixes that the block pays cost in each state, nil for none.
	mix []int64
}

// option is one way of a part through a year.
type option struct {
	priced, own, toGo     int64
	acres, burns, dollars float64
	set                   uint32
	to                    []uint8
	class                 []int64
}

func (s *sweeper) addPart(units []int, b *block) error {
	p := sweepPart{units: units, size: 1}
	for _, i := range units {
		p.stride = append(p.stride, p.size)
		if p.size *= s.units[i].top + 1; p.size > blockStates {
			return errors.New("it has too many joint ages to sweep")
		}
		width := s.units[i].top + 1
		age := make([]int64, s.T*width)
		for t := range s.T {
			for g := range width {
				age[t*width+g] = s.own[i].ageCost(&s.units[i], t, g)
			}
		}
		p.burn, p.rest = append(p.burn, s.own[i].burn...), append(p.rest, s.own[i].rest...)
		p.age = append(p.age, age)
	}
	if work := float64(p.size) * math.Ldexp(1, len(units)) * float64(s.T); work > blockWork {
		return errors.New("it needs too much work to sweep")
	}
	p.pay = make([][]int64, s.T)
	for t := range p.pay {
		p.pay[t] = make([]int64, 1<<len(units))
		for set := range p.pay[t] {
			p.pay[t][set] = s.payOf(&p, b, t, set)
		}
	}
	if b != nil && len(b.mixes) > 0 {
		p.mix = s.mixCosts(&p, b)
	}
	p.toGo = make([][]int64, s.T+1)
	p.toGo[s.T] = make([]int64, p.size)
	to := make([]uint8, len(units))
	for t := s.T - 1; t >= 0; t-- {
		p.toGo[t] = make([]int64, p.size)
		for state := range p.toGo[t] {
			least := infinite
			for set := range 1 << len(units) {
				if cost, at, ok := p.through(s, t, state, set, to); ok && p.toGo[t+1][at] < infinite {
					least = min(least, cost+p.toGo[t+1][at])
				}
			}
			p.toGo[t][state] = least
		}
	}
	s.parts = append(s.parts, p)
	return nil
}

// mixCosts gives what the mixes that a block pays cost in each of its states.
func (s *sweeper) mixCosts(p *sweepPart, b *block) []int64 {
	costs, acres := make([]int64, p.size), make([]int64, len(s.mixes))
	for state := range costs {
		clear(acres)
		for u, i := range p.units {
			if unit := &s.units[i]; slices.Contains(b.mixes, unit.Mix) {
				c := s.rows.class[unit.Mix] + unit.class[state/p.stride[u]%(unit.top+1)]
				acres[c] += s.mixes[c].acres[i]
			}
		}
		for _, x := range b.mixes {
			for c := range s.p.Mixes[x].Classes {
				c += s.rows.class[x]
				costs[state] = min(s.cap, costs[state]+s.mixes[c].cost(acres[c], s.grain))
			}
		}
	}
	return costs
}

// payOf gives what burning a set of a part's units in one year costs within the
// part, infinite where it surely breaks a requirement.
func (s *sweeper) payOf(p *sweepPart, b *block, t, set int) int64 {
	var acres, burns, dollars float64
	group := map[int]float64{}
	for u, i := range p.units {
		if set>>u&1 == 0 {
			continue
		}
		if b != nil && b.apart[u]&uint32(set) != 0 {
			return infinite
		}
		unit := &s.units[i]
		acres, burns, dollars = acres+unit.Acres, burns+1, dollars+unit.Cost
		if unit.Refuge >= 0 {
			group[unit.Refuge] += unit.Acres
		}
	}
	l := &s.limits[t]
	if passes(acres, l.acres) || passes(burns, l.burns) || passes(dollars, l.cost) {
		return infinite
	}
	for r, sum := range group {
		if passes(sum, s.refuge[r]) {
			return infinite
		}
	}
	cost := int64(0)
	if b != nil {
		for _, pay := range b.pays {
			if set>>pay.first&1 == 1 && set>>pay.second&1 == 1 {
				cost = min(s.cap, cost+s.floor(pay.in(t)))
			}
		}
	}
	return cost
}

// through takes a part from a state through a year in which a set of its units
// burns: the cost at the prices, the state after, and the ages after in to. ok
// is false where that is not allowed.
func (p *sweepPart) through(s *sweeper, t, state, set int, to []uint8) (cost int64, at int, ok bool) {
	if cost = p.pay[t][set]; cost >= infinite {
		return 0, 0, false
	}
	for u, i := range p.units {
		width := s.units[i].top + 1
		age := state / p.stride[u] % width
		year := p.rest[u*s.T+t]
		if set>>u&1 == 1 {
			year = p.burn[u*s.T+t]
			if age+1 < s.units[i].MinInterval && age < s.units[i].top {
				return 0, 0, false
			}
			age = 0
		} else {
			age = min(age+1, s.units[i].top)
		}
		if year >= infinite {
			return 0, 0, false
		}
		cost += year + p.age[u][t*width+age]
		at += age * p.stride[u]
		to[u] = uint8(age)
	}
	if p.mix != nil {
		cost += p.mix[at]
	}
	return cost, at, true
}

// options lists the ways of a part from its ages, the cheapest at the prices
// first.
func (p *sweepPart) options(s *sweeper, from *ages) []option {
	state := 0
	for u, i := range p.units {
		state += int(from[i]) * p.stride[u]
	}
	if list, known := p.known[state]; known {
		return list
	}
	var list []option
	for set := range 1 << len(p.units) {
		to := make([]uint8, len(p.units))
		cost, at, ok := p.through(s, s.year, state, set, to)
		if !ok || p.toGo[s.year+1][at] >= infinite {
			continue
		}
		o := option{toGo: p.toGo[s.year+1][at], to: to, class: make([]int64, len(s.mixes))}
		o.priced = cost + o.toGo
		for u, i := range p.units {
			p.gather(s, i, int(to[u]), set>>u&1 == 1, &o)
		}
		list = append(list, o)
	}
	slices.SortStableFunc(list, func(x, y option) int { return cmp.Compare(x.priced, y.priced) })
	p.known[state] = list
	return list
}

// gather adds what is a unit's own in a year.
func (p *sweepPart) gather(s *sweeper, i, age int, burns bool, o *option) {
	u := &s.units[i]
	if burns {
		o.acres, o.burns, o.dollars = o.acres+u.Acres, o.burns+1, o.dollars+u.Cost
		o.set |= 1 << i
	} else if s.keepRest(i, s.year) {
		o.own += s.floor(u.keep)
	}
	if age >= u.MaxInterval {
		o.own += s.floor(u.lateCost(min(age-u.MaxInterval, u.steps)))
	}
	if u.class != nil {
		c := s.rows.class[u.Mix] + u.class[age]
		o.class[c] += s.mixes[c].acres[i]
	}
}
