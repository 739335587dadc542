package app

import (
	"context"
	"slices"

	"emberquilt/habitat"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation"
)

// askScenarios plans again with the burn days of a median and of a poor year, to
// say what a year with more or fewer burn days would change. Without a weather record there
// is nothing to ask.
func (s *Session) askScenarios(ctx context.Context, p *problem.Problem, answer *problem.Answer, over Horizon, settings rotation.Settings) ([]habitat.BurnDayScenario, error) {
	o, err := s.Outlook(ctx)
	if err != nil || o.Series == nil {
		return nil, err
	}
	year := s.Property.YearOf(s.Today)
	if over.From != 0 {
		year = over.From
	}
	expected, err := s.ExpectedBurnDays(o, year)
	if err != nil {
		return nil, err
	}
	for _, e := range expected {
		if !e.HasYears {
			return nil, nil // too few years to tell a better spring from a worse one
		}
	}
	defer s.begin("asking about a year with more or fewer burn days")()
	var all []habitat.BurnDayScenario
	for _, choice := range []BurnDaysFrom{MedianDays, PoorDays} {
		over.BurnDays = BurnDays{From: choice}
		made, err := s.Problem(ctx, over)
		if err != nil {
			return nil, err
		}
		scenario := habitat.BurnDayScenario{Name: string(choice), Days: capDays(made.Problem)}
		if scenario.Same = sameCaps(p, made.Problem); scenario.Same {
			scenario.Cost, scenario.Bound = answer.Cost, answer.Bound
		} else {
			other, err := again(settings)(ctx, made.Problem)
			if err != nil {
				return nil, err
			}
			if scenario.Infeasible = other.Status == problem.Infeasible; !scenario.Infeasible {
				scenario.Cost, scenario.Bound, scenario.Difference = other.Cost, other.Bound, other.Cost-answer.Cost
			}
		}
		all = append(all, scenario)
	}
	return all, nil
}

// capDays gives the burn-day caps of the first year.
func capDays(p *problem.Problem) []habitat.SeasonCap {
	var all []habitat.SeasonCap
	for i, days := range p.Caps[0].BurnDays {
		if days != problem.NoLimit {
			all = append(all, habitat.SeasonCap{Season: p.Seasons[i], Days: days})
		}
	}
	return all
}

func sameCaps(a, b *problem.Problem) bool {
	return slices.EqualFunc(a.Caps, b.Caps, func(x, y problem.YearCaps) bool { return slices.Equal(x.BurnDays, y.BurnDays) })
}
