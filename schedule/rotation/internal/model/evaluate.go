package model

import (
	"math"

	"emberquilt/schedule/problem"
)

// Evaluation says what a plan costs and whether it meets every requirement.
type Evaluation struct {
	Feasible bool
	// Broken and Year name the first requirement that is broken, by year.
	Broken problem.Requirement
	Year   int
	Parts  problem.Parts
	Cost   float64
}

// Evaluate computes cost and feasibility of a plan from nothing but the
// problem's numbers, summing in index order. Cost is computed for plans that
// are not feasible too.
func (m *Model) Evaluate(plan Plan) Evaluation {
	e := Evaluation{Feasible: true}
	ages := make([]int16, m.N)
	copy(ages, m.Start)
	acresOf := make([]float64, len(m.RefugeLimit))
	classAcres := make([]float64, len(m.Classes))
	days := make([]float64, m.S)
	for t := range m.T {
		m.evaluateYear(plan, t, ages, acresOf, classAcres, days, &e)
	}
	e.Cost = e.Parts.Total()
	return e
}

func (e *Evaluation) broken(what problem.Requirement, year int) {
	if e.Feasible {
		e.Feasible, e.Broken, e.Year = false, what, year
	}
}

func (m *Model) evaluateYear(plan Plan, t int, ages []int16, acresOf, classAcres, days []float64, e *Evaluation) {
	p := m.Problem
	w, year := &p.Weights, p.FirstYear+t
	clear(acresOf)
	clear(classAcres)
	clear(days)
	var acres, burns, cost float64
	for i := range m.N {
		at := i*m.T + t
		s := plan[at]
		if s == Rest {
			ages[i] = m.Next(i, ages[i])
			if m.LockedBurn[at] {
				e.broken(problem.RequireLock, year)
			}
		} else {
			penalty := p.Units[i].Penalty[s]
			switch {
			case !m.CanBurn[m.StateBase[i]+int32(ages[i])]:
				e.broken(problem.RequireRest, year)
			case penalty < 0, m.Closed != nil && m.Closed[at*m.S+int(s)]:
				e.broken(problem.RequireSeason, year)
			case math.IsInf(m.BurnOwn[at*m.S+int(s)], 1):
				// A locked rest, a lock on another season, or alone too much.
				e.broken(problem.RequireLock, year)
			}
			ages[i] = 0
			acres += m.Acres[i]
			burns++
			cost += m.Dollars[i]
			days[s] += m.Days[i]
			if r := m.RefugeOf[i]; r >= 0 {
				acresOf[r] += m.Acres[i]
			}
			e.Parts.Season += w.Season * penalty * m.Acres[i]
		}
		k := m.StateBase[i] + int32(ages[i])
		e.Parts.Overdue += m.OverdueCost[k]
		if c := m.Class[k]; c >= 0 {
			classAcres[c] += m.Acres[i]
		}
		if t < p.KeepYears && (s != Rest) != m.KeepBurn[at] {
			e.Parts.Keep += w.Keep * m.Acres[i]
		}
	}
	l := &m.Limit[t]
	if acres > l.Acres {
		e.broken(problem.RequireAcres, year)
	}
	if burns > l.Burns {
		e.broken(problem.RequireBurns, year)
	}
	if cost > l.Cost {
		e.broken(problem.RequireCost, year)
	}
	for s := range days {
		if days[s] > l.Days[s] {
			e.broken(problem.RequireBurnDays, year)
		}
	}
	for r := range acresOf {
		if acresOf[r] > m.RefugeLimit[r] {
			e.broken(problem.RequireRefuge, year)
		}
	}
	for _, pair := range m.Apart {
		if plan[int(pair.I)*m.T+t] != Rest && plan[int(pair.J)*m.T+t] != Rest {
			e.broken(problem.RequireApart, year)
		}
	}
	for _, pair := range m.Neighbors {
		if plan[int(pair.I)*m.T+t] != Rest && plan[int(pair.J)*m.T+t] != Rest {
			e.Parts.Neighbors += pair.Cost
		}
	}
	for c := range m.Classes {
		e.Parts.Mix += w.Mix * (max(0, m.Classes[c].Lo-classAcres[c]) + max(0, classAcres[c]-m.Classes[c].Hi))
	}
	e.Parts.Evenness += w.Evenness * (max(0, m.EvenLo-acres) + max(0, acres-m.EvenHi))
}
