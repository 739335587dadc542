package app

import (
	"context"

	"emberquilt/habitat/date"
	"emberquilt/report/view"
)

// Week says what seven days ask for; on is the first of them, zero is today.
func (s *Session) Week(ctx context.Context, on date.Day) (*view.Week, error) {
	if !on.IsZero() {
		s = s.at(on)
	}
	c, err := s.Contents(ctx, 0)
	if err != nil {
		return nil, err
	}
	return c.Week(ctx)
}

// Week says what the seven days from today on ask for.
func (c *Contents) Week(ctx context.Context) (*view.Week, error) {
	missed, err := c.Session.missed(ctx)
	if err != nil {
		return nil, err
	}
	return view.NewWeek(c.Season, c.Due, missed)
}
