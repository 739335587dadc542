package habitat

import (
	"errors"
	"math"
)

// The years of the weather record that a plan is made again for.
const (
	MedianYear = "median"
	PoorYear   = "poor"
)

// BurnDayScenario is what a plan would come to with the burn days of another
// year, found by planning again.
//
// The JSON keys are those of property files: they do not change.
type BurnDayScenario struct {
	// Name is MedianYear or PoorYear.
	Name string `json:"name"`
	// Days are the burn-day caps of the plan's first year, season by season; a
	// season without a cap is left out.
	Days []SeasonCap `json:"season_days"`
	// Cost and Bound are those of the second solve, in acre-years; Difference is
	// its cost less that of the plan. They are 0 where Infeasible says that no
	// plan exists.
	Cost       float64 `json:"cost_acre_years"`
	Bound      float64 `json:"bound_acre_years"`
	Difference float64 `json:"difference_acre_years"`
	Infeasible bool    `json:"infeasible"`
	// Same says that its burn days are those of the plan: nothing was solved.
	Same bool `json:"same_as_the_plan"`
}

// SeasonCap is the cap of burn days in one season.
type SeasonCap struct {
	Season string  `json:"season"`
	Days   float64 `json:"burn_days"`
}

// Validate checks name and numbers. The error joins one *FieldError for each
// fault.
func (s *BurnDayScenario) Validate() error {
	var all []error
	if s.Name != MedianYear && s.Name != PoorYear {
		all = append(all, fieldErrorf("name", MedianYear+" or "+PoorYear, "%q is neither", s.Name))
	}
	for _, c := range s.Days {
		if c.Season == "" || !(c.Days >= 0 && !math.IsInf(c.Days, 0)) {
			all = append(all, fieldErrorf("season_days", "a season and 0 or more days", "%q with %v days", c.Season, c.Days))
		}
	}
	for _, v := range []float64{s.Cost, s.Bound, s.Difference} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			all = append(all, fieldErrorf("cost_acre_years", "a number of acre-years", "%v is not one", v))
		}
	}
	return errors.Join(all...)
}
