package app

import (
	"context"
	"fmt"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
)

// SheetOptions say which season's sheet is made, and for what.
type SheetOptions struct {
	// Plan is a plan's number; 0 is the adopted plan.
	Plan int
	// On is the day for which the sheet speaks; zero is today.
	On date.Day
	// Season is the season that comes next under this name, or is under way; empty is
	// the one under way, or the next that comes.
	Season string
	// Wind is the wind that the sheet is made for; nil for every wind that suits.
	Wind *quantity.Bearing
}

// Sheet gathers the sheet of a season, and what else its papers show. An OptionError
// refuses a season that the property or the plan does not have.
func (s *Session) Sheet(ctx context.Context, o SheetOptions) (*Contents, *view.Sheet, error) {
	var notes []string
	if !o.On.IsZero() && o.On != s.Today {
		notes = append(notes, view.SheetOfDay(o.On, s.Today))
		s = s.at(o.On)
	}
	_, year := view.SeasonOn(&s.Property, s.Today)
	years := []date.ProgramYear{year} // the others would take longest for a large plan
	if o.Season != "" {
		if err := s.KnowsSeason(o.Season); err != nil {
			return nil, nil, err
		}
		year = s.nextYearOf(o.Season)
		years = append(years, year)
	}
	c, err := s.dueContents(ctx, o.Plan, years...)
	if err != nil {
		return nil, nil, err
	}
	if o.Season != "" {
		if first, last := c.Stored.FirstYear, c.Stored.LastYear(); year < first || year > last {
			return nil, nil, badOption(
				"season",
				fmt.Sprintf("a season of %d to %d", first, last),
				"%s is next in %d, of which plan %d says nothing",
				source.Quote(o.Season),
				year,
				c.Stored.Number,
			)
		}
		if c.Due, err = c.DueIn(s.Property.SeasonIndex(o.Season), year); err != nil {
			return nil, nil, err
		}
	}
	if c.Program, err = view.NewProgram(c.Plan); err != nil {
		return nil, nil, err
	}
	c.Season = nil // Due says it: of many units it takes much memory
	sheet, err := c.sheet(o.Wind, notes)
	return c, sheet, err
}

// nextYearOf gives the program year in which a season is under way, or comes next.
func (s *Session) nextYearOf(season string) date.ProgramYear {
	i := s.Property.SeasonIndex(season)
	year := s.Property.YearOf(s.Today) - 1
	for s.Property.SeasonSpan(i, year).Last.Before(s.Today) {
		year++
	}
	return year
}

// Sheet gathers what the sheet of the season under way shows, or of the one that comes
// next.
func (c *Contents) Sheet() (*view.Sheet, error) { return c.sheet(nil, nil) }

func (c *Contents) sheet(wind *quantity.Bearing, notes []string) (*view.Sheet, error) {
	current := c.Session.Current()
	in := view.SheetInput{
		Contacts: c.Session.Snapshot.Contacts,
		Facts:    map[string]view.SheetFacts{},
		Notes:    notes,
		Plan:     c.Plan,
		Shapes:   current.Shapes,
		Places:   current.Places,
		Standing: current.Standing,
	}
	for _, u := range c.Due.Open() {
		unit, err := FindUnit(c.Session.Snapshot, u.Unit)
		if err != nil {
			continue // the unit is gone since the plan was made
		}
		t := c.Outlook.Terms(unit, c.Due.Season)
		facts := view.SheetFacts{Limits: t.Limits, Breaks: c.Breaks().UnitWords(u.Unit, c.Due.Year), Near: view.NearLines(c.Session.near(u.Unit))}
		facts.Hours, _ = c.Outlook.Backing(unit, c.Due.Season)
		if wind != nil {
			facts.Wind, _ = c.Outlook.dayWind(unit, c.Due.Season, *wind)
			if facts.Wind.Back != nil {
				facts.Hours = quantity.Hours(*facts.Wind.Back)
			}
		}
		if t.Card != nil {
			card, err := c.Outlook.WindCard(unit, c.Due.Season)
			if err != nil {
				return nil, err
			}
			facts.Rose = view.NewRose(card, facts.Wind)
		}
		in.Facts[u.Unit] = facts
	}
	if wind != nil {
		in.Notes = append(in.Notes, view.ForWind(*wind))
	}
	return view.NewSheet(c.Due, in), nil
}

// Backing gives the hours that a burn of a unit needs and the longest run inside it of
// a wind that suits; 0 where they are not known.
func (o *Outlook) Backing(u *habitat.Unit, season string) (hours quantity.Hours, run quantity.Feet) {
	t := o.Terms(u, season)
	if t.Card == nil || !t.Suits {
		return 0, 0
	}
	return quantity.Hours(t.Need.Hours), t.Need.Run
}

// nextTo is how near a hazard lies to be next to a unit: ten chains. Common
// practice, no source.
const nextTo quantity.Feet = 660

// DraftOptions say which burn's plan is drafted.
type DraftOptions struct {
	Unit string
	// Year is the program year; 0 is that of the unit's next planned burn.
	Year date.ProgramYear
	// Wind is the wind that the draft is made for; nil for every wind that suits.
	Wind *quantity.Bearing
}

// Draft gathers what is known of a burn of the adopted plan.
func (s *Session) Draft(ctx context.Context, o DraftOptions) (*view.Draft, error) {
	c, err := s.Contents(ctx, 0)
	if err != nil {
		return nil, err
	}
	unit, err := FindUnit(s.Snapshot, o.Unit)
	if err != nil {
		return nil, err
	}
	burn, err := c.nextBurn(unit, o.Year)
	if err != nil {
		return nil, err
	}
	return c.draft(unit, burn, o.Wind)
}

