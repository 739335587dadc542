package view

import (
	"fmt"
	"strings"

	"emberquilt/habitat/date"
	"emberquilt/schedule/window"
)

// Now is the weather of one moment read against what a burn of a unit is held to.
type Now struct {
	Cautions     []string `json:"cautions"`
	Unit         string   `json:"unit"`
	Season       string   `json:"season,omitempty"`
	Prescription string   `json:"prescription"`
	// At is the moment by the clock of the property, Weather what was read.
	At      string `json:"at"`
	Weather string `json:"weather"`
	// FromForecast says that it is the hour of a forecast and no reading.
	FromForecast bool `json:"from_forecast"`
	// Limits says of each limit whether it holds.
	Limits []NowLimit `json:"limits"`
	// InBurnHours says that the hour lies in the burn hours; AllHold that it does,
	// that no limit fails that could be compared, and that smoke reaches no place
	// that is not tolerated.
	InBurnHours bool `json:"in_burn_hours"`
	AllHold     bool `json:"all_hold"`
	// NotSaid lists the limits that the reading says nothing on.
	NotSaid []string `json:"not_said"`
	DayWind
	// Turns says for the sixteen winds in one line what they would mean.
	Turns string `json:"if_the_wind_turns"`
}

// NowLimit is one limit against the reading.
type NowLimit struct {
	Limit   string `json:"limit"`
	Verdict string `json:"verdict"`
	Reads   string `json:"reads"`
	Wants   string `json:"wants"`
}

// notSaid is the verdict on a limit that a reading says nothing on.
const notSaid = "not said"

// SetCheck takes over what the limits say.
func (v *Now) SetCheck(c *window.HourCheck) {
	v.InBurnHours = c.InBurnHours
	v.AllHold = c.InBurnHours
	v.Limits, v.NotSaid = []NowLimit{}, []string{}
	for _, l := range c.Limits {
		one := NowLimit{Limit: l.Limit, Verdict: l.Verdict.String(), Reads: l.Reads, Wants: l.Wants}
		switch l.Verdict {
		case window.Fails:
			v.AllHold = false
		case window.NotInDocument:
			one.Verdict, one.Reads = notSaid, "not part of the reading"
			v.NotSaid = append(v.NotSaid, l.Limit)
		}
		v.Limits = append(v.Limits, one)
	}
}

// SetForecast takes over what the limits say of an hour of a forecast.
func (v *Now) SetForecast(c *window.HourCheck) {
	v.SetCheck(c)
	for i := range v.Limits {
		if v.Limits[i].Verdict == notSaid {
			v.Limits[i].Reads = "not in the forecast"
		}
	}
	v.AllHold = v.AllHold && c.AllHold // an hour without temperature, humidity or wind
}

// SetSeason says whether a day lies in a season.
func (v *Now) SetSeason(season string, span date.Span, day date.Day) {
	one := NowLimit{Limit: "season", Verdict: window.Holds.String(), Reads: day.Words(), Wants: fmt.Sprintf("%s, %s to %s", season, span.First.Words(), span.Last.Words())}
	if !span.Has(day) {
		one.Verdict, v.AllHold = window.Fails.String(), false
	}
	v.Limits = append(v.Limits, one)
}

// SetClosed says that a closure holds a day.
func (v *Now) SetClosed(closed date.Span, day date.Day) {
	v.Limits = append(
		v.Limits,
		NowLimit{Limit: "closure", Verdict: window.Fails.String(), Reads: day.Words(), Wants: fmt.Sprintf("a day outside %s to %s", closed.First.Words(), closed.Last.Words())},
	)
	v.AllHold = false
}

// SetWind takes over what a burn with the wind would mean. allowed says that smoke may
// reach every place.
func (v *Now) SetWind(w *DayWind, allowed bool) {
	v.DayWind = *w
	for _, r := range w.Smoke {
		v.AllHold = v.AllHold && (r.Tolerated || allowed)
	}
}

// SetTurns says in one line what the other winds would mean.
func (v *Now) SetTurns(card *window.Card) {
	var suits, smoke, out []string
	for i := range card.Directions {
		switch d := &card.Directions[i]; {
		case d.IsAllowed:
			suits = append(suits, d.From.Compass())
		case !d.InPrescription:
			out = append(out, d.From.Compass())
		default:
			smoke = append(smoke, d.From.Compass())
		}
	}
	var parts []string
	for _, group := range []struct {
		name  string
		winds []string
	}{{"suit", suits}, {"smoke reaches a place", smoke}, {"out of the prescription", out}} {
		if len(group.winds) > 0 {
			parts = append(parts, group.name+": "+strings.Join(group.winds, " "))
		}
	}
	v.Turns = strings.Join(parts, "; ")
}

// Lines says it in sentences, the cautions first.
func (v *Now) Lines() []string {
	all := append([]string{}, v.Cautions...)
	all = append(all, fmt.Sprintf("%s, %s, prescription %s: %s.", v.Unit, v.At, v.Prescription, v.Weather))
	for _, l := range v.Limits {
		all = append(all, fmt.Sprintf("- %s: %s (reads %s, wants %s)", l.Limit, l.Verdict, l.Reads, l.Wants))
	}
	if !v.InBurnHours {
		all = append(all, "- burn_hours: fails (the hour lies outside the burn hours)")
	}
	if v.From == "" {
		all = append(all, "The forecast gives no direction for this hour: neither start edge nor smoke can be said.")
	} else {
		all = append(all, v.Start(), v.Downwind())
	}
	if v.Turns != "" {
		all = append(all, "If the wind turns: "+v.Turns+".")
	}
	if v.AllHold {
		all = append(all, "No limit that could be compared fails.")
	} else {
		all = append(all, "Not within what the plan asks for.")
	}
	if len(v.NotSaid) > 0 {
		all = append(all, "Not compared: "+strings.Join(v.NotSaid, ", ")+".")
	}
	return all
}
