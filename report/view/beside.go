package view

import (
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/schedule/problem"
)

// Beside sets any number of plans side by side, what each burns and leaves overdue in
// the years that all of them show. Differences are from the first.
type Beside struct {
	Stamp Stamp              `json:"stamp"`
	Years []date.ProgramYear `json:"years"`
	Plans []BesidePlan       `json:"plans"`
	// Notes say what keeps the plans from being compared like with like.
	Notes    []string `json:"notes"`
	Cautions []string `json:"cautions"`
}

// BesidePlan is one of the plans.
type BesidePlan struct {
	Plan int `json:"plan"`
	// Name is the name of a what-if, or "in force", or the plan's note; it may be empty.
	Name     string               `json:"name"`
	Standing habitat.PlanStanding `json:"standing"`
	Changed  []string             `json:"changed"`
	Status   problem.Status       `json:"status"`
	Acres    quantity.Acres       `json:"acres_burned"`
	Burns    int                  `json:"burns"`
	Cost     quantity.Cents       `json:"cost_cents"`
	Overdue  quantity.AcreYears   `json:"overdue_acre_years"`
	Units    int                  `json:"overdue_units"`
	ByYear   []BesideYear         `json:"by_year"`
	Whole    *float64             `json:"shortfall_acre_years"`
	Bound    *float64             `json:"bound_acre_years"`
	Text     string               `json:"shortfall_text"`
	GapText  string               `json:"gap_text"`
	GapWords string               `json:"gap_words"`
	// Difference says how the shortfall differs from that of the first plan, as far as
	// both proofs tell; empty for the first, and where the shortfalls are of different
	// years.
	Difference string `json:"difference"`
	// Since says what changed since the plan was made; empty where nothing did.
	Since string `json:"changed_since"`
}

// BesideYear is one year of one of the plans.
type BesideYear struct {
	Year         date.ProgramYear `json:"year"`
	Acres        quantity.Acres   `json:"acres_burned"`
	Burns        int              `json:"burns"`
	Cost         quantity.Cents   `json:"cost_cents"`
	OverdueAcres quantity.Acres   `json:"overdue_acres"`
	OverdueUnits int              `json:"overdue_units"`
}

// BesideInput is one plan of a Beside, with what changed since it was made, counted.
type BesideInput struct {
	*Plan
	Later Later
	Note  string
}

// NewBeside sets plans side by side. The error says that they share no year.
func NewBeside(plans []BesideInput) (*Beside, error) {
	v := &Beside{Stamp: plans[0].Stamp.of(&plans[0].Property), Notes: []string{}, Cautions: Cautions()}
	v.Stamp.Overtaken = ""
	from, to := 0, 0
	for i, plan := range plans {
		p := plan.Problem
		if first, last := p.FirstYear, p.FirstYear+p.Years; i == 0 {
			from, to = first, last
		} else {
			from, to = max(from, first), min(to, last)
		}
	}
	if from >= to {
		return nil, fmt.Errorf("set plans side by side: they share no year")
	}
	for year := from; year < to; year++ {
		v.Years = append(v.Years, date.ProgramYear(year))
	}
	first := plans[0].Problem
	var otherYears, otherUnits []string
	for i, plan := range plans {
		one, err := newBesidePlan(plan, v.Years)
		if err != nil {
			return nil, err
		}
		p, number := plan.Problem, fmt.Sprintf("plan %d", plan.Number)
		sameYears := p.FirstYear == first.FirstYear && p.T() == first.T()
		if i > 0 && !sameYears {
			otherYears = append(otherYears, fmt.Sprintf("%s (%d to %d)", number, p.FirstYear, p.FirstYear+p.T()-1))
		}
		if !sameUnits(p, first) {
			otherUnits = append(otherUnits, number)
		}
		if i > 0 && sameYears && one.Whole != nil && plans[0].Answer.Status != problem.Infeasible {
			one.Difference = ShortDifference(DifferenceOf(plans[0].Answer, plan.Answer))
		}
		v.Plans = append(v.Plans, *one)
	}
	if otherYears != nil {
		v.Notes = append(
			v.Notes,
			fmt.Sprintf(
				"Solved for other years than plan %d (%d to %d), so that the shortfalls cannot be compared: %s.",
				plans[0].Number,
				first.FirstYear,
				first.FirstYear+first.T()-1,
				strings.Join(otherYears, ", "),
			),
		)
	}
	if otherUnits != nil {
		v.Notes = append(v.Notes, fmt.Sprintf("Of other units or other acres than plan %d: %s.", plans[0].Number, quantity.List(otherUnits)))
	}
	return v, nil
}

func sameUnits(a, b *problem.Problem) bool {
	return slices.EqualFunc(a.Units, b.Units, func(x, y problem.Unit) bool { return x.ID == y.ID && x.Acres == y.Acres })
}

func newBesidePlan(in BesideInput, years []date.ProgramYear) (*BesidePlan, error) {
	l, err := newLayout(in.Plan)
	if err != nil {
		return nil, err
	}
	a := in.Answer
	one := &BesidePlan{Plan: in.Number, Standing: in.Standing, Name: in.Standing.Trial, Changed: append([]string{}, in.Standing.Changed...), Status: a.Status,
		GapWords: gapWords(a), Since: SinceWords(in.Later), ByYear: []BesideYear{}, Text: "no plan"}
	if one.Name == "" && in.Standing.Standing == habitat.AdoptedPlan {
		one.Name = "in force"
	} else if one.Name == "" {
		one.Name = in.Note
	}
	if a.Status == problem.Infeasible {
		return one, nil
	}
	one.Whole, one.Bound = limit(a.Cost), limit(a.Bound)
	one.Text, _ = provenTexts(a)
	one.GapText = "proven best"
	if a.Status != problem.Optimal {
		one.GapText = Percent(problem.GapOf(a.Cost, a.Bound))
	}
	late := map[int]bool{}
	for _, year := range years {
		t := int(year) - in.Problem.FirstYear
		row := l.yearRow(t)
		one.ByYear = append(one.ByYear, BesideYear{year, row.Burned, row.Burns, row.Cost, row.OverdueAcres, row.OverdueUnits})
		one.Acres, one.Burns, one.Cost, one.Overdue = one.Acres+row.Burned, one.Burns+row.Burns, one.Cost+row.Cost, one.Overdue+quantity.AcreYears(row.OverdueAcres)
		for i := range in.Problem.Units {
			if l.overdue(i, t) {
				late[i] = true
			}
		}
	}
	one.Units = len(late)
	return one, nil
}

// Head names a plan of the table: "plan 3, one crew less".
func (p *BesidePlan) Head() string {
	if p.Name == "" {
		return fmt.Sprintf("plan %d", p.Plan)
	}
	return fmt.Sprintf("plan %d, %s", p.Plan, p.Name)
}

// Words say what was changed for a plan, and what has changed since it was made.
func (p *BesidePlan) Words() string {
	var words []string
	if len(p.Changed) > 0 {
		words = append(words, strings.Join(p.Changed, "; ")+".")
	}
	if p.Since != "" {
		words = append(words, p.Since)
	}
	if words == nil {
		return "the property as it stands."
	}
	return strings.Join(words, " ")
}
