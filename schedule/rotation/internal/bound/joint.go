package bound

import "emberquilt/schedule/rotation/internal/model"

// MaxBlockUnits is the largest number of units that are searched jointly: the
// set of units that burn in a year is kept in 16 bits.
const MaxBlockUnits = 12

// shape is what stays the same of a block of two or more units.
//
// A joint state is Σ_u k_u·stride_u. Which units burn in the year that a state
// ends follows from the state itself: those in state 0. So all that couples the
// units of the block within a year is a cost of the state, joint[t][zero[state]],
// and the least over the states of the year before is taken unit by unit.
type shape struct {
	k, stride []int
	first     []int // the youngest state from which a unit may burn
	size      int
	zero      []uint16
	// joined lists the states whose sets cost anything in some year.
	joined []int32
	// mix holds what the mixes cost that the block holds whole, for each state.
	mix []float64
	// mixes lists them.
	mixes []int
	// joint holds one table of 2ⁿ costs a year: neighbors paid, +Inf for sets
	// that break a requirement. Years with equal tables share one; nil is all 0.
	joint [][]float64
}

func newShape(m *model.Model, units []int32, owned func(pair int32) bool) *shape {
	n := len(units)
	s := &shape{k: make([]int, n), stride: make([]int, n), first: make([]int, n), size: 1}
	for u, i := range units {
		s.k[u], s.stride[u] = int(m.K[i]), s.size
		s.size *= s.k[u]
		for !m.CanBurn[int(m.StateBase[i])+s.first[u]] {
			s.first[u]++
			if s.first[u] == s.k[u] {
				break
			}
		}
	}
	s.zero = make([]uint16, s.size)
	for at := range s.zero {
		rest := at
		for u := range n {
			if rest%s.k[u] == 0 {
				s.zero[at] |= 1 << u
			}
			rest /= s.k[u]
		}
	}
	s.setJoint(m, units, owned)
	costs := make([]bool, 1<<n)
	for _, table := range s.joint {
		for set, c := range table {
			costs[set] = costs[set] || c != 0
		}
	}
	for at, set := range s.zero {
		if costs[set] {
			s.joined = append(s.joined, int32(at))
		}
	}
	return s
}

func (s *shape) setJoint(m *model.Model, units []int32, owned func(pair int32) bool) {
	n := len(units)
	place := func(i int32) int {
		for u, j := range units {
			if i == j {
				return u
			}
		}
		return -1
	}
	pairs := make([]float64, 1<<n) // what holds in every year
	any := false
	for u, i := range units {
		for x := m.ApartOf.Start[i]; x < m.ApartOf.Start[i+1]; x++ {
			if v := place(m.ApartOf.Other[x]); v > u {
				addPair(pairs, u, v, model.Inf)
				any = true
			}
		}
		for x := m.NeighborsOf.Start[i]; x < m.NeighborsOf.Start[i+1]; x++ {
			if v := place(m.NeighborsOf.Other[x]); v > u && owned(m.NeighborsOf.Pair[x]) {
				addPair(pairs, u, v, m.Neighbors[m.NeighborsOf.Pair[x]].Cost)
				any = true
			}
		}
	}
	s.joint = make([][]float64, m.T)
	for t := range m.T {
		l := &m.Limit[t]
		if t > 0 && l.Acres == m.Limit[t-1].Acres && l.Burns == m.Limit[t-1].Burns && l.Cost == m.Limit[t-1].Cost {
			s.joint[t] = s.joint[t-1]
			continue
		}
		table := make([]float64, 1<<n)
		copy(table, pairs)
		used := any
		for set := range table {
			if breaks(m, units, set, t) {
				table[set] = model.Inf
				used = true
			}
		}
		if used {
			s.joint[t] = table
		}
	}
}

// breaks reports whether burning a set of units passes a limit by itself.
func breaks(m *model.Model, units []int32, set, t int) bool {
	var acres, burns, cost float64
	for u, i := range units {
		if set>>u&1 == 1 {
			acres += m.Acres[i]
			burns++
			cost += m.Dollars[i]
		}
	}
	l := &m.Limit[t]
	if model.Passes(acres, l.Acres) || model.Passes(burns, l.Burns) || model.Passes(cost, l.Cost) {
		return true
	}
	for u, i := range units {
		r := m.RefugeOf[i]
		if set>>u&1 == 0 || r < 0 {
			continue
		}
		sum := 0.0
		for v, j := range units {
			if set>>v&1 == 1 && m.RefugeOf[j] == r {
				sum += m.Acres[j]
			}
		}
		if model.Passes(sum, m.RefugeLimit[r]) {
			return true
		}
	}
	return false
}

