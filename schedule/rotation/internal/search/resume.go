package search

import (
	"context"
	"slices"

	"emberquilt/schedule/rotation/internal/model"
)

// Resume begins with a plan that was good for a problem nearly alike, in place of
// the locked burns alone; it must come before the first Run. price holds the
// model's row prices, nil where none are known. touched are the units that have
// something new: they answer all others first, one by one, as do units whose path
// does not stand any more; then all answer each other until no requirement is
// broken. Resume reports whether that led to a plan that meets every requirement.
// The units that it moved are in moved.
func (x *Searcher) Resume(ctx context.Context, plan model.Plan, touched []bool, price []float64) (moved []int32, ok bool) {
	w := newWalk(x.in, x.seed, 0)
	w.setRates(hard * w.rateUnit)
	w.plain = true
	var late []int32
	for i := range w.N {
		path := plan[i*w.T:][:w.T]
		if touched[i] || !w.stands(i, path) {
			late = append(late, int32(i))
			continue
		}
		w.put(i, path)
	}
	w.resum()
	for _, u := range late {
		i := int(u)
		w.prepare(i)
		w.steps++
		cost := w.respond(i, w.burnAt)
		if cost == inf {
			return nil, false
		}
		w.put(i, w.path)
	}
	w.resum()
	w.record()
	w.settle(ctx, resumeSweeps)
	x.steps += w.steps
	x.take(w)
	if w.found.cost == inf {
		return nil, false
	}
	for i := range w.N {
		if touched[i] || !slices.Equal(x.found.plan[i*w.T:][:w.T], plan[i*w.T:][:w.T]) {
			moved = append(moved, int32(i))
		}
	}
	x.walks = []*walk{w}
	if price != nil {
		w.known = price[:len(w.price)]
	}
	x.isGentle = true
	x.begin()
	return moved, true
}

// resumeSweeps is how many sweeps a plan is given to settle in.
const resumeSweeps = 3

// stands reports whether a path is allowed to a unit by itself.
func (s *state) stands(i int, path []int8) bool {
	k := s.Start[i]
	for t, q := range path {
		at := i*s.T + t
		if q < 0 {
			if s.RestOwn[at] == inf {
				return false
			}
			k = s.Next(i, k)
			continue
		}
		if !s.CanBurn[s.StateBase[i]+int32(k)] || s.BurnOwn[at*s.S+int(q)] == inf {
			return false
		}
		k = 0
	}
	return true
}
