package rehearsal

import "emberquilt/schedule/problem"

// rest marks a year in which a unit does not burn.
const rest = -1

// costs counts the shortfall of years, one by one.
type costs struct {
	p        *problem.Problem
	mixAcres []float64
	// inside holds the acres in each class of each mix in the year at hand.
	inside [][]float64
}

func newCosts(p *problem.Problem) *costs {
	c := &costs{p: p, mixAcres: p.MixAcres()}
	for m := range p.Mixes {
		c.inside = append(c.inside, make([]float64, len(p.Mixes[m].Classes)))
	}
	return c
}

// year gives the parts of a year, keep left out, from the ages at its end and the
// seasons of its burns; inBands is told whether each mix is inside its bands.
func (c *costs) year(ages []int, season []int8, inBands []bool) (parts problem.Parts) {
	p, w := c.p, &c.p.Weights
	acres := 0.0
	for m := range c.inside {
		clear(c.inside[m])
	}
	for i := range p.Units {
		u := &p.Units[i]
		if s := season[i]; s >= 0 {
			acres += u.Acres
			parts.Season += w.Season * u.Penalty[s] * u.Acres
		}
		if factor := p.OverdueFactor(ages[i], u.MaxInterval); factor > 0 {
			parts.Overdue += w.Overdue * u.Acres * factor
		}
		if u.Mix >= 0 {
			classes := p.Mixes[u.Mix].Classes
			for k := range classes {
				if ages[i] >= classes[k].From && ages[i] <= classes[k].To {
					c.inside[u.Mix][k] += u.Acres
				}
			}
		}
	}
	parts.Evenness = w.Evenness * (max(0, p.EvenLo-acres) + max(0, acres-p.EvenHi))
	for _, pair := range p.Neighbors {
		if season[pair[0]] >= 0 && season[pair[1]] >= 0 {
			parts.Neighbors += w.Neighbors * min(p.Units[pair[0]].Acres, p.Units[pair[1]].Acres)
		}
	}
	for m := range p.Mixes {
		ok := true
		for k := range p.Mixes[m].Classes {
			class, held := &p.Mixes[m].Classes[k], c.inside[m][k]
			lo, hi := class.MinShare*c.mixAcres[m], class.MaxShare*c.mixAcres[m]
			parts.Mix += w.Mix * (max(0, lo-held) + max(0, held-hi))
			ok = ok && problem.Meets(lo, held) && problem.Meets(held, hi)
		}
		if inBands != nil {
			inBands[m] = ok
		}
	}
	return parts
}

func sum(a, b problem.Parts) problem.Parts {
	return problem.Parts{Overdue: a.Overdue + b.Overdue, Mix: a.Mix + b.Mix, Season: a.Season + b.Season,
		Evenness: a.Evenness + b.Evenness, Neighbors: a.Neighbors + b.Neighbors, Keep: a.Keep + b.Keep}
}

// planCost gives what a plan of p costs, keep included. plan holds the season of
// each burn at year·units+unit, rest elsewhere.
func (c *costs) planCost(plan []int8) float64 {
	p := c.p
	n := len(p.Units)
	ages := make([]int, n)
	for i := range ages {
		ages[i] = p.Units[i].Age
	}
	var parts problem.Parts
	for t := range p.T() {
		season := plan[t*n : (t+1)*n]
		for i := range ages {
			if ages[i]++; season[i] >= 0 {
				ages[i] = 0
			}
		}
		parts = sum(parts, c.year(ages, season, nil))
	}
	return parts.Total() + c.keep(plan)
}

// keep gives what a plan pays for leaving the one before.
func (c *costs) keep(plan []int8) float64 {
	p := c.p
	n := len(p.Units)
	before := make([]bool, p.KeepYears*n)
	for _, b := range p.Previous {
		if t := b.Year - p.FirstYear; t < p.KeepYears {
			before[t*n+b.Unit] = true
		}
	}
	acres := 0.0
	for at, was := range before {
		if (plan[at] >= 0) != was {
			acres += p.Units[at%n].Acres
		}
	}
	return p.Weights.Keep * acres
}

// layOut puts burns into a plan of p.
func layOut(p *problem.Problem, burns []problem.Burn) []int8 {
	n := len(p.Units)
	plan := make([]int8, p.T()*n)
	for at := range plan {
		plan[at] = rest
	}
	for _, b := range burns {
		if t := b.Year - p.FirstYear; t >= 0 && t < p.T() {
			plan[t*n+b.Unit] = int8(b.Season)
		}
	}
	return plan
}

// waiting gives, for each unit that burns in year t of a plan, what it would cost
// to rest it with all else kept.
func (c *costs) waiting(plan []int8, t int) map[int]float64 {
	n := len(c.p.Units)
	cost, out := c.planCost(plan), map[int]float64{}
	for i := range n {
		if s := plan[t*n+i]; s >= 0 {
			plan[t*n+i] = rest
			out[i] = c.planCost(plan) - cost
			plan[t*n+i] = s
		}
	}
	return out
}
