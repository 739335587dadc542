package bound

import (
	"math"
	"slices"
	"sync"
	"sync/atomic"

	"emberquilt/schedule/rotation/internal/model"
	"emberquilt/schedule/rotation/internal/path"
)

// Fixings of a unit and year; see Engine.Fix.
const (
	Free      = int8(0)
	FixedBurn = int8(1)
	FixedRest = int8(-1)
)

// block is a set of units that are searched jointly; one unit is the common
// case.
type block struct {
	units []int32
	// shape is nil for one unit.
	shape *shape
	// first is the index of its first copy.
	first int
}

// Engine evaluates the Lagrangian bound at prices. It is not safe for
// concurrent use, but spreads one evaluation over Threads.
type Engine struct {
	M       *model.Model
	Threads int
	// Price holds one price a row, within 0 … Rows.PriceMax.
	Price []float64
	// Fix holds a fixing at i·T+t.
	Fix []int8
	// Barred holds, at i·T+t, a bit for each season that is not allowed by
	// decisions; seasons from 64 on are never barred.
	Barred []uint64
	// Stop ends an evaluation early, which then has the value −Inf; nil never.
	Stop <-chan struct{}
	// Active lists the rows that may have a price: those that the problem has,
	// without the neighbour and apart rows that a block keeps exactly.
	Active []model.Row

	blocks []block
	// A unit has one copy in each block that holds it. Copies are numbered
	// block by block. shift is nil while no unit has two copies.
	copyUnit []int32
	blockOf  []int32 // of a copy
	share    []float64
	shift    []float64
	copies   [][]int32 // of a unit
	shared   []int32   // units with two or more copies

	// Results of Evaluate.
	Value float64
	// State holds the states of each copy at copy·T+t, those of copies of
	// shared units too. Season holds, at i·T+t, the season a burn would take.
	State  []int16
	Season []int8

	burn       []float64 // what a burn costs unit i in year t, season chosen
	rest       []float64
	classPrice []float64
	value      []float64 // per block
	workers    []*worker
	paths      []path.Unit
}

type worker struct {
	path  path.Solver
	joint jointSolver
	state []float64
	burn  []float64
	rest  []float64
	cost  [][]float64
	start []int16
}

// New gives an engine with every unit in a block by itself and prices 0.
func New(m *model.Model, threads int) *Engine {
	e := &Engine{M: m, Threads: max(1, threads)}
	e.Price = make([]float64, m.Rows.Many)
	e.Fix, e.Barred = make([]int8, m.N*m.T), make([]uint64, m.N*m.T)
	e.burn, e.rest = make([]float64, m.N*m.T), make([]float64, m.N*m.T)
	e.Season = make([]int8, m.N*m.T)
	e.classPrice = make([]float64, len(m.Classes)*m.T)
	e.paths = make([]path.Unit, m.N)
	for i := range m.N {
		e.paths[i] = path.Unit{T: m.T, K: int(m.K[i]), Start: int(m.Start[i]), CanBurn: m.CanBurn[m.StateBase[i]:m.StateBase[i+1]]}
	}
	for range e.Threads {
		e.workers = append(e.workers, &worker{})
	}
	e.SetBlocks(nil)
	return e
}

// SetBlocks chooses the blocks of two or more units; units in none get one
// each. Shares are even, and shifts carry over what the rows took that the
// blocks now keep.
func (e *Engine) SetBlocks(groups [][]int32) {
	e.setBlocks(groups, func(i int32, copies []int32) {
		for _, c := range copies {
			e.share[c] = 1 / float64(len(copies))
		}
	})
}

