package view

import (
	"fmt"

	"emberquilt/habitat/date"
	"emberquilt/schedule/whatif"
)

// NoneMissed says that nothing was missed.
const NoneMissed = "no planned burn of a past program year was missed and not made good"

// Missed is a burn that was planned, is past and was not made good.
type Missed struct {
	Unit   string           `json:"unit"`
	Year   date.ProgramYear `json:"program_year"`
	Season string           `json:"season"`
	// From is the first year of both plans. Cost is that of the plan as things
	// stand, CostBurned that of the plan had it burned, both in acre-years; nil where the
	// time was over before that was found.
	From       date.ProgramYear `json:"plan_from"`
	Cost       float64          `json:"shortfall_acre_years"`
	CostBurned *float64         `json:"shortfall_had_it_burned_acre_years"`
	// Bound and BoundBurned are what no plan beats.
	Bound       float64  `json:"bound_acre_years"`
	BoundBurned *float64 `json:"bound_had_it_burned_acre_years"`
	Proven      bool     `json:"both_proven_best"`
}

// Words say what was missed and what that costs.
func (m *Missed) Words() string {
	words := fmt.Sprintf("%s: its %s burn of %d was missed", m.Unit, m.Season, m.Year)
	if m.CostBurned == nil || m.BoundBurned == nil {
		return words + "; the time was over before it was found what that costs"
	}
	had, least := *m.CostBurned, *m.BoundBurned
	d := whatif.Range{AtHand: had - m.Cost, Least: least - m.Cost, Most: had - m.Bound}
	slack := d.Most - d.Least
	cost, burned := within(m.Cost, slack, shownDecimals(m.Cost)), within(had, slack, shownDecimals(had))
	switch ApartOf(d) {
	case Same:
		words += fmt.Sprintf("; that adds nothing to the shortfall from %d (%s acre-years either way)", m.From, cost)
	case NotTold:
		words += fmt.Sprintf("; had it burned, the shortfall from %d is %s: the best plans found have %s and %s", m.From, DifferenceWords(d), burned, cost)
	default:
		words += fmt.Sprintf("; had it burned, the shortfall from %d would be %s: %s against %s", m.From, DifferenceWords(d), burned, cost)
	}
	if m.Proven {
		return words + "; both plans are proven best"
	}
	return words + "; not both plans are proven best"
}
