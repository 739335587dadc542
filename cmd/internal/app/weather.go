package app

import (
	"context"
	"fmt"
	"slices"

	"emberquilt/habitat/date"
	"emberquilt/habitat/weather"
	"emberquilt/report/view"
	"emberquilt/schedule/window"
)

// Weather gathers what the book says of the record in use; nil without one.
func (c *Contents) Weather(ctx context.Context) (*view.Weather, error) {
	o := c.Outlook
	if o.Series == nil {
		return nil, nil
	}
	v := &view.Weather{Basis: o.Basis(), Springs: c.Program.Springs, Cautions: view.Cautions()}
	var err error
	if v.Seasons, err = c.Session.SeasonDays(o, c.Due.Year); err != nil {
		return nil, err
	}
	names := c.Session.NamedPrescriptions(o)
	for _, name := range names {
		limits := o.Limits[name]
		days, err := o.Series.Evaluate(limits, o.Bare())
		if err != nil { // such as wind at eye level with an adjustment for some units only
			o.said = append(o.said, view.NotCountedAlone(name, err))
			continue
		}
		costs, err := o.Series.Costs(limits, o.Bare(), window.Steps{})
		if err != nil {
			return nil, fmt.Errorf("prescription %s: %w", name, err)
		}
		v.Heats = append(v.Heats, view.NewHeat(limits, days, &c.Session.Property))
		v.Costs = append(v.Costs, view.NewLimitTable(limits, days, costs))
	}
	if len(c.Session.Weather) > 1 {
		if v.Stations, err = c.Session.Stations(ctx, o, names); err != nil {
			return nil, err
		}
	}
	v.Warnings = o.Warnings()
	return v, nil
}

// mostCards is how many wind cards a book shows; "card" shows the others.
const mostCards = 12

// Cards computes the wind cards of the season's units.
func (c *Contents) Cards() ([]*view.WindCard, error) {
	var all []*view.WindCard
	for i := range c.Due.Units {
		if len(all) == mostCards {
			break
		}
		unit, err := FindUnit(c.Session.Snapshot, c.Due.Units[i].Unit)
		if err != nil || c.Outlook.Terms(unit, c.Due.Season).Card == nil {
			continue // gone since the plan was made, or without a depth
		}
		card, err := c.Outlook.WindCard(unit, c.Due.Season)
		if err != nil {
			return nil, err
		}
		all = append(all, card)
	}
	return all, nil
}

// NamedPrescriptions gives the loaded prescriptions that units name, in the
// order in which they do.
func (s *Session) NamedPrescriptions(o *Outlook) []string {
	var names []string
	for i := range s.Units {
		for _, choice := range s.Units[i].Choices(&s.Property) {
			if t := o.Terms(&s.Units[i], choice.Season); t.Limits != nil && !slices.Contains(names, t.Limits.Name) {
				names = append(names, t.Limits.Name)
			}
		}
	}
	return names
}

// Basis names the record in use.
func (o *Outlook) Basis() string { return (&window.Days{Series: o.Series}).Basis() }

// Stations sets every loaded record side by side.
func (s *Session) Stations(ctx context.Context, o *Outlook, prescriptions []string) ([]view.StationTable, error) {
	var names []string
	var records []*weather.Record
	for _, doc := range s.Weather {
		record := o.Series.Record()
		if doc.Name != o.Station {
			var err error
			if record, err = s.WeatherRecord(ctx, doc.Name); err != nil {
				return nil, err
			}
		}
		names, records = append(names, doc.Name), append(records, record)
	}
	var all []view.StationTable
	for _, name := range prescriptions {
		one, err := view.NewStationTable(names, o.Station, records, o.Limits[name], o.Bare())
		if err != nil {
			return nil, fmt.Errorf("prescription %s: %w", name, err)
		}
		all = append(all, one)
	}
	return all, nil
}

// SeasonDays gives the burn days of the seasons in the order of the settings.
func (s *Session) SeasonDays(o *Outlook, year date.ProgramYear) ([]view.SeasonDays, error) {
	expected, err := s.ExpectedBurnDays(o, year)
	if err != nil {
		return nil, err
	}
	all := []view.SeasonDays{}
	for _, season := range s.Property.Seasons {
		if e := expected[season.Name]; e != nil {
			all = append(all, view.NewSeasonDays(season.Name, year, e))
		}
	}
	return all, nil
}
