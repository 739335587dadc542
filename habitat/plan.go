package habitat

import "emberquilt/habitat/date"

// Lock is a burn or a rest that the manager has fixed.
type Lock struct {
	Unit string
	Year date.ProgramYear
	// Burn tells a locked burn from a locked rest.
	Burn bool
	// Season is the season of a locked burn; empty means that any will do.
	Season string
}

// PlannedBurn is one burn of a plan.
type PlannedBurn struct {
	Unit   string
	Year   date.ProgramYear
	Season string
}
