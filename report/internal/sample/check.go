package sample

import (
	"fmt"

	"emberquilt/schedule/problem"
)

// Violations checks a plan against the hard requirements by the text of the
// rotation problem, from the list of burns alone.
func Violations(p *problem.Problem, burns []problem.Burn) []string {
	var all []string
	say := func(format string, args ...any) { all = append(all, fmt.Sprintf(format, args...)) }
	at := map[[2]int]bool{}
	for _, b := range burns {
		at[[2]int{b.Unit, b.Year}] = true
	}
	for _, b := range burns {
		u := &p.Units[b.Unit]
		if !u.Allows(b.Season) {
			say("season")
		}
		last := p.FirstYear - 1 - u.Age
		for year := p.FirstYear; year < b.Year; year++ {
			if at[[2]int{b.Unit, year}] {
				last = year
			}
		}
		if b.Year-last < u.MinInterval {
			say("rest")
		}
	}
	for t := range p.T() {
		year := p.FirstYear + t
		var acres, count, cost float64
		days, group := make([]float64, len(p.Seasons)), make([]float64, len(p.Refuges))
		for _, b := range burns {
			if b.Year != year {
				continue
			}
			u := &p.Units[b.Unit]
			acres, count, cost, days[b.Season] = acres+u.Acres, count+1, cost+u.Cost, days[b.Season]+u.BurnDays
			if u.Refuge >= 0 {
				group[u.Refuge] += u.Acres
			}
		}
		c := p.Caps[t]
		if !problem.Meets(acres, c.Acres) || !problem.Meets(count, c.Burns) || !problem.Meets(cost, c.Cost) {
			say("cap")
		}
		for s := range days {
			if !problem.Meets(days[s], c.BurnDays[s]) {
				say("burn days")
			}
		}
		for r, all := range p.RefugeAcres() {
			if !problem.Meets(group[r], p.Refuges[r].MaxShare*all) {
				say("refuge")
			}
		}
		for _, pair := range p.Apart {
			if at[[2]int{pair[0], year}] && at[[2]int{pair[1], year}] {
				say("apart")
			}
		}
	}
	for _, lock := range p.Locks {
		if at[[2]int{lock.Unit, lock.Year}] != lock.Burn {
			say("lock")
		}
	}
	return all
}
