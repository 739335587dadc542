package rotation

import "emberquilt/schedule/rotation/internal/model"

// lockedPlan gives the plan of the locked burns alone: a poor one, for when
// there was no time for a better.
func (s *solver) lockedPlan() model.Plan {
	plan := make(model.Plan, s.m.N*s.m.T)
	for x := range plan {
		plan[x] = model.Rest
	}
	for _, b := range s.locked {
		plan[b.Unit*s.m.T+b.Year-s.m.Problem.FirstYear] = int8(b.Season)
	}
	return plan
}
