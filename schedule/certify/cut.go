package certify

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"emberquilt/schedule/problem"
)

// cutSteps is how many sets are looked at before a cut is given up, and
// cutTable the largest AtMost for which a sum is asked by a table.
const (
	cutSteps = 5_000_000
	cutTable = 100_000
)

// checkCut finds out whether a cut holds: whether every set of its units that
// weighs more than AtMost breaks, by its own units alone, a requirement of that
// year.
//
// Most cuts come from one sum: it is enough that the lightest way to weigh that
// much already passes its limit, which a table over the weights tells. Otherwise
// all sets that break nothing are searched for one that is too heavy.
func (f *frame) checkCut(c *problem.Cut) error {
	t := c.Year - f.p.FirstYear
	switch {
	case t < 0 || t >= f.T:
		return errors.New("its year is outside the plan")
	case c.Season >= f.S:
		return errors.New("there is no such season")
	case len(c.Units) > problem.MaxCutUnits || len(c.Units) != len(c.Weight):
		return fmt.Errorf("it has %d units and %d weights; at most %d units are allowed", len(c.Units), len(c.Weight), problem.MaxCutUnits)
	case c.AtMost < 0:
		return errors.New("it allows less than nothing")
	}
	for k, i := range c.Units {
		if i < 0 || i >= f.N || k > 0 && i <= c.Units[k-1] {
			return errors.New("its units are not in ascending order")
		}
		if c.Weight[k] < 1 || c.Weight[k] > math.MaxInt32 {
			return fmt.Errorf("weight %d is not a whole number of at least 1", c.Weight[k])
		}
	}
	s := cutSearch{frame: f, cut: c, sums: f.cutSums(c, t)}
	for k := range s.sums {
		if s.provenBy(&s.sums[k]) {
			return nil
		}
	}
	return s.search()
}

// limited is one sum that the units of a cut must keep.
type limited struct {
	amount []float64 // of each unit of the cut
	most   float64
}

// cutSums lists the sums of a year that speak of the units of a cut.
func (f *frame) cutSums(c *problem.Cut, t int) []limited {
	var sums []limited
	add := func(most float64, amount func(u *unit) float64) {
		if math.IsInf(most, 1) {
			return
		}
		l := limited{most: most}
		for _, i := range c.Units {
			l.amount = append(l.amount, amount(&f.units[i]))
		}
		sums = append(sums, l)
	}
	l := &f.limits[t]
	add(l.acres, func(u *unit) float64 { return u.Acres })
	add(l.burns, func(*unit) float64 { return 1 })
	add(l.cost, func(u *unit) float64 { return u.Cost })
	for r := range f.refuge {
		if slices.ContainsFunc(c.Units, func(i int) bool { return f.units[i].Refuge == r }) {
			add(f.refuge[r], func(u *unit) float64 {
				if u.Refuge == r {
					return u.Acres
				}
				return 0
			})
		}
	}
	if c.Season >= 0 {
		add(l.days[c.Season], func(u *unit) float64 { return u.BurnDays })
	}
	return sums
}

type cutSearch struct {
	*frame
	cut   *problem.Cut
	sums  []limited
	order []int // of the cut's units, the heaviest first
	left  []int // weight of the units from order[k] on
	taken []int
	load  []float64
	steps int
}

// provenBy reports whether one sum alone makes the cut hold: least[w] is the
// least amount of a set that weighs w, or at least w for the last entry.
func (s *cutSearch) provenBy(l *limited) bool {
	last := s.cut.AtMost + 1
	if last > cutTable {
		return false
	}
	least := make([]float64, last+1)
	for w := range least {
		least[w] = math.Inf(1)
	}
	least[0] = 0
	for k, weight := range s.cut.Weight {
		for w := last; w >= 0; w-- {
			if math.IsInf(least[w], 1) {
				continue
			}
			to := min(last, w+weight)
			least[to] = min(least[to], least[w]+l.amount[k])
		}
	}
	return passes(least[last], l.most)
}

// search looks for a set that is too heavy and breaks nothing.
func (s *cutSearch) search() error {
	n := len(s.cut.Units)
	s.order = make([]int, n)
	for k := range s.order {
		s.order[k] = k
	}
	slices.SortStableFunc(s.order, func(a, b int) int { return cmp.Compare(s.cut.Weight[b], s.cut.Weight[a]) })
	s.left = make([]int, n+1)
	for k := n - 1; k >= 0; k-- {
		s.left[k] = s.left[k+1] + s.cut.Weight[s.order[k]]
	}
	s.load = make([]float64, len(s.sums))
	found := s.place(0, 0)
	switch {
	case s.steps > cutSteps:
		return errors.New("it is too hard to check")
	case found:
		return fmt.Errorf("it does not hold: units %s weigh more than %d and break nothing", s.names(), s.cut.AtMost)
	}
	return nil
}

func (s *cutSearch) names() string {
	text := ""
	for k, i := range s.taken {
		if k > 0 {
			text += ", "
		}
		text += s.units[i].ID
	}
	return text
}

// place reports whether the units from order[k] on can bring the weight above
// AtMost without breaking anything.
func (s *cutSearch) place(k, weight int) bool {
	if weight > s.cut.AtMost {
		return true
	}
	if s.steps++; s.steps > cutSteps || weight+s.left[k] <= s.cut.AtMost {
		return false
	}
	at := s.order[k]
	i := s.cut.Units[at]
	if s.fits(at, i) {
		before := slices.Clone(s.load)
		for l := range s.sums {
			s.load[l] += s.sums[l].amount[at]
		}
		s.taken = append(s.taken, i)
		if s.place(k+1, weight+s.cut.Weight[at]) {
			return true
		}
		s.taken = s.taken[:len(s.taken)-1]
		copy(s.load, before)
	}
	return s.place(k+1, weight)
}

func (s *cutSearch) fits(at, i int) bool {
	for _, other := range s.taken {
		if _, apart := s.apart[[2]int{min(i, other), max(i, other)}]; apart {
			return false
		}
	}
	for l := range s.sums {
		if passes(s.load[l]+s.sums[l].amount[at], s.sums[l].most) {
			return false
		}
	}
	return true
}
