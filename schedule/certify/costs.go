package certify

import (
	"errors"
	"math"
)

// costs holds what each unit's years cost under the prices of one leaf.
type costs struct {
	*frame
	q *priced
	// free are the costs of each unit without decisions.
	free []unitCosts
}

// unitCosts are the costs of one unit in whole grains of its own scale.
type unitCosts struct {
	scale scale
	// size is the sum of the magnitudes of the costs over all years.
	size float64
	// burn and rest at t are the cost of the cheapest burn and of a rest,
	// infinite where a lock, a decision or a limit is against it.
	burn, rest []int64
	// overdue at k is the cost of a year that ends overdue after k others, the last
	// entry that of all from there on; class at t·classes + k that of a year that
	// ends in class k.
	overdue []int64
	class   []int64
	classes int
}

var errTooLarge = errors.New("its prices are too large to add up")

// costsOf brings the prices of a leaf to whole grains.
func (f *frame) costsOf(q *priced) (*costs, error) {
	c := &costs{frame: f, q: q, free: make([]unitCosts, f.N)}
	for i := range f.units {
		var err error
		if c.free[i], err = c.under(i, nil); err != nil {
			return nil, err
		}
	}
	return c, nil
}

func (f *frame) classes(i int) int {
	if m := f.units[i].Mix; m >= 0 {
		return len(f.p.Mixes[m].Classes)
	}
	return 0
}

// under gives the costs of a unit under decisions, those of other units being
// left out, in the finest scale that holds their sums.
func (c *costs) under(i int, decisions []decision) (unitCosts, error) {
	w := c.weigh(i, decisions)
	grain, ok := scaleOf(w.size())
	if !ok {
		return unitCosts{}, errTooLarge
	}
	u := w.floored(grain, grain.floor)
	u.size = w.size()
	return u, nil
}

// weighed are the costs of one unit before they are floored.
type weighed struct {
	f *frame
	i int
	// burns at t are the seasons of which one may be the cheapest, none where a
	// burn is not allowed; rest at t is nil where a rest is not.
	burns [][]sum
	rest  []*sum
	// class is as in unitCosts; late counts the years that may end overdue.
	class   []sum
	classes int
	late    int
}

var nothing sum

// weigh forms the costs of a unit under decisions.
func (c *costs) weigh(i int, decisions []decision) *weighed {
	f, u := c.frame, &c.units[i]
	w := &weighed{f: f, i: i, burns: make([][]sum, f.T), rest: make([]*sum, f.T), classes: f.classes(i),
		late: max(0, min(f.T, u.Age+f.T+1-u.MaxInterval))}
	all := make([]sum, 0, f.T*f.S)
	allow := make([]bool, f.S)
	for t := range f.T {
		x := i*f.T + t
		copy(allow, f.allow[x*f.S:(x+1)*f.S])
		rest := f.rest[x]
		for _, d := range decisions {
			if d.unit == i && d.year == t {
				f.decide(d, allow, &rest)
			}
		}
		from := len(all)
		all = c.seasons(i, t, allow, all)
		w.burns[t] = all[from:]
		if rest {
			w.rest[t] = &nothing
			if f.keepRest(i, t) {
				w.rest[t] = &u.keep
			}
		}
		for k := range w.classes {
			class := c.q.class[(f.rows.class[u.Mix]+k)*f.T+t].times(u.Acres)
			if own, any := c.q.ownClass[[3]int{i, k, t}]; any {
				class = class.plus(own)
			}
			w.class = append(w.class, class)
		}
	}
	return w
}

// seasons adds the costs of a burn in the seasons that are allowed, but for
// those that surely cost more than another.
func (c *costs) seasons(i, t int, allow []bool, to []sum) []sum {
	f, u := c.frame, &c.units[i]
	from := len(to)
	var common sum
	least := math.Inf(1)
	for s := range allow {
		if !allow[s] {
			continue
		}
		if len(to) == from {
			common = f.burnCost(i, t, c.q)
		}
		b := common.plus(u.season[s]).plus(c.q.day[s*f.T+t].times(u.BurnDays))
		if c.q.ownDay != nil {
			b = b.plus(c.q.ownDay[(i*f.T+t)*f.S+s])
		}
		to = append(to, b)
		least = min(least, b.hi+b.error())
	}
	kept := to[:from]
	for _, b := range to[from:] {
		if b.hi-b.error() <= least {
			kept = append(kept, b)
		}
	}
	return kept
}

