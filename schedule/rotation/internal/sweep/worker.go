package sweep

import (
	"context"
	"math"

	"emberquilt/schedule/rotation/internal/model"
)

// round is what the workers of one year share.
type round struct {
	ctx    context.Context
	t      int
	from   *layer
	target float64
	limit  Limit
	done   int64 // work of the years before
	share  int   // number of workers
}

// worker expands a part of a layer.
type worker struct {
	s     *Sweeper
	r     *round
	found *table
	sets  setCosts
	// Of the tuple that is expanded: its index, its options by block, and the
	// least cost at the prices of the blocks from b on.
	parent  int32
	options [][]option
	least   []float64
	// acres by class of the blocks chosen so far, one row a block.
	class   [][maxClasses]float64
	classes int
	cost    float64 // of the tuple
	restAt  float64 // constants of the years after this one
	work    int64
	stopped bool
}

func newWorker(s *Sweeper) *worker {
	n := len(s.blocks)
	return &worker{
		s: s, found: newTable(), options: make([][]option, n), least: make([]float64, n+1),
		class: make([][maxClasses]float64, n+1), classes: len(s.m.Classes), sets: newSetCosts(s),
	}
}

// run expands every share-th tuple of the layer, from the w-th on.
func (w *worker) run(r *round, from int) {
	w.r, w.work, w.stopped = r, 0, false
	w.found.clear()
	w.sets.begin(r.t)
	s := w.s
	w.restAt = s.rest[r.t+1]
	base := &s.base[r.t]
	w.class[0] = base.class
	begin := partial{own: base.own, acres: base.acres, burns: base.burns, dollars: base.dollars}
	for x := from; x < len(r.from.key); x += r.share {
		if w.isStopped() {
			w.stopped = true
			return
		}
		key := r.from.key[x]
		w.parent, w.cost = int32(x), r.from.cost[x]
		dead := false
		for b := len(s.blocks) - 1; b >= 0; b-- {
			list := s.options[r.t][b].from[key/s.scale[b]%uint64(s.blocks[b].Size)]
			if len(list) == 0 {
				dead = true
				break
			}
			w.options[b] = list
			w.least[b] = w.least[b+1] + list[0].priced
		}
		if !dead {
			w.choose(0, w.cost+s.rest[r.t], begin)
		}
	}
}

// isStopped looks at the limits; of the work and tuples of other workers it
// knows nothing, so it lets each do its share at most.
func (w *worker) isStopped() bool {
	l := &w.r.limit
	return l.Work > 0 && w.r.done+w.work > l.Work || l.States > 0 && w.found.count() > l.States || w.r.ctx.Err() != nil
}

// partial is what the blocks chosen so far add up to.
type partial struct {
	own, toGo             float64
	acres, burns, dollars float64
	key                   uint64
	set                   uint32
}

// choose goes through the options of block b. priced is the bound with the
// blocks so far at their choice.
func (w *worker) choose(b int, priced float64, p partial) {
	if b == len(w.options) {
		w.arrive(&p)
		return
	}
	l := &w.s.m.Limit[w.r.t]
	for x := range w.options[b] {
		o := &w.options[b][x]
		if priced+o.priced+w.least[b+1] >= w.r.target {
			return
		}
		w.work++
		if w.work&0xffff == 0 && w.isStopped() {
			w.stopped = true
			return
		}
		q := partial{p.own + o.own, p.toGo + o.toGo, p.acres + o.acres, p.burns + o.burns, p.dollars + o.dollars, p.key + o.key, p.set | o.set}
		if model.Passes(q.acres, l.Acres) || model.Passes(q.burns, l.Burns) || model.Passes(q.dollars, l.Cost) {
			continue
		}
		for c := range w.classes {
			w.class[b+1][c] = w.class[b][c] + o.class[c]
		}
		w.choose(b+1, priced+o.priced, q)
		if w.stopped {
			return
		}
	}
}

// arrive adds the true cost of the year and keeps the tuple if it may still
// end below the target.
func (w *worker) arrive(p *partial) {
	m := w.s.m
	cost := w.cost + p.own
	low := cost + p.toGo + w.restAt
	if low >= w.r.target {
		return
	}
	mix := 0.0
	for c := range w.classes {
		acres := w.class[len(w.options)][c]
		mix += math.Max(0, m.Classes[c].Lo-acres) + math.Max(0, acres-m.Classes[c].Hi)
	}
	mix *= m.Problem.Weights.Mix
	if low+mix >= w.r.target {
		return
	}
	set := w.sets.of(p.set)
	if low+mix+set >= w.r.target {
		return
	}
	w.found.keep(p.key, cost+mix+set, w.parent, p.set)
}

// seasons gives the cheapest seasons of a set that the burn days allow, in the
// order of its members.
func (w *worker) seasons(t int, set uint32) []int8 {
	w.sets.begin(t)
	w.sets.of(set)
	return w.sets.pack(set)
}
