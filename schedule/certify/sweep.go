package certify

import (
	"context"
	"errors"
	"fmt"
	"math"

	"emberquilt/schedule/problem"
)

// Limits of a sweep: tuples of one year, and choices looked at.
const (
	sweepTuples = 8 << 20
	sweepWork   = 20 << 30
)

// ages is a tuple: the age of each unit, capped at the age from which nothing
// changes.
type ages [problem.MaxSweepUnits]uint8

// sweeper goes through all plans year by year; see problem.Leaf. All costs are
// floored to whole grains of one scale, so that what is kept has at most its
// true cost; a requirement counts as broken only where it surely is.
type sweeper struct {
	*costs
	grain  scale
	target int64
	// cap is a cost that no plan below the target pays at once, whatever else
	// it pays; larger ones count as this much.
	cap   int64
	own   []unitCosts
	parts []sweepPart
	// rest[t] is the constant of the rows in years t … T−1.
	rest  []int64
	sets  *setCosts
	mixes []band

	year   int
	next   map[ages]int64
	choice [][]option
	least  []int64
	class  [][]int64
	work   int64
	err    error
}

// swept sees whether the leaf's sweep holds under decisions.
func (l *leaf) swept(ctx context.Context, decisions []decision) error {
	s, err := l.newSweeper(decisions)
	if err != nil {
		return err
	}
	var start ages
	for i := range s.units {
		start[i] = uint8(min(s.units[i].Age, s.units[i].top))
	}
	layer := map[ages]int64{start: 0}
	for t := range s.T {
		s.begin(t)
		n := 0
		for from, cost := range layer {
			if n++; n%1024 == 0 && ctx.Err() != nil {
				return ctx.Err()
			}
			if s.expand(from, cost); s.err != nil {
				return s.err
			}
		}
		layer = s.next
	}
	if len(layer) > 0 {
		least := infinite
		for _, cost := range layer {
			least = min(least, cost)
		}
		return fmt.Errorf("a plan seems to cost %v, below the %v that it claims", math.Ldexp(float64(least), -int(s.grain)), l.sweep)
	}
	return nil
}

func (l *leaf) newSweeper(decisions []decision) (*sweeper, error) {
	if l.N > problem.MaxSweepUnits {
		return nil, fmt.Errorf("the problem has %d units; at most %d can be swept", l.N, problem.MaxSweepUnits)
	}
	for i := range l.units {
		if l.units[i].top > math.MaxUint8 {
			return nil, fmt.Errorf("the ages of unit %s are too many to sweep", l.units[i].ID)
		}
		if len(l.partsOf[i]) > 1 {
			return nil, errors.New("its blocks overlap")
		}
	}
	for k := range l.blocks {
		if l.blocks[k].shift != nil {
			return nil, errors.New("its blocks have shifts")
		}
	}
	s := &sweeper{costs: l.costs, rest: make([]int64, l.T+1)}
	if err := s.scaleAll(l, decisions); err != nil {
		return nil, err
	}
	s.target = int64(math.Ceil(math.Ldexp(l.sweep, int(s.grain))))
	for t := s.T - 1; t >= 0; t-- {
		s.rest[t] = s.rest[t+1] + s.grain.floor(l.prices.constantIn[t])
		for _, v := range l.years {
			if v.year == t {
				s.rest[t] += v.in(s.grain)
			}
		}
	}
	s.mixes = s.bands()
	s.sets = newSetCosts(s, decisions)
	for k := range l.blocks {
		if err := s.addPart(l.blocks[k].units, &l.blocks[k]); err != nil {
			return nil, fmt.Errorf("block %d: %w", k, err)
		}
	}
	for _, i := range l.singles {
		if err := s.addPart([]int{i}, nil); err != nil {
			return nil, err
		}
	}
	s.choice, s.least, s.class = make([][]option, len(s.parts)), make([]int64, len(s.parts)+1), make([][]int64, len(s.parts)+1)
	for b := range s.class {
		s.class[b] = make([]int64, len(s.mixes))
	}
	return s, nil
}

