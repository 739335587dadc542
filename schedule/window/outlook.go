package window

import (
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// Outlook is what past weather says about a window.
type Outlook struct {
	// ExpectedDays is the sum of the chances over the usable days.
	ExpectedDays float64
	// BestWeek is the week with the highest chance, BestChance that chance.
	BestWeek   date.Span
	BestChance quantity.Share
	// StartHour is the usual label of the first hour of the longest run on a
	// candidate day: 11 covers 10:00–11:00, in clock time where the evaluation
	// knew the zone; those after midnight go on from 25. 0 means that there was none.
	StartHour int
}
