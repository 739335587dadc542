package habitat

import (
	"errors"
	"math"

	"emberquilt/habitat/date"
)

// Rehearsal is what became of a plan when the coming years were played many
// times over with weather from the record.
//
// The JSON keys are those of property files: they do not change.
type Rehearsal struct {
	// Plan is the number of the plan that was newest when it was made.
	Plan   int      `json:"plan"`
	MadeOn date.Day `json:"made_on"`
	// FirstYear and Years are the rehearsed program years.
	FirstYear date.ProgramYear `json:"first_year"`
	Years     int              `json:"years"`
	// Futures counts those that were played to the end, of Asked; Seed is what they
	// were drawn from, in runs of Blocks record years.
	Futures int    `json:"futures"`
	Asked   int    `json:"futures_asked"`
	Seed    uint64 `json:"seed"`
	Blocks  int    `json:"blocks"`
	// Lost is the share of days lost by season, Wildfire the chance a year that
	// one burns a unit.
	Lost     map[string]float64 `json:"lost_days,omitempty"`
	Wildfire float64            `json:"wildfire"`
	// Gap, Rounds of work and Seconds are where a plan stops; Plans counts those that
	// were made, Cut those that stopped before the gap.
	Gap     float64 `json:"gap"`
	Rounds  int     `json:"plan_rounds"`
	Seconds float64 `json:"plan_seconds"`
	Plans   int     `json:"plans"`
	Cut     int     `json:"plans_stopped_before_gap"`
	// Basis names the weather, RecordYears those that were drawn from, and LeftOut
	// says which were not, and why.
	Basis       string             `json:"basis"`
	RecordYears []date.ProgramYear `json:"record_years"`
	LeftOut     string             `json:"left_out"`
	// Notes say what was taken for granted.
	Notes []string `json:"notes"`
	// Always says which units end which years overdue in every future under the first
	// rule, and why the plan leaves them so.
	Always []string `json:"overdue_in_every_future,omitempty"`
	// Rules are in the order asked for; differences are from the first.
	Rules []RehearsedRule `json:"rules"`
	// Foresight is what no rule with the property's own crew could beat, even one
	// that knew the weather; nil with a chance of wildfire.
	Foresight *Spread `json:"foresight"`
}

// Spread is a figure over futures: its mean with a 95% interval, and the 10th,
// 50th and 90th percentile.
type Spread struct {
	Mean float64 `json:"mean"`
	Low  float64 `json:"low"`
	High float64 `json:"high"`
	P10  float64 `json:"p10"`
	P50  float64 `json:"p50"`
	P90  float64 `json:"p90"`
}

// RehearsedRule is what one way to run the program came to.
type RehearsedRule struct {
	Name string `json:"name"`
	// Words say what the rule does.
	Words string `json:"words"`
	// Shortfall is in acre-years, without what keeping to a plan is worth; Parts
	// are means of its parts by name.
	Shortfall Spread             `json:"shortfall"`
	Parts     map[string]float64 `json:"parts"`
	// Difference is the shortfall less that of the first rule, future by future.
	Difference Spread `json:"difference"`
	// Foresight is the bound for a rule with these crews and days.
	Foresight *Spread `json:"foresight"`
	// Acres, OverdueAcres and OverdueUnits are by year.
	Acres        []Spread `json:"acres_burned"`
	OverdueAcres []Spread `json:"overdue_acres"`
	OverdueUnits []Spread `json:"overdue_units"`
	Burns        Spread   `json:"burns"`
	// OnTime and OneLate are the shares of the futures in which no unit is ever
	// overdue, and in which none is more than one year late.
	OnTime  float64 `json:"futures_none_overdue"`
	OneLate float64 `json:"futures_at_most_one_year_late"`
	// Done and InSeason are shares of the planned burns; nil where nothing is
	// planned.
	Done     *float64 `json:"planned_done_in_year"`
	InSeason *float64 `json:"planned_done_in_season"`
	// InBands is the share of years that end with each mix inside its bands.
	InBands map[string]float64 `json:"years_inside_bands"`
	// Changed is the share of choices that a new plan changed; nil without any.
	Changed *float64        `json:"decisions_changed"`
	Units   []RehearsedUnit `json:"units"`
}

// RehearsedUnit is what became of a unit under a rule.
type RehearsedUnit struct {
	Unit string `json:"unit"`
	// Overdue is the chance to end each year overdue, Ever that to do so at all.
	Overdue []float64 `json:"overdue"`
	Ever    float64   `json:"ever_overdue"`
	// Interval is the mean number of years between burns; 0 where it never burned.
	Interval float64 `json:"mean_interval"`
}

// Validate checks what a reader relies on. The error joins one *FieldError for
// each fault.
func (r *Rehearsal) Validate() error {
	var all []error
	if r.Futures < 1 || r.Years < 1 {
		all = append(all, fieldErrorf("futures", "1 or more futures of 1 year or more", "%d futures of %d years", r.Futures, r.Years))
	}
	if len(r.Rules) == 0 {
		all = append(all, fieldErrorf("rules", "one rule or more", "there is none"))
	}
	for i := range r.Rules {
		rule := &r.Rules[i]
		if s := rule.Shortfall; math.IsNaN(s.Mean) || math.IsInf(s.Mean, 0) {
			all = append(all, fieldErrorf("rules.shortfall", "a number of acre-years", "%v is not one", s.Mean))
		}
		if len(rule.Acres) != r.Years || len(rule.OverdueAcres) != r.Years || len(rule.OverdueUnits) != r.Years {
			all = append(all, fieldErrorf("rules.acres_burned", "a figure a year", "%d figures in %d years", len(rule.Acres), r.Years))
		}
		for _, u := range rule.Units {
			if len(u.Overdue) != r.Years {
				all = append(all, fieldErrorf("rules.units.overdue", "a chance a year", "%d chances in %d years", len(u.Overdue), r.Years))
			}
		}
	}
	return errors.Join(all...)
}
