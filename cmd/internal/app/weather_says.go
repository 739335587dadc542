package app

import (
	"context"
	"fmt"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/source"
	"emberquilt/habitat/weather"
	"emberquilt/report/view"
	"emberquilt/schedule/window"
	"emberquilt/store"
)

// WeatherOptions are what the property knows where weather files do not say it: its
// offset to UTC and its place, where the settings say them.
func (s *Session) WeatherOptions() (o weather.Options) {
	if offset := s.Property.UTCOffset; offset != 0 || s.Property.Zone != "" {
		o.UTCOffset = &offset
	}
	if s.Property.HasPlace {
		o.Place = &weather.Place{Latitude: s.Property.Latitude, Longitude: s.Property.Longitude}
	}
	return o
}

// LoadWeather keeps the record of a station, in place of the one of that name. The
// first record that is loaded is in use.
func (s *Session) LoadWeather(ctx context.Context, name string, record *weather.Record) (*view.LoadedWeather, error) {
	if err := optionFaults(habitat.ValidateName("name", name)); err != nil {
		return nil, err
	}
	about, hours, err := record.Keep()
	if err != nil {
		return nil, err
	}
	used := s.Station
	err = s.update(ctx, "load the weather record "+name, func(tx *store.Tx) error {
		if err := tx.PutDocument(store.Document{Kind: store.Weather, Name: name, Body: about, Record: hours}); err != nil {
			return err
		}
		if used != "" {
			return nil
		}
		return tx.UseStation(name)
	})
	if err != nil {
		return nil, err
	}
	return &view.LoadedWeather{Station: name, InUse: s.Station, Span: record.Span(), Hours: len(record.Hours), Years: record.Years()}, nil
}

// UseStation chooses the station whose record counts.
func (s *Session) UseStation(ctx context.Context, name string) error {
	if _, err := s.WeatherRecord(ctx, name); err != nil {
		return err
	}
	return s.update(ctx, "use the weather record "+name, func(tx *store.Tx) error { return tx.UseStation(name) })
}

// LoadedStations lists the records that are loaded.
func (s *Session) LoadedStations() ([]view.LoadedStation, error) {
	var all []view.LoadedStation
	for _, doc := range s.Weather {
		record, err := weather.Describe(doc.Body)
		if err != nil {
			return nil, err
		}
		all = append(all, view.NewLoadedStation(doc.Name, doc.Name == s.Station, record))
	}
	return all, nil
}

// recordInUse gives the outlook of a property that has a record; without one it is
// an error.
func (s *Session) recordInUse(ctx context.Context) (*Outlook, error) {
	o, err := s.Outlook(ctx)
	if err != nil {
		return nil, err
	}
	if o.Series == nil {
		return nil, &AdvisedError{
			Fault:  &source.Error{Position: source.Position{File: s.Store.Path()}, Found: "no weather record is loaded", Accepts: "a property with one"},
			Advice: LoadWeather,
		}
	}
	return o, nil
}

// asked gives the prescription of a name or, without one, those that units name.
func (s *Session) asked(o *Outlook, name string) ([]string, error) {
	missing := func(found string) error {
		accepts := "one that is loaded"
		if loaded := s.prescriptionNames(); len(loaded) > 0 {
			accepts = quotedList(loaded)
		}
		return &AdvisedError{
			Fault:  &source.Error{Position: source.Position{File: "PRESCRIPTION"}, Found: found, Accepts: accepts, Hint: source.DidYouMean(name, s.prescriptionNames())},
			Advice: LoadPrescriptions,
		}
	}
	if name != "" {
		if o.Limits[name] == nil {
			return nil, missing(source.Quote(name) + " is not loaded")
		}
		return []string{name}, nil
	}
	names := s.NamedPrescriptions(o)
	if names == nil {
		return nil, missing("no unit names a prescription that is loaded")
	}
	return names, nil
}

