package app

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/preparation"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/rehearsal"
	"emberquilt/schedule/rotation"
	"emberquilt/schedule/whatif"
	"emberquilt/schedule/window"
	"emberquilt/store"
)

// RehearseOptions say how a plan is rehearsed.
type RehearseOptions struct {
	// Futures is how many are played, 0 for rehearsal.DefaultFutures; Years how many
	// program years, 0 for those that the adopted plan shows.
	Futures, Years int
	Seed           uint64
	// Threads is how many are played at once, 0 for all processors.
	Threads int
	// Rules are compared, the others with the first; none stands for the adopted plan
	// and "most overdue first".
	Rules []habitat.Rule
	// Blocks is how many record years follow one another in a draw; 0 is 1.
	Blocks int
	// Lost is the share of days lost, by season; Wildfire the chance a year that one
	// burns a unit.
	Lost     map[string]float64
	Wildfire float64
	// Gap, Rounds of the solver's work and Seconds are where each plan stops; 0
	// stands for DefaultReplanGap, DefaultReplanRounds and DefaultReplanSeconds.
	Gap, Seconds float64
	Rounds       int
	// Within is when to come back with the futures that are played by then; 0 plays
	// them all.
	Within time.Duration
}

// DefaultFutures is how many futures are played where nobody says.
const DefaultFutures = rehearsal.DefaultFutures

// Where the plans of a rehearsal stop. Rounds are the same work on any machine, so
// that the figures do not depend on it unless the seconds cut in.
const (
	DefaultReplanGap     = 0.02
	DefaultReplanRounds  = 10
	DefaultReplanSeconds = 10.0
)

// mostFutures keeps a slip of the finger from running for days.
const mostFutures = 100_000

func (o *RehearseOptions) validate(p *habitat.Property) error {
	switch {
	case o.Futures < 0 || o.Futures > mostFutures:
		return badOption("futures", fmt.Sprintf("1 to %d", mostFutures), "%d futures cannot be played", o.Futures)
	case o.Years < 0 || o.Years > habitat.MaxYears:
		return badOption("years", fmt.Sprintf("1 to %d", habitat.MaxYears), "%d years cannot be rehearsed", o.Years)
	case o.Threads < 0 || o.Threads > 1024:
		return badOption("threads", "1 to 1024, or 0 for all processors", "%d is not a number of processors", o.Threads)
	case o.Blocks < 0:
		return badOption("blocks", "1 or more record years in a row", "%d years", o.Blocks)
	case !(o.Wildfire >= 0 && o.Wildfire <= 1):
		return badOption("wildfire", "a chance a year, 0 to 1", "%v is not a chance", o.Wildfire)
	case !(o.Gap >= 0 && o.Gap < 10):
		return badOption("gap", acceptedGap, "%v is not a gap", o.Gap)
	case o.Rounds < 0:
		return badOption("plan-rounds", "1 or more rounds of work", "%d rounds", o.Rounds)
	case o.Within < 0:
		return badOption("seconds", "a number above 0, up to 1000000", "%v is not a time to rehearse in", o.Within)
	case !(o.Seconds >= 0 && o.Seconds <= 1e6):
		return badOption("plan-seconds", "a number above 0, up to 1000000", "%v is not a time to solve in", o.Seconds)
	}
	for season, share := range o.Lost {
		if err := knowsSeason(p, "lost", season); err != nil {
			return err
		}
		if !(share >= 0 && share <= 1) {
			return badOption("lost", "a share of the days, 0 to 1", "%v is not one", share)
		}
	}
	if o.Gap == 0 {
		o.Gap = DefaultReplanGap
	}
	if o.Rounds == 0 {
		o.Rounds = DefaultReplanRounds
	}
	if o.Seconds == 0 {
		o.Seconds = DefaultReplanSeconds
	}
	if len(o.Rules) == 0 {
		o.Rules = DefaultRules()
	}
	return nil
}

