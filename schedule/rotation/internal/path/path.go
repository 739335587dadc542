package path

import "math"

// Unit is what stays the same of a unit from call to call.
type Unit struct {
	// T counts the years, K the age states (2 or more); Start is the state before them.
	T, K, Start int
	// CanBurn holds K entries.
	CanBurn []bool
}

// Solver finds best paths. It reuses its memory; it is not safe for concurrent
// use. The zero value is ready.
type Solver struct {
	value, next []float64
	fromBurn    []int16 // per year: the state before a burn
	fromLast    []bool  // per year: the last state was reached from itself
	table       []float64
}

// Solve gives the least cost of a path, and writes the states at the end of
// each year to states (length T) unless that is nil. It gives +Inf, and leaves
// states alone, where no path is left.
//
// burn and rest hold T entries, state T·K; +Inf forbids.
func (s *Solver) Solve(u *Unit, burn, rest, state []float64, states []int16) float64 {
	t, k := u.T, u.K
	s.grow(t, k)
	v, w := s.value[:k], s.next[:k]
	inf := math.Inf(1)
	for a := range v {
		v[a] = inf
	}
	v[u.Start] = 0
	canBurn := u.CanBurn[:k]
	for y := range t {
		cost := state[y*k : y*k+k]
		least, from := inf, int16(-1)
		for a := range k {
			if canBurn[a] && v[a] < least {
				least, from = v[a], int16(a)
			}
		}
		s.fromBurn[y] = from
		r := rest[y]
		w[0] = least + burn[y] + cost[0]
		for a := 1; a < k-1; a++ {
			w[a] = v[a-1] + r + cost[a]
		}
		last := v[k-2]
		s.fromLast[y] = v[k-1] < last
		if s.fromLast[y] {
			last = v[k-1]
		}
		w[k-1] = last + r + cost[k-1]
		v, w = w, v
	}
	least, at := inf, -1
	for a := range k {
		if v[a] < least {
			least, at = v[a], a
		}
	}
	if states == nil || at < 0 {
		return least
	}
	for y := t - 1; y >= 0; y-- {
		states[y] = int16(at)
		switch {
		case at == 0:
			at = int(s.fromBurn[y])
		case at == k-1 && s.fromLast[y]:
		default:
			at--
		}
	}
	return least
}

func (s *Solver) grow(t, k int) {
	if cap(s.value) < k {
		s.value, s.next = make([]float64, k), make([]float64, k)
	}
	if cap(s.fromBurn) < t {
		s.fromBurn, s.fromLast = make([]int16, t), make([]bool, t)
	}
}