// scaleAll finds the cap, and a scale for all sums of a plan's costs and of the
// leaf's, none of which is above the cap at once.
//
// A plan that pays the cap once costs at least the cap less all that can be
// below 0 at the prices, which is the target.
func (s *sweeper) scaleAll(l *leaf, decisions []decision) error {
	below := 0.0
	for _, c := range l.prices.constantIn {
		below += c.abs
	}
	for _, v := range l.years {
		below += math.Abs(math.Ldexp(float64(v.grains), -int(v.scale)))
	}
	weighed := make([]*weighed, s.N)
	for i := range s.units {
		weighed[i] = s.weigh(i, decisions)
		below += weighed[i].below()
	}
	most := 1.001 * (l.sweep + below)
	sums := float64(8 * (s.T*(4*s.N+s.rows.classCount+4) + 16))
	grain, ok := scaleOf(most * sums)
	if !ok {
		return errTooLarge
	}
	s.grain, s.cap = grain, int64(math.Ldexp(most, int(grain)))
	for _, w := range weighed {
		if w.size() > most*0x1p80 {
			return errTooLarge
		}
		s.own = append(s.own, w.floored(grain, s.floor))
	}
	return nil
}

// floor is that of the scale, up to the cap.
func (s *sweeper) floor(x sum) int64 {
	if x.hi >= math.Ldexp(float64(s.cap), -int(s.grain)) {
		return s.cap
	}
	return s.grain.floor(x)
}

// below is by how much all costs of a unit together can be below 0.
func (w *weighed) below() float64 {
	total := 0.0
	for t := range w.burns {
		least := 0.0
		for _, b := range w.burns[t] {
			least = min(least, b.hi-b.error())
		}
		total -= least
		least = 0
		for _, c := range w.class[t*w.classes : (t+1)*w.classes] {
			least = min(least, c.hi-c.error())
		}
		total -= least
	}
	return total
}

// begin turns to a year.
func (s *sweeper) begin(t int) {
	s.year, s.next = t, map[ages]int64{}
	s.sets.begin(t)
	for b := range s.parts {
		s.parts[b].known = map[int][]option{}
	}
}

// expand goes from a tuple into the next year in every way that may stay below
// the target.
func (s *sweeper) expand(from ages, cost int64) {
	for b := len(s.parts) - 1; b >= 0; b-- {
		s.choice[b] = s.parts[b].options(s, &from)
		if len(s.choice[b]) == 0 {
			return
		}
		s.least[b] = s.least[b+1] + s.choice[b][0].priced
	}
	s.choose(0, cost+s.rest[s.year], from, gathered{cost: cost})
}

// gathered is what the parts chosen so far add up to.
type gathered struct {
	// cost is true cost; toGo the least of the years to come.
	cost, toGo            int64
	acres, burns, dollars float64
	set                   uint32
}

func (s *sweeper) choose(b int, priced int64, to ages, g gathered) {
	if b == len(s.parts) {
		s.arrive(to, &g)
		return
	}
	l := &s.limits[s.year]
	for x := range s.choice[b] {
		o := &s.choice[b][x]
		if priced+o.priced+s.least[b+1] >= s.target {
			return
		}
		if s.work++; s.work > sweepWork {
			s.err = errors.New("it needs more work than is allowed")
			return
		}
		h := gathered{g.cost + o.own, g.toGo + o.toGo, g.acres + o.acres, g.burns + o.burns, g.dollars + o.dollars, g.set | o.set}
		if passes(h.acres, l.acres) || passes(h.burns, l.burns) || passes(h.dollars, l.cost) {
			continue
		}
		for u, i := range s.parts[b].units {
			to[i] = o.to[u]
		}
		for c := range s.class[b] {
			s.class[b+1][c] = s.class[b][c] + o.class[c]
		}
		if s.choose(b+1, priced+o.priced, to, h); s.err != nil {
			return
		}
	}
}

// arrive adds what the year costs beyond the parts' own, and keeps the tuple
// where it may still end below the target.
func (s *sweeper) arrive(to ages, g *gathered) {
	cost := g.cost
	low := func() bool { return cost+g.toGo+s.rest[s.year+1] < s.target }
	if !low() {
		return
	}
	for c := range s.mixes {
		cost += min(s.cap, s.mixes[c].cost(s.class[len(s.parts)][c], s.grain))
	}
	if !low() {
		return
	}
	own := s.sets.of(g.set)
	if own >= infinite {
		return
	}
	if cost += own; !low() {
		return
	}
	if before, known := s.next[to]; !known || cost < before {
		s.next[to] = cost
		if len(s.next) > sweepTuples {
			s.err = errors.New("it needs more tuples of ages than are allowed")
		}
	}
}
