package app

import (
	"context"
	"fmt"
	"math"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/habitat/weather"
	"emberquilt/report/view"
	"emberquilt/schedule/window"
)

// NowOptions are the weather that someone reads on the ground.
type NowOptions struct {
	Unit, Season string
	Temperature  quantity.Fahrenheit
	Humidity     quantity.Percent
	Wind         quantity.MilesPerHour
	From         quantity.Bearing
	// Gust is the highest gust at the height of the wind; nil where it is not said.
	Gust *quantity.MilesPerHour
	// At is a time of day as HH:MM by the clock, or a day and a time as YYYY-MM-DD HH:MM;
	// empty for the session's moment.
	At string
	// DryDays are the days since rain; nil where they are not said.
	DryDays *int
	// Forecast is a public forecast whose hour nearest to At is read in place of the
	// values; nil reads the values. Elsewhere and AnyAge take one that ForecastHold would
	// refuse.
	Forecast          *weather.File
	Elsewhere, AnyAge bool
}

// validate refuses what no instrument reads.
func (in *NowOptions) validate() error {
	switch {
	case in.Forecast != nil:
	case !(in.Temperature >= -80 && in.Temperature <= 140):
		return badOption("temp", "-80 to 140 °F", "%v is not a temperature", float64(in.Temperature))
	case !(in.Humidity >= 0 && in.Humidity <= 100):
		return badOption("rh", "0 to 100 percent", "%v is not a humidity", float64(in.Humidity))
	case !(in.Wind >= 0 && in.Wind <= 100):
		return badOption("wind", "0 to 100 mph", "%v is not a wind speed", float64(in.Wind))
	case in.Gust != nil && !(*in.Gust >= in.Wind && *in.Gust <= 150):
		return badOption("gust", "a gust in mph from the wind itself up to 150", "%v is not a gust of a wind of %v mph", float64(*in.Gust), float64(in.Wind))
	}
	return nil
}

// sinceRain gives the days since rain that someone states; nil for none.
func sinceRain(dryDays *int) (*window.Since, error) {
	switch {
	case dryDays == nil:
		return nil, nil
	case *dryDays < 0:
		return nil, badOption("dry-days", "0 or more days", "%d is negative", *dryDays)
	}
	return &window.Since{Days: *dryDays}, nil
}

// Now reads the weather of the moment against what a burn of a unit is held to.
func (s *Session) Now(ctx context.Context, in NowOptions) (*view.Now, error) {
	if err := in.validate(); err != nil {
		return nil, err
	}
	u, err := FindUnit(s.Snapshot, in.Unit)
	if err != nil {
		return nil, err
	}
	o, err := s.Outlook(ctx)
	if err != nil {
		return nil, err
	}
	season, err := s.SeasonFor(u, in.Season)
	if err != nil {
		return nil, err
	}
	t := o.Terms(u, season)
	if t.Limits == nil {
		return nil, s.notLoaded(u, season, t)
	}
	at, err := s.clockOn(o.zone, in.At)
	if err != nil {
		return nil, err
	}
	since, err := sinceRain(in.DryDays)
	if err != nil {
		return nil, err
	}
	v := &view.Now{Cautions: view.Cautions(), Unit: u.ID, Season: season, Prescription: t.Named, At: view.MomentWords(at)}
	options := window.Options{WindAdjustment: t.Options.WindAdjustment, Zone: o.zone}
	var check *window.HourCheck
	if in.Forecast != nil {
		hour, err := s.forecastHour(ctx, &in, at, t.Limits, options, since)
		if err != nil {
			return nil, err
		}
		at, check = hour.StartsAt.In(o.zone), hour.check
		v.FromForecast, v.Weather = true, view.ForecastHourWords(&hour.ForecastHour, hour.issued, hour.notes, o.zone)
		var steady bool
		if in.From, steady = hour.WindFrom(); !steady {
			v.SetForecast(check)
			s.holdCalendar(v, u, season, at, check, t.Limits)
			v.AllHold = false
			return v, nil
		}
		v.SetForecast(check)
	} else {
		reading := window.Reading{Temperature: in.Temperature, Humidity: in.Humidity, Wind: in.Wind, From: in.From, Gust: in.Gust, At: at}
		v.Weather = view.ReadingWords(&reading, t.Limits.WindHeight)
		check, err = window.CheckReading(reading, t.Limits, options, s.Property.UTCOffset, s.WeatherOptions().Place, since)
		if err != nil {
			return nil, AgainstUnit(u.ID, err)
		}
		v.SetCheck(check)
	}
	s.holdCalendar(v, u, season, at, check, t.Limits)
	wind, made := o.dayWind(u, season, in.From)
	card, _ := o.CardInput(u.ID)
	v.SetWind(wind, card.SmokeAllowed)
	if made != nil {
		v.SetTurns(made)
	}
	return v, nil
}

