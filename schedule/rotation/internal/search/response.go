package search

// prepare computes, for a unit that is out, what each of its choices costs in
// each year given all units that are in: burnAt, burnIn and classAt.
func (s *state) prepare(i int) {
	T, S := s.T, s.S
	a, days := s.Acres[i], s.Days[i]
	burnAt, burnIn := s.burnAt[:T], s.burnIn[:T]
	// 1. The cheapest season.
	for t := range T {
		burnAt[t], burnIn[t] = inf, rest
	}
	for _, q := range s.seasons[s.seasonOff[i]:s.seasonOff[i+1]] {
		row := (rowDays + int(q)) * T
		used, limit, rate, low := s.used[row:][:T], s.limit[row:][:T], s.rate[row:][:T], s.low[row:][:T]
		own := s.burnOwn[(i*S+int(q))*T:][:T]
		for t, c := range own {
			c += low[t] * days
			if y := used[t] + days - limit[t]; y > 0 {
				c += rate[t] * min(y, days)
			}
			if c < burnAt[t] {
				burnAt[t], burnIn[t] = c, q
			}
		}
	}
	// 2. Rows of the year, evenness, pairs.
	near := s.near[i*T:][:T]
	used, limit, rate, low := s.used[:T], s.limit[:T], s.rate[:T], s.low[:T]
	wEven, evenLo, evenHi := s.wEven, s.evenLo, s.evenHi
	for t := range T {
		x := used[t]
		c := near[t] + low[t]*a
		if y := x + a - limit[t]; y > 0 {
			c += rate[t] * min(y, a)
		}
		if y := x + a - evenHi; y > 0 {
			c += wEven * min(y, a)
		}
		if y := evenLo - x; y > 0 {
			c -= wEven * min(y, a)
		}
		burnAt[t] += c
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
	if len(s.apart[i]) > 0 {
		for t, c := range s.clash[i*T:][:T] {
			burnAt[t] += s.apartRate * c
		}
	}
	// 3. Classes.
	if k := int(s.MixOf[i]); k >= 0 {
		first, end := int(s.mixFirst[k]), int(s.mixFirst[k+1])
		wMix := s.wMix
		for c := first; c < end; c++ {
			lo, hi := s.Classes[c].Lo, s.Classes[c].Hi-a
			out := s.classAt[(c-first)*T:][:T]
			for t, x := range s.sumClass[c*T:][:T] {
				d := 0.0
				if x > hi {
					d = min(x-hi, a)
				}
				if x < lo {
					d -= min(lo-x, a)
				}
				out[t] = wMix * d
			}
		}
	}
}

// charge adds to burnAt what a burn that takes a of a row costs in penalties.
func (s *state) charge(row int, a float64) {
	T := s.T
	used, limit, rate, low := s.used[row:][:T], s.limit[row:][:T], s.rate[row:][:T], s.low[row:][:T]
	burnAt := s.burnAt[:T]
	for t := range T {
		c := low[t] * a
		if y := used[t] + a - limit[t]; y > 0 {
			c += rate[t] * min(y, a)
		}
		burnAt[t] += c
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
	last, m := int(s.lastAge[i]), int(s.minRest[i])
	late := s.lateCosts(i)[:last+1]
	birth, from, restAt := s.birth[:T], s.from[:T], s.RestOwn[i*T:][:T]
	burnAt = burnAt[:T]
	var classOf []int32
	var row0 int32
	if s.MixOf[i] >= 0 {
		classOf = s.classOf[s.classOff[i]:][:last+1]
		row0 = classOf[0]
	}
	classAt := s.classAt
	// first is the state without a burn so far, at age.
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
		cost := r + late[age]
		if classOf != nil {
			cost += classAt[int(classOf[age]-row0)*T+t]
		}
		first += cost
		oldest := r + late[last]
		if classOf != nil {
			oldest += classAt[int(classOf[last]-row0)*T+t]
		}
		if p := t - last; p >= 0 && birth[p] < old {
			old, oldFrom = birth[p], int32(p)
		}
		old += oldest
		for p := max(0, t-last+1); p < t; p++ {
			g := t - p
			c := r + late[g]
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
	age, last, late := s.age0[i], s.lastAge[i], s.lateCosts(i)
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
				sum += s.BurnOwn[(i*T+t)*s.S+int(q)] + s.overRow((rowDays+int(q))*T+t, s.Days[i]) -
					s.BurnOwn[(i*T+t)*s.S+int(u)] - s.overRow((rowDays+int(u))*T+t, s.Days[i])
			}
		} else {
			sum += s.RestOwn[i*T+t]
		}
		sum += late[age]
		if classOf != nil {
			sum += s.classAt[int(classOf[age]-row0)*T+t]
		}
	}
	return sum
}
