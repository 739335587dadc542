package reference

import "emberquilt/schedule/problem"

// Cost gives the six parts of the cost of a plan, read word for word from the
// definition. The plan need not be feasible; a unit burns at most once a year.
func Cost(p *problem.Problem, burns []problem.Burn) problem.Parts {
	T, w := p.T(), p.Weights
	burned := make([][]int, len(p.Units)) // season + 1, 0 for rest
	for i := range burned {
		burned[i] = make([]int, T)
	}
	for _, b := range burns {
		burned[b.Unit][b.Year-p.FirstYear] = b.Season + 1
	}
	previous := map[problem.UnitYear]bool{}
	for _, b := range p.Previous {
		previous[b] = true
	}
	age := make([]int, len(p.Units))
	for i := range age {
		age[i] = p.Units[i].Age
	}
	mixAcres := p.MixAcres()
	var parts problem.Parts
	for t := range T {
		var acres float64
		for i := range p.Units {
			u := &p.Units[i]
			age[i]++
			if k := burned[i][t]; k > 0 {
				age[i] = 0
				acres += u.Acres
				parts.Season += w.Season * u.Penalty[k-1] * u.Acres
			}
			if late := age[i] - u.MaxInterval; late >= 0 {
				parts.Overdue += w.Overdue * u.Acres * (1 + p.OverdueGrowth*float64(min(late, p.OverdueGrowthYears)))
			}
			if t < p.KeepYears && (burned[i][t] > 0) != previous[problem.UnitYear{Unit: i, Year: p.FirstYear + t}] {
				parts.Keep += w.Keep * u.Acres
			}
		}
		parts.Evenness += w.Evenness * (max(0, p.EvenLo-acres) + max(0, acres-p.EvenHi))
		for _, pair := range p.Neighbors {
			if burned[pair[0]][t] > 0 && burned[pair[1]][t] > 0 {
				parts.Neighbors += w.Neighbors * min(p.Units[pair[0]].Acres, p.Units[pair[1]].Acres)
			}
		}
		for m := range p.Mixes {
			for _, c := range p.Mixes[m].Classes {
				var inside float64
				for i := range p.Units {
					if p.Units[i].Mix == m && age[i] >= c.From && age[i] <= c.To {
						inside += p.Units[i].Acres
					}
				}
				parts.Mix += w.Mix * (max(0, c.MinShare*mixAcres[m]-inside) + max(0, inside-c.MaxShare*mixAcres[m]))
			}
		}
	}
	return parts
}
