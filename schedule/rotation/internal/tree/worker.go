package tree

import (
	"math"
	"slices"

	"emberquilt/schedule/rotation/internal/bound"
	"emberquilt/schedule/rotation/internal/model"
)

// fixing is a decision whose other side is closed at the node's own dual.
type fixing struct {
	unit, year int32
	burn       bool
	// bound is what the dual proves of the other side.
	bound float64
}

// result is what a worker found of a node.
type result struct {
	cut   bool // nothing was done
	bound float64
	dual  *bound.Dual // nil: no better than the node had
	fixed []fixing
	// fixedBy is the dual that proves what fixed says; nil: the node's own.
	fixedBy *bound.Dual
	// The split, and what the node's dual proves of its sides; unit −1: none.
	unit, year int32
	season     int8 // −1: a split on burn and rest
	burn, rest float64
	plan       model.Plan // a plan that the node came upon, or nil
}

type worker struct {
	e          *bound.Engine
	a          *bound.Ascent
	base       []int8 // fixings of the root
	burn, rest []float64
	picks      []pick
}

type pick struct {
	at    int
	score float64
}

func newWorker(e *bound.Engine) *worker {
	n := e.M.N * e.M.T
	w := &worker{e: e, base: slices.Clone(e.Fix), burn: make([]float64, n), rest: make([]float64, n)}
	w.a = bound.NewAscent(e)
	return w
}

// place sets the engine to a node's fixings and dual.
func (w *worker) place(n *node) {
	copy(w.e.Fix, w.base)
	clear(w.e.Barred)
	for k := n; k.parent != nil; k = k.parent {
		p := k.parent
		at := int(p.unit)*w.e.M.T + int(p.year)
		burns := p.burn == k
		switch {
		case p.season < 0 && burns:
			w.e.Fix[at] = bound.FixedBurn
		case p.season < 0:
			w.e.Fix[at] = bound.FixedRest
		case burns:
			w.e.Fix[at] = bound.FixedBurn
			w.e.Barred[at] |= ^(1 << p.season)
		default:
			w.e.Barred[at] |= 1 << p.season
		}
	}
	w.e.Load(n.dual)
}

func (w *worker) work(t *Tree, n *node, cut float64) result {
	e, a := w.e, w.a
	w.place(n)
	r := result{unit: -1, season: -1, bound: n.bound}
	// 1. Better prices.
	a.Reset()
	a.Rate = t.set.Rate
	a.Run(t.set.Steps, cut+1e-7*math.Max(1, math.Abs(cut)))
	a.Return()
	v, _ := e.ClaimValue()
	if e.IsStopped() {
		return result{cut: true}
	}
	switch {
	case v > n.bound:
		r.bound, r.dual = v, e.Save()
	default:
		e.Load(n.dual)
		e.Evaluate()
	}
	if math.IsInf(v, 1) {
		r.bound, r.dual = v, n.dual
		return r
	}
	if r.bound >= cut {
		return r
	}
	w.propose(&r, cut)
	if e.IsStopped() {
		return result{cut: true}
	}
	// 2. Decisions whose other side the prices close already.
	margin := e.Margin()
	e.Marginals(w.burn, w.rest)
	for x := range w.burn {
		if e.Fix[x] != bound.Free {
			continue
		}
		f := fixing{unit: int32(x / e.M.T), year: int32(x % e.M.T)}
		switch b, s := w.burn[x]-margin, w.rest[x]-margin; {
		case math.IsInf(b, 1) || math.IsInf(s, 1):
			continue // decided by the node's other decisions
		case b >= cut:
			f.bound = b
		case s >= cut:
			f.burn, f.bound = true, s
		default:
			continue
		}
		r.fixed = append(r.fixed, f)
	}
	r.fixedBy = r.dual
	for _, f := range r.fixed {
		fix := bound.FixedRest
		if f.burn {
			fix = bound.FixedBurn
		}
		e.Fix[int(f.unit)*e.M.T+int(f.year)] = fix
	}
	// 3. The split.
	w.branch(t, &r, cut, margin)
	if e.IsStopped() {
		return result{cut: true}
	}
	return r
}

