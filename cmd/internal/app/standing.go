package app

import (
	"context"
	"slices"
	"time"

	"emberquilt/habitat"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/rehearsal"
	"emberquilt/schedule/rotation"
	"emberquilt/schedule/whatif"
)

// candidate is a plan whose first year may stand up better than the plain one.
type candidate struct {
	kind   view.FirstYear
	made   *Made
	result *rotation.Result
}

// How many candidates there are at most, the plain plan among them, and how they
// are found.
const (
	mostCandidates    = 8
	nearBest          = 3
	nearBestWithin    = 0.05
	candidateTime     = 10 * time.Second
	candidateLeastGap = 0.01
	// leastFutures is how many must be played for a choice to mean something.
	leastFutures = 20
)

// standing is which plan stands up best, and what is said of it.
type standing struct {
	candidate
	rehearsal *habitat.Rehearsal
}

// standsBest makes plans whose first years differ, rehearses each on the same
// futures, and gives the best, where other futures confirm that it falls short by
// less than the plain plan; else it gives the plain plan.
//
// It keeps to the time of the command: half of what is left goes to the choice. Where
// that is too short for leastFutures, the plain plan stays, and the answer is
// whatif.ErrNoTime.
func (s *Session) standsBest(parent context.Context, made *Made, plain *rotation.Result, o PlanOptions, time budget) (*standing, error) {
	ctx, cancel := time.within(parent, 1)
	defer cancel()
	r := *o.Rehearse
	if err := r.validate(&s.Property); err != nil {
		return nil, err
	}
	if r.Futures == 0 {
		r.Futures = rehearsal.DefaultFutures
	}
	st, err := s.newStage(ctx, r.Years, made.Problem.Years, o.From)
	if err != nil {
		return nil, err
	}
	all, err := s.candidates(ctx, made, plain, o, time)
	if err != nil {
		return nil, err
	}
	planning, _ := st.capsOf(made.Problem)
	rules := make([]rehearsal.Rule, len(all))
	for i := range all {
		rules[i] = rehearsal.Rule{Name: all[i].kind.Words(), Planning: planning, First: st.burnsOf(all[i].made.Problem, all[i].result.Answer)}
	}
	best := 0
	if len(all) > 1 {
		chosen := r
		chosen.Futures = max(1, r.Futures/2)
		half, end := time.within(ctx, 2)
		result, err := st.run(half, rules, chosen, r.Futures)
		end()
		if err == nil && result.Futures < min(leastFutures, chosen.Futures) {
			err = whatif.ErrNoTime
		}
		if err != nil {
			return nil, err
		}
		for i := range result.Rules {
			if result.Rules[i].Shortfall.Mean < result.Rules[best].Shortfall.Mean {
				best = i
			}
		}
	}
	// The report is of other futures than those that the choice was made in, so
	// that the chosen plan is not flattered.
	report := []rehearsal.Rule{rules[0]}
	if best > 0 {
		report = append(report, rules[best])
	}
	result, err := st.run(ctx, report, r, 0)
	if err == nil && result.Futures < min(leastFutures, r.Futures) {
		err = whatif.ErrNoTime
	}
	if err != nil {
		return nil, err
	}
	out := &standing{candidate: all[0]}
	said := view.StandingChoice{Plans: len(all), ChosenIn: max(1, r.Futures/2), Best: all[best].kind, ReportedIn: result.Futures}
	if best > 0 {
		said.Difference = spread(result.Rules[1].Difference)
		if said.IsSurer() {
			out.candidate = all[best]
		}
	}
	kept := *out.made
	kept.Words = append([]string{said.Words()}, kept.Words...)
	out.made = &kept
	asked := make([]habitat.Rule, len(report))
	out.rehearsal = st.value(result, asked, r)
	for i := range report {
		out.rehearsal.Rules[i].Words = report[i].Name
		out.rehearsal.Rules[i].Name = []string{"plain", "chosen"}[i]
		if i == 1 && out.kind == all[0].kind {
			out.rehearsal.Rules[i].Name = "other"
		}
	}
	return out, nil
}

// candidates gives the plain plan and others with different first years: those
// with burn days between the poor and the median year, and some nearly as good.
func (s *Session) candidates(ctx context.Context, made *Made, plain *rotation.Result, o PlanOptions, time budget) ([]candidate, error) {
	all := []candidate{{view.FirstYear{}, made, plain}}
	add := func(c candidate) {
		a := c.result.Answer
		if len(all) < mostCandidates && a.Status != problem.Infeasible && !slices.ContainsFunc(all, func(other candidate) bool { return sameFirstYear(other, c) }) {
			all = append(all, c)
		}
	}
	settings := o.Solver
	settings.Gap = max(settings.Gap, candidateLeastGap)
	if settings.TimeLimit >= 0 && (settings.TimeLimit == 0 || settings.TimeLimit > candidateTime) {
		settings.TimeLimit = candidateTime
	}
	if share, err := time.part(settings, 3*mostCandidates); err != nil {
		return nil, err
	} else if settings.TimeLimit >= 0 && share.TimeLimit < settings.TimeLimit {
		settings.TimeLimit = share.TimeLimit
	}
	defer s.begin("making plans to rehearse")()
	for _, toward := range []float64{0, 0.25, 0.5, 0.75, 1} {
		over := o.Horizon
		over.BurnDays = habitat.BurnDays{From: habitat.PoorDays, Toward: toward}
		other, err := s.Problem(ctx, over)
		if err != nil {
			return nil, err
		}
		if sameCaps(other.Problem, made.Problem) {
			continue
		}
		result, err := rotation.Solve(ctx, other.Problem, settings)
		if err != nil {
			return nil, err
		}
		share := toward
		add(candidate{view.FirstYear{Toward: &share}, other, &result})
	}
	near, err := whatif.Alternatives(ctx, again(settings, budget{}, 1), made.Problem, plain.Answer,
		whatif.AlternativeSettings{Within: nearBestWithin, Count: min(nearBest, mostCandidates-len(all)+1), Years: 1, Seed: settings.Seed})
	if err != nil {
		return nil, err
	}
	for i := range near {
		add(candidate{view.FirstYear{NearBest: i + 1}, made, &rotation.Result{Answer: near[i].Answer}})
	}
	return all, nil
}

// sameFirstYear reports whether two plans burn the same in their first year.
func sameFirstYear(a, b candidate) bool {
	first := func(c candidate) []problem.Burn {
		var burns []problem.Burn
		for _, burn := range c.result.Answer.Burns {
			if burn.Year == c.made.Problem.FirstYear {
				burns = append(burns, burn)
			}
		}
		return burns
	}
	return slices.Equal(first(a), first(b))
}

// sameCaps reports whether two problems have the same burn-day caps.
func sameCaps(a, b *problem.Problem) bool {
	return slices.EqualFunc(a.Caps, b.Caps, func(x, y problem.YearCaps) bool { return slices.Equal(x.BurnDays, y.BurnDays) })
}
