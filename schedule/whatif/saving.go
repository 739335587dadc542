package whatif

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"emberquilt/schedule/problem"
)

// Relief is one cap moved by a step in every year that has it, and what that
// saves.
type Relief struct {
	// Kind is acres, burns, cost, burn_days or refuge.
	Kind problem.RowKind
	// Season is that of burn_days, Refuge that of refuge; −1 elsewhere.
	Season, Refuge int
	// Step is by how much the cap was moved, in its own quantity; for a refuge
	// in acres of the group.
	Step float64
	// Estimate is the saving that the prices promise; it only chose the order.
	Estimate float64
	Answer   *problem.Answer
	// Saves is the saving, above 0 where the cap costs something.
	Saves Range
}

// Reliefs moves the caps that the prices call dearest, at most count of them,
// one at a time, and solves again. The steps are those of a manager: a burn
// day, a burn, a tenth of a cap on acres, money or a refuge's share.
func Reliefs(ctx context.Context, solve Solve, p *problem.Problem, a *problem.Answer, count int) ([]Relief, error) {
	candidates := candidateReliefs(p, a)
	if len(candidates) > count {
		candidates = candidates[:count]
	}
	for i := range candidates {
		r := &candidates[i]
		second, err := solve(ctx, relieve(p, r))
		if errors.Is(err, ErrNoTime) {
			return candidates[:i], err
		}
		if err != nil {
			return nil, fmt.Errorf("solve with the cap on %s moved: %w", r.Kind, err)
		}
		r.Answer = second
		d := difference(a, second)
		// The plan at hand stays a plan when a cap is moved up, so nothing is
		// ever lost.
		r.Saves = Range{AtHand: max(0, -d.AtHand), Least: max(0, -d.Most), Most: max(0, -d.Least)}
	}
	slices.SortStableFunc(candidates, func(x, y Relief) int { return -cmp.Compare(x.Saves.AtHand, y.Saves.AtHand) })
	return candidates, nil
}

// candidateReliefs adds up the prices of each cap over the years, dearest
// first.
func candidateReliefs(p *problem.Problem, a *problem.Answer) []Relief {
	type key struct {
		kind           problem.RowKind
		season, refuge int
	}
	sum := make(map[key]float64)
	var order []key
	for _, price := range a.Prices {
		k := key{kind: price.Kind, season: -1, refuge: -1}
		switch price.Kind {
		case problem.RowAcres, problem.RowBurns, problem.RowCost:
		case problem.RowBurnDays:
			k.season = price.Season
		case problem.RowRefuge:
			k.refuge = price.Refuge
		default:
			continue
		}
		if _, known := sum[k]; !known {
			order = append(order, k)
		}
		sum[k] += price.PerUnit
	}
	var all []Relief
	for _, k := range order {
		r := Relief{Kind: k.kind, Season: k.season, Refuge: k.refuge}
		if r.Step = step(p, &r); r.Step <= 0 || sum[k] <= 0 {
			continue
		}
		r.Estimate = sum[k] * r.Step
		all = append(all, r)
	}
	slices.SortStableFunc(all, func(x, y Relief) int { return -cmp.Compare(x.Estimate, y.Estimate) })
	return all
}

// step gives the step of a cap; 0 where no year has it.
func step(p *problem.Problem, r *Relief) float64 {
	largest := 0.0
	for t := range p.Caps {
		if limit := *capOf(&p.Caps[t], r); !math.IsInf(limit, 1) {
			largest = max(largest, limit)
		}
	}
	switch r.Kind {
	case problem.RowBurns, problem.RowBurnDays:
		return 1
	case problem.RowRefuge:
		return 0.1 * p.RefugeAcres()[r.Refuge]
	}
	return round2(largest / 10)
}

// round2 rounds up to two significant digits, so that a step reads well.
func round2(v float64) float64 {
	if v <= 0 {
		return 0
	}
	unit := math.Pow(10, math.Floor(math.Log10(v))-1)
	return math.Ceil(v/unit-1e-9) * unit
}

// capOf gives the limit of a year that the relief moves. For a refuge, whose
// share has no year, it gives a limit that is not there.
func capOf(c *problem.YearCaps, r *Relief) *float64 {
	switch r.Kind {
	case problem.RowAcres:
		return &c.Acres
	case problem.RowBurns:
		return &c.Burns
	case problem.RowCost:
		return &c.Cost
	case problem.RowBurnDays:
		return &c.BurnDays[r.Season]
	}
	none := problem.NoLimit
	return &none
}

func relieve(p *problem.Problem, r *Relief) *problem.Problem {
	q := p.Clone()
	if r.Kind == problem.RowRefuge {
		q.Refuges[r.Refuge].MaxShare = min(1, q.Refuges[r.Refuge].MaxShare+0.1)
		return q
	}
	for t := range q.Caps {
		*capOf(&q.Caps[t], r) += r.Step
	}
	return q
}

// Saving gives the relief in the form that an answer file keeps.
func (r *Relief) Saving() problem.Saving {
	return problem.Saving{
		Row:  problem.Row{Kind: r.Kind, Year: problem.EveryYear, Season: max(r.Season, 0), Refuge: max(r.Refuge, 0)},
		Step: r.Step, Cost: r.Answer.Cost, Bound: r.Answer.Bound, Saves: r.Saves.AtHand,
	}
}
