package view

import (
	"fmt"
	"strings"
	"time"

	"emberquilt/schedule/window"
)

// Forecast is a forecast read against a prescription.
type Forecast struct {
	Format string
	// IssuedAt is zero where the document does not say it.
	IssuedAt     time.Time
	Prescription string
	// HeldTo says what the unit is held to; empty without a unit.
	HeldTo []string
	Check  *window.ForecastCheck
}

// Title says what was read, and against what.
func (v *Forecast) Title() string {
	issued := "does not say when it was issued"
	if !v.IssuedAt.IsZero() {
		issued = "issued " + v.IssuedAt.UTC().Format("2006-01-02 15:04") + " UTC"
	}
	return fmt.Sprintf("%s, %s, against %s", v.Format, issued, v.Prescription)
}

// Compared says which limits were compared, which were not, and what was odd.
func (v *Forecast) Compared() []string {
	list := func(words []string) string {
		if len(words) == 0 {
			return "nothing"
		}
		return strings.Join(words, ", ")
	}
	all := []string{"Compared: " + list(v.Check.Compared), "Not in the document, and not compared: " + list(v.Check.NotCompared)}
	for _, note := range v.Check.Notes {
		all = append(all, "Note: "+note)
	}
	return all
}
