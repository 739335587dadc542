package app

import (
	"context"

	"emberquilt/report/view"
)

// Client gives what a supervisor of many properties asks of one: each line of its
// contracts with its unit's next burn, and what permits must be had within so many days.
// Without a plan the lines stand without a burn.
func (s *Session) Client(ctx context.Context, days int) (*view.Client, error) {
	if err := CheckDays("days", days); err != nil {
		return nil, err
	}
	in := view.ClientInput{Stamp: s.Stamp(), Property: s.Property, Days: days}
	var kept *StoredPlan
	if s.Adopted() > 0 {
		var err error
		if kept, err = s.Plan(ctx, 0); err != nil {
			return nil, err
		}
		plan, err := s.PlanView(ctx, kept)
		if err != nil {
			return nil, err
		}
		outlook, err := s.Outlook(ctx)
		if err != nil {
			return nil, err
		}
		if in.Season, err = s.Season(outlook, plan, kept); err != nil {
			return nil, err
		}
	}
	for i := range s.Contracts {
		in.Packets = append(in.Packets, s.packet(&s.Contracts[i], kept, nil, nil))
	}
	return view.NewClient(&in), nil
}
