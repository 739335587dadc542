package view

import (
	"fmt"
	"strings"

	"emberquilt/habitat/quantity"
	"emberquilt/schedule/window"
)

// WindCard says of a unit what a burn with each of sixteen winds would mean.
type WindCard struct {
	Unit         string `json:"unit"`
	Season       string `json:"season,omitempty"`
	Prescription string `json:"prescription,omitempty"`
	// Within is how far a place is sensitive to smoke.
	Within quantity.Feet `json:"smoke_within_ft"`
	// Rate is the backing rate in chains an hour.
	Rate       float64   `json:"backing_chains_per_hour"`
	Directions []WindRow `json:"directions"`
	// HasShares says that a record stands behind the shares; NoDirection is that
	// of candidate days without a prevailing wind.
	HasShares   bool    `json:"has_shares"`
	NoDirection float64 `json:"no_direction_share"`
	// Need is nil where no wind suits.
	Need *window.Need `json:"need"`
	// Basis names the record; empty without one.
	Basis    string   `json:"basis,omitempty"`
	Warnings []string `json:"warnings"`
	Notes    []string `json:"notes"`
	Cautions []string `json:"cautions"`
}

// WindRow is one wind of a card.
type WindRow struct {
	// From is the compass point from which the wind blows, Bearing its degrees.
	From    string  `json:"wind_from"`
	Bearing float64 `json:"wind_from_deg"`
	// Depth is the unit's extent along the wind, Run the wind's longest run inside it.
	Depth quantity.Feet `json:"depth_ft"`
	Run   quantity.Feet `json:"run_ft"`
	// Back is for the whole run, Between from one interior line to the next.
	Back    float64 `json:"hours_to_back"`
	Lines   int     `json:"interior_lines"`
	Between float64 `json:"hours_line_to_line"`
	// Edge is the downwind edge, at which a backing fire starts.
	Edge  string       `json:"start_at_edge"`
	Smoke []SmokePlace `json:"smoke_reaches"`
	// Suits says that prescription and smoke allow the wind; Why says what does
	// not.
	Suits bool   `json:"suits"`
	Why   string `json:"why_not,omitempty"`
	// Share is that of the candidate days; nil without a record.
	Share *float64 `json:"candidate_days_share"`
}

// SmokePlace is a sensitive place downwind.
type SmokePlace struct {
	Name     string        `json:"place"`
	Distance quantity.Feet `json:"distance_ft"`
	// Tolerated marks a place of the user's own: it keeps no wind out.
	Tolerated bool `json:"tolerated,omitempty"`
}

// smokeWord says why a wind does not suit that carries smoke to a place.
const smokeWord = "smoke"

// NewWindCard puts a card into words and rows.
func NewWindCard(unit, season string, card *window.Card, firing window.Firing) *WindCard {
	v := &WindCard{Unit: unit, Season: season, Rate: float64(card.Rate), HasShares: card.HasShares, NoDirection: float64(card.NoDirection),
		Warnings: []string{}, Notes: []string{}, Cautions: Cautions()}
	for i := range card.Directions {
		d := &card.Directions[i]
		lines, _, hours := firing.Lay(d.Run, card.Rate)
		row := WindRow{From: d.From.Compass(), Bearing: float64(d.From), Depth: d.Depth, Run: d.Run, Back: float64(d.Back), Lines: lines, Between: float64(hours),
			Edge: d.DownwindEdge.Compass(), Smoke: []SmokePlace{}, Suits: d.IsAllowed}
		for _, place := range d.Smoke {
			row.Smoke = append(row.Smoke, SmokePlace{place.Name, place.Distance, place.Tolerated})
		}
		switch {
		case !d.InPrescription:
			row.Why = "not in the prescription"
		case !d.IsAllowed:
			row.Why = smokeWord
		}
		if card.HasShares {
			row.Share = limit(float64(d.CandidateShare))
		}
		v.Directions = append(v.Directions, row)
	}
	return v
}

// SmokeWords lists the places that the smoke of a wind reaches.
func (r *WindRow) SmokeWords() string {
	words := make([]string, len(r.Smoke))
	for i, place := range r.Smoke {
		words[i] = fmt.Sprintf("%s (%s ft)", place.Name, place.Distance)
		if place.Tolerated {
			words[i] = fmt.Sprintf("%s (%s ft, tolerated)", place.Name, place.Distance)
		}
	}
	return strings.Join(words, ", ")
}

// Lines says in sentences what the card's table leaves open.
func (v *WindCard) Lines() []string {
	var all []string
	if v.Need == nil {
		all = append(all, "No wind suits this unit: each one is out of the prescription or carries smoke to a sensitive place.")
	} else {
		all = append(all, "A burn needs "+v.Need.Words+".")
		if v.Need.Warning != "" {
			all = append(all, "Warning: "+v.Need.Warning+".")
		}
	}
	all = append(all, v.Notes...)
	if v.Basis != "" {
		all = append(
			all,
			fmt.Sprintf(
				"Candidate days by the wind of their longest run: %s; %s without a prevailing direction. They count every wind of the prescription and its own hours.",
				v.Basis,
				Percent(v.NoDirection),
			),
		)
	} else {
		all = append(all, window.DatesOnly+": on how many days each wind blows is not known.")
	}
	for _, warning := range v.Warnings {
		all = append(all, "Warning: "+warning)
	}
	return all
}

// UnitNeed is what a burn of a unit in a season needs.
type UnitNeed struct {
	Unit, Season, Prescription string
	// Suiting counts the winds that suit, of sixteen; nil where no depth is known.
	Suiting *int
	// Need is nil where no wind suits.
	Need *window.Need
	// Warning says what stands in the way, or what needs attention.
	Warning string
}

// NewUnitNeed puts into words what a unit needs. card is nil where no depth is
// known.
func NewUnitNeed(unit, season, prescription string, isLoaded bool, card *window.Card, suits bool, need window.Need) UnitNeed {
	v := UnitNeed{Unit: unit, Season: season, Prescription: prescription, Warning: "no wind suits"}
	if card != nil {
		suiting := 0
		for i := range card.Directions {
			if card.Directions[i].IsAllowed {
				suiting++
			}
		}
		v.Suiting = &suiting
	}
	if suits {
		v.Need, v.Warning = &need, need.Warning
	}
	if !isLoaded {
		v.Warning = "no prescription is loaded for it"
	}
	return v
}

// NeedNote says what a list of needs rests on.
func NeedNote() string {
	return fmt.Sprintf(
		"Lines follow from the longest run of the winds that suit inside the unit; where nothing else is said, one at most every %s chains, a planning default that the written plan replaces.",
		Figure(float64(window.DefaultSpacing)),
	)
}
