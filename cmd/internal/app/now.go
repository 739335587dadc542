package app

import (
	"context"
	"fmt"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/quantity"
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
	// At is a time of day as HH:MM by the clock, empty for the session's moment.
	At string
	// DryDays are the days since rain; nil where they are not said.
	DryDays *int
}

// validate refuses what no instrument reads.
func (in *NowOptions) validate() error {
	switch {
	case !(in.Temperature >= -80 && in.Temperature <= 140):
		return badOption("temp", "-80 to 140 °F", "%v is not a temperature", float64(in.Temperature))
	case !(in.Humidity >= 0 && in.Humidity <= 100):
		return badOption("rh", "0 to 100 percent", "%v is not a humidity", float64(in.Humidity))
	case !(in.Wind >= 0 && in.Wind <= 100):
		return badOption("wind", "0 to 100 mph", "%v is not a wind speed", float64(in.Wind))
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
		return nil, notLoaded(u, season, t)
	}
	at, err := s.clockOn(o.zone, in.At)
	if err != nil {
		return nil, err
	}
	since, err := sinceRain(in.DryDays)
	if err != nil {
		return nil, err
	}
	known := s.WeatherOptions()
	options := window.Options{WindAdjustment: t.Options.WindAdjustment, Zone: o.zone}
	check, err := window.CheckReading(window.Reading{Temperature: in.Temperature, Humidity: in.Humidity, Wind: in.Wind, From: in.From, At: at},
		t.Limits, options, s.Property.UTCOffset, known.Place, since)
	if err != nil {
		return nil, AgainstUnit(u.ID, err)
	}
	height := string(t.Limits.WindHeight)
	if height == "" {
		height = "10-m"
	}
	v := &view.Now{Cautions: view.Cautions(), Unit: u.ID, Season: season, Prescription: t.Named, At: at.Format("2006-01-02 15:04 MST"),
		Weather: fmt.Sprintf("%g °F, humidity %g%%, wind %g mph at %s from %s (%.0f°)", float64(in.Temperature), float64(in.Humidity), float64(in.Wind), height, in.From.Compass(), float64(in.From))}
	v.SetCheck(check)
	wind, made := o.dayWind(u, season, in.From)
	card, _ := o.CardInput(u.ID)
	v.SetWind(wind, card.SmokeAllowed)
	if made != nil {
		v.SetTurns(made)
	}
	return v, nil
}

// dayWind says what a burn of a unit with the wind from a bearing would mean, and gives
// the wind card that it was read from; nil where no depth is known.
func (o *Outlook) dayWind(u *habitat.Unit, season string, from quantity.Bearing) (*view.DayWind, *window.Card) {
	t := o.Terms(u, season)
	w := &view.DayWind{From: from.Compass(), Bearing: from, Edge: from.Opposite().Compass(), Smoke: []view.SmokePlace{}}
	in, _ := o.CardInput(u.ID)
	shape, hasShape := o.shapes[u.ID]
	w.HasShape = hasShape
	w.Suits = t.Limits == nil || t.Limits.AllowsFrom(from)
	if !w.Suits {
		w.WhyNot = "not in the prescription"
	}
	if hasShape {
		for _, r := range window.ReachedBy(shape, o.places, in.Within, from) {
			w.Smoke = append(w.Smoke, view.SmokePlace{Name: r.Name, Distance: r.Distance, Tolerated: r.Tolerated})
			if !r.Tolerated && !in.SmokeAllowed && w.Suits {
				w.Suits, w.WhyNot = false, "smoke reaches "+r.Name
			}
		}
	}
	if t.Card == nil {
		return w, nil
	}
	own := o.Firings.For(u.ID)
	depth := t.Card.Toward(from).Depth
	lines, _, hours := windowFiring(&own).Lay(depth, t.Card.Rate)
	back := float64(hours)
	w.Depth, w.Back, w.InteriorLines = &depth, &back, &lines
	return w, t.Card
}

// clockOn gives today at a time of day by the clock of a zone; the session's
// moment where none is said.
func (s *Session) clockOn(zone *time.Location, text string) (time.Time, error) {
	now := s.Moment.In(zone)
	if text != "" {
		said, err := time.Parse("15:04", text)
		if err != nil {
			return time.Time{}, badOption("at", "a time of day as HH:MM, such as 13:30", "%q is not a time", text)
		}
		now = time.Date(2000, 1, 1, said.Hour(), said.Minute(), 0, 0, zone)
	}
	return time.Date(s.Today.Year, s.Today.Month, s.Today.Dom, now.Hour(), now.Minute(), 0, 0, zone), nil
}