// size is the sum of magnitudes over all years.
func (w *weighed) size() float64 {
	u := &w.f.units[w.i]
	size := float64(w.late) * u.lateCost(u.steps).abs
	if w.late == 0 {
		size = 0 // 0 · ∞ is not a number
	}
	for t := range w.burns {
		most := 0.0
		for _, b := range w.burns[t] {
			most = max(most, b.abs)
		}
		if w.rest[t] != nil {
			most = max(most, w.rest[t].abs)
		}
		size += most
		most = 0
		for _, class := range w.class[t*w.classes : (t+1)*w.classes] {
			most = max(most, class.abs)
		}
		size += most
	}
	return size
}

// floored brings the costs to whole grains.
func (w *weighed) floored(grain scale, floor func(s sum) int64) unitCosts {
	u := unitCosts{scale: grain, burn: make([]int64, len(w.burns)), rest: make([]int64, len(w.burns)),
		class: make([]int64, len(w.class)), classes: w.classes}
	unit := &w.f.units[w.i]
	u.overdue = make([]int64, unit.steps+1)
	if w.late > 0 {
		for k := range u.overdue {
			u.overdue[k] = floor(unit.lateCost(k))
		}
	}
	for t := range w.burns {
		u.burn[t], u.rest[t] = infinite, infinite
		for _, b := range w.burns[t] {
			u.burn[t] = min(u.burn[t], floor(b))
		}
		if w.rest[t] != nil {
			u.rest[t] = floor(*w.rest[t])
		}
	}
	for k := range w.class {
		u.class[k] = floor(w.class[k])
	}
	return u
}

// burnCost gives what a burn of a unit costs in a year in any season.
func (f *frame) burnCost(i, t int, q *priced) sum {
	u := &f.units[i]
	acre := q.acre[t]
	if u.Refuge >= 0 {
		acre = acre.plus(q.refuge[u.Refuge*f.T+t])
	}
	b := acre.times(u.Acres).plus(q.burn[t]).plus(q.dollar[t].times(u.Cost))
	if q.own != nil {
		b = b.plus(q.own[i*f.T+t])
	}
	if u.keepBurn[t] {
		b = b.plus(u.keep)
	}
	return b
}

// ageCost gives what it costs unit u to end year t with an age.
func (c *unitCosts) ageCost(u *unit, t, age int) int64 {
	cost := int64(0)
	if age >= u.MaxInterval {
		cost = c.overdue[min(age-u.MaxInterval, u.steps)]
	}
	if u.class != nil {
		cost += c.class[t*c.classes+u.class[min(age, u.top)]]
	}
	return cost
}

// path gives the least cost of a unit's path through the years, infinite where
// there is none.
//
// Since its last burn a unit has an age 0 … young, of which the last stands for
// all from which nothing changes (or is reached in the last year only); or it
// has not burned yet.
func (c *unitCosts) path(u *unit) int64 {
	since, next := make([]int64, u.young+1), make([]int64, u.young+1)
	for g := range since {
		since[g] = infinite
	}
	never := int64(0)
	for t := range c.burn {
		before := infinite
		if c.burn[t] < infinite {
			for g := max(0, u.MinInterval-1); g <= u.young; g++ {
				before = min(before, since[g])
			}
			if u.Age+t+1 >= u.MinInterval {
				before = min(before, never)
			}
		}
		for g := range next {
			next[g] = infinite
		}
		if c.rest[t] < infinite {
			for g := 0; g <= u.young; g++ {
				if since[g] < infinite {
					to := min(g+1, u.young)
					next[to] = min(next[to], since[g]+c.rest[t]+c.ageCost(u, t, to))
				}
			}
			if never < infinite {
				never += c.rest[t] + c.ageCost(u, t, u.Age+t+1)
			}
		} else {
			never = infinite
		}
		if before < infinite {
			next[0] = before + c.burn[t] + c.ageCost(u, t, 0)
		}
		since, next = next, since
	}
	best := never
	for _, cost := range since {
		best = min(best, cost)
	}
	return best
}
