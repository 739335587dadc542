package sample

import (
	"fmt"
	"slices"

	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
)

// Large gives the terrace copied side by side, with years to plan; its caps
// grow with it.
func Large(copies, years int) *view.Plan {
	plan := Terrace()
	units, records := plan.Units, plan.Records
	plan.Units, plan.Records, plan.Pairs = nil, nil, nil
	for c := range copies {
		for _, u := range units {
			u.ID = fmt.Sprintf("%s %d", u.ID, c+1)
			plan.Units = append(plan.Units, u)
		}
		for _, r := range records {
			r.Unit = fmt.Sprintf("%s %d", r.Unit, c+1)
			plan.Records = append(plan.Records, r)
		}
	}
	p := &plan.Property
	*p.Caps.Acres *= quantity.Acres(copies)
	*p.Caps.Burns *= copies
	plan.Problem = Pose(plan, 2027, years, 4)
	for t := range plan.Problem.Caps {
		c := &plan.Problem.Caps[t]
		c.Cost, c.BurnDays = problem.NoLimit, slices.Clone(c.BurnDays)
		for s := range c.BurnDays {
			c.BurnDays[s] *= float64(copies)
		}
	}
	plan.Planned, plan.Assumptions = nil, nil
	plan.Answer = quick(plan.Problem)
	return plan
}

// quick burns each unit in the first preferred season whenever it is due; it
// looks at no cap and is only there to give large tables something to show.
func quick(p *problem.Problem) *problem.Answer {
	a := &problem.Answer{Status: problem.Feasible, Cost: 1}
	age := make([]int, len(p.Units))
	for i := range p.Units {
		age[i] = p.Units[i].Age
	}
	for t := range p.T() {
		for i := range p.Units {
			if age[i]++; age[i] >= p.Units[i].MaxInterval {
				s := slices.IndexFunc(p.Units[i].Penalty, func(penalty float64) bool { return penalty == 0 })
				a.Burns = append(a.Burns, problem.Burn{Unit: i, Year: p.FirstYear + t, Season: max(0, s)})
				age[i] = 0
			}
		}
	}
	return a
}