// nextBurn finds the planned burn of a unit in a program year; 0 finds the first
// from the year under way on that is not on record already.
func (c *Contents) nextBurn(u *habitat.Unit, year date.ProgramYear) (habitat.PlannedBurn, error) {
	unit, from := u.ID, c.Session.Property.YearOf(c.Session.Today)
	if !c.knows(unit) {
		return habitat.PlannedBurn{}, c.unknown(unit)
	}
	if state := c.Session.Property.StateIn(u, c.Session.Records, year, c.Session.Today); year != 0 && state.Done {
		return habitat.PlannedBurn{}, &source.Error{Position: source.Position{File: "YEAR"},
			Found: fmt.Sprintf("%s %s: its burn of %d is on record", source.Quote(unit), view.BurnedWords(&state), year), Accepts: "a year whose burn is still ahead"}
	}
	for _, burn := range c.Stored.Burns() {
		if burn.Unit != unit || burn.Year != year && (year != 0 || burn.Year < from) {
			continue
		}
		if c.Session.isAhead(u, burn) {
			return burn, nil
		}
		if year != 0 {
			season := habitat.SeasonWords(burn.Season, year)
			return habitat.PlannedBurn{}, &source.Error{
				Position: source.Position{File: "YEAR"},
				Found:    fmt.Sprintf("%s was planned for the %s, which is over without a burn on record", source.Quote(unit), season),
				Accepts:  "a year whose burn is still ahead",
			}
		}
	}
	when := "in its years"
	if year != 0 {
		when = "in " + year.String()
	}
	fault := &source.Error{Position: source.Position{File: "UNIT"}, Found: fmt.Sprintf("plan %d does not burn %s %s", c.Stored.Number, source.Quote(unit), when)}
	return habitat.PlannedBurn{}, &AdvisedError{Fault: fault, Advice: ShowPlan, Plan: c.Stored.Number}
}

// draft gathers what is known of one burn, for one wind where one is given.
func (c *Contents) draft(unit *habitat.Unit, burn habitat.PlannedBurn, wind *quantity.Bearing) (*view.Draft, error) {
	in := &view.DraftInput{Plan: c.Plan, Unit: unit.ID, Year: burn.Year, Season: burn.Season, Prescription: c.Outlook.Terms(unit, burn.Season).Limits}
	if series := c.Outlook.Series; series != nil && in.Prescription != nil {
		in.Unheld = series.UnheldWords(in.Prescription)
	}
	in.Contacts = c.Session.Snapshot.Contacts
	current := c.Session.Current()
	in.Shapes, in.Sensitive = current.Shapes, current.Places
	due, err := c.DueIn(c.Session.Property.SeasonIndex(burn.Season), burn.Year)
	if err != nil {
		return nil, err
	}
	in.Crew = due.Crew
	for _, u := range due.Units {
		if u.Unit == unit.ID {
			in.Windows, in.Tasks, in.After = u.Windows, u.Tasks, u.After
		}
	}
	in.Hours, in.Run = c.Outlook.Backing(unit, burn.Season)
	if t := c.Outlook.Terms(unit, burn.Season); t.Suits && t.Limits != nil && t.Card != nil {
		in.Need, in.Winds = t.Need.Words, view.WindWords(t.Card)
	}
	if wind != nil {
		in.Wind, _ = c.Outlook.dayWind(unit, burn.Season, *wind)
		if in.Wind.Back != nil {
			in.Hours, in.Run = quantity.Hours(*in.Wind.Back), *in.Wind.Run
		}
	}
	near := slices.DeleteFunc(c.Session.near(unit.ID), func(n view.Near) bool { return n.Distance > nextTo })
	in.Near = view.NearLines(near)
	in.Breaks = c.Breaks().UnitWords(unit.ID, burn.Year)
	in.Places = view.NearLines(c.Session.near(unit.ID))
	for _, pair := range c.Session.Pairs {
		if other, ok := otherOf(pair, unit.ID); ok {
			in.Adjoining = append(in.Adjoining, view.AdjoiningLine(other, pair.SharedFeet))
		}
	}
	for i := range c.Session.Contracts {
		if c.Session.Contracts[i].HasLineOn(unit.ID) {
			in.Packets = append(in.Packets, c.Session.packet(&c.Session.Contracts[i], nil, nil, nil))
		}
	}
	return view.NewDraft(in)
}

func otherOf(pair habitat.Pair, unit string) (string, bool) {
	switch unit {
	case pair.A:
		return pair.B, true
	case pair.B:
		return pair.A, true
	}
	return "", false
}

// HasBurnAhead reports whether FirstDraft has something to write.
func (c *Contents) HasBurnAhead() bool {
	return slices.ContainsFunc(c.Due.Units, func(u view.DueUnit) bool { return !u.Done })
}

// FirstDraft drafts the first burn of the season that is not done; ErrNothing
// where there is none.
func (c *Contents) FirstDraft() (*view.Draft, error) {
	for _, u := range c.Due.Units {
		if u.Done {
			continue
		}
		unit, err := FindUnit(c.Session.Snapshot, u.Unit)
		if err != nil {
			return nil, err
		}
		return c.draft(unit, habitat.PlannedBurn{Unit: u.Unit, Year: c.Due.Year, Season: c.Due.Season}, nil)
	}
	return nil, ErrNothing
}
