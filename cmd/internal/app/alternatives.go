package app

import (
	"context"
	"emberquilt/habitat"
	"fmt"

	"emberquilt/report/view"
	"emberquilt/schedule/assemble"
	"emberquilt/schedule/rotation"
	"emberquilt/schedule/whatif"
)

// What is looked for where nobody says.
const (
	UsualWithin       = 0.05
	UsualAlternatives = 5
	UsualFirstYears   = 2
)

// AlternativeOptions say what other plans to look for.
type AlternativeOptions struct {
	Solver rotation.Settings
	// Within is by what share of the plan's cost another may cost more.
	Within float64
	// Count is how many to look for, FirstYears in how many first years they must
	// differ.
	Count, FirstYears int
	// Keep keeps what is found as plans.
	Keep bool
}

// Validate refuses options that no search can use.
func (o *AlternativeOptions) Validate() error {
	if !(o.Within > 0 && o.Within <= 10) {
		return badOption("within", "a share above 0, such as 0.05", "%v is none", o.Within)
	}
	if o.Count < 1 || o.Count > 20 || o.FirstYears < 1 {
		return badOption("count", "1 to 20 plans, in 1 year or more", "%d plans in %d years", o.Count, o.FirstYears)
	}
	return nil
}

// Alternatives looks for plans that are nearly as good as the newest one, and
// keeps them where the options say so.
func (s *Session) Alternatives(ctx context.Context, o AlternativeOptions) (*view.Alternatives, error) {
	if err := o.Validate(); err != nil {
		return nil, err
	}
	kept, err := s.Plan(ctx, 0)
	if err != nil {
		return nil, err
	}
	settings := whatif.AlternativeSettings{Within: o.Within, Count: o.Count, Years: o.FirstYears, Seed: o.Solver.Seed}
	found, err := s.lookForAlternatives(ctx, kept, o.Solver, settings)
	if err != nil {
		return nil, err
	}
	result := &view.Alternatives{Plan: kept.Number, Within: o.Within, Plans: []view.Alternative{}}
	for _, other := range found {
		one := view.NewAlternative(kept.Problem, &other)
		if o.Keep {
			made := &Made{Result: assemble.Result{Problem: kept.Problem}, Words: kept.Assumptions}
			plan, err := s.storePlan(
				context.WithoutCancel(ctx),
				made,
				&rotation.Result{Answer: other.Answer},
				nil,
				fmt.Sprintf("alternative to plan %d", kept.Number),
				"make a plan",
				habitat.PlanStanding{Standing: habitat.DraftPlan, BurnDays: s.madeWith(kept.Number), Trial: fmt.Sprintf("alternative to plan %d", kept.Number)},
				nil,
			)
			if err != nil {
				return nil, err
			}
			one.Plan = plan.Number
		}
		result.Plans = append(result.Plans, one)
	}
	return result, shownSoFar(ctx)
}

func (s *Session) lookForAlternatives(ctx context.Context, kept *StoredPlan, solver rotation.Settings, settings whatif.AlternativeSettings) ([]whatif.Alternative, error) {
	defer s.begin("looking for other plans")()
	return whatif.Alternatives(ctx, again(solver, questionBudget(solver), 2*settings.Count), s.settled(kept), kept.Answer, settings)
}
