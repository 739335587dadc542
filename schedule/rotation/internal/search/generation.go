package search

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// generation is a number of walks that cool side by side, in legs: so many at a
// time as there are lanes go to the end of the leg, then the next ones.
type generation struct {
	walks []*walk
	turn  int
	legs  int   // that are done
	work  int64 // steps of the generation
	// isLast says that the generation takes all steps that are left.
	isLast bool
	// begun counts the generations so far.
	begun int
	// isGentle says that the next generation is the first one after Resume.
	isGentle bool
	// aim holds prices of rows that are known to be right, nil where there are none.
	aim []float64
	// guide is what Guide has made, nil for none.
	guide []float64
}

// What was tuned on the development problems; see the documentation of the
// package.
const (
	mostWalks = 16
	lanes     = 2
	// A walk has at least so many steps a unit, on larger problems so many for
	// each pair of units, and a generation fewestMany walks or one alone: many
	// walks pay on a hundred units, where luck decides much, length pays on a
	// thousand.
	unitSteps  = 3000
	pairSteps  = 60
	fewestMany = 4

	// firstLeg and lastLeg are the parts of a cooling after which walks are
	// compared for the first and the last time, leg is how much lies between.
	firstLeg, lastLeg, leg = 0.25, 0.85, 0.05
	// replaced is the share of the walks that go on from where others are, fewer
	// on problems of fewer units than fullUnits: there chance finds what it misses
	// at once, if walks do not all come from one.
	replaced  = 0.25
	fullUnits = 60

	// growth is of a generation over the one before it, ending how many times
	// that must be left if it is not to be the last one planned, spare the part of
	// what was planned that each has that comes after.
	growth, ending, spare = 3, 4.5, 2
)

// leg is the part of a cooling that the walks go to next.
func (g *generation) leg() float64 {
	if g.isLastLeg() {
		return 1
	}
	return firstLeg + leg*float64(g.legs)
}

// isLastLeg reports whether the walks go to the end of the cooling.
func (g *generation) isLastLeg() bool {
	return len(g.walks) == 1 || firstLeg+leg*float64(g.legs) > lastLeg+leg/2
}

// next gives the turn to the next walks, and ends the leg or the generation after
// the last ones.
func (x *Searcher) next() {
	if x.turn += lanes; x.turn < len(x.walks) {
		return
	}
	x.turn = 0
	for _, w := range x.walks {
		w.done = false
	}
	if x.isLastLeg() {
		x.begin()
		return
	}
	x.legs++
	x.choose()
}

// begin begins the next generation. Each has more work than the one before it;
// the last that is planned takes all that is left.
func (x *Searcher) begin() {
	n := int64(x.in.N)
	x.isLast = false
	switch left := x.planned - x.steps; {
	case x.work == 0:
		x.work = x.walks[0].first
	case x.planned == 0 || float64(left) > ending*growth*float64(x.work):
		x.work *= growth
	default:
		x.work, x.isLast = max(left, x.planned/spare, growth), true
	}
	many := int(min(x.work/(n*max(unitSteps, pairSteps*n)), mostWalks))
	if many < fewestMany {
		many = 1
	}
	for len(x.walks) < many {
		w := newWalk(x.in, x.seed, uint64(len(x.walks)))
		w.follow(x.walks[0])
		x.walks = append(x.walks, w)
	}
	x.walks = x.walks[:many]
	x.begun++
	x.legs = 0
	how := usual
	if x.in.N > crowdUnits {
		how = crowd
	}
	switch {
	case x.aim != nil:
		how = aimed
		for _, w := range x.walks {
			w.load(x.found.plan)
			w.known = x.aim
		}
	case x.isGentle:
		how, x.isGentle = gentle, false
	}
	for _, w := range x.walks {
		w.guide = x.guide
		w.cycle = cycle{from: w.steps, steps: max(1, x.work/int64(len(x.walks))), heat: how}
		w.mark = 0
	}
}

// choose lets the walks that are worst off go on from where the best are: what
// tells good plans from bad ones is decided halfway down, and cannot be fixed
// when it is cold.
func (x *Searcher) choose() {
	order := slices.Clone(x.walks)
	slices.SortStableFunc(order, func(a, b *walk) int { return cmp.Compare(a.mark, b.mark) })
	many := len(order)
	share := replaced * min(1, float64(x.in.N)/fullUnits)
	for k := range int(share * float64(many)) {
		order[many-1-k].follow(order[k])
	}
}

// aimUnit is how many steps a unit the first cooling at right prices has.
const aimUnit = 1000

// Aim leaves the generation at work, and lets those from now on begin with the best
// plan and with row prices that are known to be right: those of a bound that is
// nearly whole. What is left is to decide among paths that cost next to nothing
// more, which coolings at prices of their own mostly miss.
func (x *Searcher) Aim(price []float64) {
	if x.walks == nil || x.found.cost == inf {
		return
	}
	x.aim = price[:len(x.in.limit)]
	x.work = int64(aimUnit * x.in.N / growth)
	x.turn = 0
	for _, w := range x.walks {
		w.done = false
	}
	x.begin()
}

// Finish goes on to the end of the generation at work, in about so many steps, or
// until ctx is done.
func (x *Searcher) Finish(ctx context.Context, steps int64, threads int) {
	if x.walks == nil {
		return
	}
	x.Hurry(steps)
	for at := x.begun; x.begun == at && ctx.Err() == nil; {
		x.advance(ctx, math.MaxInt64/4, threads)
	}
}

// Hurry lets the generation at work end within so many steps.
func (x *Searcher) Hurry(steps int64) {
	if x.left() > steps {
		x.fit(steps)
	}
}

// Expect plans for about so many steps from now on, in place of what was planned: by
// the pace that has been seen. The last generation is made to end with them, stretched
// or shortened; one that would not end any more is the last.
func (x *Searcher) Expect(steps int64) {
	if x.walks == nil || x.planned == 0 {
		return
	}
	x.planned = x.steps + max(1, steps)
	if x.isLast = x.isLast || x.left() > steps; x.isLast {
		x.fit(steps)
	}
}

// Lanes is how many walks may be at work side by side.
func (x *Searcher) Lanes() int { return min(lanes, max(1, len(x.walks))) }

// left is how many steps the generation at work still has.
func (x *Searcher) left() int64 {
	need := int64(0)
	for _, w := range x.walks {
		need += w.left()
	}
	return need
}

// fit lets the generation at work end in so many steps.
func (x *Searcher) fit(steps int64) {
	need := x.left()
	if need == 0 {
		return
	}
	for _, w := range x.walks {
		w.stretch(float64(max(1, steps)) / float64(need))
	}
}
