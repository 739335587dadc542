package bound

import (
	"math"
	"sync/atomic"

	"emberquilt/schedule/guard"
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
	// without the neighbor and apart rows that a block keeps exactly.
	Active []model.Row

	blocks []block
	// A unit has one copy in each block that holds it. Copies are numbered
	// block by block. shift is nil while no unit has two copies.
	copyUnit []int32
	blockOf  []int32 // of a copy
	share    []float64
	shift    []float64
	// age holds what copies of shared units pay for ending year t in state k, at
	// ageAt[copy] + t·K + k; nil where ages have no prices, as before UseTies.
	age   []float64
	ageAt []int
	// parts lists what blocks pay of neighbor pairs of others, part[k·T+t] being the
	// k-th in year t; partsOf those of each block, where it pays or is paid for.
	parts   []pairPart
	part    []float64
	partsOf [][]int
	// paidBy at pair·T+t is what other blocks pay of a pair than its own.
	paidBy   []float64
	copies   [][]int32 // of a unit
	mixUnits [][]int32 // of a mix
	shared   []int32   // units with two or more copies
	// Which block keeps a pair or a group, or pays a neighbor pair or a mix; −1 none.
	ownerOf, insideOf, wholeOf, mixOf []int32
	// years holds the year blocks, nil for none.
	years *Years
	// allYears are the same, while they are out of use too.
	allYears *Years
	// yearsBefore are those that other unit blocks had; see SetYears.
	yearsBefore *Years

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
	graph graphSolver
	sum   sumSolver
	state []float64
	burn  []float64
	rest  []float64
	cost  [][]float64
	start []int16
	// tables is memory for those of splitTables.
	tables [][]float64
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
	e.mixUnits = unitsOfMixes(m)
	e.SetBlocks(nil)
	return e
}

// Evaluate computes Value, State and Season at the prices. Value is +Inf where
// some block has no path left.
func (e *Engine) Evaluate() float64 {
	e.price()
	work := len(e.blocks)
	if e.years != nil {
		work += len(e.years.blocks)
	}
	if e.Threads == 1 || work < 2 {
		for b := range work {
			if (b%64 == 0 || b < len(e.blocks) && e.blocks[b].shape != nil) && e.IsStopped() {
				break
			}
			e.solve(e.workers[0], b)
		}
	} else {
		e.spread(work)
	}
	if e.IsStopped() {
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
	if e.years != nil {
		for _, v := range e.years.value {
			sum.add(v)
		}
	}
	e.Value = sum.total()
	return e.Value
}

// IsStopped reports whether evaluations end early by now.
func (e *Engine) IsStopped() bool {
	select {
	case <-e.Stop:
		return true
	default:
		return false
	}
}

// spread solves the blocks on all threads. Which thread takes which block makes
// no difference to the result.
func (e *Engine) spread(work int) {
	const chunk = 32
	var next atomic.Int64
	var wait guard.Group
	for _, w := range e.workers {
		wait.Go(func() {
			for {
				from := int(next.Load())
				if from >= work || e.IsStopped() {
					return
				}
				to := from + 1 // large blocks stand first and go out one by one
				if from < len(e.blocks) && e.blocks[from].shape == nil {
					to = min(from+chunk, work)
				}
				if !next.CompareAndSwap(int64(from), int64(to)) {
					continue
				}
				for b := from; b < to; b++ {
					e.solve(w, b)
				}
			}
		})
	}
	wait.Wait()
}

// solve evaluates unit block b, or, beyond those, a year block.
func (e *Engine) solve(w *worker, b int) {
	if b >= len(e.blocks) {
		e.solveYear(w, b-len(e.blocks))
		return
	}
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
	w.tables = e.splitTables(b, w.tables)
	w.joint.tables = nil
	if e.isSplit(b) {
		w.joint.tables = w.tables
	}
	e.value[b] = w.joint.solve(blk.shape, w.start, t, w.cost, e.State[blk.first*t:(blk.first+n)*t])
}
