package habitat

import (
	"errors"

	"emberquilt/habitat/date"
)

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

// Validate checks the lock against its property's seasons. The error joins one
// *FieldError for each fault.
func (l *Lock) Validate(p *Property) error {
	var all []error
	if err := ValidateName("unit", l.Unit); err != nil {
		all = append(all, err)
	}
	if l.Season != "" && !l.Burn {
		all = append(all, fieldErrorf("season", "no season for a rest", "%q is named for a rest", l.Season))
	} else if l.Season != "" && p.SeasonIndex(l.Season) < 0 {
		all = append(all, fieldErrorf("season", "one of "+p.seasonNames(), "%q is not a season of this property", l.Season))
	}
	return errors.Join(all...)
}
