package app

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/schedule/problem"
)

// EditChoice is one thing that a unit could be made to do in a year.
type EditChoice struct {
	Do habitat.CellChoice `json:"do"`
	// Season is that of a burn; empty means that any will do.
	Season string `json:"season,omitempty"`
	// Reasons say which hard requirements it would break; none means that a plan
	// with it exists.
	Reasons []string `json:"reasons"`
}

// CellChoices are the choices for a unit and year: a burn in any season, a burn in
// each season of the property, rest, and free.
type CellChoices struct {
	Unit    string           `json:"unit"`
	Year    date.ProgramYear `json:"year"`
	Choices []EditChoice     `json:"choices"`
}

// choices says for a cell what a plan could hold there with the other edits.
func (f *editFrame) choices(edits []habitat.CellEdit, unit string, year date.ProgramYear) CellChoices {
	c := CellChoices{Unit: unit, Year: year}
	add := func(do habitat.CellChoice, season string) {
		reasons := f.against(edits, habitat.EditStep{{Unit: unit, Year: year, Do: do, Season: season}})
		c.Choices = append(c.Choices, EditChoice{do, season, append([]string{}, reasons...)})
	}
	add(habitat.BurnCell, "")
	for _, season := range f.made.Problem.Seasons {
		add(habitat.BurnCell, season)
	}
	add(habitat.RestCell, "")
	add(habitat.FreeCell, "")
	return c
}

// MoveTarget is a year to which a burn could be moved.
type MoveTarget struct {
	Year date.ProgramYear `json:"year"`
	// Season is the one in which it would burn: its own where it can, else the
	// most suitable one that is open; empty where it cannot move there.
	Season string `json:"season,omitempty"`
	// Reasons say why it cannot.
	Reasons []string `json:"reasons"`
	// Step is the edit that the move is.
	Step habitat.EditStep `json:"step,omitempty"`
}

// targets says for each year whether the burn of a unit could be moved there.
func (f *editFrame) targets(edits []habitat.CellEdit, burns []problem.Burn, unit string, from date.ProgramYear) []MoveTarget {
	p := f.made.Problem
	i := f.unit[unit]
	own := -1
	for _, b := range burns {
		if b.Unit == i && b.Year == int(from) {
			own = b.Season
		}
	}
	seasons := make([]int, len(p.Seasons))
	for s := range seasons {
		seasons[s] = s
	}
	order := func(s int) float64 {
		switch penalty := p.Units[i].Penalty[s]; {
		case s == own:
			return -2
		case penalty < 0:
			return problem.NoLimit
		default:
			return penalty
		}
	}
	slices.SortStableFunc(seasons, func(a, b int) int { return cmp.Compare(order(a), order(b)) })
	all := []MoveTarget{}
	for year := p.FirstYear; year <= f.lastYear(); year++ {
		t := MoveTarget{Year: date.ProgramYear(year), Reasons: []string{}}
		switch {
		case t.Year == from:
			continue
		case own < 0:
			t.Reasons = append(t.Reasons, fmt.Sprintf("%s does not burn in %d", unit, from))
		default:
			for _, s := range seasons {
				step := habitat.EditStep{{Unit: unit, Year: from, Do: habitat.RestCell}, {Unit: unit, Year: t.Year, Do: habitat.BurnCell, Season: p.Seasons[s]}}
				reasons := f.against(edits, step)
				if len(reasons) == 0 {
					t.Season, t.Reasons, t.Step = p.Seasons[s], []string{}, step
					break
				}
				// The reason in the season that suits best says most.
				if len(t.Reasons) == 0 {
					t.Reasons = reasons
				}
			}
		}
		all = append(all, t)
	}
	return all
}

// EditRefusal is an edit that breaks hard requirements; nothing was changed. It is a
// problem.ErrInfeasible.
type EditRefusal struct{ Reasons []string }

// Error joins the reasons.
func (e *EditRefusal) Error() string {
	return "that edit cannot stand: " + strings.Join(e.Reasons, "; ")
}

// Unwrap says that no plan holds it.
func (e *EditRefusal) Unwrap() error { return problem.ErrInfeasible }