// setBlocks lays the blocks, lets split share out each unit with several copies
// (their shifts are 0 before), and carries prices over.
func (e *Engine) setBlocks(groups [][]int32, split func(i int32, copies []int32)) {
	m := e.M
	e.blocks, e.copyUnit, e.blockOf = nil, nil, nil
	e.copies = make([][]int32, m.N)
	// Which block keeps a pair or a group, −1 none.
	ownerOf, insideOf, wholeOf := none(len(m.Neighbours)), none(len(m.Apart)), none(len(m.RefugeUnits))
	member := make([]bool, m.N)
	for b, units := range groups {
		for _, i := range units {
			member[i] = true
		}
		for _, i := range units {
			for x := m.NeighboursOf.Start[i]; x < m.NeighboursOf.Start[i+1]; x++ {
				if p := m.NeighboursOf.Pair[x]; member[m.NeighboursOf.Other[x]] && ownerOf[p] < 0 {
					ownerOf[p] = int32(b)
				}
			}
			for x := m.ApartOf.Start[i]; x < m.ApartOf.Start[i+1]; x++ {
				if p := m.ApartOf.Pair[x]; member[m.ApartOf.Other[x]] && insideOf[p] < 0 {
					insideOf[p] = int32(b)
				}
			}
			if g := m.RefugeOf[i]; g >= 0 && wholeOf[g] < 0 && all(m.RefugeUnits[g], member) {
				wholeOf[g] = int32(b)
			}
		}
		e.addBlock(units, newShape(m, units, func(p int32) bool { return ownerOf[p] == int32(b) }))
		for _, i := range units {
			member[i] = false
		}
	}
	for i := range m.N {
		if len(e.copies[i]) == 0 {
			e.addBlock([]int32{int32(i)}, nil)
		}
	}
	e.share = make([]float64, len(e.copyUnit))
	e.shift, e.shared = nil, nil
	for i, c := range e.copies {
		if len(c) > 1 {
			e.shared = append(e.shared, int32(i))
		}
	}
	if len(e.shared) > 0 {
		e.shift = make([]float64, len(e.copyUnit)*m.T)
	}
	for i, c := range e.copies {
		if len(c) == 1 {
			e.share[c[0]] = 1
		} else {
			split(int32(i), c)
		}
	}
	e.value = make([]float64, len(e.blocks))
	e.State = make([]int16, len(e.copyUnit)*m.T)
	before := slices.Clone(e.Price)
	e.setActive(ownerOf, insideOf, wholeOf)
	if e.shift != nil {
		e.keepPrices(before, ownerOf, insideOf, wholeOf)
	}
}

func (e *Engine) addBlock(units []int32, s *shape) {
	b := int32(len(e.blocks))
	e.blocks = append(e.blocks, block{units: units, shape: s, first: len(e.copyUnit)})
	for _, i := range units {
		e.copies[i] = append(e.copies[i], int32(len(e.copyUnit)))
		e.copyUnit = append(e.copyUnit, i)
		e.blockOf = append(e.blockOf, b)
	}
}

func none(n int) []int32 {
	s := make([]int32, n)
	for x := range s {
		s[x] = -1
	}
	return s
}

func all(units []int32, member []bool) bool {
	for _, i := range units {
		if !member[i] {
			return false
		}
	}
	return true
}

// keepPrices carries prices of rows that the blocks now keep exactly over into
// shifts: every copy of a unit goes on paying its share of the row's price, and
// the block that keeps the row gives it back, which is never more than what the
// row gave. At equal shares the bound does not fall.
func (e *Engine) keepPrices(before []float64, ownerOf, insideOf, wholeOf []int32) {
	m, t := e.M, e.M.T
	pass := func(i, b int32, row int, factor float64) {
		for _, c := range e.copies[i] {
			given := e.share[c]
			if e.blockOf[c] == b {
				given--
			}
			if given == 0 {
				continue
			}
			for y := range t {
				e.shift[int(c)*t+y] += given * factor * before[row+y]
			}
		}
	}
	for x, b := range insideOf {
		if b >= 0 {
			pass(m.Apart[x].I, b, int(m.Rows.Apart)+x*t, 1)
			pass(m.Apart[x].J, b, int(m.Rows.Apart)+x*t, 1)
		}
	}
	for x, b := range ownerOf {
		if b >= 0 {
			pass(m.Neighbours[x].I, b, int(m.Rows.Neighbours)+x*t, 1)
			pass(m.Neighbours[x].J, b, int(m.Rows.Neighbours)+x*t, 1)
		}
	}
	for g, b := range wholeOf {
		if b >= 0 {
			for _, i := range m.RefugeUnits[g] {
				pass(i, b, int(m.Rows.Refuge)+g*t, m.Acres[i])
			}
		}
	}
}

func (e *Engine) setActive(owned, inside, whole []int32) {
	r := &e.M.Rows
	t := model.Row(e.M.T)
	e.Active = e.Active[:0]
	for row := range r.Many {
		skip := r.PriceMax[row] <= 0
		switch {
		case row >= r.Neighbours:
			skip = skip || owned[(row-r.Neighbours)/t] >= 0
		case row >= r.Refuge && row < r.Apart:
			skip = skip || whole[(row-r.Refuge)/t] >= 0
		case row >= r.Apart && row < r.MixLow:
			skip = skip || inside[(row-r.Apart)/t] >= 0
		}
		if skip {
			e.Price[row] = 0
		} else {
			e.Active = append(e.Active, row)
		}
	}
}

