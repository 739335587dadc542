package app

import (
	"bytes"
	"context"
	"errors"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/problem/contradiction"
	"emberquilt/schedule/rotation"
	"emberquilt/schedule/whatif"
	"emberquilt/store"
)

// PlanOptions say how a plan is made.
type PlanOptions struct {
	Horizon
	Solver rotation.Settings
	// Note is kept with the plan.
	Note string
	// Trial names a what-if: the plan is a draft and stays one until it is adopted.
	Trial string
	// Close and Caps are what the what-if closes and caps, for this plan alone, as
	// ReadTrial says; they need a Trial.
	Close, Caps []string
	// IsDraft keeps the plan as a draft, IsAdopted adopts it; where neither is said,
	// a plan of the property as it stands is adopted, and one with burn days that
	// the options state is a draft.
	IsDraft, IsAdopted bool
	// Warn, where it is not nil, is told before the solve what is odd in the problem, and
	// which wishes no plan can meet together.
	Warn func(warnings []string)
	// AskCaps asks by second solves what the tightest caps cost.
	AskCaps bool
	// Rehearse, where it is not nil, chooses the plan that stands up best among
	// some with different first years; its rules are of no account.
	Rehearse *RehearseOptions
}

// MakePlan solves the property's problem and keeps the plan. A solve that its
// context ended keeps its best plan and gives an Interrupted beside it.
func (s *Session) MakePlan(ctx context.Context, o PlanOptions) (*StoredPlan, error) {
	trial, changed, err := s.tried(&o)
	if err != nil {
		return nil, err
	}
	time := budgetOf(o.Solver)
	made, err := trial.Problem(ctx, o.Horizon)
	if err != nil {
		return nil, err
	}
	if o.Warn != nil {
		o.Warn(append(slices.Clone(made.Problem.Warnings), s.contradictions(made.Problem)...))
	}
	first := o.Solver
	if o.AskCaps || o.Rehearse != nil {
		if first, err = time.part(o.Solver, firstOf); err != nil {
			return nil, err
		}
	}
	result, stopped := s.Solve(ctx, made.Problem, first)
	var isStopped *Interrupted
	if stopped != nil && !errors.As(stopped, &isStopped) {
		return nil, heldWith(stopped, made.Assumptions)
	}
	var rehearsed *habitat.Rehearsal
	if o.Rehearse != nil && stopped == nil {
		best, err := trial.standsBest(ctx, made, result, o, time)
		switch {
		case ctx.Err() != nil:
			stopped = &Interrupted{"the plain plan is kept: it was not rehearsed to the end"}
		case errors.Is(err, whatif.ErrNoTime):
			made = withAssumption(made, view.NoTimeToRehearse)
		case err != nil:
			return nil, err
		default:
			made, result, rehearsed = best.made, best.result, best.rehearsal
		}
	}
	if o.AskCaps && stopped == nil {
		err := s.askCaps(ctx, made.Problem, result.Answer, o.Solver, time)
		switch {
		case errors.Is(err, whatif.ErrNoTime): // what the other caps cost is not known
		case err != nil && ctx.Err() == nil:
			return nil, err
		case ctx.Err() != nil:
			stopped = &Interrupted{"the plan is kept; what its caps cost was not asked to the end"}
		}
	}
	// What was found stands even where a signal came: it is kept all the same.
	standing := o.standing(s)
	standing.Changed = changed
	kept, err := s.storePlan(context.WithoutCancel(ctx), made, result, rehearsed, o.Note, "make a plan", standing, nil)
	if err != nil {
		return nil, err
	}
	return kept, stopped
}

// standing says how the plan that is made will stand.
func (o *PlanOptions) standing(s *Session) habitat.PlanStanding {
	standing := habitat.PlanStanding{Standing: habitat.AdoptedPlan, By: s.By, Why: o.Note, Trial: o.Trial, BurnDays: o.BurnDays}
	isTrial := o.Trial != "" || o.BurnDays.From != habitat.DefaultDays && s.Adopted() != 0
	if o.IsDraft || isTrial && !o.IsAdopted {
		standing.Standing = habitat.DraftPlan
	}
	return standing
}

