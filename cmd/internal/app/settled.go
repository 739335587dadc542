package app

import (
	"slices"

	"emberquilt/habitat/date"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
)

// settled gives the problem of a plan for second solves: what can no longer be otherwise
// stays as the plan has it. That is what a unit did in a year in which it burned, the
// burns and rests of seasons that are over, and all of a unit that is not there anymore.
func (s *Session) settled(kept *StoredPlan) *problem.Problem {
	p := kept.Problem.Clone()
	units := s.unitsByName()
	planned := map[problem.UnitYear]int{}
	for _, b := range kept.Answer.Burns {
		planned[problem.UnitYear{Unit: b.Unit, Year: b.Year}] = b.Season
	}
	locked := map[problem.UnitYear]*problem.Lock{}
	for i := range p.Locks {
		l := &p.Locks[i]
		locked[problem.UnitYear{Unit: l.Unit, Year: l.Year}] = l
	}
	isClosed := map[problem.Closed]bool{}
	for _, closed := range p.Closed {
		isClosed[closed] = true
	}
	var locks []problem.Lock
	for year := p.FirstYear; year < p.FirstYear+p.T(); year++ {
		var over []int
		for season, name := range p.Seasons {
			if view.BurnSpan(&s.Property, name, date.ProgramYear(year)).Last.Before(s.Today) {
				over = append(over, season)
			}
		}
		for i := range p.Units {
			at := problem.UnitYear{Unit: i, Year: year}
			unit := units[p.Units[i].ID]
			burned := unit != nil && s.hasBurned(unit, date.ProgramYear(year))
			season, burns := planned[at]
			isOver := burns && slices.Contains(over, season) || !burns && len(over) == len(p.Seasons)
			if !burned && !(burns && isOver) { // even where it is asked, it cannot go back
				for _, season := range over {
					closed := problem.Closed{Unit: i, Year: year, Season: season}
					if !isClosed[closed] {
						isClosed[closed] = true
						p.Closed = append(p.Closed, closed)
					}
				}
			}
			if unit != nil && !burned && !isOver {
				continue
			}
			lock := problem.Lock{Unit: i, Year: year, Burn: burns, Season: -1, By: problem.ByPlan}
			if burns {
				lock.Season = season
			}
			if burned && burns {
				lock.By = problem.ByRecord
			}
			if l := locked[at]; l != nil {
				l.Season, l.By = lock.Season, lock.By
				continue
			}
			locks = append(locks, lock)
		}
	}
	p.Locks = append(p.Locks, locks...)
	return p
}