// Evaluate computes Value, State and Season at the prices. Value is +Inf where
// some block has no path left.
func (e *Engine) Evaluate() float64 {
	e.price()
	work := len(e.blocks)
	if e.Threads == 1 || work < 2 {
		for b := range e.blocks {
			if (b%64 == 0 || e.blocks[b].shape != nil) && e.stopped() {
				break
			}
			e.solve(e.workers[0], b)
		}
	} else {
		e.spread()
	}
	if e.stopped() {
		e.Value = math.Inf(-1)
		return e.Value
	}
	var sum compensated
	for _, row := range e.Active {
		if p := e.Price[row]; p != 0 {
			sum.add(-p * e.M.Rows.Right[row])
		}
	}
	for _, v := range e.value {
		sum.add(v)
	}
	e.Value = sum.total()
	return e.Value
}

func (e *Engine) stopped() bool {
	select {
	case <-e.Stop:
		return true
	default:
		return false
	}
}

// spread solves the blocks on all threads. Which thread takes which block makes
// no difference to the result.
func (e *Engine) spread() {
	const chunk = 32
	var next atomic.Int64
	var wait sync.WaitGroup
	for _, w := range e.workers {
		wait.Add(1)
		go func() {
			defer wait.Done()
			for {
				from := int(next.Load())
				if from >= len(e.blocks) || e.stopped() {
					return
				}
				to := from + 1 // large blocks stand first and go out one by one
				if e.blocks[from].shape == nil {
					to = min(from+chunk, len(e.blocks))
				}
				if !next.CompareAndSwap(int64(from), int64(to)) {
					continue
				}
				for b := from; b < to; b++ {
					e.solve(w, b)
				}
			}
		}()
	}
	wait.Wait()
}

// price turns row prices into what burns and states cost the units.
func (e *Engine) price() {
	m := e.M
	r, t := &m.Rows, m.T
	p := e.Price
	for i := range m.N {
		a, c := m.Acres[i], m.Dollars[i]
		burn := e.burn[i*t : i*t+t]
		for y := range burn {
			burn[y] = a*(p[int(r.Acres)+y]+p[int(r.EvenHigh)+y]-p[int(r.EvenLow)+y]) + p[int(r.Burns)+y] + c*p[int(r.Cost)+y]
		}
		if g := m.RefugeOf[i]; g >= 0 {
			row := p[int(r.Refuge)+int(g)*t:]
			for y := range burn {
				burn[y] += a * row[y]
			}
		}
	}
	e.pricePairs(m.Apart, int(r.Apart))
	e.pricePairs(m.Neighbours, int(r.Neighbours))
	for x := range e.classPrice {
		e.classPrice[x] = p[int(r.MixHigh)+x] - p[int(r.MixLow)+x]
	}
	for i := range m.N {
		d := m.Days[i]
		for y := range t {
			at := i*t + y
			least, season := model.Inf, model.Rest
			if e.Fix[at] != FixedRest && m.MayBurn[at] {
				barred := e.Barred[at]
				for s := range m.S {
					if barred>>s&1 == 1 {
						continue
					}
					if c := m.BurnOwn[at*m.S+s] + d*p[int(r.Days)+s*t+y]; c < least {
						least, season = c, int8(s)
					}
				}
			}
			e.burn[at] += least
			e.Season[at] = season
			e.rest[at] = m.RestOwn[at]
			if e.Fix[at] == FixedBurn {
				e.rest[at] = model.Inf
			}
		}
	}
}

func (e *Engine) pricePairs(pairs []model.Pair, base int) {
	t := e.M.T
	for x, pair := range pairs {
		row := e.Price[base+x*t : base+x*t+t]
		a, b := e.burn[int(pair.I)*t:int(pair.I)*t+t], e.burn[int(pair.J)*t:int(pair.J)*t+t]
		for y, p := range row {
			a[y] += p
			b[y] += p
		}
	}
}

