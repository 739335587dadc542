package rehearsal_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/rehearsal"
	"emberquilt/schedule/rotation"
	"emberquilt/schedule/whatif"
	"emberquilt/testdata/refdata"
)

// TestSelectedAgainstPlain measures what choosing the plan that stands up best is worth,
// on problems of the families of schedule/bench/RESULTS.md with an invented record: it
// chooses as plan --rehearse does, and then plays the chosen and the plain plan in fresh
// futures. EMBERQUILT_STANDING names the problems, such as "small-101,medium-104";
// without it nothing is measured. Each line of the log is a row of the table in
// schedule/bench/NOTES.md.
func TestSelectedAgainstPlain(t *testing.T) {
	names := os.Getenv("EMBERQUILT_STANDING")
	if names == "" {
		t.Skip("takes minutes: EMBERQUILT_STANDING names the problems to measure")
	}
	for name := range strings.SplitSeq(names, ",") {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			measureStanding(t, name)
		})
	}
}

// How much a measurement plays: half as many futures for choosing and confirming as plan
// --rehearse does, fresh ones after them, and fewer years and rounds of work, so that it
// ends within minutes.
const (
	standingYears                                        = 3
	standingChosenIn, standingConfirmedIn, standingFresh = 50, 100, 1000
	standingRecordYears, standingDays                    = 12, 30
	// Rounds of the solver's work for a plan of the first year and for one made again.
	standingRounds, standingReplanRounds = 8, 2
)

