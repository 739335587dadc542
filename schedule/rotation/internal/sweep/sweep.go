package sweep

import (
	"context"
	"math"
	"math/bits"

	"emberquilt/schedule/guard"
	"emberquilt/schedule/rotation/internal/bound"
	"emberquilt/schedule/rotation/internal/model"
)

// MaxUnits is the largest number of free units: the set of those that burn is
// kept in 32 bits.
const MaxUnits = 32

// maxClasses is the largest number of age classes over all mixes.
const maxClasses = 16

// Limit bounds a run. Zero values mean no bound.
type Limit struct {
	// States bounds the tuples of one layer, Work the options that are looked
	// at: fixed numbers, so that where a run stops does not depend on the
	// machine.
	States int
	Work   int64
	// Threads spreads a layer; the result does not depend on it.
	Threads int
}

// Outcome is what a run has found out.
type Outcome struct {
	// Done says that the run went through all layers. Then no plan costs less
	// than the target, or Plan is the best of all plans.
	Done bool
	// Plan is the best plan below the target, nil where there is none.
	Plan model.Plan
	Cost float64
	// States counts the tuples of all layers, Work the options looked at.
	States int
	Work   int64
}

// Sweeper holds what stays the same between runs with different targets.
type Sweeper struct {
	m *model.Model
	// blocks are those of the free units; rest[t] is what all else costs at
	// least at the prices in years t … T−1: constants and fixed units.
	blocks []bound.CompletionBlock
	rest   []float64
	// free lists the units whose paths are searched, bit[i] is the place of unit
	// i in it, −1 for a unit that keeps to the plan base.
	free []int32
	bit  []int8
	plan model.Plan
	base []yearBase
	// scale[b] is the place value of block b's state in a tuple's key.
	scale []uint64
	// options[t][b] holds the options from each state of a block, built when
	// first asked for.
	options [][]blockOptions
}

// New gives a sweeper for a completion bound. ok is false where the problem has
// too many units, classes or tuples to count.
func New(m *model.Model, c *bound.Completion) (s *Sweeper, ok bool) {
	free := make([]int32, m.N)
	for i := range free {
		free[i] = int32(i)
	}
	return NewAround(m, c, m.NewPlan(), free)
}

// NewAround gives a sweeper that searches the paths of some units, ascending,
// while the others keep to a plan that meets every requirement. The completion
// bound must come from an engine in which the others are fixed to the plan, with
// no block that holds units of both kinds.
func NewAround(m *model.Model, c *bound.Completion, plan model.Plan, free []int32) (s *Sweeper, ok bool) {
	if len(free) > MaxUnits || len(m.Classes) > maxClasses {
		return nil, false
	}
	s = &Sweeper{m: m, free: free, plan: plan, bit: make([]int8, m.N), rest: append([]float64(nil), c.Rest...)}
	for i := range s.bit {
		s.bit[i] = -1
	}
	for x, i := range free {
		s.bit[i] = int8(x)
	}
	s.layBase()
	place := uint64(1)
	for b := range c.Blocks {
		block := &c.Blocks[b]
		if s.bit[block.Units[0]] < 0 {
			s.restOf(block)
			continue
		}
		s.blocks, s.scale = append(s.blocks, *block), append(s.scale, place)
		over, low := bits.Mul64(place, uint64(block.Size))
		if over != 0 {
			return nil, false
		}
		place = low
	}
	s.options = make([][]blockOptions, m.T)
	for t := range s.options {
		s.options[t] = make([]blockOptions, len(s.blocks))
		for b := range s.options[t] {
			s.options[t][b].from = make([][]option, s.blocks[b].Size)
		}
	}
	return s, true
}

// layer holds the tuples of one year, ascending by key.
type layer struct {
	key  []uint64
	cost []float64
	// parent indexes the layer before; set holds the units that burned.
	parent []int32
	set    []uint32
}

// Run goes through the layers and keeps what may end below the target.
func (s *Sweeper) Run(ctx context.Context, target float64, limit Limit) Outcome {
	start := uint64(0)
	for b := range s.blocks {
		start += uint64(s.blocks[b].StartState(s.m)) * s.scale[b]
	}
	layers := []layer{{key: []uint64{start}, cost: []float64{0}, parent: []int32{-1}, set: []uint32{0}}}
	out := Outcome{Cost: math.Inf(1)}
	workers := make([]*worker, max(1, limit.Threads))
	for w := range workers {
		workers[w] = newWorker(s)
	}
	for t := range s.m.T {
		next, work, ok := s.year(ctx, t, &layers[t], target, limit, out.Work, workers)
		out.Work += work
		if !ok {
			return out
		}
		out.States += len(next.key)
		layers = append(layers, next)
	}
	out.Done = true
	s.best(layers, workers[0], &out)
	return out
}

// year makes the layer at the end of year t. ok is false where a limit was met.
func (s *Sweeper) year(ctx context.Context, t int, from *layer, target float64, limit Limit, done int64, workers []*worker) (next layer, work int64, ok bool) {
	s.prepare(t, from)
	r := &round{ctx: ctx, t: t, from: from, target: target, limit: limit, done: done, share: len(workers)}
	var wait guard.Group
	for w, one := range workers {
		wait.Go(func() { one.run(r, w) })
	}
	wait.Wait()
	ok = true
	for _, w := range workers {
		work += w.work
		ok = ok && !w.stopped
	}
	if !ok || limit.Work > 0 && done+work > limit.Work {
		return layer{}, work, false
	}
	next = workers[0].found.merge(workers[1:])
	return next, work, limit.States == 0 || len(next.key) <= limit.States
}

// best follows the cheapest tuple of the last layer back to a plan.
func (s *Sweeper) best(layers []layer, w *worker, out *Outcome) {
	m := s.m
	last := &layers[m.T]
	at := int32(-1)
	for x, c := range last.cost {
		if c < out.Cost {
			out.Cost, at = c, int32(x)
		}
	}
	if at < 0 {
		return
	}
	plan := append(model.Plan(nil), s.plan...)
	for t := m.T - 1; t >= 0; t-- {
		l := &layers[t+1]
		set := l.set[at]
		seasons := w.seasons(t, set)
		for _, i := range s.free {
			plan[int(i)*m.T+t] = model.Rest
		}
		for x, place := range members(set) {
			plan[int(s.free[place])*m.T+t] = seasons[x]
		}
		at = l.parent[at]
	}
	out.Plan = plan
}

// members lists the places of a set, ascending.
func members(set uint32) []int {
	list := make([]int, 0, bits.OnesCount32(set))
	for ; set != 0; set &= set - 1 {
		list = append(list, bits.TrailingZeros32(set))
	}
	return list
}