// stateCost writes what the states of unit i cost, times share, to out (T·K).
func (e *Engine) stateCost(i int, out []float64) {
	m := e.M
	k, a := int(m.K[i]), m.Acres[i]
	base := int(m.StateBase[i])
	overdue, class := m.OverdueCost[base:base+k], m.Class[base:base+k]
	if m.MixOf[i] < 0 {
		for y := range m.T {
			copy(out[y*k:y*k+k], overdue)
		}
		return
	}
	for y := range m.T {
		row := out[y*k : y*k+k]
		for s := range row {
			row[s] = overdue[s] + a*e.classPrice[int(class[s])*m.T+y]
		}
	}
}

func (e *Engine) solve(w *worker, b int) {
	blk := &e.blocks[b]
	t := e.M.T
	if blk.shape == nil {
		i := int(blk.units[0])
		k := int(e.M.K[i])
		w.state = grow(w.state, t*k)
		e.stateCost(i, w.state)
		e.value[b] = w.path.Solve(&e.paths[i], e.burn[i*t:i*t+t], e.rest[i*t:i*t+t], w.state,
			e.State[blk.first*t:blk.first*t+t])
		return
	}
	n := len(blk.units)
	for len(w.cost) < n {
		w.cost = append(w.cost, nil)
	}
	w.start = w.start[:0]
	for u, i := range blk.units {
		w.start = append(w.start, e.M.Start[i])
		k := int(e.M.K[i])
		w.cost[u] = grow(w.cost[u], t*k)
		e.copyCost(int(i), blk.first+u, w.cost[u])
	}
	e.value[b] = w.joint.solve(blk.shape, w.start, t, w.cost, e.State[blk.first*t:(blk.first+n)*t])
}

// copyCost writes what a copy of unit i pays at t·K+k: in state 0 for a burn,
// else for a rest.
func (e *Engine) copyCost(i, c int, out []float64) {
	t, k := e.M.T, int(e.M.K[i])
	e.stateCost(i, out)
	share := e.share[c]
	for y := range t {
		row := out[y*k : y*k+k]
		row[0] += e.burn[i*t+y]
		rest := e.rest[i*t+y]
		for s := 1; s < k; s++ {
			row[s] += rest
		}
		if share != 1 {
			for s := range row {
				row[s] *= share
			}
			if share == 0 { // Inf · 0 is no number: what is forbidden stays so
				if math.IsInf(e.burn[i*t+y], 1) {
					row[0] = model.Inf
				} else {
					row[0] = 0
				}
				for s := 1; s < k; s++ {
					row[s] = 0
					if math.IsInf(rest, 1) {
						row[s] = model.Inf
					}
				}
			}
		}
		if e.shift != nil {
			row[0] += e.shift[c*t+y]
		}
	}
}

// compensated sums with Neumaier's correction: the error does not grow with
// the count of terms.
type compensated struct{ sum, lost float64 }

func (c *compensated) add(x float64) {
	t := c.sum + x
	if math.Abs(c.sum) >= math.Abs(x) {
		c.lost += (c.sum - t) + x
	} else {
		c.lost += (x - t) + c.sum
	}
	c.sum = t
}

func (c *compensated) total() float64 {
	if math.IsInf(c.sum, 0) {
		return c.sum
	}
	return c.sum + c.lost
}

// Work estimates, in nanoseconds on a common machine, one evaluation and step
// with one thread. It depends on the problem and the blocks alone.
func (e *Engine) Work() float64 {
	work := e.baseWork(len(e.shift))
	for _, b := range e.blocks {
		if b.shape != nil {
			work += e.blockWork(b.units)
		}
	}
	return work
}

// LayersWork is Work as it would be with other blocks.
func (e *Engine) LayersWork(groups [][]int32) float64 {
	copies := 0
	for _, units := range groups {
		copies += len(units)
	}
	work := e.baseWork(copies * e.M.T)
	for _, units := range groups {
		work += e.blockWork(units)
	}
	return work
}

func (e *Engine) baseWork(shifts int) float64 {
	work := 9*float64(len(e.Active)) + 3*float64(len(e.Price)) + 10*float64(shifts)
	return work + float64(e.M.T)*(16*float64(e.M.N)+5*float64(len(e.M.CanBurn)))
}

func (e *Engine) blockWork(units []int32) float64 {
	size := 1.0
	for _, i := range units {
		size *= float64(e.M.K[i])
	}
	return float64(e.M.T) * (40 + 1.7*size*float64(len(units)+2))
}
