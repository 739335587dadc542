package app

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
	"emberquilt/store"
)

// Adopted gives the number of the plan in force; 0 where there is none.
func (s *Session) Adopted() int { return s.Standings.Adopted() }

// Adopt makes a plan the one that counts, in place of the one before. isNew is false
// where it is adopted already. A plan of other units than those of the property, or
// whose years are over, is refused.
func (s *Session) Adopt(ctx context.Context, number int, why string) (plan *StoredPlan, isNew bool, err error) {
	if plan, err = s.namedPlan(ctx, number); err != nil || s.Adopted() == plan.Number {
		return plan, false, err
	}
	bad := func(accepts, format string, args ...any) error {
		return &source.Error{Position: source.Position{File: "PLAN"}, Found: fmt.Sprintf("plan %d ", plan.Number) + fmt.Sprintf(format, args...), Accepts: accepts}
	}
	if year := s.Property.YearOf(s.Today); plan.LastYear() < year {
		return nil, false, bad(fmt.Sprintf("a plan that holds %d or a year after it", year), "ends in %d", plan.LastYear())
	}
	var gone, missing []string
	for i := range plan.Problem.Units {
		if id := plan.Problem.Units[i].ID; !slices.ContainsFunc(s.Units, func(u habitat.Unit) bool { return u.ID == id }) {
			gone = append(gone, source.Quote(id))
		}
	}
	for i := range s.Units {
		if !plan.hasUnit(s.Units[i].ID) {
			missing = append(missing, source.Quote(s.Units[i].ID))
		}
	}
	switch {
	case gone != nil:
		return nil, false, bad("a plan of the units that are there", "is of units that are gone: %s", strings.Join(gone, ", "))
	case missing != nil:
		return nil, false, bad("a plan of all units", "knows nothing of %s", strings.Join(missing, ", "))
	}
	err = s.update(ctx, fmt.Sprintf("adopt plan %d", plan.Number), func(tx *store.Tx) error {
		standing := s.Standings.Of(plan.Number)
		standing.On, standing.By, standing.Why = s.Today, s.By, why
		return tx.Adopt(standing)
	})
	return plan, err == nil, err
}

func (s *StoredPlan) hasUnit(id string) bool {
	for i := range s.Problem.Units {
		if s.Problem.Units[i].ID == id {
			return true
		}
	}
	return false
}

// Discard puts a draft out of the way; it stays readable under its number.
func (s *Session) Discard(ctx context.Context, number int, why string) (*StoredPlan, error) {
	plan, err := s.namedPlan(ctx, number)
	if err != nil {
		return nil, err
	}
	standing := s.Standings.Of(plan.Number)
	if standing.Standing != habitat.DraftPlan {
		why := map[habitat.Standing]string{
			habitat.AdoptedPlan:    "is the adopted plan: adopt another one in its place",
			habitat.SupersededPlan: "was in force, and past seasons are judged by it",
			habitat.DiscardedPlan:  "is discarded already",
		}[standing.Standing]
		return nil, &source.Error{Position: source.Position{File: "PLAN"}, Found: fmt.Sprintf("plan %d %s", plan.Number, why), Accepts: "a draft"}
	}
	standing.Standing, standing.On, standing.By, standing.Why = habitat.DiscardedPlan, s.Today, s.By, why
	return plan, s.update(ctx, fmt.Sprintf("discard plan %d", plan.Number), func(tx *store.Tx) error { return tx.PutPlanStanding(standing) })
}

// namedPlan reads a plan that must be named.
func (s *Session) namedPlan(ctx context.Context, number int) (*StoredPlan, error) {
	if number < 1 {
		return nil, badOption("plan", "the number of a plan of the property", "%d is not a number of a plan", number)
	}
	return s.Plan(ctx, number)
}

// judged gives, season by season up to today, the burns of the plan that was in
// force when the season opened, in order of years.
func (s *Session) judged(ctx context.Context) ([]habitat.PlannedBurn, error) {
	plans := map[int]*StoredPlan{}
	var order []int
	for _, standing := range s.Standings {
		if standing.Standing != habitat.AdoptedPlan || plans[standing.Plan] != nil {
			continue
		}
		plan, err := s.Plan(ctx, standing.Plan)
		if err != nil {
			return nil, err
		}
		plans[standing.Plan] = plan
		order = append(order, standing.Plan)
	}
	slices.Sort(order)
	type seasonYear struct {
		season string
		year   date.ProgramYear
	}
	judges := map[seasonYear]int{}
	var all []habitat.PlannedBurn
	now := s.Property.YearOf(s.Today)
	for _, number := range order {
		for _, burn := range plans[number].BurnsNow() {
			if burn.Year > now || burn.Year == plans[number].FirstYear && s.isTreated(burn) {
				continue
			}
			key := seasonYear{burn.Season, burn.Year}
			judge, known := judges[key]
			if !known {
				judge = s.Standings.Judge(view.BurnSpan(&s.Property, burn.Season, burn.Year), func(n int) bool {
					return burn.Year >= plans[n].FirstYear && burn.Year <= plans[n].LastYear()
				})
				judges[key] = judge
			}
			if judge == number {
				all = append(all, burn)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b habitat.PlannedBurn) int { return int(a.Year - b.Year) })
	return all, nil
}

// isTreated reports whether a treatment other than fire set a unit's age back in a
// year. In a plan's first year that stands in the plan as a burn, and is none.
func (s *Session) isTreated(burn habitat.PlannedBurn) bool {
	if len(s.Property.TreatmentsReset) == 0 {
		return false
	}
	for _, units := range [][]habitat.Unit{s.Units, s.Retired} {
		for i := range units {
			if units[i].ID == burn.Unit {
				state := s.Property.StateIn(&units[i], s.Records, burn.Year, s.Today)
				return state.Done && state.Last.By != ""
			}
		}
	}
	return false
}