// Rehearse plays the coming years with weather from the record and keeps what
// came of it with the adopted plan. Where its context ends it, the futures that are
// done are kept, and an Interrupted comes with them.
func (s *Session) Rehearse(ctx context.Context, o RehearseOptions) (*view.Rehearsal, error) {
	if err := o.validate(&s.Property); err != nil {
		return nil, err
	}
	within := ctx
	if o.Within > 0 {
		var end context.CancelFunc
		within, end = context.WithTimeout(ctx, o.Within)
		defer end()
	}
	adopted, err := s.Plan(ctx, 0)
	if err != nil {
		return nil, err
	}
	if o.Years == 0 {
		o.Years = adopted.Years
	}
	stage, err := s.newStage(ctx, o.Years, adopted.Years, 0)
	if err != nil {
		return nil, err
	}
	stage.adopted = adopted
	rules, err := stage.rules(ctx, o.Rules)
	if err != nil {
		return nil, err
	}
	result, stopped := stage.run(within, rules, o, 0)
	if result == nil {
		return nil, stopped
	}
	kept := stage.value(result, o.Rules, o)
	kept.Plan = adopted.Number
	if kept.Always, err = s.alwaysOverdue(context.WithoutCancel(ctx), adopted, kept); err != nil {
		return nil, err
	}
	err = s.update(context.WithoutCancel(ctx), "rehearse", func(tx *store.Tx) error { return tx.PutRehearsal(kept) })
	if err != nil {
		return nil, err
	}
	return view.NewRehearsal(kept, s.Stamp()), stopped
}

// mostAlways is of how many units and years it is said why they are overdue in every
// future.
const mostAlways = 6

// alwaysOverdue says which units end which years overdue in every future under the
// first rule, where it plays the adopted plan.
func (s *Session) alwaysOverdue(ctx context.Context, adopted *StoredPlan, r *habitat.Rehearsal) (words []string, err error) {
	if r.Rules[0].Name != (habitat.Rule{}).String() {
		return nil, nil
	}
	plan, err := s.PlanView(ctx, adopted)
	if err != nil {
		return nil, err
	}
	for _, unit := range r.Rules[0].Units {
		for k, chance := range unit.Overdue {
			year := r.FirstYear + date.ProgramYear(k)
			if chance < 1 || year < adopted.FirstYear || year > adopted.LastYear() || len(words) == mostAlways {
				continue
			}
			text, err := view.AlwaysOverdueWords(plan, unit.Unit, year)
			if err != nil {
				return nil, err
			}
			words = append(words, text)
		}
	}
	return words, nil
}

// Rehearsal gives the rehearsal that is kept with a plan; nil without one.
func (s *Session) Rehearsal(plan int) *view.Rehearsal {
	if kept := s.Rehearsals[plan]; kept != nil {
		return view.NewRehearsal(kept, s.Stamp())
	}
	return nil
}

// Rehearsing is what the adopted plan came to when it was rehearsed, and what can be
// asked of a rehearsal.
type Rehearsing struct {
	// Plan is the number of the adopted plan, Years how many it shows, Rehearsal what
	// is kept with it; nil without one.
	Plan      int             `json:"plan"`
	Years     int             `json:"years"`
	Rehearsal *view.Rehearsal `json:"rehearsal"`
	// Futures are how many are played where nobody says, Seasons those whose days may
	// be lost, Rules those that are usually compared.
	Futures  int           `json:"usual_futures"`
	Seasons  []string      `json:"seasons"`
	Rules    []OfferedRule `json:"rules"`
	Cautions []string      `json:"cautions"`
}

// OfferedRule is a rule by its name, with what it does in words.
type OfferedRule struct {
	Name  string `json:"name"`
	Words string `json:"words"`
	// IsUsual says that it is compared where nobody says.
	IsUsual bool `json:"usual"`
}

// Rehearsing gives what the adopted plan came to when it was rehearsed, and what can be
// asked. The error is that of a property without an adopted plan.
func (s *Session) Rehearsing(ctx context.Context) (*Rehearsing, error) {
	plan, err := s.Plan(ctx, 0)
	if err != nil {
		return nil, err
	}
	r := &Rehearsing{Plan: plan.Number, Years: plan.Years, Rehearsal: s.Rehearsal(plan.Number), Futures: DefaultFutures, Seasons: seasonNames(&s.Property),
		Cautions: append([]string{view.RehearsalCaution}, view.Cautions()...)}
	for _, rule := range offeredRules() {
		r.Rules = append(r.Rules, OfferedRule{Name: rule.String(), Words: view.RuleWords(rule, plan.Number), IsUsual: slices.Contains(DefaultRules(), rule)})
	}
	return r, nil
}