func addPair(table []float64, u, v int, cost float64) {
	both := 1<<u | 1<<v
	for set := range table {
		if set&both == both {
			table[set] += cost
		}
	}
}

// jointSolver holds the memory of joint searches; it is not safe for
// concurrent use.
type jointSolver struct {
	memory []float64 // value between pads
	value  []float64 // (T+1)·size
	least  []float64
	back   []float64
	sets   []float64
	at     []int
	pred   []int
	// tables are those of the block at hand where they are not the shape's: year
	// blocks pay a part of its neighbor pairs.
	tables [][]float64
}

func (j *jointSolver) table(s *shape, t int) []float64 {
	if j.tables != nil {
		return j.tables[t]
	}
	return s.joint[t]
}

// pad is how far vector instructions may read and write beyond the states of a
// year: what stands there is not used, or written after.
const pad = 8

// solve gives the least cost of joint paths of a block, and writes the states
// of its units u at the end of each year t to states[u·T+t].
//
// cost[u] holds what year t costs unit u at t·(k+1): a burn (its state 0), then
// the states 1 … k−1 reached by rest.
func (j *jointSolver) solve(s *shape, start []int16, years int, cost [][]float64, states []int16) float64 {
	j.memory = grow(j.memory, pad+(years+1)*s.size+pad)
	j.value = j.memory[pad : pad+(years+1)*s.size]
	v := j.value[:s.size]
	for x := range v {
		v[x] = model.Inf
	}
	from := 0
	for u, k := range start {
		from += int(k) * s.stride[u]
	}
	v[from] = 0
	for t := range years {
		w := j.value[(t+1)*s.size : (t+2)*s.size]
		units := s.k
		if k := s.k[0]; hasVector && k <= mostGrouped {
			stepOne(v, w, k, s.first[0], cost[0][t*k:t*k+k])
			units = units[1:]
		} else {
			copy(w, v)
		}
		for u, k := range units {
			u += len(s.k) - len(units)
			j.step(w, s.stride[u], k, s.first[u], cost[u][t*k:t*k+k])
		}
		s.endYear(j.table(s, t), w)
		v = w
	}
	least, at := model.Inf, -1
	for x, c := range v {
		if c < least {
			least, at = c, x
		}
	}
	if at >= 0 && states != nil {
		j.trace(s, years, at, from, states)
	}
	return least
}

// endYear adds to each state what its units cost together in a year, table being
// that of the year.
func (s *shape) endYear(table, v []float64) {
	if table != nil {
		for _, x := range s.joined {
			v[x] += table[s.zero[x]]
		}
	}
	for x, c := range s.mix {
		v[x] += c
	}
}

// step takes one unit of the block through a year: over all states of the
// others, its state 0 is reached from the best state that may burn, its other
// states by rest.
func (j *jointSolver) step(v []float64, stride, k, first int, cost []float64) {
	switch {
	case stride == 1, stride < narrow && !hasVector:
		stepNarrow(v, stride, k, first, cost)
	case hasVector:
		stepVector(&v[0], len(v)/(stride*k), stride, k, first, &cost[0])
	default:
		j.stepRows(v, stride, k, first, cost)
	}
}

