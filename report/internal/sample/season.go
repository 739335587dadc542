package sample

import (
	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/preparation"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
	"emberquilt/schedule/window"
)

// Season gives windows without weather and the starter tasks for every burn of
// a plan's shown years.
func Season(plan *view.Plan) *view.Season {
	in := &view.Season{Plan: plan}
	p := &plan.Property
	byID := map[string]habitat.Unit{}
	for _, u := range plan.Units {
		byID[u.ID] = u
	}
	for _, b := range plan.Answer.Burns {
		if b.Year >= plan.Problem.FirstYear+plan.Problem.Years {
			continue
		}
		year := date.ProgramYear(b.Year)
		season := p.SeasonSpan(b.Season, year)
		unit := plan.Problem.Units[b.Unit].ID
		w := view.UnitWindows{Unit: unit, Season: p.Seasons[b.Season].Name, Year: year, Windows: window.FromDates(season, p.ClosedIn(unit, season), &p.Crew)}
		in.Windows = append(in.Windows, w)
		for _, open := range w.Windows {
			if !open.Last.Before(Today) {
				burn := &preparation.Burn{Unit: byID[unit], Season: w.Season, Year: year, First: open.First, Grazed: p.IsGrazed(unit)}
				in.Tasks = append(in.Tasks, preparation.Schedule(preparation.Starter(), burn, &p.Crew, nil, Today)...)
				in.Follow = append(in.Follow, preparation.AfterBurn(preparation.Starter(), burn, false, &p.Crew, nil, Today)...)
				break
			}
		}
	}
	return in
}

// Other gives a second plan in which one burn of the first is taken away.
func Other(plan *view.Plan, unit string, year date.ProgramYear) view.Other {
	second := *plan.Answer
	second.Burns = nil
	for _, b := range plan.Answer.Burns {
		if plan.Problem.Units[b.Unit].ID != unit || date.ProgramYear(b.Year) != year {
			second.Burns = append(second.Burns, b)
		}
	}
	second.Parts = reference.Cost(plan.Problem, second.Burns)
	second.Cost = second.Parts.Total()
	second.Bound = second.Cost * 0.9
	first := plan.Answer
	return view.Other{Unit: unit, Year: year, Answer: &second, AtHand: second.Cost - first.Cost, Least: second.Bound - first.Cost, Most: second.Cost - first.Bound}
}

// Clashing gives the plan with an answer that says that no plan exists.
func Clashing(plan *view.Plan) *view.Plan {
	out := *plan
	out.Answer = &problem.Answer{
		Status: problem.Infeasible,
		Clashes: []problem.Clash{{Requirement: problem.RequireRefuge, Year: 2027, Season: -1, Refuge: 0, HasNumbers: true, Needed: 88.3, Allowed: 53,
			Text: "2027: the locked burns of Skipper Meadow West and Skipper Meadow Middle take 88.3 acres of refuge butterfly meadow, which allows 53.0"}},
	}
	return &out
}

// Named gives the burns of a plan by name.
func Named(plan *view.Plan) []habitat.PlannedBurn {
	var all []habitat.PlannedBurn
	for _, b := range plan.Answer.Burns {
		all = append(all, habitat.PlannedBurn{Unit: plan.Problem.Units[b.Unit].ID, Year: date.ProgramYear(b.Year), Season: plan.Problem.Seasons[b.Season]})
	}
	return all
}
