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

// Sheet gathers what the sheet of the season shows.
func (c *Contents) Sheet() (*view.Sheet, error) {
	current := c.Session.Current()
	in := view.SheetInput{People: c.Session.Property.People, Contacts: c.Session.Snapshot.Contacts, Hours: map[string]quantity.Hours{}, Plan: c.Plan, Shapes: current.Shapes, Places: current.Places}
	for _, u := range c.Due.Units {
		unit, err := FindUnit(c.Session.Snapshot, u.Unit)
		if err != nil {
			continue // the unit is gone since the plan was made
		}
		if hours, _ := c.Outlook.Backing(unit, c.Due.Season); hours > 0 {
			in.Hours[u.Unit] = hours
		}
	}
	in.Breaks, in.Near = map[string][]string{}, map[string][]string{}
	for _, u := range c.Due.Units {
		in.Breaks[u.Unit] = c.Breaks().UnitWords(u.Unit, c.Due.Year)
		in.Near[u.Unit] = view.NearLines(c.Session.near(u.Unit))
	}
	return view.NewSheet(c.Due, in), nil
}

// Backing gives the hours that a burn of a unit needs and its depth over the
// deepest wind that suits; 0 where they are not known.
func (o *Outlook) Backing(u *habitat.Unit, season string) (hours quantity.Hours, depth quantity.Feet) {
	t := o.Terms(u, season)
	if t.Card == nil || !t.Suits {
		return 0, 0
	}
	return quantity.Hours(t.Need.Hours), t.Need.Depth
}

// nextTo is how near a hazard lies to be next to a unit: ten chains. Common
// practice, no source.
const nextTo quantity.Feet = 660

// DraftOptions say which burn's plan is drafted.
type DraftOptions struct {
	Unit string
	// Year is the program year; 0 is that of the unit's next planned burn.
	Year date.ProgramYear
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
	return c.draft(unit, burn)
}

// nextBurn finds the planned burn of a unit in a program year; 0 finds the first
// from the year under way on that is not on record already.
func (c *Contents) nextBurn(u *habitat.Unit, year date.ProgramYear) (habitat.PlannedBurn, error) {
	unit, from := u.ID, c.Session.Property.YearOf(c.Session.Today)
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
			return habitat.PlannedBurn{}, &source.Error{Position: source.Position{File: "YEAR"},
				Found: fmt.Sprintf("%s was planned for the %s, which is over without a burn on record", source.Quote(unit), habitat.SeasonWords(burn.Season, year)), Accepts: "a year whose burn is still ahead"}
		}
	}
	when := "in its years"
	if year != 0 {
		when = "in " + year.String()
	}
	fault := &source.Error{Position: source.Position{File: "UNIT"}, Found: fmt.Sprintf("plan %d does not burn %s %s", c.Stored.Number, source.Quote(unit), when)}
	return habitat.PlannedBurn{}, &AdvisedError{Fault: fault, Advice: ShowPlan, Plan: c.Stored.Number}
}

// draft gathers what is known of one burn.
func (c *Contents) draft(unit *habitat.Unit, burn habitat.PlannedBurn) (*view.Draft, error) {
	in := &view.DraftInput{Plan: c.Plan, Unit: unit.ID, Year: burn.Year, Season: burn.Season, Prescription: c.Outlook.Terms(unit, burn.Season).Limits}
	in.Contacts, in.People = c.Session.Snapshot.Contacts, c.Session.Property.People
	current := c.Session.Current()
	in.Shapes, in.Sensitive = current.Shapes, current.Places
	due, err := c.DueIn(c.Session.Property.SeasonIndex(burn.Season), burn.Year)
	if err != nil {
		return nil, err
	}
	for _, u := range due.Units {
		if u.Unit == unit.ID {
			in.Windows, in.Tasks = u.Windows, u.Tasks
		}
	}
	in.Hours, in.Depth = c.Outlook.Backing(unit, burn.Season)
	if t := c.Outlook.Terms(unit, burn.Season); t.Suits && t.Limits != nil && t.Card != nil {
		in.Need, in.Winds = t.Need.Words, view.WindWords(t.Card)
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
		if slices.ContainsFunc(c.Session.Contracts[i].Items, func(item habitat.ContractItem) bool { return item.Unit == unit.ID }) {
			in.Contract = &c.Session.Contracts[i]
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
		return c.draft(unit, habitat.PlannedBurn{Unit: u.Unit, Year: c.Due.Year, Season: c.Due.Season})
	}
	return nil, ErrNothing
}
