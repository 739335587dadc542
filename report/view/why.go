package view

import (
	"fmt"
	"slices"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/schedule/problem"
)

// Why says in plain words why a unit burns or rests in a year.
type Why struct {
	Stamp Stamp            `json:"stamp"`
	Plan  int              `json:"plan"`
	Unit  string           `json:"unit"`
	Year  date.ProgramYear `json:"program_year"`
	Burn  bool             `json:"burn"`
	// Missed says that the season of the burn is over without a record.
	Missed bool `json:"missed"`
	// Done says that what set the age back in the year is on record: a burn, or, where Burn
	// is false, a treatment; OnRecord says which.
	Done        bool             `json:"done"`
	OnRecord    string           `json:"on_record,omitempty"`
	Season      string           `json:"season,omitempty"`
	Acres       quantity.Acres   `json:"acres"`
	Interval    string           `json:"interval"`
	AgeBefore   int              `json:"age_before"`
	AgeAtEnd    int              `json:"age_at_end"`
	Overdue     bool             `json:"overdue"`
	Next        date.ProgramYear `json:"next_burn,omitempty"`
	Headline    string           `json:"headline"`
	Reasons     []string         `json:"reasons"`
	Obstacles   []Obstacle       `json:"obstacles"`
	OtherChoice Price            `json:"other_choice"`
	// Differs says what else the second plan does otherwise, in the plan years;
	// Clashes why there is none.
	Differs  []string `json:"second_plan_differs"`
	Clashes  []string `json:"clashes"`
	Cautions []string `json:"cautions"`
}

// NewWhy explains one decision. other is a second solve with that choice
// reversed, nil where none was made. The error says that the unit or the year is
// not in the plan.
func NewWhy(plan *Plan, unit string, year date.ProgramYear, other *Other) (*Why, error) {
	l, err := newLayout(plan)
	if err != nil {
		return nil, err
	}
	p := plan.Problem
	i := indexOf(p, unit)
	t := int(year) - p.FirstYear
	switch {
	case i < 0:
		return nil, fmt.Errorf("unit: %q is not in the plan", unit)
	case t < 0 || t >= p.Years:
		return nil, fmt.Errorf("year: %d is outside the plan; accepts %d to %d", year, p.FirstYear, p.FirstYear+p.Years-1)
	case plan.Answer.Status == problem.Infeasible:
		return nil, fmt.Errorf("the plan has no decisions: %w", problem.ErrInfeasible)
	}
	v := &Why{Stamp: plan.Stamp.of(&plan.Property), Plan: plan.Number, Unit: unit, Year: year, Burn: l.burns(i, t), Acres: quantity.Acres(p.Units[i].Acres),
		Interval: l.interval(i).String(), AgeBefore: l.beforeYear(i, t), AgeAtEnd: l.stands[i][t], Overdue: l.overdue(i, t), Next: l.nextBurn(i, t),
		Reasons: l.reasons(i, t, false), Obstacles: l.heldBack(i, t), Cautions: Cautions()}
	if v.Burn {
		v.Season = p.Seasons[l.season[i][t]]
		v.Headline = fmt.Sprintf("%s burns in %d, in %s.", unit, year, v.Season)
	} else {
		v.Headline = fmt.Sprintf("%s rests in %d and ends it at stand age %d.", unit, year, v.AgeAtEnd)
	}
	if state, ok := l.stateIn(i, t); ok && state.Done {
		v.OnRecord, v.AgeAtEnd, v.Overdue = BurnedWords(&state), 0, false
		v.Headline = fmt.Sprintf("%s %s: that is its burn of %d.", unit, v.OnRecord, year)
		v.Reasons, v.Obstacles = []string{
			map[bool]string{true: "The plan burns it in that year.", false: "The plan rests it in that year; the record stands."}[v.Burn],
		}, []Obstacle{}
		v.Burn, v.Done = true, true
		if !state.HasBurned() {
			v.Headline, v.Burn, v.Season = fmt.Sprintf("%s %s: it needs no burn in %d.", unit, v.OnRecord, year), false, ""
			v.Reasons = []string{"Whatever the plan has for it in that year, the record stands."}
		}
	} else if ok {
		v.OnRecord = BurnedWords(&state)
	}
	if v.Missed = l.isMissed(i, t); v.Missed {
		v.Headline = fmt.Sprintf("%s was to burn in %d, in %s; that was missed, and it ends the year at stand age %d.", unit, year, v.Season, v.AgeAtEnd)
		v.Obstacles = []Obstacle{}
	}
	if v.Next != 0 {
		v.Reasons = append(v.Reasons, fmt.Sprintf("Its next burn is planned for %d.", v.Next))
	}
	for _, line := range l.Lines {
		if line.concerns(unit) && (line.counts(unit, year) == nil || line.Trouble) { // that is among the reasons
			v.Reasons = append(v.Reasons, line.Words)
		}
	}
	var others []Other
	if other != nil {
		others = append(others, *other)
		v.Differs, v.Clashes, err = l.differs(other, v.Obstacles, i, t)
		if err != nil {
			return nil, err
		}
	}
	if !v.Done && !v.Missed {
		v.OtherChoice = l.price(others, i, t)
	}
	if len(v.Obstacles) == 0 && !v.OtherChoice.Impossible {
		v.Obstacles = []Obstacle{}
	}
	return v, nil
}

// TellNoWindow adds to a burn that is ahead why it has no candidate window, from the
// calendar of its year.
func (v *Why) TellNoWindow(c *Calendar) {
	if !v.Burn || v.Done || v.Missed || c.Year != v.Year {
		return
	}
	for i := range c.Rows {
		if row := &c.Rows[i]; row.Unit == v.Unit && row.Season == v.Season && row.NoWindow != nil {
			v.Reasons = append(v.Reasons, row.NoWindow.Lines()[0])
		}
	}
}

func indexOf(p *problem.Problem, unit string) int {
	for i := range p.Units {
		if p.Units[i].ID == unit {
			return i
		}
	}
	return -1
}

// differs lists what a second plan does otherwise, the asked choice left out; where
// there is none, the clashes that no obstacle has said.
func (l *layout) differs(other *Other, said []Obstacle, unit, t int) (words, clashes []string, err error) {
	if other.Answer == nil {
		return nil, nil, nil
	}
	for _, c := range other.Answer.Clashes {
		isSaid := len(c.Locks) == 1 && slices.ContainsFunc(said, func(o Obstacle) bool { return o.Requirement == c.Requirement })
		if !isSaid || c.Locks[0].By != problem.ByQuestion {
			clashes = append(clashes, c.Text)
		}
	}
	if other.Answer.Status == problem.Infeasible {
		return nil, clashes, nil
	}
	plan := *l.Plan
	plan.Answer = other.Answer
	second, err := newLayout(&plan)
	if err != nil {
		return nil, nil, fmt.Errorf("read the second plan: %w", err)
	}
	for year := range l.Problem.Years {
		for i := range l.Problem.Units {
			if l.season[i][year] == second.season[i][year] || i == unit && year == t {
				continue
			}
			words = append(words, fmt.Sprintf("%d: %s %s in place of %s.", l.year(year), l.Problem.Units[i].ID, second.doing(i, year), l.doing(i, year)))
		}
	}
	return words, clashes, nil
}

// doing gives "a rest", or "a burn in dormant".
func (l *layout) doing(unit, t int) string {
	if s := l.season[unit][t]; s >= 0 {
		return "a burn in " + l.Problem.Seasons[s]
	}
	return "a rest"
}
