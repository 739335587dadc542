package contradiction

import (
	"fmt"
	"math"

	"emberquilt/schedule/problem"
)

// mixes finds wanted shares that no plan without an overdue unit can meet in all of
// the years: the acre-years that the intervals let, or make, a class hold are added up.
func (f *finder) mixes() []Finding {
	p := f.p
	acres := p.MixAcres()
	var all []Finding
	for m := range p.Mixes {
		var units []int
		for i := range p.Units {
			if p.Units[i].Mix == m {
				units = append(units, i)
			}
		}
		if len(units) == 0 {
			continue
		}
		for c := range p.Mixes[m].Classes {
			class := &p.Mixes[m].Classes[c]
			held := func(age int) float64 {
				if age >= class.From && age <= class.To {
					return 1
				}
				return 0
			}
			least, most := make([]float64, p.T()), make([]float64, p.T())
			for _, i := range units {
				y := &f.units[i]
				if y.stuck >= 0 { // of one that is overdue anyway nothing is known
					for t := range most {
						most[t] += y.acres * float64(t+1)
					}
					continue
				}
				low := y.fewest(0, held)
				high := y.fewest(0, func(age int) float64 { return -held(age) })
				for t := range most {
					least[t] += y.acres * low[t]
					most[t] -= y.acres * high[t]
				}
			}
			if one, ok := f.missed(m, c, acres[m], least, most, units); ok {
				all = append(all, one)
			}
		}
	}
	return all
}

// missed asks of all years, and then of the plan years.
func (f *finder) missed(m, c int, acres float64, least, most []float64, units []int) (Finding, bool) {
	p := f.p
	class := &p.Mixes[m].Classes[c]
	for _, last := range []int{p.T() - 1, p.Years - 1} {
		n := float64(last + 1)
		low, high := class.MinShare*acres, class.MaxShare*acres
		slack := 1e-6 * math.Max(1, acres*n)
		one := Finding{Kind: Mix, Sets: [][]int{units}, First: f.year(0), Last: f.year(last), Mix: m, Class: c}
		head := fmt.Sprintf("mix %s, class %s (age %s): in %s the intervals ", p.Mixes[m].Name, class.Name, ages(class), f.when(0, last))
		switch {
		case most[last] < low*n-slack:
			one.Needed, one.Allowed = low*n, most[last]
			one.Text = head + fmt.Sprintf(
				"let it hold %s acres or less a year on average, and %s are wanted at least; some year misses that, or a unit is overdue, in every plan",
				amount(most[last]/n),
				amount(low),
			)
			return one, true
		case least[last] > high*n+slack:
			one.Needed, one.Allowed = least[last], high*n
			one.Text = head + fmt.Sprintf(
				"make it hold %s acres or more a year on average, and %s are wanted at most; some year misses that, or a unit is overdue, in every plan",
				amount(least[last]/n),
				amount(high),
			)
			return one, true
		}
	}
	return Finding{}, false
}

func ages(c *problem.Class) string {
	switch {
	case c.To == c.From:
		return fmt.Sprint(c.From)
	case c.To == problem.OpenEnded:
		return fmt.Sprintf("%d and over", c.From)
	}
	return fmt.Sprintf("%d to %d", c.From, c.To)
}