// storePlan puts a plan into the property file with its standing and reads it back;
// also, where it is not nil, belongs to the same change.
func (s *Session) storePlan(
	ctx context.Context,
	made *Made,
	result *rotation.Result,
	rehearsed *habitat.Rehearsal,
	note, reason string,
	standing habitat.PlanStanding,
	also func(*store.Tx) error,
) (*StoredPlan, error) {
	p, answer := made.Problem, result.Answer
	for _, text := range append(s.contradictions(p), hoped(made, answer)...) {
		if !slices.Contains(answer.Warnings, text) {
			answer.Warnings = append(answer.Warnings, text)
		}
	}
	// The time a solve took would make two equal plans differ, and with them
	// the seal of the data.
	answer.Seconds = 0
	var files [3]bytes.Buffer
	err := errors.Join(problem.Write(&files[0], p), problem.WriteAnswer(&files[1], answer, p))
	if result.Certificate != nil {
		err = errors.Join(err, problem.WriteCertificate(&files[2], result.Certificate, p))
	}
	if err != nil {
		return nil, err
	}
	plan := store.Plan{
		PlanHead: store.PlanHead{
			MadeFor: s.Today, FirstYear: yearOf(p), Years: p.Years, Status: answer.Status, Cost: answer.Cost, Bound: answer.Bound, Note: note, Data: s.Change.Stamp(),
		},
		Problem: files[0].Bytes(), Answer: files[1].Bytes(), Certificate: files[2].Bytes(), Assumptions: made.Words, Program: s.Version,
	}
	var number int
	err = s.update(ctx, reason, func(tx *store.Tx) (err error) {
		if also != nil {
			if err := also(tx); err != nil {
				return err
			}
		}
		if number, err = tx.AddPlan(plan); err != nil {
			return err
		}
		standing.Plan, standing.On = number, s.Today
		put := tx.PutPlanStanding
		if standing.Standing == habitat.AdoptedPlan {
			put = tx.Adopt
		}
		if err := put(standing); err != nil {
			return err
		}
		if rehearsed != nil {
			rehearsed.Plan = number
			if err := tx.PutRehearsal(rehearsed); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return s.Plan(ctx, number)
}

// tightestCaps is how many caps a plan asks about by second solves.
const tightestCaps = 3

// askCaps puts into the answer what the tightest caps cost, each found by a
// second solve that has its share of the time that is left.
func (s *Session) askCaps(ctx context.Context, p *problem.Problem, answer *problem.Answer, settings rotation.Settings, time budget) error {
	defer s.begin("asking what the tightest caps cost")()
	reliefs, err := whatif.Reliefs(ctx, again(settings, time, tightestCaps), p, answer, tightestCaps)
	if ctx.Err() != nil { // solves that were cut off say nothing
		return ctx.Err()
	}
	for _, relief := range reliefs {
		answer.More = append(answer.More, relief.Saving())
	}
	return err
}

// Contradictions says, before a problem is solved, which of its wishes no plan can
// meet together, each with the numbers.
func Contradictions(p *problem.Problem) []string { return contradiction.Texts(contradiction.Find(p)) }

// contradictions are those of units that are the property's when they would be overdue.
func (s *Session) contradictions(p *problem.Problem) []string {
	return contradiction.Texts(slices.DeleteFunc(contradiction.Find(p), func(f contradiction.Finding) bool {
		end := s.Property.YearStart.Span(date.ProgramYear(f.Last)).Last
		return f.Kind == contradiction.Alone && !slices.ContainsFunc(f.Sets, func(set []int) bool {
			return slices.ContainsFunc(set, func(i int) bool { return s.Property.Owned[p.Units[i].ID].Has(end) })
		})
	}))
}

// hoped says which burns of a plan rest on dates alone: those that no day of the weather
// record supports. What has burned already is no hope.
func hoped(made *Made, answer *problem.Answer) []string {
	p := made.Problem
	var burns []habitat.PlannedBurn
	for _, b := range answer.Burns {
		burn := habitat.PlannedBurn{Unit: p.Units[b.Unit].ID, Year: date.ProgramYear(b.Year), Season: p.Seasons[b.Season]}
		if b.Year < p.FirstYear+p.Years && slices.Contains(made.Hopes, burn) && !slices.Contains(made.Recorded, burn) {
			burns = append(burns, burn)
		}
	}
	return view.HopeWords(burns)
}

// withAssumption says one thing more, in front of the others.
func withAssumption(made *Made, text string) *Made {
	kept := *made
	kept.Words = append([]string{text}, made.Words...)
	return &kept
}