// stage is a property made ready to be rehearsed.
type stage struct {
	s  *Session
	in *rehearsal.Input
	// outlook is set with the record.
	outlook *Outlook
	// adopted is the plan that is rehearsed.
	adopted *StoredPlan
	notes   []string
	// long is the horizon of the problem of all years.
	long Horizon
}

// newStage gathers what a rehearsal of some years needs, each with a plan of so
// many, from a program year on; 0 stands for the year under way, and for as many
// years as a plan has.
func (s *Session) newStage(ctx context.Context, years, planYears int, from date.ProgramYear) (*stage, error) {
	if years == 0 {
		years = planYears
	}
	st := &stage{s: s, long: Horizon{Years: years - 1 + planYears, From: from, BurnDays: habitat.BurnDays{From: habitat.SettingsDays}}}
	if st.long.Years > habitat.MaxYears {
		return nil, badOption(
			"years",
			fmt.Sprintf("1 to %d with plans of %s", habitat.MaxYears+1-planYears, quantity.Count(planYears, "year")),
			"%d years cannot be rehearsed",
			years,
		)
	}
	made, err := s.Problem(ctx, st.long)
	if err != nil {
		return nil, err
	}
	p := made.Problem
	st.in = &rehearsal.Input{Problem: p, Years: years, PlanYears: planYears, Lookahead: p.Lookahead, KeepYears: s.Property.Keep(), DayHolds: s.Property.DayHolds}
	if holds := s.Property.DayHolds; holds > 0 {
		st.notes = append(st.notes, view.DayHoldsNote(holds))
	}
	for season := range s.Property.Seasons {
		st.in.SeasonOrder = append(st.in.SeasonOrder, season)
	}
	slices.SortFunc(st.in.SeasonOrder, func(a, b int) int {
		return s.Property.SeasonSpan(a, yearOf(p)).First.Compare(s.Property.SeasonSpan(b, yearOf(p)).First)
	})
	for _, burn := range made.Recorded {
		unit := slices.IndexFunc(p.Units, func(u problem.Unit) bool { return u.ID == burn.Unit })
		st.in.Recorded = append(st.in.Recorded, problem.Burn{Unit: unit, Year: int(burn.Year), Season: s.Property.SeasonIndex(burn.Season)})
	}
	if err := st.record(ctx); err != nil {
		return nil, err
	}
	return st, st.calendar()
}

// record looks up the candidate days of each unit and season.
func (st *stage) record(ctx context.Context) error {
	s := st.s
	o, err := s.Outlook(ctx)
	if err != nil {
		return err
	}
	st.outlook = o
	file := source.Position{File: s.Store.Path()}
	if o.Series == nil {
		return &AdvisedError{Fault: &source.Error{Position: file, Found: "a rehearsal needs a weather record, and none is loaded"}, Advice: LoadWeather}
	}
	days := make([][]*window.Days, len(s.Units))
	var bare, still []string
	for i := range s.Units {
		u := &s.Units[i]
		days[i] = make([]*window.Days, len(s.Property.Seasons))
		for _, choice := range u.Choices(&s.Property) {
			if o.Terms(u, choice.Season).Limits == nil {
				bare = append(bare, u.ID+" in "+choice.Season)
				continue
			}
			if days[i][s.Property.SeasonIndex(choice.Season)], err = o.UnitDays(u, choice.Season); err != nil {
				return err
			}
			if !o.Terms(u, choice.Season).Suits {
				still = append(still, u.ID+" in "+choice.Season)
			}
		}
	}
	if len(bare) > 0 {
		return &AdvisedError{
			Fault:  &source.Error{Position: file, Found: "a rehearsal needs a loaded prescription for every unit and season, and there is none for " + view.SomeOf(bare)},
			Advice: NamePrescriptions,
		}
	}
	if len(still) > 0 {
		st.notes = append(st.notes, view.NoWindNote(still))
	}
	if st.in.Record, err = rehearsal.NewRecord(days, seasonNames(&s.Property), s.Property.SeasonSpan); err != nil {
		var fault *source.Error
		if errors.As(err, &fault) {
			fault.Position = file
		}
		return err
	}
	for _, warning := range o.Warnings() {
		st.notes = append(st.notes, view.RecordNote(warning))
	}
	return nil
}

