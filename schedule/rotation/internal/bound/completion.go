package bound

import "emberquilt/schedule/rotation/internal/model"

// Completion holds, for the prices and disjoint blocks of an engine, what the
// years still to come cost at least: a lower bound on the cost of completing
// any plan from the states that its first years lead to.
//
// It holds because the terms of a row, and year blocks, belong to one year: leaving
// the first years out of the sum leaves a Lagrangian bound of the years after them.
type Completion struct {
	Blocks []CompletionBlock
	// Rest[t] is the sum of the constants of all rows, and of the values of year
	// blocks, in years t … T−1, at index 0 … T.
	Rest []float64
}

// CompletionBlock is one block with its joint states: a state is Σ k_u·Stride_u.
type CompletionBlock struct {
	Units []int32
	// K counts the states of each unit, First is the youngest from which it may
	// burn.
	K, Stride, First []int
	Size             int
	// ToGo[t][state] is the least cost of years t … T−1 from a state at the end
	// of year t−1, at t = 0 … T.
	ToGo [][]float64

	cost  [][]float64
	joint [][]float64
	mix   []float64
}

// Completion computes the tables. ok is false where blocks overlap.
func (e *Engine) Completion() (c *Completion, ok bool) {
	if len(e.shared) > 0 {
		return nil, false
	}
	e.price()
	m := e.M
	c = &Completion{Rest: make([]float64, m.T+1)}
	for _, row := range e.Active {
		if p := e.Price[row]; p != 0 {
			c.Rest[int(row)%m.T] -= p * m.Rows.Right[row]
		}
	}
	if e.years != nil {
		for x := range e.years.blocks {
			e.solveYear(e.workers[0], x)
			c.Rest[e.years.blocks[x].year] += e.years.value[x]
		}
	}
	for t := m.T - 1; t >= 0; t-- {
		c.Rest[t] += c.Rest[t+1]
	}
	for b := range e.blocks {
		c.Blocks = append(c.Blocks, e.completionBlock(b))
	}
	return c, true
}

func (e *Engine) completionBlock(x int) CompletionBlock {
	blk := &e.blocks[x]
	m, s := e.M, blk.shape
	if s == nil {
		s = newShape(m, blk.units, func(int32) bool { return false })
	}
	b := CompletionBlock{Units: blk.units, K: s.k, Stride: s.stride, First: s.first, Size: s.size, joint: s.joint, mix: s.mix}
	if tables := e.splitTables(x, nil); tables != nil {
		b.joint = tables
	}
	for u, i := range blk.units {
		b.cost = append(b.cost, make([]float64, m.T*s.k[u]))
		e.copyCost(int(i), blk.first+u, b.cost[u])
	}
	b.ToGo = make([][]float64, m.T+1)
	b.ToGo[m.T] = make([]float64, s.size)
	for t := m.T - 1; t >= 0; t-- {
		back := append([]float64(nil), b.ToGo[t+1]...)
		s.endYear(b.joint[t], back)
		for u, k := range s.k {
			stepBack(back, s.stride[u], k, s.first[u], b.cost[u][t*k:t*k+k])
		}
		b.ToGo[t] = back
	}
	return b
}

// YearCost gives what year t costs the block at the prices when the units of
// set burn and the units end it in the given states.
func (b *CompletionBlock) YearCost(t, set int, states []int) float64 {
	sum := 0.0
	if table := b.joint[t]; table != nil {
		sum = table[set]
	}
	at := 0
	for u, k := range b.K {
		sum += b.cost[u][t*k+states[u]]
		at += states[u] * b.Stride[u]
	}
	if b.mix != nil {
		sum += b.mix[at]
	}
	return sum
}

// StartState gives the block's state before the first year.
func (b *CompletionBlock) StartState(m *model.Model) int {
	at := 0
	for u, i := range b.Units {
		at += int(m.Start[i]) * b.Stride[u]
	}
	return at
}

// ClusterAmong is Cluster for some units alone: the others stand by themselves.
func ClusterAmong(m *model.Model, units []int32, most int) [][]int32 {
	among := make([]bool, m.N)
	for _, i := range units {
		among[i] = true
	}
	all := links(m, nil, nil)
	kept := all[:0]
	for _, l := range all {
		if among[l.i] && among[l.j] {
			kept = append(kept, l)
		}
	}
	return join(m, nil, kept, most)
}
