package app

import (
	"context"
	"errors"
	"slices"

	"emberquilt/report/view"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation"
	"emberquilt/schedule/whatif"
)

// FixOptions say what is to be fixed.
type FixOptions struct {
	Horizon
	Solver rotation.Settings
	// Unit is the overdue unit; empty asks of locked burns that clash.
	Unit string
}

// wantedFixes is how many single changes are looked for.
const wantedFixes = 3

// triedFixes is how many changes the time is shared among at first.
const triedFixes = 8

// Fix looks for single changes that fix an overdue unit, or locked burns that
// clash; where they clash, that comes first. It keeps nothing.
func (s *Session) Fix(ctx context.Context, o FixOptions) (*view.Fixes, error) {
	made, err := s.Problem(ctx, o.Horizon)
	if err != nil {
		return nil, err
	}
	p := made.Problem
	time := questionBudget(o.Solver)
	first, err := time.part(o.Solver, 2)
	if err != nil {
		return nil, err
	}
	result, err := s.Solve(ctx, p, first)
	if ctx.Err() != nil {
		return nil, &Interrupted{"nothing was looked for"}
	}
	if errors.Is(err, problem.ErrInfeasible) {
		defer s.begin("looking for single changes")()
		fixes, err := whatif.FixClashes(ctx, again(o.Solver, time, triedFixes), p, result.Answer, wantedFixes)
		if err != nil && !errors.Is(err, whatif.ErrNoTime) {
			return nil, err
		}
		return view.NewFixes(p, "the clash of the locked burns", fixes), shownSoFar(ctx)
	}
	if err != nil {
		return nil, err
	}
	if o.Unit == "" {
		return &view.Fixes{Nothing: "the locked burns can stand together; name a unit to find what keeps it from being overdue"}, nil
	}
	unit, err := FindUnit(s.Snapshot, o.Unit)
	if err != nil {
		return nil, err
	}
	at := slices.IndexFunc(p.Units, func(u problem.Unit) bool { return u.ID == unit.ID })
	if at < 0 || len(whatif.OverdueYears(p, result.Answer, at)) == 0 {
		return &view.Fixes{Nothing: unit.ID + " is overdue in no plan year"}, nil
	}
	defer s.begin("looking for single changes")()
	fixes, err := whatif.FixOverdue(ctx, again(o.Solver, time, triedFixes), p, result.Answer, at, wantedFixes)
	if err != nil && !errors.Is(err, whatif.ErrNoTime) {
		return nil, err
	}
	return view.NewFixes(p, unit.ID+" being overdue", fixes), shownSoFar(ctx)
}

// shownSoFar gives an Interrupted where a signal ended the work; what was found until
// then stands beside it.
func shownSoFar(ctx context.Context) error {
	if ctx.Err() != nil {
		return &Interrupted{"what was found until then is shown"}
	}
	return nil
}
