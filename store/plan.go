package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/schedule/problem"
)

// PlanHead is what lists of plans show.
type PlanHead struct {
	// Number counts the plans of the property from 1.
	Number int
	// Change is the number of the change that stored the plan.
	Change int
	// MadeAt is the time at which the plan was stored.
	MadeAt time.Time
	// MadeFor is the day that the plan took for today.
	MadeFor date.Day
	// FirstYear is the first of the Years plan years.
	FirstYear date.ProgramYear
	Years     int
	Status    problem.Status
	// Cost and Bound mean nothing where Status is problem.Infeasible.
	Cost, Bound float64
	// Note says why the plan was made, in the user's words, or nothing.
	Note string
	// Data is the version of the data that the plan was made from: that of the
	// snapshot.
	Data Stamp
}

// Plan is one plan as it was solved. It never changes.
type Plan struct {
	PlanHead
	// Problem, Answer and Certificate are the bytes of their files; the last
	// may be nil.
	Problem, Answer, Certificate []byte
	// Assumptions says in plain words what was taken for granted.
	Assumptions []string
	// Program is the version of the program that made the plan.
	Program string
}

// AddPlan keeps a plan and gives it its number; Number, Change and MadeAt are not read.
// An empty Data means the data as they are now.
func (tx *Tx) AddPlan(p Plan) (number int, err error) {
	if err := tx.each("SELECT coalesce(max(number), 0) + 1 FROM plan", nil, func(scan scanner) error { return scan(&number) }); err != nil {
		return 0, err
	}
	if p.Data == "" {
		last, err := tx.lastChange()
		if err != nil {
			return 0, err
		}
		p.Data = last.Stamp()
	}
	var cost, bound any
	if p.Status != problem.Infeasible {
		cost, bound = p.Cost, p.Bound
	}
	assumptions := encodeList(p.Assumptions, func(s string) string { return s })
	return number, tx.write(`INSERT INTO plan (number, change, made_for, data, first_year, years, status, cost, bound, note, assumptions, program, problem, answer, certificate)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		number, tx.change, p.MadeFor.String(), string(p.Data), int(p.FirstYear), p.Years, string(p.Status), cost, bound, p.Note, assumptions, p.Program,
		notNil(p.Problem), notNil(p.Answer), optionalBytes(p.Certificate))
}

func notNil(b []byte) []byte {
	if b == nil {
		return []byte{}
	}
	return b
}

const selectPlan = `SELECT p.number, p.change, c.made_at, p.made_for, p.first_year, p.years, p.status, p.cost, p.bound, p.note, p.data %s
	FROM plan AS p JOIN change AS c ON c.id = p.change `

func scanHead(scan scanner, rest ...any) (h PlanHead, err error) {
	var at, for_ string
	var cost, bound sql.NullFloat64
	err = scan(append([]any{&h.Number, &h.Change, &at, &for_, &h.FirstYear, &h.Years, &h.Status, &cost, &bound, &h.Note, &h.Data}, rest...)...)
	if err != nil {
		return h, err
	}
	h.Cost, h.Bound = cost.Float64, bound.Float64
	if h.MadeAt, err = time.Parse(time.RFC3339, at); err != nil {
		return h, err
	}
	h.MadeFor, err = date.ParseDay(for_)
	return h, err
}

// Plans gives the heads of all plans, the oldest first.
func (tx *Tx) Plans() (all []PlanHead, err error) {
	err = tx.each(fmt.Sprintf(selectPlan, "")+"ORDER BY p.number", nil, func(scan scanner) error {
		h, err := scanHead(scan)
		all = append(all, h)
		return err
	})
	return all, err
}

// Plan gives a plan by number, the newest for 0. The error is ErrUnknown where
// there is none.
func (tx *Tx) Plan(number int) (p Plan, err error) {
	where, args := "WHERE p.number = ?", []any{number}
	if number == 0 {
		where, args = "ORDER BY p.number DESC LIMIT 1", nil
	}
	found := false
	err = tx.each(fmt.Sprintf(selectPlan, ", p.assumptions, p.program, p.problem, p.answer, p.certificate")+where, args, func(scan scanner) error {
		var assumptions string
		p.PlanHead, err = scanHead(scan, &assumptions, &p.Program, &p.Problem, &p.Answer, &p.Certificate)
		if err != nil {
			return err
		}
		found = true
		if err := json.Unmarshal([]byte(assumptions), &p.Assumptions); err != nil {
			return fmt.Errorf("%s: assumptions of plan %d: %w", tx.store.path, p.Number, err)
		}
		return nil
	})
	if err == nil && !found {
		if number == 0 {
			return p, fmt.Errorf("plan: %w", ErrUnknown)
		}
		return p, fmt.Errorf("plan %d: %w", number, ErrUnknown)
	}
	return p, err
}

// Plan gives a plan by number, the newest for 0. The error is ErrUnknown where
// there is none.
func (s *Store) Plan(ctx context.Context, number int) (p Plan, err error) {
	err = s.View(ctx, func(tx *Tx) error {
		p, err = tx.Plan(number)
		return err
	})
	return p, err
}