// propose keeps the plan of the paths of the last evaluation, if it stands and
// beats the best so far.
func (w *worker) propose(r *result, cut float64) {
	plan := w.e.Plan()
	if e := w.e.M.Evaluate(plan); e.Feasible && e.Cost < cut {
		r.plan = plan
	}
}

// branch chooses the split: of the decisions on which the relaxation is of two
// minds, the one whose worse side gains most after a few steps.
func (w *worker) branch(t *Tree, r *result, cut, margin float64) {
	e, a := w.e, w.a
	years := e.M.T
	w.picks = w.picks[:0]
	for x := range e.Fix {
		if e.Fix[x] != bound.Free || math.IsInf(w.burn[x], 1) || math.IsInf(w.rest[x], 1) {
			continue
		}
		f := a.Average[x]
		gain := math.Min(w.burn[x], w.rest[x]) - e.Value
		score := (f*(1-f) + 1e-3) * e.M.Acres[x/years]
		w.picks = append(w.picks, pick{x, score + gain})
	}
	if len(w.picks) == 0 {
		w.finish(r, cut)
		return
	}
	slices.SortFunc(w.picks, func(a, b pick) int {
		switch {
		case a.score > b.score:
			return -1
		case a.score < b.score:
			return 1
		}
		return a.at - b.at
	})
	best, bestScore := w.picks[0].at, math.Inf(-1)
	if t.set.Try > 1 && len(w.picks) > 1 {
		dual := e.Save()
		value := e.Value
		average := slices.Clone(a.Average)
		for _, p := range w.picks[:min(t.set.Try, len(w.picks))] {
			var side [2]float64
			for k, fix := range [2]int8{bound.FixedBurn, bound.FixedRest} {
				e.Fix[p.at] = fix
				e.Load(dual)
				a.Reset()
				a.Rate = t.set.Rate
				side[k] = math.Min(a.Run(t.set.TrySteps, cut), cut+math.Abs(cut)*0.1+1) - value
			}
			e.Fix[p.at] = bound.Free
			lo, hi := min(side[0], side[1]), max(side[0], side[1])
			if s := max(lo, 1e-6) * max(hi, 1e-6); s > bestScore {
				best, bestScore = p.at, s
			}
		}
		e.Load(dual)
		copy(a.Average, average)
	}
	r.unit, r.year = int32(best/years), int32(best%years)
	r.burn, r.rest = w.burn[best]-margin, w.rest[best]-margin
}

// finish deals with a node in which all burns are decided: the prices that
// prove its cost are known, but for the seasons, which may need splits.
func (w *worker) finish(r *result, cut float64) {
	e := w.e
	e.UseYears(false)                // rows alone prove the cost of a plan exactly
	if math.IsInf(e.Evaluate(), 1) { // the fixings are new
		r.bound, r.dual = e.Value, e.Save()
		return
	}
	w.a.Measure()
	// The burn with most days at stake among those with a choice of seasons.
	best := -1
	for at := range e.Fix {
		if days := e.M.Days[at/e.M.T]; w.seasons(at) > 1 && (best < 0 || days > e.M.Days[best/e.M.T]) {
			best = at
		}
	}
	season := int8(-1)
	if best >= 0 {
		season = e.Season[best]
	}
	need := math.Abs(e.Value)
	if !math.IsInf(cut, 1) {
		need += math.Abs(cut)
	}
	w.a.Polish(need, best < 0)
	w.propose(r, cut)
	if v, _ := e.ClaimValue(); v > r.bound {
		r.bound, r.dual = v, e.Save()
	}
	if r.bound >= cut || best < 0 {
		return
	}
	r.unit, r.year, r.season = int32(best/e.M.T), int32(best%e.M.T), season
	r.burn, r.rest = r.bound, r.bound
}

// seasons counts the seasons that are left to a burn that is decided, 0 where
// the choice is free of consequences.
func (w *worker) seasons(at int) int {
	m := w.e.M
	if w.a.Burned[at] == 0 || m.S > 64 {
		return 0
	}
	t := at % m.T
	many, capped := 0, false
	for s := range m.S {
		if w.e.Barred[at]>>s&1 == 0 && !math.IsInf(m.BurnOwn[at*m.S+s], 1) {
			many++
			capped = capped || !math.IsInf(m.Limit[t].Days[s], 1)
		}
	}
	if !capped {
		return 0
	}
	return many
}