// calendar lays out the usable days of the coming years.
func (st *stage) calendar() error {
	s, in := st.s, st.in
	in.Calendar = &rehearsal.Calendar{}
	ready := make([]bool, len(s.Units)) // in time for some season of some year
	for k := range in.Years {
		year := date.ProgramYear(in.Problem.FirstYear + k)
		var first []date.Day
		usable := make([][]rehearsal.DaySet, len(s.Property.Seasons))
		for season := range s.Property.Seasons {
			span := s.Property.SeasonSpan(season, year)
			first = append(first, span.First)
			usable[season] = make([]rehearsal.DaySet, len(s.Units))
			for i := range s.Units {
				u := &s.Units[i]
				burn := preparation.Burn{Unit: *u, Season: s.Property.Seasons[season].Name, Year: year, First: span.First, Grazed: s.Property.IsGrazed(u.ID)}
				from, ok := preparation.FirstInTime(s.Tasks, &burn, span.Last, &s.Property.Crew, s.TasksDone, s.Today)
				if !ok {
					continue
				}
				ready[i] = true
				days := window.Season{Span: span, Closures: s.closedTo(st.outlook, u, s.Property.Seasons[season].Name, span), Crew: &s.Property.Crew, Ready: from}
				for d := from; !d.After(span.Last); d = d.AddDays(1) {
					if days.IsUsable(d) {
						usable[season][i].Add(d)
					}
				}
			}
		}
		in.Calendar.First, in.Calendar.Usable = append(in.Calendar.First, first), append(in.Calendar.Usable, usable)
	}
	var late []string
	for i, ok := range ready {
		if !ok {
			late = append(late, s.Units[i].ID)
		}
	}
	if len(late) > 0 {
		return &AdvisedError{Fault: &source.Error{Position: source.Position{File: s.Store.Path()},
			Found: fmt.Sprintf("the preparation of %s takes longer than any season of the rehearsed years leaves", view.SomeOf(late))}, Advice: ListPreparation}
	}
	return nil
}

// rules makes the rules ready.
func (st *stage) rules(ctx context.Context, asked []habitat.Rule) ([]rehearsal.Rule, error) {
	var rules []rehearsal.Rule
	for _, r := range asked {
		rule := rehearsal.Rule{Name: r.String(), SecondChance: r.SecondChance, Ahead: r.Ahead, MostOverdueFirst: r.MostOverdue}
		if slices.ContainsFunc(rules, func(other rehearsal.Rule) bool { return other.Name == rule.Name }) {
			return nil, badOption("rule", "each rule once", "%s is named twice", source.Quote(rule.Name))
		}
		if r.SecondCrew {
			rule.Crews = 2
		}
		if r.CrewDay {
			rule.ExtraDays = 1
		}
		var err error
		switch {
		case r.MostOverdue:
		case r.BurnDays != nil:
			over := st.long
			over.BurnDays = *r.BurnDays
			made, problemErr := st.s.Problem(ctx, over)
			if problemErr != nil {
				return nil, problemErr
			}
			rule.Planning = made.Problem
		default:
			rule.Planning, rule.First, err = st.asPlan(ctx, r)
		}
		if err != nil {
			return nil, err
		}
		if rule.Planning != nil && (r.SecondCrew || r.CrewDay) {
			rule.Planning = withMore(rule.Planning, rule.Crews, rule.ExtraDays)
		}
		rules = append(rules, rule)
	}
	return rules, nil
}

