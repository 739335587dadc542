package path

import "math"

// Marginals gives, for each year, the least cost of a path that burns in it
// and of one that rests in it (T entries each); +Inf where there is none. It is
// the forward program of Solve met by a backward one.
func (s *Solver) Marginals(u *Unit, burn, rest, state, outBurn, outRest []float64) {
	t, k := u.T, u.K
	inf := math.Inf(1)
	if cap(s.table) < (t+1)*k {
		s.table = make([]float64, (t+1)*k)
	}
	table := s.table[:(t+1)*k] // states before year t at t·K
	for a := range k {
		table[a] = inf
	}
	table[u.Start] = 0
	for y := range t {
		v, w := table[y*k:(y+1)*k], table[(y+1)*k:(y+2)*k]
		cost := state[y*k : y*k+k]
		least := inf
		for a := range k {
			if u.CanBurn[a] && v[a] < least {
				least = v[a]
			}
		}
		for a := 1; a < k; a++ {
			w[a] = v[a-1] + rest[y] + cost[a]
		}
		if c := v[k-1] + rest[y] + cost[k-1]; c < w[k-1] {
			w[k-1] = c
		}
		w[0] = least + burn[y] + cost[0]
	}
	s.grow(t, k)
	back, next := s.value[:k], s.next[:k]
	clear(back)
	for y := t - 1; y >= 0; y-- {
		after := table[(y+1)*k : (y+2)*k]
		outBurn[y], outRest[y] = after[0]+back[0], inf
		for a := 1; a < k; a++ {
			if c := after[a] + back[a]; c < outRest[y] {
				outRest[y] = c
			}
		}
		cost := state[y*k : y*k+k]
		for a := range k {
			b := min(a+1, k-1)
			c := rest[y] + cost[b] + back[b]
			if u.CanBurn[a] {
				if d := burn[y] + cost[0] + back[0]; d < c {
					c = d
				}
			}
			next[a] = c
		}
		back, next = next, back
	}
}
