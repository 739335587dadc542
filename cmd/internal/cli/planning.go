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
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
	"emberquilt/schedule/assemble"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation"
	"emberquilt/schedule/whatif"
	"emberquilt/schedule/window"
	"emberquilt/store"
)

// planOptions say which years a plan is for, and how many burn days its seasons
// have.
type planOptions struct {
	years, from int
	burnDays    string
}

// Words of --burn-days beside a number.
const (
	poorDays     = "poor"
	medianDays   = "median"
	settingsDays = "settings"
)

func (o *planOptions) register(cmd *cobra.Command) {
	cmd.Flags().IntVar(&o.years, "years", 0, "`NUMBER` of program years to plan (default: that of the settings)")
	cmd.Flags().StringVar(&o.burnDays, "burn-days", "", "burn days of each season from the weather record: poor (one year in five), median, a `NUMBER`, or settings for those of the settings alone (default: poor where a record is loaded)")
	cmd.Flags().IntVar(&o.from, "from", 0, "first program `YEAR` (default: the one under way)")
}

func (o *planOptions) validate() error {
	if o.years < 0 || o.years > habitat.MaxYears {
		return flagError("years", fmt.Sprintf("1 to %d", habitat.MaxYears), "%d years cannot be planned", o.years)
	}
	if o.from != 0 && (o.from < 1900 || o.from > 2200) {
		return flagError("from", "the program year that comes first, such as 2027", "%d is not a program year", o.from)
	}
	if _, err := quantity.Parse(o.burnDays); err != nil && !oneOf(o.burnDays, []string{"", poorDays, medianDays, settingsDays}) {
		return flagError("burn-days", "poor, median, settings or a number of days", "%s is none of these", quote(o.burnDays))
	}
	return nil
}

// desk is an open property file with all that it holds at one moment.
type desk struct {
	*store.Snapshot
	store *store.Store
	today date.Day
	// sky is the outlook of the data at the change skyAt.
	sky   *outlook
	skyAt string
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
		return do(&desk{Snapshot: snapshot, store: s, today: today})
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
	in.BreakFeet = d.breakFeet()
	if len(d.Plans) > 0 {
		before, err := d.plan(ctx, d.Plans[len(d.Plans)-1].Number)
		if err != nil {
			return nil, err
		}
		in.Previous, in.PreviousFrom, in.PreviousThrough = before.burns(), before.FirstYear, before.last()
	}
	words, err := d.capBurnDays(ctx, &in, options.burnDays)
	if err != nil {
		return nil, err
	}
	made, err := assemble.New(in)
	if err != nil {
		return nil, err
	}
	made.Assumptions = append(words, made.Assumptions...)
	return made, nil
}

// capBurnDays caps the burn days of the seasons by what the weather record lets
// expect, never above the crew's own cap, and says so.
func (d *desk) capBurnDays(ctx context.Context, in *assemble.Input, choice string) (words []string, err error) {
	if choice == settingsDays {
		return nil, nil
	}
	number, parseErr := quantity.Parse(choice)
	isNumber := parseErr == nil
	var expected map[string]*window.BurnDays
	var odd []string
	if !isNumber {
		o, err := d.newOutlook(ctx)
		if err != nil {
			return nil, err
		}
		year := in.FirstYear
		if year == 0 {
			year = d.Property.YearStart.Of(d.today)
		}
		if expected, err = d.burnDays(o, year); err != nil {
			return nil, err
		}
		if expected == nil && choice != "" {
			return nil, flagError("burn-days", "settings or a number of days while no weather record is loaded", "%s needs a weather record", choice)
		}
		odd = o.warnings()
	}
	in.BurnDays = map[string]float64{}
	for _, season := range d.Property.Seasons {
		days, what := number, "as the command says"
		if !isNumber {
			e := expected[season.Name]
			if e == nil {
				continue
			}
			days, what = e.Low, "the poor year, one in five"
			if choice == medianDays {
				days, what = e.Median, "the median year"
			}
			if !e.HasYears {
				what = "neither a median nor a poor year can be told"
			}
			what += "; " + e.Note
		}
		if own := season.BurnDays; own != nil && *own <= days {
			words = append(words, fmt.Sprintf("burn days in %s: %s, the crew's own cap; the weather would give %s (%s)", season.Name, figure(*own), figure(days), what))
			continue
		}
		in.BurnDays[season.Name] = days
		words = append(words, fmt.Sprintf("burn days in %s: %s (%s)", season.Name, figure(days), what))
	}
	for _, warning := range odd {
		words = append(words, "the weather record that the burn days rest on: "+warning)
	}
	return words, nil
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
		file := source.Position{File: d.store.Path()}
		if len(d.Plans) == 0 {
			return nil, &source.Error{Position: file, Found: "there is no plan yet", Hint: "emberquilt plan makes one"}
		}
		return nil, &source.Error{Position: file, Found: fmt.Sprintf("there is no plan %d", number), Accepts: fmt.Sprintf("1 to %d", len(d.Plans))}
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

// program computes what the papers and the terminal show of a stored plan.
func (d *desk) program(ctx context.Context, kept *storedPlan) (*view.Program, error) {
	plan, err := d.planView(ctx, kept)
	if err != nil {
		return nil, err
	}
	return view.NewProgram(plan)
}

// planView gathers what the views of a plan are computed from.
func (d *desk) planView(ctx context.Context, kept *storedPlan) (*view.Plan, error) {
	plan := &view.Plan{
		Stamp: d.stamp(), Number: kept.Number, Property: d.Property, Units: d.Units, Records: d.Records, Pairs: d.Pairs,
		Problem: kept.problem, Answer: kept.answer, Assumptions: kept.Assumptions,
	}
	var err error
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
	if plan.Springs, err = d.springs(kept.Number); err != nil {
		return nil, err
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
