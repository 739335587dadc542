package app

import (
	"context"
	"errors"

	"emberquilt/habitat/date"
	"emberquilt/report/view"
	"emberquilt/store"
)

// AgendaOptions say which burns of the adopted plan a calendar file takes.
type AgendaOptions struct {
	// Years and Units are those that are taken; none takes all.
	Years []date.ProgramYear
	Units []string
}

// taskYears is for how many program years from the one under way on a calendar file
// takes tasks where no year is named.
const taskYears = 2

// Agenda gives the events of the burns that the plan has, for a calendar file. Publish
// settles them with what earlier files said, before one is written.
func (c *Contents) Agenda(o AgendaOptions) (*view.Agenda, error) {
	s := c.Session
	units, err := s.unitsNamed(o.Units)
	if err != nil {
		return nil, err
	}
	for _, year := range o.Years {
		if first, last := c.Stored.FirstYear, c.Stored.LastYear(); year < first || year > last {
			return nil, badOption("year", first.String()+" to "+last.String(), "%d is outside plan %d", year, c.Stored.Number)
		}
	}
	return view.NewAgenda(c.Season, view.AgendaSelection{Years: o.Years, Units: units, LastTasks: s.Property.YearOf(s.Today) + taskYears - 1})
}

// Publish settles an agenda with what earlier calendar files said of its events, and
// keeps in the property file what it says: the next one tells calendars what moved since
// and what no longer holds. kept is false where the file cannot be written.
func (s *Session) Publish(ctx context.Context, made *view.Agenda) (kept bool, err error) {
	// The session may have the file open to read only.
	to, err := store.Open(ctx, s.Store.Path())
	if errors.Is(err, store.ErrReadOnly) {
		said, err := s.Store.Published(ctx)
		if err == nil {
			made.Publish(said, s.Moment, s.Today)
		}
		return false, err
	}
	if err != nil {
		return false, err
	}
	err = to.Publish(ctx, func(tx *store.Tx) error {
		said, err := tx.Published()
		if err != nil {
			return err
		}
		for _, e := range made.Publish(said, s.Moment, s.Today) {
			if err := tx.PutPublished(e); err != nil {
				return err
			}
		}
		return nil
	})
	return err == nil, errors.Join(err, to.Close())
}

// unitsNamed gives the names of units as the property writes them.
func (s *Session) unitsNamed(names []string) ([]string, error) {
	var all []string
	for _, name := range names {
		unit, err := FindUnit(s.Snapshot, name)
		if err != nil {
			return nil, err
		}
		all = append(all, unit.ID)
	}
	return all, nil
}
