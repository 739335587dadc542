package rotation

import (
	"context"
	"time"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation/internal/model"
)

// Overdue that grows gives every unit states for the years past its interval, so
// that joint blocks hold fewer units and sweeps more tuples, while the best plans
// of most properties let no unit wait for a second year: the demo's 24 units are
// proven in 0.2 s of processor time without growth, and stood at 7% after 17 s with
// it. So the problem without growth is solved first. What a plan costs in it is at
// most what it costs with growth: its bound holds, and its best plan is the best of
// both where it never pays growth.

// flatPart is the share of the limits that goes to the problem without growth.
const flatPart = 0.4

// withoutGrowth gives the problem without growth of overdue; nil where there is
// none to take away, or more units than sweeps prove.
func withoutGrowth(p *problem.Problem) *problem.Problem {
	if p.OverdueGrowth <= 0 || p.OverdueGrowthYears <= 0 || p.Weights.Overdue <= 0 || len(p.Units) > problem.MaxSweepUnits {
		return nil
	}
	flat := p.Clone()
	flat.OverdueGrowth, flat.SHA256 = 0, p.SHA256 // certificates name the problem as it is
	return flat
}

// solveGrown solves a problem without its growth, and goes on with growth from
// there where that did not decide it.
func solveGrown(ctx context.Context, p, flat *problem.Problem, set Settings) (Result, error) {
	started := time.Now()
	m, err := model.New(p)
	if err != nil {
		return Result{}, err
	}
	first, second := set, set
	if set.Warm != nil {
		// What is at hand is a plan with growth: it needs no other beginning.
		return solve(ctx, p, set)
	}
	limit := set.filled().TimeLimit
	if limit > 0 {
		first.TimeLimit = time.Duration(flatPart * float64(limit))
	}
	if set.Rounds > 0 {
		first.Rounds = max(1, int(flatPart*float64(set.Rounds)))
		second.Rounds = max(1, set.Rounds-first.Rounds)
	}
	if set.Progress != nil {
		first.Progress = func(now Progress) { set.Progress(now.grown(m)) }
	}
	done, err := solve(ctx, flat, first)
	if err != nil || done.Answer.Status == problem.Infeasible {
		return done, err
	}
	reprice(m, done.Answer)
	done.Certificate.WithoutGrowth = true
	if done.Answer.Gap <= max(set.Gap, problem.OptimalGap) || ctx.Err() != nil {
		return done, nil
	}
	done.Warm.Problem = p
	second.Warm = done.Warm
	if limit > 0 {
		second.TimeLimit = max(limit-time.Since(started), time.Millisecond)
	}
	if set.Progress != nil {
		second.Progress = func(now Progress) {
			now.Elapsed = time.Since(started)
			now.Bound = max(now.Bound, done.Answer.Bound)
			now.Gap = problem.GapOf(now.Cost, now.Bound)
			set.Progress(now)
		}
	}
	last, err := solve(ctx, p, second)
	if err != nil {
		return done, nil // the first answer stands
	}
	return join(done, last, started), nil
}

// join takes the better plan and the better bound of two results of one problem.
func join(first, last Result, started time.Time) Result {
	best := last
	if first.Answer.Cost < last.Answer.Cost {
		a := *first.Answer
		a.Bound, a.Prices = last.Answer.Bound, last.Answer.Prices
		best.Answer = &a
	}
	if first.Answer.Bound > best.Answer.Bound {
		best.Answer.Bound, best.Certificate = first.Answer.Bound, first.Certificate
	}
	settle(best.Answer)
	best.Certificate.Bound = best.Answer.Bound
	best.Answer.Seconds = time.Since(started).Seconds()
	best.Stats.Rounds += first.Stats.Rounds
	best.Stats.Nodes += first.Stats.Nodes
	best.Stats.Swept += first.Stats.Swept
	best.Stats.FirstPlan = first.Stats.FirstPlan
	return best
}

// reprice gives an answer the cost that its plan has with growth.
func reprice(m *model.Model, a *problem.Answer) {
	e := m.Evaluate(m.PlanOf(a.Burns))
	a.Cost, a.Parts = e.Cost, e.Parts
	settle(a)
}

// settle says gap and status by cost and bound.
func settle(a *problem.Answer) {
	a.Bound = min(a.Bound, a.Cost)
	a.Gap = problem.GapOf(a.Cost, a.Bound)
	a.Status = problem.Feasible
	if a.Gap <= problem.OptimalGap {
		a.Status = problem.Optimal
	}
}

// grown gives the progress of a solve without growth as it is with growth.
func (now Progress) grown(m *model.Model) Progress {
	answer := now.Answer
	now.Answer = func() *problem.Answer {
		a := answer()
		if a != nil {
			reprice(m, a)
		}
		return a
	}
	if a := now.Answer(); a != nil {
		now.Cost, now.Gap = a.Cost, problem.GapOf(a.Cost, now.Bound)
	}
	return now
}
