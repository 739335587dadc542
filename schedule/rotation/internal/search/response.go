package search

// prepare computes, for a unit that is out, what each of its choices costs in
// each year given all units that are in: burnAt, burnIn and classAt.
func (s *state) prepare(i int) {
	T := s.T
	a := s.Acres[i]
	// 1. The cheapest season.
	for t := range s.burnAt {
		s.burnAt[t], s.burnIn[t] = inf, int64(rest)
	}
	for _, q := range s.seasons[s.seasonOff[i]:s.seasonOff[i+1]] {
		s.trySeason(i, q)
	}
	// 2. Rows of the year, evenness, pairs.
	s.charge(0, a)
	if s.hasEven {
		s.even(a)
	}
	if s.hasBurns {
		s.charge(rowBurns*T, 1)
	}
	if s.hasCost {
		s.charge(rowCost*T, s.Dollars[i])
	}
	if r := s.refugeRow(i); r >= 0 {
		s.charge(r, a)
	}
	if len(s.neighbors[i]) > 0 {
		s.add(s.near[i*T:], 1)
	}
	if len(s.apart[i]) > 0 {
		s.add(s.clash[i*T:], s.apartRate)
	}
	// 3. Classes.
	if k := int(s.MixOf[i]); k >= 0 {
		s.classes(k, a)
	}
}

// respond finds the cheapest path of the prepared unit over (year, age), with
// burnAt given apart so that a caller may add noise; it leaves it in path and
// returns its cost, +Inf when no path is left.
//
// The recurrence keeps, in one row a year, what each age at the end of that year costs
// at least up to then; the way back is read off the rows. Ages from lastAge on are
// alike. Time O(T · lastAge). Ties go to the earlier last burn.
func (s *state) respond(i int, burnAt []float64) float64 {
	last := int(s.lastAge[i])
	s.fillCosts(i, burnAt)
	row := s.costs[(s.T-1)*s.ageWide:][:last+1]
	best, g := inf, -1
	for k := last; k >= 0; k-- {
		if row[k] < best {
			best, g = row[k], k
		}
	}
	s.wayBack(i, g)
	return best
}

// fillCosts fills the rows of respond.
func (s *state) fillCosts(i int, burnAt []float64) {
	at := &s.ages[i]
	classAt := s.classAt
	if s.MixOf[i] < 0 {
		classAt = s.noClass
	}
	if s.isVector && at.wide <= vectorAges {
		respond := respondVector8
		if at.wide > vectorAges/2 {
			respond = respondVector16
		}
		respond(&s.costs[0], s.ageWide, s.T, &at.late[0], &at.lanes[0], &classAt[0], &burnAt[0], &s.RestOwn[i*s.T], &at.start[0])
		return
	}
	before := at.start
	for t := range s.T {
		row := s.costs[t*s.ageWide:][:at.wide]
		reach := inf
		for g, cost := range before {
			reach = min(reach, at.may[g]+cost)
		}
		reach += burnAt[t]
		r := s.RestOwn[i*s.T+t]
		for g := range row {
			cost := reach
			if g > 0 {
				cost = min(before[g-1], at.stay[g]+before[g]) + r
			}
			row[g] = cost + (at.late[g] + classAt[t*s.classWide+int(at.class[g])])
		}
		before = row
	}
}

// wayBack reads off the rows of respond the path on which unit i has age g at the end,
// −1 where there is none.
func (s *state) wayBack(i, g int) {
	last, m := int(s.lastAge[i]), int(s.minRest[i])
	path := s.path[:s.T]
	for t := range path {
		path[t] = rest
	}
	for t := s.T - 1; g >= 0; {
		// 1. The year of the last burn. The oldest were the oldest a year ago, or one
		// year younger.
		for g == last && t > 0 {
			t--
			if row := s.costs[t*s.ageWide:][:last+1]; row[last-1] < row[last] {
				g--
			}
		}
		if t -= g; t < 0 {
			return
		}
		path[t] = int8(s.burnIn[t])
		if t--; t < 0 {
			return
		}
		// 2. The age before it.
		row, least := s.costs[t*s.ageWide:][:last+1], inf
		g = -1
		for k := last; k >= m-1; k-- {
			if row[k] < least {
				least, g = row[k], k
			}
		}
	}
}

// pathCost is the cost of a path of the prepared unit, without noise.
func (s *state) pathCost(i int, path []int8) float64 {
	T := s.T
	sum := 0.0
	for _, year := range s.burnsOf(path) {
		t := int(year)
		sum += s.burnAt[t]
		if q, u := int(path[t]), int(s.burnIn[t]); q != u {
			sum += s.BurnOwn[(i*T+t)*s.S+q] + s.overRow((rowDays+q)*T+t, s.Days[i]) -
				s.BurnOwn[(i*T+t)*s.S+u] - s.overRow((rowDays+u)*T+t, s.Days[i])
		}
	}
	if s.hasRestCost[i] {
		for t, q := range path {
			if q < 0 {
				sum += s.RestOwn[i*T+t]
			}
		}
	}
	age, last := int(s.age0[i]), int(s.lastAge[i])
	late, class := s.ages[i].late[:last+1], s.ages[i].class[:last+1]
	classAt, wide := s.classAt, s.classWide
	if s.MixOf[i] < 0 {
		classAt = s.noClass
	}
	overdue, mix := 0.0, 0.0 // two sums, so that neither waits for the other
	for t, q := range path {
		age = min(age+1, last)
		if q >= 0 {
			age = 0
		}
		overdue += late[age]
		mix += classAt[t*wide+int(class[age])]
	}
	return sum + overdue + mix
}

// withoutNoise is what the path that respond has found costs, when it has found it at
// cost with noise on its burns.
func (s *state) withoutNoise(cost float64) float64 {
	for _, t := range s.burnsOf(s.path) {
		cost -= s.noisy[t] - s.burnAt[t]
	}
	return cost
}
