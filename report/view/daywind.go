package view

import (
	"fmt"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// DayWind is what a burn with one wind would mean.
type DayWind struct {
	// From is the wind as a compass point, Bearing its degrees, Edge the side at which
	// a backing fire starts, Depth how deep the unit is along it, Run the
	// wind's longest run inside the unit, and Back the hours to
	// back through from line to line with so many interior lines; nil where no depth is
	// known.
	From          string           `json:"wind_from"`
	Bearing       quantity.Bearing `json:"wind_from_deg"`
	Edge          string           `json:"start_at_edge"`
	Depth         *quantity.Feet   `json:"depth_ft"`
	Run           *quantity.Feet   `json:"run_ft"`
	Back          *float64         `json:"hours_line_to_line"`
	InteriorLines *int             `json:"interior_lines"`
	// Smoke lists who is downwind.
	Smoke []SmokePlace `json:"smoke_reaches"`
	// HasShape is false where no shape is known, so that nobody can say who is
	// downwind.
	HasShape bool `json:"has_shape"`
	// Suits says that the prescription holds the wind and that smoke reaches no place
	// that is not tolerated; WhyNot says what does not.
	Suits  bool   `json:"suits"`
	WhyNot string `json:"why_not,omitempty"`
}

// Start says where a backing fire would start, and how long it takes.
func (w *DayWind) Start() string {
	if w.Back == nil {
		return fmt.Sprintf("A backing fire would start at the %s edge.", w.Edge)
	}
	return fmt.Sprintf(
		"A backing fire would start at the %s edge and takes %.1f hours with %s over %s ft.",
		w.Edge,
		*w.Back,
		quantity.Count(*w.InteriorLines, "interior line"),
		w.Run,
	)
}

// Downwind says whom the smoke reaches.
func (w *DayWind) Downwind() string {
	switch {
	case !w.HasShape:
		return "Who is downwind is not known: the unit has no shape."
	case len(w.Smoke) == 0:
		return "Downwind: no place on the list is reached."
	}
	row := WindRow{Smoke: w.Smoke}
	return "Downwind: " + row.SmokeWords() + "."
}

// Lines says all of it, for a paper that is made for this wind.
func (w *DayWind) Lines() []string {
	lines := []string{fmt.Sprintf("With the wind from %s (%.0f°):", w.From, float64(w.Bearing))}
	if !w.Suits {
		lines = append(lines, "This wind does not suit: "+w.WhyNot+".")
	}
	return append(lines, w.Start(), w.Downwind())
}

// ForWind says at the head of a paper that it is made for one wind.
func ForWind(from quantity.Bearing) string {
	return fmt.Sprintf("Made for a wind from %s (%.0f°): start edge, hours, lines and smoke are those of this wind alone.", from.Compass(), float64(from))
}

// SheetOfDay says at the head of a sheet that it is one of another day than today.
func SheetOfDay(on, today date.Day) string {
	return fmt.Sprintf("What this sheet says on %s, from what is on record on %s.", on.Words(), today.Words())
}
