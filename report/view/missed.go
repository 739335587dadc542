package view

import (
	"fmt"

	"emberquilt/habitat/date"
)

// Missed is a burn that was planned, is past and was not made good.
type Missed struct {
	Unit   string           `json:"unit"`
	Year   date.ProgramYear `json:"program_year"`
	Season string           `json:"season"`
	// From is the first year of both plans. Cost is that of the plan as things
	// stand, CostBurned that of the plan had it burned, both in acre-years.
	From       date.ProgramYear `json:"plan_from"`
	Cost       float64          `json:"shortfall_acre_years"`
	CostBurned float64          `json:"shortfall_had_it_burned_acre_years"`
	Proven     bool             `json:"both_proven_best"`
}

// Words say what was missed and what that costs.
func (m *Missed) Words() string {
	words := fmt.Sprintf("%s: its %s burn of %d was missed", m.Unit, m.Season, m.Year)
	extra := Rounded(m.Cost-m.CostBurned, 3)
	switch {
	case extra > 0:
		words += fmt.Sprintf("; had it burned, the shortfall from %d would be %s acre-years smaller (%s against %s)", m.From, Figure(extra), Figure(m.CostBurned), Figure(m.Cost))
	case extra == 0:
		words += fmt.Sprintf("; that adds nothing to the shortfall from %d (%s acre-years either way)", m.From, Figure(m.Cost))
	default:
		words += fmt.Sprintf("; had it burned, the shortfall from %d would be %s acre-years larger (%s against %s)", m.From, Figure(-extra), Figure(m.CostBurned), Figure(m.Cost))
	}
	if m.Proven {
		return words + "; both plans are proven best"
	}
	return words + "; not both plans are proven best, so this is the difference of the best found"
}