// holdCalendar adds what the calendar says of a moment: the season, and closures. An hour
// of a night belongs to the day on which the night begins, and the day after must be open
// too.
func (s *Session) holdCalendar(v *view.Now, u *habitat.Unit, season string, at time.Time, check *window.HourCheck, limits *prescription.Prescription) {
	day := date.DayOf(at)
	until := day
	if limits.BurnHours.IsOvernight() && check.InBurnHours {
		day, until = check.Day, check.Day.AddDays(1)
	}
	i := s.Property.SeasonIndex(season)
	if i < 0 {
		return
	}
	span := s.Property.SeasonSpan(i, s.nextYearOf(season))
	for _, year := range []date.ProgramYear{s.Property.YearOf(day) - 1, s.Property.YearOf(day), s.Property.YearOf(day) + 1} {
		if of := s.Property.SeasonSpan(i, year); of.Has(day) {
			span = of
		}
	}
	v.SetSeason(season, span, day)
	for _, closed := range s.Property.ClosedIn(u.ID, date.Span{First: day, Last: until}) {
		on := day
		if closed.First.After(day) {
			on = closed.First // the night runs into it
		}
		v.SetClosed(closed, on)
	}
}

// hourOf is an hour of a forecast, read against limits.
type hourOf struct {
	weather.ForecastHour
	issued time.Time
	notes  []string
	check  *window.HourCheck
}

// forecastHour finds the hour of a forecast that is nearest to a moment, and reads it.
func (s *Session) forecastHour(ctx context.Context, in *NowOptions, at time.Time, limits *prescription.Prescription, options window.Options, since *window.Since) (*hourOf, error) {
	known := s.WeatherOptions()
	f, err := weather.ReadForecast(ctx, *in.Forecast, known)
	if err != nil {
		return nil, err
	}
	hold := s.ForecastHold()
	hold.Elsewhere, hold.AnyAge = in.Elsewhere, in.AnyAge
	notes, err := hold.check(f)
	if err != nil {
		return nil, err
	}
	best, least := -1, time.Duration(math.MaxInt64)
	for i := range f.Hours {
		away := at.Sub(f.Hours[i].StartsAt) // of the hour's beginning
		switch {
		case away < 0:
			away = -away
		case away < time.Hour:
			away = 0 // the moment lies in it
		default:
			away += 1 - time.Hour // at the full hour the one that begins is nearer
		}
		if away < least {
			best, least = i, away
		}
	}
	if best < 0 || least > time.Hour {
		zone := at.Location()
		return nil, &source.Error{Position: source.Position{File: f.File}, Found: "holds no hour within an hour of " + view.MomentWords(at),
			Accepts: fmt.Sprintf(
				"a moment from %s to %s",
				f.Hours[0].StartsAt.In(zone).Format("2006-01-02 15:04"),
				f.Hours[len(f.Hours)-1].StartsAt.In(zone).Format("2006-01-02 15:04"),
			)}
	}
	one := hourOf{ForecastHour: f.Hours[best], issued: f.IssuedAt, notes: notes}
	alone := *f
	alone.Hours = f.Hours[best : best+1]
	check, err := window.CheckForecast(&alone, limits, options, known.Place, since)
	if err != nil {
		return nil, AgainstUnit(in.Unit, err)
	}
	one.check = &check.Hours[0]
	return &one, nil
}

// dayWind says what a burn of a unit with the wind from a bearing would mean, and gives
// the wind card that it was read from; nil where no depth is known.
func (o *Outlook) dayWind(u *habitat.Unit, season string, from quantity.Bearing) (*view.DayWind, *window.Card) {
	t := o.Terms(u, season)
	w := &view.DayWind{From: from.Compass(), Bearing: from, Edge: from.Opposite().Compass(), Smoke: []view.SmokePlace{}}
	in, _ := o.CardInput(u.ID)
	shape, hasShape := o.shapes[u.ID]
	w.HasShape = hasShape
	w.Suits = true
	if t.Limits != nil && !t.Limits.AllowsFrom(from) {
		w.OutOfPrescription()
	}
	if hasShape {
		for _, r := range window.ReachedBy(shape, o.places, in.Within, from) {
			w.Smoke = append(w.Smoke, view.SmokePlace{Name: r.Name, Distance: r.Distance, Tolerated: r.Tolerated})
			if !r.Tolerated && !in.SmokeAllowed {
				w.ReachesWith(r.Name)
			}
		}
	}
	if t.Card == nil {
		return w, nil
	}
	own := o.Firings.For(u.ID)
	depth, run := t.Card.Toward(from).Depth, t.Card.Toward(from).Run
	lines, _, hours := windowFiring(&own).Lay(run, t.Card.Rate)
	back := float64(hours)
	w.Depth, w.Run, w.Back, w.InteriorLines = &depth, &run, &back, &lines
	return w, t.Card
}

// clockOn gives today at a time of day by the clock of a zone; the session's
// moment where none is said.
func (s *Session) clockOn(zone *time.Location, text string) (time.Time, error) {
	now := s.Moment.In(zone)
	for _, form := range []string{"2006-01-02 15:04", "2006-01-02T15:04"} { // another day
		if said, err := time.ParseInLocation(form, text, zone); err == nil {
			return said, nil
		}
	}
	if text != "" {
		said, err := time.Parse("15:04", text)
		if err != nil {
			return time.Time{}, badOption("at", "a time of day as HH:MM, such as 13:30, or a day and a time as YYYY-MM-DD HH:MM", "%q is not a time", text)
		}
		now = time.Date(2000, 1, 1, said.Hour(), said.Minute(), 0, 0, zone)
	}
	return time.Date(s.Today.Year, s.Today.Month, s.Today.Dom, now.Hour(), now.Minute(), 0, 0, zone), nil
}
