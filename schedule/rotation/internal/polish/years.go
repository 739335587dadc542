package polish

import (
	"math"

	"emberquilt/schedule/rotation/internal/model"
)

// YearPairs improves a plan two years at a time, where nothing but the acres of a year
// couples units: all units choose anew in which of the two they burn, by a program over
// cells of the acres of both. A cell keeps the cheapest of the sets that come to it,
// with its acres as they are, so that what it gives meets the caps; it need not be the
// best there is, and cells of other sizes find others.
type YearPairs struct {
	m *model.Model
	// turn counts tries; idle those since the last that found something, or since a
	// plan with another cost than cost came.
	turn, idle int
	cost       float64
	now, next  []yearCell
	back       [][]yearBack
	path       []int8
}

type yearCell struct{ value, first, second float64 }

type yearBack struct {
	from int32
	how  int8
}

const (
	// Cells of an axis vary by turn from leastCells on; moreCells is how many more.
	leastCells, moreCells = 50, 40
	// mostPairUnits bounds the memory, cellWork is what a choice at a cell takes, in
	// nanoseconds, idlePasses how many passes over all pairs may find nothing.
	mostPairUnits = 500
	cellWork      = 14
	idlePasses    = 3
)

// distances are how far apart the two years are. Next years trade what is late, those
// an interval apart the places of units.
var distances = [...]int{1, 4, 5}

// NewYearPairs gives nil for problems that have more in a year than acres, several
// seasons or too many units.
func NewYearPairs(m *model.Model) *YearPairs {
	if !m.IsLoose() || m.S != 1 || m.N > mostPairUnits || m.T < 2 {
		return nil
	}
	for t := range m.Limit {
		l := &m.Limit[t]
		if math.IsInf(l.Acres, 1) || l.Acres <= 0 || !math.IsInf(l.Burns, 1) || !math.IsInf(l.Cost, 1) || !math.IsInf(l.Days[0], 1) {
			return nil
		}
	}
	most := leastCells + moreCells
	p := &YearPairs{m: m, now: make([]yearCell, most*most), next: make([]yearCell, most*most), path: make([]int8, m.T)}
	for range m.N {
		p.back = append(p.back, make([]yearBack, most*most))
	}
	return p
}

// Work estimates what a try takes, in nanoseconds.
func (p *YearPairs) Work() float64 {
	const cells = leastCells + moreCells/2
	return cellWork * 4 * cells * cells * float64(p.m.N)
}

// IsDone reports whether all pairs have been tried in vain for a plan of that cost.
func (p *YearPairs) IsDone(cost float64) bool {
	return cost == p.cost && p.idle > idlePasses*len(distances)*p.m.T
}

// Run makes so many tries and gives a better plan, nil where it found none.
func (p *YearPairs) Run(plan model.Plan, cost float64, tries int) model.Plan {
	if cost != p.cost {
		p.cost, p.idle = cost, 0
	}
	var better model.Plan
	for range tries {
		d := distances[p.turn/p.m.T%len(distances)]
		t := p.turn % p.m.T
		p.turn++
		p.idle++
		if t+d >= p.m.T {
			continue
		}
		next := p.try(plan, t, t+d)
		if next == nil {
			continue
		}
		if e := p.m.Evaluate(next); e.Feasible && e.Cost < p.cost-1e-6 {
			plan, better, p.cost, p.idle = next, next, e.Cost, 0
		}
	}
	return better
}

// alone is what a unit's path costs by itself, +Inf where it is not allowed.
func (p *YearPairs) alone(i int, path []int8) float64 {
	m := p.m
	k, base, sum := int(m.Start[i]), int(m.StateBase[i]), 0.0
	for t, season := range path {
		if season < 0 {
			k = min(k+1, int(m.K[i])-1)
			sum += m.RestOwn[i*m.T+t]
		} else {
			if !m.CanBurn[base+k] {
				return model.Inf
			}
			k = 0
			sum += m.BurnOwn[i*m.T+t]
		}
		sum += m.OverdueCost[base+k]
	}
	return sum
}

func (p *YearPairs) even(acres float64) float64 {
	return p.m.Problem.Weights.Evenness * (max(0, p.m.EvenLo-acres) + max(0, acres-p.m.EvenHi))
}

// choices gives what a unit costs without a burn in the two years, with one in the
// first, in the second, and in both.
func (p *YearPairs) choices(plan model.Plan, i, t, u int) (cost [4]float64) {
	copy(p.path, plan[i*p.m.T:])
	for how := range cost {
		p.path[t], p.path[u] = season(how&1), season(how>>1)
		cost[how] = p.alone(i, p.path)
	}
	return cost
}

func season(burns int) int8 {
	if burns == 1 {
		return 0
	}
	return model.Rest
}

func (p *YearPairs) try(plan model.Plan, t, u int) model.Plan {
	m := p.m
	n := leastCells + 37*p.turn%moreCells
	width, wide := m.Limit[t].Acres/float64(n-1), m.Limit[u].Acres/float64(n-1)
	now, next := p.now[:n*n], p.next[:n*n]
	for k := range now {
		now[k].value = model.Inf
	}
	now[0] = yearCell{}
	before, first, second := 0.0, 0.0, 0.0
	for i := range m.N {
		acres := m.Acres[i]
		cost := p.choices(plan, i, t, u)
		is := 0
		if plan[i*m.T+t] >= 0 {
			is, first = 1, first+acres
		}
		if plan[i*m.T+u] >= 0 {
			is, second = is+2, second+acres
		}
		before += cost[is]
		for k := range next {
			next[k].value = model.Inf
		}
		for k, x := range now {
			if math.IsInf(x.value, 1) {
				continue
			}
			for how, c := range cost {
				y := yearCell{x.value + c, x.first + float64(how&1)*acres, x.second + float64(how>>1)*acres}
				if math.IsInf(c, 1) || y.first > m.Limit[t].Acres || y.second > m.Limit[u].Acres {
					continue
				}
				at := int(y.first/width)*n + int(y.second/wide)
				o := &next[at]
				if y.value < o.value-1e-9 || y.value < o.value+1e-9 && y.first+y.second < o.first+o.second {
					*o = y
					p.back[i][at] = yearBack{int32(k), int8(how)}
				}
			}
		}
		now, next = next, now
	}
	best, at := before+p.even(first)+p.even(second)-1e-6, -1
	for k, x := range now {
		if c := x.value + p.even(x.first) + p.even(x.second); c < best {
			best, at = c, k
		}
	}
	if at < 0 {
		return nil
	}
	out := append(model.Plan(nil), plan...)
	for i := m.N - 1; i >= 0; i-- {
		b := p.back[i][at]
		out[i*m.T+t], out[i*m.T+u] = season(int(b.how&1)), season(int(b.how>>1))
		at = int(b.from)
	}
	return out
}
