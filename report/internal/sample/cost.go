package sample

import "emberquilt/schedule/problem"

// Cost counts a plan's cost by the text of the rotation problem, one part
// after another, from the list of burns alone: it shares nothing with the
// views that are tested with it.
func Cost(p *problem.Problem, a *problem.Answer) problem.Parts {
	burns := func(unit, year int) (season int, ok bool) {
		for _, b := range a.Burns {
			if b.Unit == unit && b.Year == year {
				return b.Season, true
			}
		}
		return 0, false
	}
	age := func(unit, year int) int {
		for y := year; y >= p.FirstYear; y-- {
			if _, ok := burns(unit, y); ok {
				return year - y
			}
		}
		return p.Units[unit].Age + year - p.FirstYear + 1
	}
	above := func(x float64) float64 { return max(0, x) }
	var out problem.Parts
	for year := p.FirstYear; year < p.FirstYear+p.T(); year++ {
		burned := 0.0
		for i, u := range p.Units {
			if late := age(i, year) - u.MaxInterval; late >= 0 {
				out.Overdue += p.Weights.Overdue * u.Acres * (1 + p.OverdueGrowth*float64(min(late, p.OverdueGrowthYears)))
			}
			if s, ok := burns(i, year); ok {
				burned += u.Acres
				out.Season += p.Weights.Season * u.Penalty[s] * u.Acres
			}
			if year < p.FirstYear+p.KeepYears {
				was := false
				for _, b := range p.Previous {
					was = was || b == problem.UnitYear{Unit: i, Year: year}
				}
				if _, ok := burns(i, year); ok != was {
					out.Keep += p.Weights.Keep * u.Acres
				}
			}
		}
		for m, mix := range p.Mixes {
			for _, c := range mix.Classes {
				all, in := 0.0, 0.0
				for i, u := range p.Units {
					if u.Mix == m {
						all += u.Acres
						if g := age(i, year); g >= c.From && g <= c.To {
							in += u.Acres
						}
					}
				}
				out.Mix += p.Weights.Mix * (above(c.MinShare*all-in) + above(in-c.MaxShare*all))
			}
		}
		if p.EvenLo > 0 {
			out.Evenness += p.Weights.Evenness * above(p.EvenLo-burned)
		}
		if p.EvenHi < problem.NoLimit {
			out.Evenness += p.Weights.Evenness * above(burned-p.EvenHi)
		}
		for _, pair := range p.Neighbors {
			_, x := burns(pair[0], year)
			_, y := burns(pair[1], year)
			if x && y {
				out.Neighbors += p.Weights.Neighbors * min(p.Units[pair[0]].Acres, p.Units[pair[1]].Acres)
			}
		}
	}
	return out
}
