package app

import (
	"context"
	"fmt"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation"
)

// MissedOptions say what to ask of missed burns.
type MissedOptions struct {
	Horizon
	Solver rotation.Settings
	// Unit asks of one unit; empty asks of all.
	Unit string
}

// Missed lists the burns that were missed and not made good, each with what it
// costs the coming years, by a second solve. It keeps nothing.
func (s *Session) Missed(ctx context.Context, o MissedOptions) ([]view.Missed, error) {
	all, err := s.missed(ctx)
	if err != nil {
		return nil, err
	}
	if o.Unit != "" {
		unit, err := FindUnit(s.Snapshot, o.Unit)
		if err != nil {
			return nil, err
		}
		all = slices.DeleteFunc(all, func(m view.Missed) bool { return m.Unit != unit.ID })
	}
	if len(all) == 0 {
		return all, nil
	}
	// Neither holds on to the plan in force: it knows of the miss, and would weigh on the
	// plan without it alone.
	time := questionBudget(o.Solver)
	solver := o.Solver
	if o.Solver, err = time.part(solver, float64(1+len(all))); err != nil {
		return nil, err
	}
	stands, first, err := s.planOf(ctx, &o, "making a plan as things stand")
	if err != nil {
		return nil, err
	}
	for i := range all {
		m := &all[i]
		m.From = first
		m.Cost, m.Bound = view.Rounded(stands.Cost, 3), min(view.Rounded(stands.Cost, 3), view.Rounded(stands.Bound, 3))
		if o.Solver, err = time.part(solver, float64(len(all)-i)); err != nil {
			continue // the time is over
		}
		answer, _, err := s.asIfBurned(m).planOf(ctx, &o, "making a plan as if "+m.Unit+" had burned")
		if ctx.Err() != nil {
			return all[:i], &Interrupted{fmt.Sprintf("%d of %s compared", i, quantity.Count(len(all), "missed burn"))}
		}
		if err != nil {
			return nil, err
		}
		cost := view.Rounded(answer.Cost, 3)
		bound := min(cost, view.Rounded(answer.Bound, 3))
		m.CostBurned, m.BoundBurned = &cost, &bound
		m.Proven = stands.Status == problem.Optimal && answer.Status == problem.Optimal
	}
	return all, nil
}

// missed finds the last burn of each unit that was planned for a season that is
// over, by the plan that was in force when the season opened, and that no burn of
// its program year or a later one makes good.
func (s *Session) missed(ctx context.Context) ([]view.Missed, error) {
	judged, err := s.judged(ctx)
	if err != nil {
		return nil, err
	}
	now := s.Property.YearOf(s.Today)
	last := map[string]habitat.PlannedBurn{}
	for _, burn := range judged {
		was, there := last[burn.Unit]
		if span := view.BurnSpan(&s.Property, burn.Season, burn.Year); span.Last.Before(s.Today) &&
			(!there || span.Last.After(view.BurnSpan(&s.Property, was.Season, was.Year).Last)) {
			last[burn.Unit] = burn
		}
	}
	var all []view.Missed
	for i := range s.Units {
		burn, planned := last[s.Units[i].ID]
		if !planned {
			continue
		}
		if reset, ok := s.Property.LastReset(&s.Units[i], s.recordsOf(s.Units[i].ID), now, s.Today); !ok || reset.Year < burn.Year {
			all = append(all, view.Missed{Unit: burn.Unit, Year: burn.Year, Season: burn.Season})
		}
	}
	return all, nil
}

// asIfBurned gives the session as it would be, had a missed burn been done on the
// last day of its season: without the locks that make it good before the unit could
// burn again.
func (s *Session) asIfBurned(m *view.Missed) *Session {
	on := s.Property.YearStart.Span(m.Year).Last
	if season := s.Property.SeasonIndex(m.Season); season >= 0 {
		on = s.Property.SeasonSpan(season, m.Year).Last
	}
	snapshot := *s.Snapshot
	snapshot.Records = append(slices.Clone(s.Records), habitat.BurnRecord{Unit: m.Unit, On: on, Through: on, Kind: habitat.Prescribed})
	if at := slices.IndexFunc(s.Units, func(u habitat.Unit) bool { return u.ID == m.Unit }); at >= 0 {
		again := m.Year + date.ProgramYear(s.Units[at].Interval.Min)
		snapshot.Locks = slices.DeleteFunc(slices.Clone(s.Locks), func(l habitat.Lock) bool { return l.Unit == m.Unit && l.Burn && l.Year < again })
	}
	// What the weather says does not depend on what is on record.
	return &Session{Snapshot: &snapshot, Environment: s.Environment, Store: s.Store, outlook: s.outlook, outlookAt: s.outlookAt}
}

// planOf solves the problem of a session and keeps nothing.
func (s *Session) planOf(ctx context.Context, o *MissedOptions, doing string) (*problem.Answer, date.ProgramYear, error) {
	made, err := s.problemAfter(ctx, o.Horizon, nil, 0)
	if err != nil {
		return nil, 0, err
	}
	defer s.begin(doing)()
	answer, err := again(o.Solver, budget{}, 1)(ctx, made.Problem)
	switch {
	case ctx.Err() != nil:
		return nil, 0, &Interrupted{"nothing was compared"}
	case err != nil:
		return nil, 0, err
	case answer.Status == problem.Infeasible:
		return nil, 0, clashError(answer)
	}
	return answer, yearOf(made.Problem), nil
}
