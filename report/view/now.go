package view

import (
	"fmt"
	"strings"

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
			one.Verdict, one.Reads = "not said", "not part of the reading"
			v.NotSaid = append(v.NotSaid, l.Limit)
		}
		v.Limits = append(v.Limits, one)
	}
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
	all = append(all, v.Start(), v.Downwind())
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
