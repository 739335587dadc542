package window

import "emberquilt/habitat/date"

// Caution stands beside every window that is shown.
const Caution = "A planning aid made from past weather and calendar dates: not a permit, not a forecast and not a decision to burn. " +
	"Local law, fire weather warnings and a qualified burn boss decide on the day."

// DatesOnly is the Basis of a window that no weather stands behind.
const DatesOnly = "no weather record: dates only"

// NoPrescription is the Basis where a weather record is there and the unit has no
// prescription that it could be held against.
const NoPrescription = "no prescription to hold the weather record against: dates only"

// Window is a run of days on which a burn may be planned.
type Window struct {
	// Span runs from the first usable day to the last one.
	date.Span
	// UsableDays counts the days of the span that the calendar allows: workdays
	// of the crew outside closures.
	UsableDays int
	// Basis says what the window rests on: DatesOnly, or the weather record's
	// station and years.
	Basis string
	// Weather is what past weather says about the window; nil with DatesOnly.
	Weather *Outlook
}