// asPlan plans as a stored plan does: with its burn-day caps, those of its last
// year for years after it, and in the first year with its own burns.
func (st *stage) asPlan(ctx context.Context, r habitat.Rule) (*problem.Problem, []problem.Burn, error) {
	plan := st.adopted
	if r.Plan > 0 {
		var err error
		if plan, err = st.s.Plan(ctx, r.Plan); err != nil {
			return nil, nil, err
		}
	}
	p, begins := st.capsOf(plan.Problem)
	if !begins {
		st.notes = append(st.notes, view.BeginsNote(plan.Number, plan.FirstYear))
		return p, nil, nil
	}
	if r.SecondCrew || r.CrewDay {
		return p, nil, nil // it did not know of them
	}
	return p, st.burnsOf(plan.Problem, plan.Answer), nil
}

// capsOf gives the problem of all years with the burn-day caps of a plan, those of
// its last year for years after it, and whether it begins with the same year.
func (st *stage) capsOf(plan *problem.Problem) (p *problem.Problem, begins bool) {
	p = st.in.Problem.Clone()
	for k := range p.Caps {
		t := p.FirstYear + k - plan.FirstYear
		if t < 0 {
			continue
		}
		for season, name := range p.Seasons {
			if at := slices.Index(plan.Seasons, name); at >= 0 {
				p.Caps[k].BurnDays[season] = min(p.Caps[k].BurnDays[season], plan.Caps[min(t, plan.T()-1)].BurnDays[at])
			}
		}
	}
	return p, plan.FirstYear == p.FirstYear
}

// burnsOf gives the burns of a plan by the units and seasons of the problem of all
// years.
func (st *stage) burnsOf(plan *problem.Problem, answer *problem.Answer) []problem.Burn {
	p := st.in.Problem
	burns := []problem.Burn{}
	for _, b := range answer.Burns {
		unit := slices.IndexFunc(p.Units, func(u problem.Unit) bool { return u.ID == plan.Units[b.Unit].ID })
		season := slices.Index(p.Seasons, plan.Seasons[b.Season])
		if unit >= 0 && season >= 0 {
			burns = append(burns, problem.Burn{Unit: unit, Year: b.Year, Season: season})
		}
	}
	return burns
}

// withMore lets plans count on more crews, and on more days of a season.
func withMore(p *problem.Problem, crews, days int) *problem.Problem {
	p = p.Clone()
	for k := range p.Caps {
		for s := range p.Caps[k].BurnDays {
			p.Caps[k].BurnDays[s] = p.Caps[k].BurnDays[s]*float64(max(1, crews)) + float64(days)
		}
	}
	return p
}

// checkedFutures is for how many futures the certificate of the foresight bound
// is checked.
const checkedFutures = 2

// run plays the futures from a number on.
func (st *stage) run(ctx context.Context, rules []rehearsal.Rule, o RehearseOptions, skip int) (*rehearsal.Result, error) {
	settings := rehearsal.Settings{
		Futures: o.Futures, Seed: o.Seed, Skip: skip, Blocks: o.Blocks, Wildfire: o.Wildfire, Threads: o.Threads, Gap: o.Gap, Check: checkedFutures,
		Solve: replan(o),
	}
	if len(o.Lost) > 0 {
		for _, season := range st.s.Property.Seasons {
			settings.Lost = append(settings.Lost, o.Lost[season.Name])
		}
	}
	const doing = "rehearsing"
	defer st.s.begin(doing)()
	settings.Progress = func(done, of int) {
		st.s.tell(Progress{Doing: doing, Done: done, Of: of, Things: "future", KeepsDone: true})
	}
	result, err := rehearsal.Run(ctx, st.in, rules, settings)
	if errors.Is(ctx.Err(), context.DeadlineExceeded) && errors.Is(err, ctx.Err()) {
		if result == nil {
			return nil, fmt.Errorf("rehearse: no future was played to the end: %w", whatif.ErrNoTime)
		}
		return result, nil
	}
	if ctx.Err() != nil && errors.Is(err, ctx.Err()) {
		if result == nil {
			return nil, &Interrupted{"no future was played to the end, and nothing is kept"}
		}
		return result, &Interrupted{fmt.Sprintf("%s of %s kept", quantity.Count(result.Futures, "future"), quantity.Group(float64(result.Asked), 0))}
	}
	return result, err
}

