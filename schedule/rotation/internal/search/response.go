package search

// prepare computes, for a unit that is out, what each of its choices costs in
// each year given all units that are in: burnAt, burnIn, restAt, classAt.
func (s *state) prepare(i int) {
	T := s.T
	a := s.Acres[i]
	cost, days := s.Dollars[i], s.Days[i]
	burnAt, burnIn, restAt := s.burnAt[:T], s.burnIn[:T], s.restAt[:T]
	sumAcres, acresMax := s.sumAcres[:T], s.acresMax[:T]
	sumBurns, burnsMax := s.sumBurns[:T], s.burnsMax[:T]
	sumCost, costMax := s.sumCost[:T], s.costMax[:T]
	near, clash := s.near[i*T:][:T], s.clash[i*T:][:T]
	own, S := s.BurnOwn[i*T*s.S:][:T*s.S], s.S
	copy(restAt, s.RestOwn[i*T:][:T])
	refuge, refugeMax := s.zero[:T], inf
	if r := int(s.RefugeOf[i]); r >= 0 {
		refuge, refugeMax = s.sumRefuge[r*T:][:T], s.refugeMax[r]
	}
	for t := range T {
		x := sumAcres[t]
		best, in := inf, rest
		for q, c := range own[t*S:][:S] {
			if c += s.pDays * over(s.sumDays[q*T+t], days, s.daysMax[q*T+t]); c < best {
				best, in = c, int8(q)
			}
		}
		if in < 0 {
			burnAt[t] = inf
			continue
		}
		best += s.pAcres*(over(x, a, acresMax[t])+over(refuge[t], a, refugeMax)) + s.pBurns*over(sumBurns[t], 1, burnsMax[t]) +
			s.pCost*over(sumCost[t], cost, costMax[t]) + s.pApart*clash[t]
		burnIn[t] = in
		burnAt[t] = best + near[t] + s.wEven*(max(0, s.evenLo-x-a)+max(0, x+a-s.evenHi)-max(0, s.evenLo-x)-max(0, x-s.evenHi))
	}
	if k := int(s.MixOf[i]); k >= 0 {
		first, end := int(s.mixFirst[k]), int(s.mixFirst[k+1])
		for c := first; c < end; c++ {
			lo, hi := s.Classes[c].Lo, s.Classes[c].Hi
			sum := s.sumClass[c*T:][:T]
			out := s.classAt[(c-first)*T:][:T]
			for t, x := range sum {
				y := x + a
				out[t] = s.wMix * (max(0, lo-y) + max(0, y-hi) - max(0, lo-x) - max(0, x-hi))
			}
		}
	}
}

// respond finds the cheapest path of the prepared unit over (year, age), with
// burnAt given apart so that a caller may add noise; it leaves it in path and
// returns its cost, +Inf when no path is left.
//
// The recurrence runs over the year of the last burn: birth[p] is the least
// cost up to now when the last burn was in year p. Ages from lastAge on are
// alike and share one entry, old. Time O(T · lastAge). Ties go to the earlier
// last burn.
func (s *state) respond(i int, burnAt []float64) float64 {
	T := s.T
	last, m, M := int(s.lastAge[i]), int(s.minRest[i]), int(s.maxRest[i])
	over := s.overdue[i]
	birth, from, restAt := s.birth[:T], s.from[:T], s.restAt[:T]
	burnAt = burnAt[:T]
	var classOf []int32
	var row0 int32
	if s.MixOf[i] >= 0 {
		classOf = s.classOf[s.classOff[i]:][:last+1]
		row0 = classOf[0]
	}
	classAt := s.classAt
	// first is the state without a burn so far, at age; it merges into old.
	const none = -1
	first, age := 0.0, int(s.age0[i])
	old, oldFrom := inf, int32(none)
	for t := range T {
		// 1. The best state from which to burn in year t: age before + 1 ≥ m.
		reach, at := inf, int32(none)
		if burnAt[t] < inf {
			if age+1 >= m {
				reach = first
			}
			if old < reach {
				reach, at = old, oldFrom
			}
			for p := max(0, t-last); p <= t-m; p++ {
				if birth[p] < reach {
					reach, at = birth[p], int32(p)
				}
			}
			reach += burnAt[t]
		}
		// 2. Everyone else rests and grows a year older.
		r := restAt[t]
		if age < last {
			age++
		}
		cost := r
		if age >= M {
			cost += over
		}
		if classOf != nil {
			cost += classAt[int(classOf[age]-row0)*T+t]
		}
		first += cost
		oldest := r
		if last >= M {
			oldest += over
		}
		if classOf != nil {
			oldest += classAt[int(classOf[last]-row0)*T+t]
		}
		if p := t - last; p >= 0 && birth[p] < old {
			old, oldFrom = birth[p], int32(p)
		}
		old += oldest
		for p := max(0, t-last+1); p < t; p++ {
			g := t - p
			c := r
			if g >= M {
				c += over
			}
			if classOf != nil {
				c += classAt[int(classOf[g]-row0)*T+t]
			}
			birth[p] += c
		}
		// 3. The burn.
		if classOf != nil {
			reach += classAt[t]
		}
		birth[t], from[t] = reach, at
	}
	// 4. The cheapest end, and the way back.
	best, at := first, int32(none)
	if old < best {
		best, at = old, oldFrom
	}
	for p := max(0, T-last); p < T; p++ {
		if birth[p] < best {
			best, at = birth[p], int32(p)
		}
	}
	path := s.path[:T]
	for t := range path {
		path[t] = rest
	}
	for ; at >= 0; at = from[at] {
		path[at] = s.burnIn[at]
	}
	return best
}

// pathCost is the cost of a path of the prepared unit, without noise.
func (s *state) pathCost(i int, path []int8) float64 {
	T := s.T
	age, last, M := s.age0[i], s.lastAge[i], s.maxRest[i]
	var classOf []int32
	var row0 int32
	if s.MixOf[i] >= 0 {
		classOf = s.classOf[s.classOff[i]:]
		row0 = classOf[0]
	}
	sum := 0.0
	for t, q := range path {
		if age < last {
			age++
		}
		if q >= 0 {
			age = 0
			sum += s.burnAt[t]
			if u := s.burnIn[t]; q != u {
				sum += s.BurnOwn[(i*T+t)*s.S+int(q)] + s.pDays*over(s.sumDays[int(q)*T+t], s.Days[i], s.daysMax[int(q)*T+t]) -
					s.BurnOwn[(i*T+t)*s.S+int(u)] - s.pDays*over(s.sumDays[int(u)*T+t], s.Days[i], s.daysMax[int(u)*T+t])
			}
		} else {
			sum += s.restAt[t]
		}
		if age >= M {
			sum += s.overdue[i]
		}
		if classOf != nil {
			sum += s.classAt[int(classOf[age]-row0)*T+t]
		}
	}
	return sum
}
