package app

import (
	"context"
	"fmt"

	"emberquilt/habitat"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/source"
	"emberquilt/habitat/weather"
	"emberquilt/report/view"
	"emberquilt/schedule/window"
)

// ForecastTerms are what a forecast is read against.
type ForecastTerms struct {
	Limits  *prescription.Prescription
	Options window.Options
	// Known is what holds where the document and the caller do not say it.
	Known weather.Options
	// Words say what the unit is held to; none without a unit.
	Words []string
	// Hold is the place and moment that the document is held against; nil without a
	// property.
	Hold *ForecastHold
}

// ForecastTerms takes prescription, winds and hours from a unit; an empty season is
// the one under way or next.
func (s *Session) ForecastTerms(ctx context.Context, unit, season string) (*ForecastTerms, error) {
	u, err := FindUnit(s.Snapshot, unit)
	if err != nil {
		return nil, err
	}
	o, err := s.Outlook(ctx)
	if err != nil {
		return nil, err
	}
	if season, err = s.SeasonFor(u, season); err != nil {
		return nil, err
	}
	t := o.Terms(u, season)
	if t.Limits == nil {
		return nil, s.notLoaded(u, season, t)
	}
	return &ForecastTerms{Limits: t.Limits, Options: t.Options, Known: s.WeatherOptions(), Hold: s.ForecastHold(),
		Words: append([]string{view.HeldUnit(u.ID, season)}, t.View().Words...)}, nil
}

// notLoaded is the error for a unit whose prescription is not there.
func (s *Session) notLoaded(u *habitat.Unit, season string, t *Terms) error {
	found := source.Quote(u.ID) + " has no prescription"
	if t.Named != "" {
		found = fmt.Sprintf("the prescription %s of %s is not loaded", source.Quote(t.Named), source.Quote(u.ID))
	}
	if season != "" {
		found += " in " + season
	}
	return &OptionError{
		Option:    "unit",
		IsUnknown: true,
		Found:     found,
		Accepts:   "a unit with one that is loaded",
		Hint:      source.DidYouMean(t.Named, s.prescriptionNames()),
		Advice:    NamePrescriptions,
	}
}

// CheckForecast reads a forecast document against terms; given is what holds of the
// place and its clock. dryDays is nil where the days since rain are not known.
func CheckForecast(ctx context.Context, document weather.File, given weather.Options, t *ForecastTerms, dryDays *int) (*view.Forecast, error) {
	since, err := sinceRain(dryDays)
	if err != nil {
		return nil, err
	}
	forecast, err := weather.ReadForecast(ctx, document, given)
	if err != nil {
		return nil, err
	}
	if t.Hold != nil {
		notes, err := t.Hold.check(forecast)
		if err != nil {
			return nil, err
		}
		forecast.Notes = append(forecast.Notes, notes...)
	}
	check, err := window.CheckForecast(forecast, t.Limits, t.Options, given.Place, since)
	if err != nil {
		return nil, err
	}
	return &view.Forecast{Format: string(forecast.Format), IssuedAt: forecast.IssuedAt, Prescription: t.Limits.Name, HeldTo: t.Words, Check: check}, nil
}