// replan makes the plans of a rehearsal.
func replan(o RehearseOptions) rehearsal.Solve {
	settings := rotation.Settings{Gap: o.Gap, Threads: 1, Rounds: o.Rounds, TimeLimit: time.Duration(o.Seconds * float64(time.Second))}
	return func(ctx context.Context, p *problem.Problem, before *rehearsal.Solved) (*rehearsal.Solved, error) {
		set := settings
		if before != nil {
			var known bool
			if set.Warm, known = before.Warm.(*rotation.Warm); !known { // a plan that was read
				set.Warm = &rotation.Warm{Problem: before.Problem, Burns: before.Answer.Burns}
			}
		}
		result, err := rotation.Solve(ctx, p, set)
		return &rehearsal.Solved{Answer: result.Answer, Certificate: result.Certificate, Warm: result.Warm}, err
	}
}

// value makes of a result of rules what is kept.
func (st *stage) value(result *rehearsal.Result, rules []habitat.Rule, o RehearseOptions) *habitat.Rehearsal {
	in, s := st.in, st.s
	r := &habitat.Rehearsal{MadeOn: s.Today, FirstYear: yearOf(in.Problem), Years: in.Years,
		Futures: result.Futures, Asked: result.Asked, Seed: o.Seed, Blocks: max(1, o.Blocks), Lost: o.Lost, Wildfire: o.Wildfire, Gap: o.Gap, Rounds: o.Rounds, Seconds: o.Seconds,
		Basis: in.Record.Basis, RecordYears: in.Record.Years, LeftOut: in.Record.LeftOutWords(), Notes: append([]string{}, st.notes...)}
	for i := range result.Rules {
		one := &result.Rules[i]
		r.Plans, r.Cut = r.Plans+one.Plans, r.Cut+one.Cut
		if one.Dropped > 0 {
			r.Notes = append(r.Notes, view.GaveWayNote(one.Name, one.Dropped))
		}
		r.Rules = append(r.Rules, st.ruleValue(one, rules[i], result.HasForesight))
		if with := rules[i]; r.Foresight == nil && result.HasForesight && !with.CrewDay && !with.SecondCrew {
			r.Foresight = r.Rules[i].Foresight
		}
	}
	return r
}

func (st *stage) ruleValue(one *rehearsal.RuleResult, rule habitat.Rule, hasForesight bool) habitat.RehearsedRule {
	p := st.in.Problem
	parts := one.Parts
	v := habitat.RehearsedRule{
		Name:       one.Name,
		Words:      view.RuleWords(rule, st.number()),
		Shortfall:  spread(one.Shortfall),
		Difference: spread(one.Difference),
		Burns:      spread(one.Burns),
		Parts:      map[string]float64{"overdue": parts.Overdue, "mix": parts.Mix, "season": parts.Season, "evenness": parts.Evenness, "neighbors": parts.Neighbors},
		OnTime:     one.OnTime,
		OneLate:    one.AtMostOneLate,
		InBands:    map[string]float64{},
		Done:       known(one.Done),
		InSeason:   known(one.InSeason),
		Changed:    known(one.Changed),
	}
	if hasForesight {
		bound := spread(one.Foresight)
		v.Foresight = &bound
	}
	for k := range one.Acres {
		v.Acres = append(v.Acres, spread(one.Acres[k]))
		v.OverdueAcres = append(v.OverdueAcres, spread(one.OverdueAcres[k]))
		v.OverdueUnits = append(v.OverdueUnits, spread(one.OverdueUnits[k]))
	}
	for m := range p.Mixes {
		v.InBands[p.Mixes[m].Name] = one.InBands[m]
	}
	for i, u := range one.Units {
		v.Units = append(v.Units, habitat.RehearsedUnit{Unit: p.Units[i].ID, Overdue: u.Overdue, Ever: u.Ever, Interval: u.Interval})
	}
	return v
}

// number is that of the plan that is rehearsed; 0 before it has one.
func (st *stage) number() int {
	if st.adopted == nil {
		return 0
	}
	return st.adopted.Number
}

func spread(s rehearsal.Summary) habitat.Spread {
	return habitat.Spread{Mean: s.Mean, Low: s.Low, High: s.High, P10: s.P10, P50: s.P50, P90: s.P90}
}

// known gives a share, nil where there is none.
func known(share float64) *float64 {
	if share < 0 {
		return nil
	}
	return &share
}
