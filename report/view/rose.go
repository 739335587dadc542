package view

import (
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat/quantity"
)

// Rose shows at a glance which winds suit a unit, and says it in words.
type Rose struct {
	Winds []RoseWind `json:"winds"`
	// Suits names the winds that suit, in short.
	Suits string `json:"suits"`
	// Lines say which winds suit, which carry smoke and where to, and which are not in
	// the prescription.
	Lines []RoseLine `json:"lines"`
	// Day is the wind that the paper is made for; nil for none.
	Day *quantity.Bearing `json:"wind_from_deg,omitempty"`
}

// RoseKind says what a wind means for a burn.
type RoseKind string

// The kinds of wind.
const (
	WindSuits RoseKind = "suits"
	WindSmoke RoseKind = "smoke"
	WindOut   RoseKind = "out"
)

// RoseWind is one of sixteen winds.
type RoseWind struct {
	From    string   `json:"wind_from"`
	Bearing float64  `json:"wind_from_deg"`
	Kind    RoseKind `json:"kind"`
}

// RoseLine is one sentence; Kind is that of the winds that it is about, empty for none.
type RoseLine struct {
	Kind  RoseKind `json:"kind,omitempty"`
	Words string   `json:"words"`
}

// NewRose draws the winds of a card; day is the wind that the paper is made for, nil
// for none.
func NewRose(card *WindCard, day *DayWind) *Rose {
	r := &Rose{}
	var places, tolerated []string
	for i := range card.Directions {
		row := &card.Directions[i]
		one := RoseWind{row.From, row.Bearing, WindSuits}
		if !row.Suits {
			one.Kind = WindOut
			if row.Why == smokeWord {
				one.Kind = WindSmoke
			}
		}
		r.Winds = append(r.Winds, one)
		for _, p := range row.Smoke {
			switch {
			case p.Tolerated && one.Kind == WindSuits && !slices.Contains(tolerated, p.Name):
				tolerated = append(tolerated, p.Name)
			case !p.Tolerated && one.Kind == WindSmoke && !slices.Contains(places, p.Name):
				places = append(places, p.Name)
			}
		}
	}
	say := func(kind RoseKind, format string, args ...any) {
		r.Lines = append(r.Lines, RoseLine{kind, fmt.Sprintf(format, args...)})
	}
	switch r.Suits = r.arcs(WindSuits); r.Suits {
	case "":
		r.Suits = "none"
		say("", "No wind suits.")
	case anyWind:
		say(WindSuits, "Every wind suits.")
	default:
		say(WindSuits, "Suits: %s.", r.Suits)
	}
	if smoke := r.arcs(WindSmoke); smoke != "" {
		say(WindSmoke, "Smoke to %s: %s.", quantity.List(places), smoke)
	}
	if out := r.arcs(WindOut); out != "" {
		say(WindOut, "Not in the prescription: %s.", out)
	}
	if len(tolerated) > 0 {
		say("", "Winds that suit reach %s, which you tolerate.", quantity.List(tolerated))
	}
	if day != nil {
		r.Day = &day.Bearing
	}
	return r
}

func (r *Rose) count(kind RoseKind) int {
	n := 0
	for _, w := range r.Winds {
		if w.Kind == kind {
			n++
		}
	}
	return n
}

// anyWind stands for all sixteen winds.
const anyWind = "any wind"

// arcs names the winds of a kind, neighbors together: "ESE clockwise to WSW, N".
func (r *Rose) arcs(kind RoseKind) string {
	all := len(r.Winds)
	is := func(i int) bool { return r.Winds[(i+all)%all].Kind == kind }
	if r.count(kind) == all && all > 0 {
		return anyWind
	}
	var arcs []string
	for i := range r.Winds {
		if !is(i) || is(i-1) {
			continue
		}
		last := i
		for is(last + 1) {
			last++
		}
		switch from, to := r.Winds[i].From, r.Winds[last%all].From; last - i {
		case 0:
			arcs = append(arcs, from)
		case 1:
			arcs = append(arcs, from, to)
		case 2:
			arcs = append(arcs, from, r.Winds[(i+1)%all].From, to)
		default:
			arcs = append(arcs, from+" clockwise to "+to)
		}
	}
	return strings.Join(arcs, ", ")
}
