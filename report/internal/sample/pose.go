package sample

import (
	"math"
	"sort"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
)

// Pose makes the rotation problem of a sample's property.
func Pose(plan *view.Plan, first, years, lookahead int) *problem.Problem {
	p := &plan.Property
	out := &problem.Problem{FirstYear: first, Years: years, Lookahead: lookahead, EvenLo: math.Inf(-1), EvenHi: problem.NoLimit,
		Weights: problem.Weights{
			Overdue:   p.Weights.Overdue,
			Mix:       p.Weights.Mix,
			Season:    p.Weights.Season,
			Evenness:  p.Weights.Evenness,
			Neighbors: p.Weights.Neighbors,
			Keep:      p.Weights.Keep,
		},
		OverdueGrowth: p.Weights.OverdueGrowth, OverdueGrowthYears: p.Weights.OverdueGrowthYears}
	if p.EvenLo != nil {
		out.EvenLo = float64(*p.EvenLo)
	}
	if p.EvenHi != nil {
		out.EvenHi = float64(*p.EvenHi)
	}
	caps := problem.YearCaps{Acres: problem.NoLimit, Burns: problem.NoLimit, Cost: problem.NoLimit}
	if p.Caps.Acres != nil {
		caps.Acres = float64(*p.Caps.Acres)
	}
	if p.Caps.Burns != nil {
		caps.Burns = float64(*p.Caps.Burns)
	}
	if p.Caps.Cost != nil {
		caps.Cost = float64(*p.Caps.Cost) / 100
	}
	for _, s := range p.Seasons {
		out.Seasons = append(out.Seasons, s.Name)
		days := problem.NoLimit
		if s.BurnDays != nil {
			days = *s.BurnDays
		}
		caps.BurnDays = append(caps.BurnDays, days)
	}
	for range years + lookahead {
		out.Caps = append(out.Caps, caps)
	}
	mixes, refuges := map[string]int{"": -1}, map[string]int{"": -1}
	for i, m := range p.Mixes {
		mixes[m.Name] = i
		mix := problem.Mix{Name: m.Name}
		for _, c := range m.Classes {
			mix.Classes = append(mix.Classes, problem.Class{Name: c.Name, From: c.From, To: c.To, MinShare: float64(c.MinShare), MaxShare: float64(c.MaxShare)})
		}
		out.Mixes = append(out.Mixes, mix)
	}
	for i, r := range p.Refuges {
		refuges[r.Name] = i
		out.Refuges = append(out.Refuges, problem.Refuge{Name: r.Name, MaxShare: float64(r.MaxShare)})
	}
	index := map[string]int{}
	for i := range plan.Units {
		u := &plan.Units[i]
		index[u.ID] = i
		unit := problem.Unit{ID: u.ID, Acres: float64(u.Acres), MinInterval: u.Interval.Min, MaxInterval: u.Interval.Max, BurnDays: u.BurnDays, Cost: float64(u.Cost) / 100,
			Mix: mixes[u.Mix], Refuge: refuges[u.Refuge], Age: p.AgeAtEnd(u, plan.Records, date.ProgramYear(first-1), plan.Stamp.On).Years}
		for range p.Seasons {
			unit.Penalty = append(unit.Penalty, -1)
		}
		for _, c := range u.Choices(p) {
			unit.Penalty[p.SeasonIndex(c.Season)] = c.Penalty
		}
		out.Units = append(out.Units, unit)
	}
	for _, pair := range plan.Pairs {
		ends := [2]int{min(index[pair.A], index[pair.B]), max(index[pair.A], index[pair.B])}
		if pair.Kind == habitat.Apart {
			out.Apart = append(out.Apart, ends)
		} else {
			out.Neighbors = append(out.Neighbors, ends)
		}
	}
	return out
}

// Burn makes a plan by a plain rule: locks first, then each year the units that are
// furthest past their interval, as far as every requirement allows.
func Burn(p *problem.Problem) *problem.Answer {
	a := &problem.Answer{Status: problem.Feasible}
	age := make([]int, len(p.Units))
	for i := range p.Units {
		age[i] = p.Units[i].Age
	}
	group := p.RefugeAcres()
	for t := range p.T() {
		year := p.FirstYear + t
		caps := p.Caps[t]
		days := append([]float64(nil), caps.BurnDays...)
		left := append([]float64(nil), group...)
		for r := range left {
			left[r] *= p.Refuges[r].MaxShare
		}
		acres, burns, cost := caps.Acres, caps.Burns, caps.Cost
		rest, must := map[int]bool{}, map[int]bool{}
		for _, lock := range p.Locks {
			if lock.Year == year {
				rest[lock.Unit], must[lock.Unit] = !lock.Burn, lock.Burn
			}
		}
		order := make([]int, len(p.Units))
		for i := range order {
			order[i] = i
		}
		late := func(i int) float64 { return float64(age[i]+1) / float64(p.Units[i].MaxInterval) }
		sort.SliceStable(order, func(x, y int) bool {
			i, j := order[x], order[y]
			if must[i] != must[j] {
				return must[i]
			}
			return late(i) > late(j)
		})
		on := map[int]int{}
		for _, i := range order {
			u := &p.Units[i]
			if rest[i] || age[i]+1 < u.MinInterval || u.Acres > acres || burns < 1 || u.Cost > cost || late(i) < 0.6 && !must[i] {
				continue
			}
			if u.Refuge >= 0 && u.Acres > left[u.Refuge] || besideBurn(p.Apart, on, i) || besideBurn(p.Neighbors, on, i) && late(i) < 1 {
				continue
			}
			season := -1
			for s := range p.Seasons {
				if u.Allows(s) && u.BurnDays <= days[s] && (season < 0 || u.Penalty[s] < u.Penalty[season]) {
					season = s
				}
			}
			if season < 0 {
				continue
			}
			on[i] = season
			acres, burns, cost, days[season] = acres-u.Acres, burns-1, cost-u.Cost, days[season]-u.BurnDays
			if u.Refuge >= 0 {
				left[u.Refuge] -= u.Acres
			}
		}
		for i := range p.Units {
			age[i]++
			if s, ok := on[i]; ok {
				age[i] = 0
				a.Burns = append(a.Burns, problem.Burn{Unit: i, Year: year, Season: s})
			}
		}
	}
	a.Parts = reference.Cost(p, a.Burns)
	a.Cost = a.Parts.Total()
	a.Bound = a.Cost
	return a
}

func besideBurn(pairs [][2]int, on map[int]int, unit int) bool {
	for _, pair := range pairs {
		_, a := on[pair[0]]
		_, b := on[pair[1]]
		if a && pair[1] == unit || b && pair[0] == unit {
			return true
		}
	}
	return false
}
