package store

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/schedule/problem"
)

// planStanding keeps how a plan stands, by its number. Its versions are the history.
const planStanding DocumentKind = "plan standing"

// PutPlanStanding writes how a plan stands from now on.
func (tx *Tx) PutPlanStanding(s habitat.PlanStanding) error {
	if err := s.Validate(); err != nil {
		return fmt.Errorf("standing of plan %d: %w", s.Plan, err)
	}
	return tx.putJSON(planStanding, strconv.Itoa(s.Plan), s)
}

// Adopt makes a plan the adopted one, in place of the one before.
func (tx *Tx) Adopt(s habitat.PlanStanding) error {
	all, err := tx.Standings()
	if err != nil {
		return err
	}
	// A plan that was put in this change has no standing yet, and would count as one
	// of an older program: it is not the one before.
	all = slices.DeleteFunc(all, func(o habitat.PlanStanding) bool { return o.Plan == s.Plan })
	if before := all.Adopted(); before != 0 {
		was := all.Of(before)
		was.Standing, was.On = habitat.SupersededPlan, s.On
		if err := tx.PutPlanStanding(was); err != nil {
			return err
		}
	}
	s.Standing = habitat.AdoptedPlan
	return tx.PutPlanStanding(s)
}

// Standings gives all that was decided of plans, in order.
//
// Files that older programs wrote say nothing of it: a plan without a standing of
// its own change was in force from the day on for which it was made, unless it was
// a what-if or could not be solved.
func (tx *Tx) Standings() (all habitat.PlanStandings, err error) {
	type decided struct {
		order int
		habitat.PlanStanding
	}
	var list []decided
	own := map[[2]int]bool{} // plan and change
	err = tx.each(
		"SELECT v.change, v.row, v.body FROM document_version AS v WHERE v.kind = ? AND NOT v.removed ORDER BY v.row",
		[]any{string(planStanding)},
		func(scan scanner) error {
			var d decided
			var body string
			if err := scan(&d.Change, &d.order, &body); err != nil {
				return err
			}
			if err := json.Unmarshal([]byte(body), &d.PlanStanding); err != nil {
				return fmt.Errorf("%s: %w", planStanding, err)
			}
			if err := d.Validate(); err != nil {
				return fmt.Errorf("%s: %w", planStanding, err)
			}
			own[[2]int{d.Plan, d.Change}] = true
			list = append(list, d)
			return nil
		},
	)
	if err != nil {
		return nil, err
	}
	err = tx.each("SELECT number, change, made_for, status, note, assumptions FROM plan ORDER BY number", nil, func(scan scanner) error {
		var d decided
		var madeFor, status, note, assumptions string
		if err := scan(&d.Plan, &d.Change, &madeFor, &status, &note, &assumptions); err != nil || own[[2]int{d.Plan, d.Change}] {
			return err
		}
		d.Standing = habitat.AdoptedPlan
		if status == string(problem.Infeasible) || wasTrial(note, assumptions) {
			d.Standing = habitat.DraftPlan
		}
		d.On, err = date.ParseDay(madeFor)
		list = append(list, d)
		return err
	})
	slices.SortStableFunc(list, func(a, b decided) int {
		return cmp.Or(a.Change-b.Change, a.order-b.order)
	})
	for _, d := range list {
		all = append(all, d.PlanStanding)
	}
	return all, err
}

// wasTrial tells what-ifs of older programs: alternatives that were kept, and plans
// with burn days that the command stated.
func wasTrial(note, assumptions string) bool {
	return strings.HasPrefix(note, "alternative to plan ") || strings.Contains(assumptions, "as the command says")
}
