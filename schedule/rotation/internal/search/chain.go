package search

// chain sends one unit onto another path and lets the units that this hits
// answer, one after the other, until the whole is good enough for the
// temperature; if it never is, everything goes back.
func (x *Searcher) chain(tau float64) {
	s := x.state
	T := s.T
	limit := tau * x.exponential()
	x.units = x.units[:0]
	i := x.rng.IntN(s.N)
	delta := 0.0
	for step := 0; ; step++ {
		old := x.old[step*T:][:T]
		copy(old, s.season[i*T:][:T])
		s.take(i)
		s.prepare(i)
		x.steps++
		delta -= s.pathCost(i, old)
		scale := tau * x.noise
		if step == 0 {
			scale = tau * x.kick
		}
		x.addNoise(scale)
		if s.respond(i, s.noisy) == inf {
			s.put(i, old)
			break
		}
		delta += s.pathCost(i, s.path)
		if equal(old, s.path) {
			s.put(i, old)
			if step == 0 {
				return
			}
			delta = delta + 0
		} else {
			s.put(i, s.path)
		}
		x.units = append(x.units, int32(i))
		if delta <= limit {
			s.total += delta
			x.moved++
			if s.violated == 0 && x.hardened && s.total < x.bestCost-epsilon {
				x.record()
			}
			return
		}
		if step+1 >= x.maxRuin {
			break
		}
		j := x.hit(i, old, s.season[i*T:][:T])
		if j < 0 {
			break
		}
		i = j
	}
	for step := len(x.units) - 1; step >= 0; step-- {
		i := int(x.units[step])
		s.take(i)
		s.put(i, x.old[step*T:][:T])
	}
}

// hit picks a unit that the change of unit i from old to now touches.
func (x *Searcher) hit(i int, old, now []int8) int {
	s := x.state
	T := s.T
	at := x.rng.IntN(T)
	t := -1
	for k := range T {
		y := at + k
		if y >= T {
			y -= T
		}
		if old[y] != now[y] {
			t = y
			if x.rng.Uint64()&3 != 0 {
				break
			}
		}
	}
	if t < 0 {
		return -1
	}
	if now[t] >= 0 {
		// A new burn: someone else who burns then.
		for _, o := range s.apart[i] {
			if s.season[int(o.unit)*T+t] >= 0 && !x.inChain(o.unit) {
				return int(o.unit)
			}
		}
		if r := int(s.RefugeOf[i]); r >= 0 && s.used[s.refugeRow(i)+t] > s.limit[s.refugeRow(i)+t] {
			l := s.RefugeUnits[r]
			for range 2 * len(l) {
				j := l[x.rng.IntN(len(l))]
				if s.season[int(j)*T+t] >= 0 && !x.inChain(j) {
					return int(j)
				}
			}
		}
		q := now[t]
		season := s.used[(rowDays+int(q))*T+t] > s.limit[(rowDays+int(q))*T+t]
		for range 32 {
			j := x.rng.IntN(s.N)
			y := s.season[j*T+t]
			if y >= 0 && (!season || y == q) && !x.inChain(int32(j)) {
				return j
			}
		}
		return -1
	}
	for range 32 {
		j := x.rng.IntN(s.N)
		if s.season[j*T+t] < 0 && !x.inChain(int32(j)) {
			return j
		}
	}
	return -1
}

func (x *Searcher) inChain(j int32) bool {
	for _, u := range x.units {
		if u == j {
			return true
		}
	}
	return false
}
