package sweep

import (
	"emberquilt/schedule/rotation/internal/bound"
	"emberquilt/schedule/rotation/internal/model"
)

// yearBase is what the fixed units do in a year.
type yearBase struct {
	// own is what they cost by themselves: overdue, keep, seasons, and neighbors
	// among them.
	own                   float64
	acres, burns, dollars float64
	days, refuge          []float64
	class                 [maxClasses]float64
	// beside holds, for each free unit, what burning costs it beside fixed
	// neighbors that burn; +Inf beside a fixed partner that it is apart from.
	beside []float64
}

// layBase adds up what the fixed units do in each year.
func (s *Sweeper) layBase() {
	m := s.m
	s.base = make([]yearBase, m.T)
	for t := range s.base {
		s.base[t] = yearBase{days: make([]float64, m.S), refuge: make([]float64, len(m.RefugeLimit)), beside: make([]float64, len(s.free))}
	}
	for i := range m.N {
		if s.bit[i] < 0 {
			s.layUnit(i)
		}
	}
	for _, p := range m.Neighbors {
		s.layPair(p, p.Cost)
	}
	for _, p := range m.Apart {
		s.layPair(p, model.Inf)
	}
}

// layUnit adds a fixed unit.
func (s *Sweeper) layUnit(i int) {
	m := s.m
	state := m.Start[i]
	for t := range m.T {
		b, at := &s.base[t], i*m.T+t
		season := s.plan[at]
		if season == model.Rest {
			state = m.Next(i, state)
			b.own += m.RestOwn[at]
		} else {
			state = 0
			b.own += m.BurnOwn[at*m.S+int(season)]
			b.acres += m.Acres[i]
			b.burns++
			b.dollars += m.Dollars[i]
			b.days[season] += m.Days[i]
			if r := m.RefugeOf[i]; r >= 0 {
				b.refuge[r] += m.Acres[i]
			}
		}
		k := int(m.StateBase[i]) + int(state)
		b.own += m.OverdueCost[k]
		if c := m.Class[k]; c >= 0 {
			b.class[c] += m.Acres[i]
		}
	}
}

// layPair adds what a pair costs in the years in which a fixed unit of it
// burns. Of an apart pair of two fixed units it says nothing: the plan keeps
// them apart.
func (s *Sweeper) layPair(p model.Pair, cost float64) {
	m := s.m
	a, b := s.bit[p.I], s.bit[p.J]
	for t := range m.T {
		i, j := s.plan[int(p.I)*m.T+t] != model.Rest, s.plan[int(p.J)*m.T+t] != model.Rest
		switch base := &s.base[t]; {
		case a < 0 && b < 0 && i && j && cost < model.Inf:
			base.own += cost
		case a < 0 && b >= 0 && i:
			base.beside[b] += cost
		case a >= 0 && b < 0 && j:
			base.beside[a] += cost
		}
	}
}

// restOf adds what a fixed unit costs at the prices along its path.
func (s *Sweeper) restOf(block *bound.CompletionBlock) {
	m, i := s.m, int(block.Units[0])
	cost := make([]float64, m.T)
	state := m.Start[i]
	for t := range m.T {
		set := 0
		if state = m.Next(i, state); s.plan[i*m.T+t] != model.Rest {
			state, set = 0, 1
		}
		cost[t] = block.YearCost(t, set, []int{int(state)})
	}
	sum := 0.0
	for t := m.T - 1; t >= 0; t-- {
		sum += cost[t]
		s.rest[t] += sum
	}
}
