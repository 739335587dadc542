package search

import (
	"context"
	"fmt"
	"math"
)

// sweep lets every unit answer the others once, in the given order, and reports
// whether any changed.
func (x *Searcher) sweep(ctx context.Context, order []int32) bool {
	s := x.state
	changed := false
	for k, u := range order {
		if k&63 == 63 && ctx.Err() != nil {
			return false
		}
		i := int(u)
		old := s.season[i*s.T:][:s.T]
		s.take(i)
		s.prepare(i)
		before := s.pathCost(i, old)
		after := s.respond(i, s.burnAt)
		x.steps++
		if after < before-epsilon {
			s.put(i, s.path)
			s.total += after - before
			changed = true
		} else {
			s.put(i, old)
		}
	}
	return changed
}

// epsilon is the least gain, in acre-years, that counts.
const epsilon = 1e-9

func (x *Searcher) move(tau float64) {
	s := x.state
	T := s.T
	k := 1
	for k < x.maxRuin && x.rng.Uint64()&1 == 0 {
		k++
	}
	x.pick(k)
	units := x.units
	k = len(units)
	// 1. Out.
	delta := 0.0
	for j, u := range units {
		i := int(u)
		old := s.season[i*T:][:T]
		copy(x.old[j*T:][:T], old)
		s.take(i)
		delta -= s.marginal(i, old)
	}
	// 2. In again, in another order.
	if k > 1 && x.rng.Uint64()&1 == 0 {
		for j := range k / 2 {
			units[j], units[k-1-j] = units[k-1-j], units[j]
			for t := range T {
				x.old[j*T+t], x.old[(k-1-j)*T+t] = x.old[(k-1-j)*T+t], x.old[j*T+t]
			}
		}
	}
	limit := tau * x.exponential()
	placed := 0
	ok := true
	same := true
	for j, u := range units {
		i := int(u)
		s.prepare(i)
		x.addNoise(tau * x.noise)
		got := s.respond(i, s.noisy)
		x.steps++
		if got == inf {
			ok = false
			break
		}
		delta += s.pathCost(i, s.path)
		if same && !equal(s.path, x.old[j*T:][:T]) {
			same = false
		}
		if j == k-1 && delta > limit {
			ok = false
			break
		}
		s.put(i, s.path)
		placed++
	}
	if !ok {
		for j := range placed {
			s.take(int(units[j]))
		}
		for j, u := range units {
			s.put(int(u), x.old[j*T:][:T])
		}
		return
	}
	if same {
		return
	}
	x.moved++
	s.total += delta
	if s.violated == 0 && x.hardened && s.total < x.bestCost-epsilon {
		x.record()
	}
}

func equal(a, b []int8) bool {
	for k := range a {
		if a[k] != b[k] {
			return false
		}
	}
	return true
}

func (x *Searcher) exponential() float64 {
	return x.logs[x.rng.Uint64()&(tableSize-1)]
}

const tableSize = 4096

func (x *Searcher) addNoise(scale float64) {
	s := x.state
	T := s.T
	r := x.rng.Uint64()
	at := int(r & (tableSize - 1))
	step := int(r>>20&(tableSize-1)) | 1
	for t := range T {
		s.noisy[t] = s.burnAt[t] + scale*x.gumbels[at]
		at = (at + step) & (tableSize - 1)
	}
}

func (x *Searcher) pick(k int) {
	s := x.state
	x.units = x.units[:0]
	seed := int32(x.rng.IntN(s.N))
	x.units = append(x.units, seed)
	for tries := 0; len(x.units) < k && tries < 4*k; tries++ {
		from := x.units[x.rng.IntN(len(x.units))]
		c := int32(-1)
		kind := x.rng.Uint64() & 15
		p := pickTable[kind]
		switch p {
		case 0:
			if l := s.neighbours[from]; len(l) > 0 {
				c = l[x.rng.IntN(len(l))].unit
			}
		case 1:
			if l := s.apart[from]; len(l) > 0 {
				c = l[x.rng.IntN(len(l))].unit
			}
		case 2:
			if r := s.RefugeOf[from]; r >= 0 {
				l := s.RefugeUnits[r]
				c = l[x.rng.IntN(len(l))]
			}
		case 3:
			if m := s.MixOf[from]; m >= 0 {
				l := s.mixUnits[m]
				c = l[x.rng.IntN(len(l))]
			}
		case 4:
			c = int32(x.rng.IntN(s.N))
		case 5, 6:
			// burns in a year in which from burns (5), or does not (6)
			at := x.rng.IntN(s.T)
			t := -1
			for k := range s.T {
				y := at + k
				if y >= s.T {
					y -= s.T
				}
				if (s.season[int(from)*s.T+y] >= 0) == (p == 5) {
					t = y
					break
				}
			}
			if t < 0 {
				break
			}
			for range 8 {
				j := x.rng.IntN(s.N)
				if s.season[j*s.T+t] >= 0 {
					c = int32(j)
					break
				}
			}
		}
		if c < 0 {
			continue
		}
		dup := false
		for _, u := range x.units {
			dup = dup || u == c
		}
		if !dup {
			x.units = append(x.units, c)
		}
	}
}

func (x *Searcher) record() {
	s := x.state
	s.resum()
	if !s.meets() {
		panic(fmt.Sprint("search: a plan that breaks a requirement", s.violated))
	}
	if s.total < x.bestCost-epsilon {
		x.bestCost = s.total
		copy(x.best, s.season)
	}
}

func (x *Searcher) tables() {
	x.logs = make([]float64, tableSize)
	x.gumbels = make([]float64, tableSize)
	for k := range x.logs {
		u := (float64(k) + 0.5) / tableSize
		x.logs[k] = -math.Log(u)
		x.gumbels[k] = math.Log(-math.Log(u))
	}
}

var pickTable = [16]int{0, 0, 0, 0, 1, 1, 2, 2, 2, 2, 3, 3, 3, 3, 4, 4}
