package app

import (
	"context"
	"fmt"
	"slices"

	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/report/view"
)

// Contents is what the papers of a plan show, fetched and computed once.
type Contents struct {
	Session *Session
	Stored  *StoredPlan
	Plan    *view.Plan
	Program *view.Program
	Outlook *Outlook
	Season  *view.Season
	// Due is the season under way, or the one that comes next; Calendar holds the
	// windows of its program year.
	Due      *view.Due
	Calendar *view.Calendar
	// breaks are measured when a paper first asks for them.
	breaks *view.Breaks
}

// Contents computes what the papers of a plan show; 0 is the adopted plan.
func (s *Session) Contents(ctx context.Context, number int) (*Contents, error) {
	_, year := view.SeasonOn(&s.Property, s.Today)
	c, err := s.dueContents(ctx, number)
	if err != nil {
		return nil, err
	}
	if c.Program, err = view.NewProgram(c.Plan); err != nil {
		return nil, err
	}
	c.Calendar, err = view.NewCalendar(c.Season, year)
	return c, err
}

// PlanContents computes of a plan what its tables and maps show: Contents without what
// follows from weather and tasks, which takes longest for a large plan.
func (s *Session) PlanContents(ctx context.Context, number int) (*Contents, error) {
	c, err := s.planned(ctx, number)
	if err == nil {
		c.Program, err = view.NewProgram(c.Plan)
	}
	return c, err
}

func (s *Session) planned(ctx context.Context, number int) (*Contents, error) {
	stored, err := s.Plan(ctx, number)
	if err != nil {
		return nil, err
	}
	plan, err := s.PlanView(ctx, stored)
	return &Contents{Session: s, Stored: stored, Plan: plan}, err
}

// dueContents computes of a plan what the season under way, or the one that comes
// next, is told by. Years are those whose burns are looked at; none means all, which
// takes long for a large plan.
func (s *Session) dueContents(ctx context.Context, number int, years ...date.ProgramYear) (*Contents, error) {
	c, err := s.planned(ctx, number)
	if err != nil {
		return nil, err
	}
	if c.Outlook, err = s.Outlook(ctx); err != nil {
		return nil, err
	}
	if c.Season, err = s.Season(c.Outlook, c.Plan, c.Stored, years...); err != nil {
		return nil, err
	}
	season, year := view.SeasonOn(&s.Property, s.Today)
	c.Due, err = c.DueIn(season, year)
	return c, err
}

// DueIn computes what burns in a season, named by its index in the property.
func (c *Contents) DueIn(season int, year date.ProgramYear) (*view.Due, error) {
	name := c.Session.Property.Seasons[season].Name
	at := slices.Index(c.Stored.Problem.Seasons, name)
	if at < 0 {
		return nil, fmt.Errorf("plan %d does not know the season %s; make a new plan", c.Stored.Number, name)
	}
	return view.NewDue(c.Season, at, year)
}

// Calendar gives the windows of a program year of the adopted plan; 0 is the year
// under way. Units are those that it shows; none shows all.
func (s *Session) Calendar(ctx context.Context, year date.ProgramYear, units []string) (*view.Calendar, error) {
	c, err := s.Contents(ctx, 0)
	if err != nil {
		return nil, err
	}
	units, err = s.unitsNamed(units)
	if err != nil {
		return nil, err
	}
	calendar, err := c.CalendarOf(year)
	if err == nil {
		calendar.Keep(units)
	}
	return calendar, err
}

// CalendarOf gives the windows of a program year; 0 is the one under way.
func (c *Contents) CalendarOf(year date.ProgramYear) (*view.Calendar, error) {
	if year == 0 {
		year = c.Session.Property.YearOf(c.Session.Today)
	}
	return view.NewCalendar(c.Season, year)
}

// Breaks measures the breaks of the plan once; nil without shapes.
func (c *Contents) Breaks() *view.Breaks {
	if c.breaks == nil && len(c.Session.Shapes) > 0 {
		c.breaks = c.Session.Breaks(c.Stored.YearBurns(), ground.DefaultTolerance)
	}
	return c.breaks
}
