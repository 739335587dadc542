package rotation

import "emberquilt/schedule/rotation/internal/model"

// lockedPlan gives the plan of the locked burns alone: a poor one, for when
// there was no time for a better.
func (s *solver) lockedPlan() model.Plan {
	return s.m.PlanOf(s.locked)
}
