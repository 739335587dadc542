package view

import (
	"fmt"
	"strings"
	"time"

	"emberquilt/habitat/prescription"
	"emberquilt/habitat/source"
	"emberquilt/habitat/weather"
	"emberquilt/schedule/window"
)

// minuteForm and hourForm are how moments of a forecast are written.
const (
	minuteForm = "2006-01-02 15:04"
	zonedForm  = minuteForm + " MST"
)

// MomentWords gives a moment by its clock, such as "2027-03-20 13:30 CDT".
func MomentWords(at time.Time) string { return at.Format(zonedForm) }

// ReadingWords says what someone reads on the ground; height is that of the wind.
func ReadingWords(r *window.Reading, height prescription.Height) string {
	if height == "" {
		height = "10-m"
	}
	words := fmt.Sprintf("%g °F, humidity %g%%, wind %g mph at %s from %s (%.0f°)",
		float64(r.Temperature), float64(r.Humidity), float64(r.Wind), height, r.From.Compass(), float64(r.From))
	if r.Gust != nil {
		words += fmt.Sprintf(", gusts %g mph", float64(*r.Gust))
	}
	return words
}

// ForecastHourWords says what a forecast gives for an hour. issued is zero where the
// document does not say it; notes are what could not be held against it.
func ForecastHourWords(h *weather.ForecastHour, issued time.Time, notes []string, zone *time.Location) string {
	when := ", which does not say when it was issued"
	if !issued.IsZero() {
		when = " issued " + MomentWords(issued.In(zone))
	}
	start := h.StartsAt.In(zone)
	return fmt.Sprintf("forecast%s, hour %s to %s: %s (%s)", when, start.Format(minuteForm), start.Add(time.Hour).Format("15:04 MST"),
		strings.Join(forecastParts(h), ", "), strings.Join(notes, "; "))
}

func forecastParts(h *weather.ForecastHour) (parts []string) {
	say := func(format string, args ...any) { parts = append(parts, fmt.Sprintf(format, args...)) }
	if t, ok := h.Temperature(); ok {
		say("%.0f °F", float64(t))
	}
	if rh, ok := h.Humidity(); ok {
		say("humidity %.0f%%", float64(rh))
	}
	if v, ok := h.Wind(); ok {
		wind := fmt.Sprintf("wind %.0f mph", float64(v))
		if h.WindLow < v {
			wind = fmt.Sprintf("wind %.0f to %.0f mph", float64(h.WindLow), float64(v))
		}
		if from, ok := h.WindFrom(); ok {
			wind += fmt.Sprintf(" from %s (%.0f°)", from.Compass(), float64(from))
		}
		say("%s as the forecast states it", wind)
	}
	if v, ok := h.Gust(); ok {
		say("gusts %.0f mph", float64(v))
	}
	if v, ok := h.MixingHeight(); ok {
		say("mixing height %.0f ft", float64(v))
	}
	if v, ok := h.TransportWind(); ok {
		transport := fmt.Sprintf("transport wind %.0f mph", float64(v))
		if from, ok := h.TransportFrom(); ok {
			transport += fmt.Sprintf(" from %s (%.0f°)", from.Compass(), float64(from))
		}
		say("%s", transport)
	}
	if h.HasRainChance {
		say("chance of rain %.0f%%", float64(h.RainChance))
	}
	return parts
}

// What could not be held against a forecast.
const (
	ForecastWithoutPlace = "the document does not say for which place it is: see to it that it is yours"
	PropertyWithoutPlace = "the property has no latitude and longitude: the document's place was not compared"
)

// ForecastMilesWords says how far off the place of a forecast lies.
func ForecastMilesWords(miles float64) string {
	return fmt.Sprintf("the document is for a place %.1f miles from the property", miles)
}

// HeldUnit heads what a forecast is held to with the unit and its season.
func HeldUnit(unit, season string) string { return fmt.Sprintf("Unit %s, %s.", unit, season) }

// OutOfPrescription says that the wind does not suit, since the prescription leaves it
// out.
func (w *DayWind) OutOfPrescription() { w.Suits, w.WhyNot = false, "not in the prescription" }

// ReachesWith says that the wind does not suit, since it carries smoke to a place; what
// was said before stands.
func (w *DayWind) ReachesWith(place string) {
	if w.Suits {
		w.Suits, w.WhyNot = false, "smoke reaches "+place
	}
}

// NotLoaded notes on a card that the prescription that the unit names is not there.
func (v *WindCard) NotLoaded(prescription string) {
	v.Notes = append(v.Notes, fmt.Sprintf("Its prescription %s is not loaded: every wind is taken to be within it.", source.Quote(prescription)))
}

// NotCountedAlone says that the days of a prescription cannot be counted without a
// unit, and why.
func NotCountedAlone(prescription string, why error) string {
	return fmt.Sprintf("the prescription %s is not counted by itself: %v", prescription, why)
}