// WeatherDays counts the burn days of each season over the years of the record in
// use. The calendar of the year says which days are usable; 0 is the one under way.
func (s *Session) WeatherDays(ctx context.Context, year date.ProgramYear) (*view.WeatherDays, error) {
	o, err := s.recordInUse(ctx)
	if err != nil {
		return nil, err
	}
	if year == 0 {
		year = s.Property.YearOf(s.Today)
	}
	seasons, err := s.SeasonDays(o, year)
	if err != nil {
		return nil, err
	}
	return &view.WeatherDays{Basis: o.Basis(), Cautions: view.Cautions(), Seasons: seasons, Warnings: o.Warnings(), Year: year}, nil
}

// WeatherChance says how often each hour of each week is in a prescription; an empty
// name means those that units name.
func (s *Session) WeatherChance(ctx context.Context, name string) (*view.Chances, error) {
	o, err := s.recordInUse(ctx)
	if err != nil {
		return nil, err
	}
	names, err := s.asked(o, name)
	if err != nil {
		return nil, err
	}
	v := &view.Chances{Basis: o.Basis(), Cautions: view.Cautions(), Warnings: append([]string{}, o.Warnings()...)}
	for _, name := range names {
		one, err := Chance(o.Series, o.Limits[name], o.Bare())
		if err != nil {
			return nil, fmt.Errorf("prescription %s: %w", name, err)
		}
		v.Heats = append(v.Heats, one.Heats...)
		for _, warning := range one.Warnings {
			if !slices.Contains(v.Warnings, warning) {
				v.Warnings = append(v.Warnings, warning)
			}
		}
	}
	return v, nil
}

// WeatherLimits says what each limit of a prescription costs in days; an empty name
// means those that units name.
func (s *Session) WeatherLimits(ctx context.Context, name string, steps window.Steps) (*view.LimitTables, error) {
	o, err := s.recordInUse(ctx)
	if err != nil {
		return nil, err
	}
	names, err := s.asked(o, name)
	if err != nil {
		return nil, err
	}
	v := &view.LimitTables{Cautions: view.Cautions()}
	for _, name := range names {
		one, err := Limits(o.Series, o.Limits[name], o.Bare(), steps)
		if err != nil {
			return nil, fmt.Errorf("prescription %s: %w", name, err)
		}
		v.Limits = append(v.Limits, one.Limits...)
	}
	return v, nil
}

// CompareStations sets the loaded records side by side; an empty name means the
// prescriptions that units name.
func (s *Session) CompareStations(ctx context.Context, name string) (*view.StationTables, error) {
	o, err := s.recordInUse(ctx)
	if err != nil {
		return nil, err
	}
	names, err := s.asked(o, name)
	if err != nil {
		return nil, err
	}
	all, err := s.Stations(ctx, o, names)
	if err != nil {
		return nil, err
	}
	return &view.StationTables{Cautions: view.Cautions(), Stations: all}, nil
}

// Chance says how often each hour of each week of a record is in a prescription.
func Chance(series *window.Series, limits *prescription.Prescription, o window.Options) (*view.Chances, error) {
	days, err := series.Evaluate(limits, o)
	if err != nil {
		return nil, err
	}
	return &view.Chances{Basis: days.Basis(), Cautions: view.Cautions(), Heats: []view.Heat{view.NewHeat(limits, days, nil)}, Warnings: append([]string{}, days.Warnings...)}, nil
}

// Limits says what each limit of a prescription costs in days of a record.
func Limits(series *window.Series, limits *prescription.Prescription, o window.Options, steps window.Steps) (*view.LimitTables, error) {
	days, err := series.Evaluate(limits, o)
	if err != nil {
		return nil, err
	}
	costs, err := series.Costs(limits, o, steps)
	if err != nil {
		return nil, err
	}
	return &view.LimitTables{Cautions: view.Cautions(), Limits: []view.LimitTable{view.NewLimitTable(limits, days, costs)}}, nil
}

// BesideEachOther counts records of stations, each by itself, against a
// prescription.
func BesideEachOther(records []*weather.Record, names []string, limits *prescription.Prescription, o window.Options) (*view.StationTables, error) {
	one, err := view.NewStationTable(names, "", records, limits, o)
	if err != nil {
		return nil, err
	}
	return &view.StationTables{Cautions: view.Cautions(), Stations: []view.StationTable{one}}, nil
}