// stepRows is step a row at a time.
func (j *jointSolver) stepRows(v []float64, stride, k, first int, cost []float64) {
	j.least = grow(j.least, stride)
	least := j.least[:stride]
	inf := model.Inf
	for base := 0; base < len(v); base += stride * k {
		// 1. The best state that may burn.
		if first == k-1 {
			copy(least, v[base+first*stride:base+k*stride])
		} else if first < k {
			one, two := v[base+first*stride:][:stride], v[base+(first+1)*stride:][:stride]
			for x, c := range one {
				if d := two[x]; d < c {
					c = d
				}
				least[x] = c
			}
			for a := first + 2; a < k; a++ {
				row := v[base+a*stride:][:len(least)]
				for x, c := range row {
					if c < least[x] {
						least[x] = c
					}
				}
			}
		} else {
			for x := range least {
				least[x] = inf
			}
		}
		// 2. Rests, the oldest state first.
		lo, hi := v[base+(k-2)*stride:][:stride], v[base+(k-1)*stride:][:stride]
		c := cost[k-1]
		for x, b := range lo {
			h := hi[x]
			if b < h {
				h = b
			}
			hi[x] = h + c
		}
		for a := k - 2; a > 0; a-- {
			lo, hi := v[base+(a-1)*stride:][:stride], v[base+a*stride:][:stride]
			c := cost[a]
			for x, b := range lo {
				hi[x] = b + c
			}
		}
		// 3. The burn.
		lo = v[base:][:stride]
		c = cost[0]
		for x, b := range least {
			lo[x] = b + c
		}
	}
}

// narrow is below which stride a state at a time is faster than a row at a time.
const narrow = 4

// stepNarrow is step for short rows.
func stepNarrow(v []float64, stride, k, first int, cost []float64) {
	cost = cost[:k]
	end := (k - 1) * stride
	for base := 0; base < len(v); base += stride * k {
		for x := base; x < base+stride; x++ {
			least := model.Inf
			for a := x + first*stride; a <= x+end; a += stride {
				if v[a] < least {
					least = v[a]
				}
			}
			at := x + end
			before := v[at-stride]
			if v[at] < before {
				v[at] += cost[k-1]
			} else {
				v[at] = before + cost[k-1]
			}
			for a := k - 2; a > 0; a-- {
				at -= stride
				v[at] = v[at-stride] + cost[a]
			}
			v[x] = least + cost[0]
		}
	}
}

// trace walks back from a last state, at each year to the best predecessor.
func (j *jointSolver) trace(s *shape, years, at, start int, states []int16) {
	n := len(s.k)
	if cap(j.at) < n {
		j.at = make([]int, n)
	}
	k := j.at[:n]
	for t := years - 1; t >= 0; t-- {
		rest := at
		for u := range n {
			k[u] = rest % s.k[u]
			rest /= s.k[u]
			states[u*years+t] = int16(k[u])
		}
		if t == 0 {
			break
		}
		at = j.predecessor(s, k, j.value[t*s.size:(t+1)*s.size])
	}
}

// predecessor finds the cheapest state of the year before that leads to k.
func (j *jointSolver) predecessor(s *shape, k []int, before []float64) int {
	j.pred = append(j.pred[:0], 0)
	for u, a := range k {
		stride := s.stride[u]
		many := len(j.pred)
		switch {
		case a == 0:
			for b := s.first[u]; b < s.k[u]; b++ {
				for x := range many {
					j.pred = append(j.pred, j.pred[x]+b*stride)
				}
			}
			j.pred = j.pred[many:]
		case a == s.k[u]-1:
			for x := range many {
				j.pred = append(j.pred, j.pred[x]+a*stride)
				j.pred[x] += (a - 1) * stride
			}
		default:
			for x := range many {
				j.pred[x] += (a - 1) * stride
			}
		}
	}
	best := j.pred[0]
	for _, x := range j.pred {
		if before[x] < before[best] {
			best = x
		}
	}
	return best
}

func grow(s []float64, n int) []float64 {
	if cap(s) < n {
		return make([]float64, n)
	}
	return s[:n]
}

// payMix adds what mix x costs in each state: all its units are in the block.
func (s *shape) payMix(m *model.Model, units []int32, x int) {
	if s.mix == nil {
		s.mix = make([]float64, s.size)
	}
	s.mixes = append(s.mixes, x)
	w := m.Problem.Weights.Mix
	acres := make([]float64, len(m.Classes))
	for at := range s.mix {
		clear(acres)
		for u, i := range units {
			if int(m.MixOf[i]) == x {
				k := at / s.stride[u] % s.k[u]
				acres[m.Class[int(m.StateBase[i])+k]] += m.Acres[i]
			}
		}
		for c, class := range m.Classes {
			if int(class.Mix) == x {
				s.mix[at] += w * (max(0, class.Lo-acres[c]) + max(0, acres[c]-class.Hi))
			}
		}
	}
}
