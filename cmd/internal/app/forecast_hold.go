package app

import (
	"fmt"
	"time"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/source"
	"emberquilt/habitat/weather"
	"emberquilt/report/view"
)

// How far from the property, and how old, a forecast may be. Common practice, no
// source.
const (
	ForecastMiles = 30
	ForecastHours = 24
)

const metersInMile = 1609.344

// ForecastHold says against which place and moment a forecast is held.
type ForecastHold struct {
	// Place is that of the property; nil where it is not known.
	Place *weather.Place
	// Now is the moment of asking.
	Now time.Time
	// Elsewhere takes a forecast of a place further off, AnyAge one that is older.
	Elsewhere, AnyAge bool
}

// ForecastHold gives the property's place and the session's moment.
func (s *Session) ForecastHold() *ForecastHold {
	return &ForecastHold{Place: s.WeatherOptions().Place, Now: s.Moment}
}

// check refuses a forecast of another place or time, and says what could not be held
// against it.
func (h *ForecastHold) check(f *weather.Forecast) (notes []string, err error) {
	at := source.Position{File: f.File}
	switch {
	case f.Place == nil:
		notes = append(notes, view.ForecastWithoutPlace)
	case h.Place == nil:
		notes = append(notes, view.PropertyWithoutPlace)
	default:
		miles := ground.MetersBetween(ground.Point{Lon: h.Place.Longitude, Lat: h.Place.Latitude}, ground.Point{Lon: f.Place.Longitude, Lat: f.Place.Latitude}) / metersInMile
		if miles > ForecastMiles && !h.Elsewhere {
			return nil, &AdvisedError{Advice: TakeElsewhere, Fault: &source.Error{Position: at,
				Found:   fmt.Sprintf("is a forecast for %.3f, %.3f, %.0f miles from the property", f.Place.Latitude, f.Place.Longitude, miles),
				Accepts: fmt.Sprintf("one within %d miles", ForecastMiles), Hint: h.hint()}}
		}
		notes = append(notes, view.ForecastMilesWords(miles))
	}
	issued, words := f.IssuedAt, "was issued"
	if issued.IsZero() {
		issued, words = f.Hours[0].StartsAt, "begins"
	}
	if age := h.Now.Sub(issued); !h.AnyAge && age.Abs() > ForecastHours*time.Hour {
		when := ", which is still to come"
		if age > 0 {
			when = ", " + ageWords(age) + " ago"
		}
		return nil, &AdvisedError{Advice: TakeAnyAge, Fault: &source.Error{Position: at,
			Found:   words + " " + view.MomentWords(issued.UTC()) + when,
			Accepts: fmt.Sprintf("one of the last %d hours", ForecastHours), Hint: h.hint()}}
	}
	return notes, nil
}

func ageWords(age time.Duration) string {
	if days := int(age.Hours() / 24); days >= 3 {
		return fmt.Sprintf("%d days", days)
	}
	return fmt.Sprintf("%.0f hours", age.Hours())
}

// hint says where a forecast for the property is to be had.
func (h *ForecastHold) hint() string {
	if h.Place == nil {
		return ""
	}
	return fmt.Sprintf("save what forecastHourly of https://api.weather.gov/points/%.4f,%.4f names", h.Place.Latitude, h.Place.Longitude)
}