func measureStanding(t *testing.T, name string) {
	file, err := os.Open(refdata.Bench(t, "problems/"+name+".json"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	own, err := problem.Read(file, name)
	if err != nil {
		t.Fatal(err)
	}
	began := time.Now()
	in, poor, median := inventedStage(own, standingYears)
	settings := rotation.Settings{Gap: 0.01, Threads: 1, Rounds: standingRounds}
	plan := func(p *problem.Problem) *problem.Answer {
		r, err := rotation.Solve(t.Context(), p, settings)
		if err != nil {
			t.Fatal(err)
		}
		return r.Answer
	}
	horizon := func(toward float64) *problem.Problem {
		q := own.Clone()
		capAt(q, poor, median, toward)
		return q
	}
	plainProblem := horizon(0)
	plain := plan(plainProblem)
	if plain.Status == problem.Infeasible {
		t.Fatalf("%s has no plan with the burn days of the poor year", name)
	}
	planning := in.Problem.Clone()
	capAt(planning, poor, median, 0)
	rules := []rehearsal.Rule{{Name: "plain", Planning: planning, First: plain.Burns}}
	add := func(what string, a *problem.Answer) {
		if a.Status != problem.Infeasible && len(rules) < 8 && !slices.ContainsFunc(rules, func(r rehearsal.Rule) bool { return slices.Equal(firstYear(own, r.First), firstYear(own, a.Burns)) }) {
			rules = append(rules, rehearsal.Rule{Name: what, Planning: planning, First: a.Burns})
		}
	}
	for _, toward := range []float64{0.25, 0.5, 0.75, 1} {
		add(fmt.Sprintf("burn days %.0f%% toward the median year", 100*toward), plan(horizon(toward)))
	}
	near, err := whatif.Alternatives(t.Context(), func(_ context.Context, p *problem.Problem) (*problem.Answer, error) { return plan(p), nil },
		plainProblem, plain, whatif.AlternativeSettings{Within: 0.05, Count: min(3, 9-len(rules)), Years: 1})
	if err != nil {
		t.Fatal(err)
	}
	for k := range near {
		add(fmt.Sprintf("near-best plan %d", k+1), near[k].Answer)
	}
	play := func(rules []rehearsal.Rule, futures, skip int) *rehearsal.Result {
		r, err := rehearsal.Run(t.Context(), in, rules, rehearsal.Settings{Futures: futures, Skip: skip, Seed: 1, Gap: 0.02, Threads: 1, NoForesight: true,
			Solve: func(ctx context.Context, p *problem.Problem, before *rehearsal.Solved) (*rehearsal.Solved, error) {
				set := rotation.Settings{Gap: 0.02, Threads: 1, Rounds: standingReplanRounds}
				if before != nil {
					set.Warm, _ = before.Warm.(*rotation.Warm)
				}
				r, err := rotation.Solve(ctx, p, set)
				return &rehearsal.Solved{Answer: r.Answer, Certificate: r.Certificate, Warm: r.Warm}, err
			}})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	best := 0
	if len(rules) > 1 {
		chosen := play(rules, standingChosenIn, standingConfirmedIn)
		for i := range chosen.Rules {
			if chosen.Rules[i].Shortfall.Mean < chosen.Rules[best].Shortfall.Mean {
				best = i
			}
		}
	}
	row := func(words string) {
		t.Logf("| %s | %d × %d + %d | %d | %d | %s | %.0f s |", name, len(own.Units), own.Years, own.Lookahead, standingYears, len(rules), words, time.Since(began).Seconds())
	}
	if best == 0 {
		row("the plain plan | – | – | – | none: the plain plan was best")
		return
	}
	two := []rehearsal.Rule{rules[0], rules[best]}
	confirmed := play(two, standingConfirmedIn, 0).Rules[1].Difference
	kept := "kept"
	if confirmed.High >= 0 {
		kept = "not kept: no difference confirmed"
	}
	fresh := play(two, standingFresh, standingConfirmedIn+standingChosenIn)
	d := fresh.Rules[1].Difference
	words := "no difference seen"
	switch {
	case d.High < 0:
		words = "less"
	case d.Low > 0:
		words = "more"
	}
	row(fmt.Sprintf("%s, %s | %.1f | %.1f | %+.1f (%+.1f to %+.1f) | %s", rules[best].Name, kept, fresh.Rules[0].Shortfall.Mean, fresh.Rules[1].Shortfall.Mean, d.Mean, d.Low, d.High, words))
}

func firstYear(p *problem.Problem, burns []problem.Burn) (first []problem.Burn) {
	for _, b := range burns {
		if b.Year == p.FirstYear {
			first = append(first, b)
		}
	}
	return first
}

// capAt caps the burn days of all years between those of a poor and a median year of the
// record, never above the crew's own.
func capAt(p *problem.Problem, poor, median []float64, toward float64) {
	for t := range p.Caps {
		for s := range p.Caps[t].BurnDays {
			p.Caps[t].BurnDays[s] = min(p.Caps[t].BurnDays[s], poor[s]+toward*(median[s]-poor[s]))
		}
	}
}

// inventedStage lays a problem out for some years, with an invented record: in a record
// year a season has between three tenths and 17 tenths of the burn days that the crew
// caps it at, all units share them, and each day suits a unit nine times in ten. The years past
// the problem's own are as its last one; it is not asked to keep to a plan before.
func inventedStage(own *problem.Problem, years int) (in *rehearsal.Input, poor, median []float64) {
	r := rand.New(rand.NewPCG(uint64(len(own.Units)), 18))
	p := own.Clone()
	p.Years += years - 1
	for range years - 1 {
		last := p.Caps[len(p.Caps)-1]
		last.BurnDays = slices.Clone(last.BurnDays)
		p.Caps = append(p.Caps, last)
	}
	p.KeepYears, p.Previous = 0, nil
	suits := map[[4]int]bool{}
	counts := make([][]float64, len(p.Seasons))
	for s := range p.Seasons {
		usual := own.Caps[0].BurnDays[s]
		if math.IsInf(usual, 1) {
			usual = standingDays / 3
		}
		for record := range standingRecordYears {
			n := min(standingDays, int(math.Round(usual*(0.3+1.4*r.Float64()))))
			counts[s] = append(counts[s], float64(n))
			for _, day := range r.Perm(standingDays)[:n] {
				for i := range p.Units {
					suits[[4]int{record, i, s, day}] = r.Float64() < 0.9
				}
			}
		}
		slices.Sort(counts[s])
		// As schedule/window does: the poor year is the level at or below which one in five lies.
		poor = append(poor, counts[s][(standingRecordYears+4)/5-1])
		median = append(median, (counts[s][(standingRecordYears-1)/2]+counts[s][standingRecordYears/2])/2)
	}
	in = stage(p, years, own.Years, own.Lookahead, standingDays, standingRecordYears, func(record, unit, season, day int) bool { return suits[[4]int{record, unit, season, day}] })
	return in, poor, median
}
