package habitat

import (
	"fmt"

	"emberquilt/habitat/date"
)

// Standing says what counts on a plan.
type Standing string

// The standings of plans.
const (
	// DraftPlan is a trial: nothing rests on it.
	DraftPlan Standing = "draft"
	// AdoptedPlan is the one plan that feeds what is due, the papers and what counts
	// as missed.
	AdoptedPlan Standing = "adopted"
	// SupersededPlan was adopted and is no more; it judges the seasons that opened
	// under it.
	SupersededPlan Standing = "superseded"
	// DiscardedPlan was a draft and is out of the way.
	DiscardedPlan Standing = "discarded"
)

// PlanStanding is how a plan stands from a day on.
type PlanStanding struct {
	Plan     int      `json:"plan"`
	Standing Standing `json:"standing"`
	On       date.Day `json:"on"`
	// By is who decided it and Why the reason; empty where nobody said.
	By  string `json:"by,omitempty"`
	Why string `json:"why,omitempty"`
	// Trial is the name of the what-if that the plan is; empty for a plan of the
	// property as it stands.
	Trial string `json:"trial,omitempty"`
	// BurnDays are those that the plan was made with; the zero value where nobody
	// asked for others than the usual.
	BurnDays BurnDays `json:"burn_days,omitzero"`
	// Changed says, a line each, what the what-if changed of the property for this
	// plan alone: burn days, closures, caps.
	Changed []string `json:"changed,omitempty"`
	// Change is the number of the change that decided it.
	Change int `json:"-"`
}

// Validate checks the standing.
func (s *PlanStanding) Validate() error {
	switch {
	case s.Plan < 1:
		return fmt.Errorf("plan: %d is not a plan; accepts 1 and more", s.Plan)
	case s.On.IsZero():
		return fmt.Errorf("on: a day is missing")
	}
	switch s.Standing {
	case DraftPlan, AdoptedPlan, SupersededPlan, DiscardedPlan:
		return nil
	}
	return fmt.Errorf("standing: %q is none; accepts draft, adopted, superseded or discarded", s.Standing)
}

// PlanStandings are all that were decided of plans, in the order in which they were.
type PlanStandings []PlanStanding

// Of gives the standing of a plan now; that of a plan of which nothing was decided
// is draft. One plan is adopted at a time: the adoption of another supersedes it,
// whether or not that was written down.
func (all PlanStandings) Of(plan int) PlanStanding {
	var next *PlanStanding // the first adoption of another plan after it
	for i := len(all) - 1; i >= 0; i-- {
		s := all[i]
		switch {
		case s.Plan != plan && s.Standing == AdoptedPlan:
			next = &all[i]
		case s.Plan == plan && s.Standing == AdoptedPlan && next != nil:
			s.Standing, s.On = SupersededPlan, next.On
			return s
		case s.Plan == plan:
			return s
		}
	}
	return PlanStanding{Plan: plan, Standing: DraftPlan}
}

// Adopted gives the number of the adopted plan; 0 where there is none.
func (all PlanStandings) Adopted() int {
	for i := len(all) - 1; i >= 0; i-- {
		if all[i].Standing == AdoptedPlan {
			return all[i].Plan
		}
	}
	return 0
}

// Judge gives the number of the plan that says what was planned for the days of a
// span: of those plans that hold it, the one that was adopted on its first day, else
// the first that was adopted within it; 0 where there is none. A plan that was
// adopted on the first day and does not hold it leaves the question to the next one.
func (all PlanStandings) Judge(span date.Span, holds func(plan int) bool) int {
	opened := 0
	for _, s := range all {
		if s.Standing != AdoptedPlan {
			continue
		}
		switch {
		case !s.On.After(span.First):
			opened = s.Plan
		case opened != 0 && holds(opened):
			return opened
		case s.On.After(span.Last):
			return 0
		case holds(s.Plan):
			return s.Plan
		}
	}
	if opened != 0 && holds(opened) {
		return opened
	}
	return 0
}
