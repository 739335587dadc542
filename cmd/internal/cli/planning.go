package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/report/view"
	"emberquilt/schedule/assemble"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation"
	"emberquilt/schedule/whatif"
	"emberquilt/store"
)

// planOptions say which years a plan is for.
type planOptions struct {
	years, from int
}

func (o *planOptions) register(cmd *cobra.Command) {
	cmd.Flags().IntVar(&o.years, "years", 0, "`NUMBER` of program years to plan (default: that of the settings)")
	cmd.Flags().IntVar(&o.from, "from", 0, "first program `YEAR` (default: the one under way)")
}

func (o *planOptions) validate() error {
	if o.years < 0 || o.years > habitat.MaxYears {
		return flagError("years", fmt.Sprintf("1 to %d", habitat.MaxYears), "%d years cannot be planned", o.years)
	}
	if o.from != 0 && (o.from < 1900 || o.from > 2200) {
		return flagError("from", "the program year that comes first, such as 2027", "%d is no program year", o.from)
	}
	return nil
}

// desk is an open property file with all that it holds at one moment.
type desk struct {
	*store.Snapshot
	store *store.Store
	today date.Day
}

// sit opens the property file with one of its two doors, read or change.
func (a *app) sit(ctx context.Context, door func(context.Context, func(*store.Store) error) error, do func(*desk) error) error {
	today, err := a.day()
	if err != nil {
		return err
	}
	return door(ctx, func(s *store.Store) error {
		snapshot, err := s.Snapshot(ctx)
		if err != nil {
			return err
		}
		return do(&desk{snapshot, s, today})
	})
}

// assemble makes the problem of the property as it stands.
func (d *desk) assemble(ctx context.Context, options planOptions) (*assemble.Result, error) {
	if err := options.validate(); err != nil {
		return nil, err
	}
	in := assemble.Input{
		Property: d.Property, Units: d.Units, Pairs: d.Pairs, Records: d.Records, Locks: d.Locks, Today: d.today,
		FirstYear: date.ProgramYear(options.from), Years: options.years,
	}
	if len(d.Plans) > 0 {
		before, err := d.plan(ctx, d.Plans[len(d.Plans)-1].Number)
		if err != nil {
			return nil, err
		}
		in.Previous, in.PreviousFrom, in.PreviousThrough = before.burns(), before.FirstYear, before.last()
	}
	return assemble.New(in)
}

// storedPlan is a plan that was read back.
type storedPlan struct {
	store.Plan
	problem *problem.Problem
	answer  *problem.Answer
}

// plan reads a stored plan, the newest for 0.
func (d *desk) plan(ctx context.Context, number int) (*storedPlan, error) {
	kept, err := d.store.Plan(ctx, number)
	if errors.Is(err, store.ErrUnknown) {
		if len(d.Plans) == 0 {
			return nil, fmt.Errorf("%s has no plan yet; emberquilt plan makes one: %w", d.Property.Name, err)
		}
		return nil, fmt.Errorf("there is no plan %d; accepts 1 to %d: %w", number, len(d.Plans), err)
	}
	if err != nil {
		return nil, err
	}
	name := fmt.Sprintf("%s: plan %d", d.store.Path(), kept.Number)
	p, err := problem.Read(bytes.NewReader(kept.Problem), name)
	if err != nil {
		return nil, err
	}
	answer, err := problem.ReadAnswer(bytes.NewReader(kept.Answer), name, p)
	if err != nil {
		return nil, err
	}
	return &storedPlan{kept, p, answer}, nil
}

// last is the last year that the plan shows.
// yearOf gives the first program year of a problem.
func yearOf(p *problem.Problem) date.ProgramYear { return date.ProgramYear(p.FirstYear) }

func (s *storedPlan) last() date.ProgramYear { return s.FirstYear + date.ProgramYear(s.Years-1) }

// burns names the burns of the years that the plan shows.
func (s *storedPlan) burns() []habitat.PlannedBurn {
	all := []habitat.PlannedBurn{} // not nil: a plan of rests is a plan
	for _, b := range s.answer.Burns {
		if year := date.ProgramYear(b.Year); year <= s.last() {
			all = append(all, habitat.PlannedBurn{Unit: s.problem.Units[b.Unit].ID, Year: year, Season: s.problem.Seasons[b.Season]})
		}
	}
	return all
}

// programme computes what the papers and the terminal show of a stored plan.
func (d *desk) programme(ctx context.Context, kept *storedPlan) (*view.Programme, error) {
	plan, err := d.planView(ctx, kept)
	if err != nil {
		return nil, err
	}
	return view.NewProgramme(plan)
}

// planView gathers what the views of a plan are computed from.
func (d *desk) planView(ctx context.Context, kept *storedPlan) (*view.Plan, error) {
	plan := &view.Plan{
		Stamp: d.stamp(), Number: kept.Number, Property: d.Property, Units: d.Units, Records: d.Records, Pairs: d.Pairs,
		Problem: kept.problem, Answer: kept.answer, Assumptions: kept.Assumptions,
	}
	var earlier []*storedPlan
	for _, head := range d.Plans {
		if head.Number >= kept.Number {
			break
		}
		before, err := d.plan(ctx, head.Number)
		if err != nil {
			return nil, err
		}
		earlier = append(earlier, before)
	}
	if len(earlier) > 0 {
		before := earlier[len(earlier)-1]
		plan.Before = &view.EarlierPlan{Number: before.Number, First: before.FirstYear, Last: before.last(), Burns: before.burns()}
	}
	plan.Planned = inForce(earlier, &d.Property, d.today)
	return plan, nil
}

// inForce gives, for each program year up to the one of today, the burns of the
// plan that was in force when it began: the newest made by then, else the
// oldest that holds the year.
func inForce(earlier []*storedPlan, p *habitat.Property, today date.Day) []habitat.PlannedBurn {
	chosen := map[date.ProgramYear]*storedPlan{}
	for _, plan := range earlier {
		for year := plan.FirstYear; year <= min(plan.last(), p.YearStart.Of(today)); year++ {
			if begins := p.YearStart.Span(year).First; chosen[year] == nil || !plan.MadeFor.After(begins) {
				chosen[year] = plan
			}
		}
	}
	var all []habitat.PlannedBurn
	for _, plan := range earlier {
		for _, burn := range plan.burns() {
			if chosen[burn.Year] == plan {
				all = append(all, burn)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b habitat.PlannedBurn) int { return int(a.Year - b.Year) })
	return all
}

// stamp says from what and when a paper is made.
func (d *desk) stamp() view.Stamp {
	return view.Stamp{On: d.today, Data: string(d.Change.Stamp()), Program: "emberquilt " + version}
}

// dearestCaps is how many caps a plan asks about by second solves.
const dearestCaps = 3

// askCaps puts into the answer what the dearest caps cost, each found by a
// second solve that may take as long as the first one did. A solve that was
// stopped asks nothing.
func (a *app) askCaps(ctx context.Context, p *problem.Problem, answer *problem.Answer, settings rotation.Settings, text string) error {
	shown := a.startProgress(text)
	defer shown.stop()
	reliefs, err := whatif.Reliefs(ctx, again(settings), p, answer, dearestCaps)
	if err != nil {
		return err
	}
	for _, relief := range reliefs {
		answer.More = append(answer.More, relief.Saving())
	}
	return nil
}

// again makes the solver that second solves use.
func again(settings rotation.Settings) whatif.Solve {
	settings.Progress = nil
	return func(ctx context.Context, p *problem.Problem) (*problem.Answer, error) {
		result, err := rotation.Solve(ctx, p, settings)
		return result.Answer, err
	}
}
