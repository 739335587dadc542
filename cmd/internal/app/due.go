package app

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation"
	"emberquilt/schedule/whatif"
)

// DueOptions say which season is asked about.
type DueOptions struct {
	// On is a day of the season; zero is today.
	On date.Day
	// AskWaiting makes a second plan for each unit, to find what waiting a year
	// costs.
	AskWaiting bool
	Solver     rotation.Settings
}

// Due says which units burn in a season, why these, their windows, and what must
// be done before.
func (s *Session) Due(ctx context.Context, o DueOptions) (*view.Due, error) {
	if !o.On.IsZero() {
		s = s.at(o.On)
	}
	season, year := view.SeasonOn(&s.Property, s.Today)
	c, err := s.dueContents(ctx, 0, year)
	if err != nil {
		return nil, err
	}
	if !o.AskWaiting {
		return c.Due, nil
	}
	defer s.begin("asking what waiting adds")()
	time, open := questionBudget(o.Solver), c.Due.Open()
	for i, u := range open {
		if u.Locked {
			continue
		}
		solver, err := time.part(o.Solver, float64(len(open)-i))
		if errors.Is(err, whatif.ErrNoTime) {
			break // the others keep what is known without a second plan
		}
		if err != nil {
			return nil, err
		}
		other, err := c.otherwise(ctx, u.Unit, c.Due.Year, solver)
		if errors.Is(err, whatif.ErrNoTime) {
			break
		}
		if err != nil {
			return nil, err
		}
		c.Season.Others = append(c.Season.Others, *other)
	}
	due, err := c.DueIn(season, year)
	if err != nil {
		return nil, err
	}
	return due, shownSoFar(ctx)
}

// otherwise is the second solve with the choice of a unit and year reversed; nil
// for a unit that the plan does not know.
func (c *Contents) otherwise(ctx context.Context, unit string, year date.ProgramYear, solver rotation.Settings) (*view.Other, error) {
	p := c.Session.settled(c.Stored)
	at := slices.IndexFunc(p.Units, func(u problem.Unit) bool { return u.ID == unit })
	if at < 0 {
		return nil, nil
	}
	other, err := whatif.Otherwise(ctx, again(solver, budget{}, 1), p, c.Stored.Answer, at, int(year))
	if err != nil {
		return nil, err
	}
	return &view.Other{Unit: unit, Year: year, Answer: other.Answer,
		AtHand: other.Extra.AtHand, Least: other.Extra.Least, Most: other.Extra.Most}, nil
}

// WhyOptions say which decision is asked about.
type WhyOptions struct {
	Unit string
	// Year is the program year; 0 is the one under way.
	Year   date.ProgramYear
	Solver rotation.Settings
}

// Why says why a unit burns or rests in a program year, and what the other choice
// would cost, found by a second solve.
func (s *Session) Why(ctx context.Context, o WhyOptions) (*view.Why, error) {
	unit, err := FindUnit(s.Snapshot, o.Unit)
	if err != nil {
		return nil, err
	}
	year := o.Year
	if year == 0 {
		year = s.Property.YearOf(s.Today)
	}
	c, err := s.Contents(ctx, 0)
	if err != nil {
		return nil, err
	}
	if err := c.holds(unit.ID, year); err != nil {
		return nil, err
	}
	if s.hasBurned(unit, year) || c.isMissed(unit.ID, year) { // no other choice is left
		return view.NewWhy(c.Plan, unit.ID, year, nil)
	}
	other, err := c.askOtherwise(ctx, unit.ID, year, o.Solver)
	if ctx.Err() != nil {
		return nil, &Interrupted{"nothing was asked"}
	}
	if err != nil {
		return nil, err
	}
	v, err := view.NewWhy(c.Plan, unit.ID, year, other)
	if err == nil {
		v.TellNoWindow(c.Calendar)
	}
	return v, err
}

// isMissed reports whether the plan's burn of a unit in a year was missed.
func (c *Contents) isMissed(unit string, year date.ProgramYear) bool {
	at := slices.IndexFunc(c.Program.Units, func(u view.UnitRow) bool { return u.ID == unit })
	return at >= 0 && c.Program.Units[at].Cells[int(year-c.Stored.FirstYear)].Missed
}

// holds refuses a unit or a year of which the plan says nothing.
func (c *Contents) holds(unit string, year date.ProgramYear) error {
	first, last := c.Stored.FirstYear, c.Stored.LastYear()
	switch {
	case !c.knows(unit):
		return c.unknown(unit)
	case year < first || year > last:
		return &source.Error{
			Position: source.Position{File: "YEAR"},
			Found:    fmt.Sprintf("%d is outside plan %d", year, c.Stored.Number),
			Accepts:  fmt.Sprintf("%d to %d", first, last),
		}
	}
	return nil
}

// knows reports whether the plan has a unit.
func (c *Contents) knows(unit string) bool {
	return slices.ContainsFunc(c.Stored.Problem.Units, func(u problem.Unit) bool { return u.ID == unit })
}

// unknown says that the plan knows nothing of a unit, and how it came about.
func (c *Contents) unknown(unit string) error {
	fault := &source.Error{Position: source.Position{File: "UNIT"}, Found: fmt.Sprintf("%s is not in plan %d", source.Quote(unit), c.Stored.Number),
		Accepts: "a unit that was there when the plan was made"}
	for i := range c.Session.Lineage {
		if change := &c.Session.Lineage[i]; change.Change > c.Stored.known && change.Makes(unit) {
			fault.Found += fmt.Sprintf(": %s on %s", change.Words(), change.On.Words())
		}
	}
	return &AdvisedError{Fault: fault, Advice: MakeNewPlan}
}

func (c *Contents) askOtherwise(ctx context.Context, unit string, year date.ProgramYear, solver rotation.Settings) (*view.Other, error) {
	defer c.Session.begin("making a second plan with the other choice")()
	return c.otherwise(ctx, unit, year, solver)
}

// Compare sets two stored plans side by side.
func (s *Session) Compare(ctx context.Context, first, second int) (*view.Compare, error) {
	var sides [2]*view.Plan
	var plans [2]*StoredPlan
	for i, number := range [2]int{first, second} {
		stored, err := s.Plan(ctx, number)
		if err != nil {
			return nil, err
		}
		if sides[i], err = s.PlanView(ctx, stored); err != nil {
			return nil, err
		}
		plans[i] = stored
	}
	return view.NewCompare(sides[0], sides[1], s.becameBetween(plans[0], plans[1])...)
}

// becameBetween pairs the units of two plans that are not the same: each of the older
// plan with what it was split, merged or renamed into when the newer was made.
func (s *Session) becameBetween(first, second *StoredPlan) (pairs [][2]string) {
	older, newer := first, second
	if first.known > second.known {
		older, newer = second, first
	}
	since := slices.DeleteFunc(slices.Clone(s.Lineage), func(c habitat.UnitChange) bool { return c.Change > newer.known && c.Kind != habitat.Renamed })
	for i := range older.Problem.Units {
		unit := older.Problem.Units[i].ID
		for _, now := range since.Now(unit, older.known) {
			switch {
			case now == unit:
			case older == first:
				pairs = append(pairs, [2]string{unit, now})
			default:
				pairs = append(pairs, [2]string{now, unit})
			}
		}
	}
	return pairs
}
