package rotation

import (
	"math"

	"emberquilt/schedule/problem"
)

// result makes the answer of what was found.
func (s *solver) result() (Result, error) {
	if s.plan == nil {
		s.plan = s.lockedPlan()
	}
	if s.tree != nil {
		s.stats.Nodes = s.tree.Nodes
	}
	s.plan = thin(s.m, s.plan)
	s.prove()
	e := s.m.Evaluate(s.plan)
	c := s.certificate()
	c.Bound = s.m.RaiseBound(c.Bound)
	a := &problem.Answer{
		Status: problem.Feasible, Cost: e.Cost, Bound: math.Min(c.Bound, e.Cost),
		Parts: e.Parts, Burns: s.m.Burns(s.plan), Prices: s.prices(), Warnings: s.m.Problem.Warnings,
	}
	c.Bound = a.Bound
	a.Gap = problem.GapOf(a.Cost, a.Bound)
	if a.Gap <= problem.OptimalGap {
		a.Status = problem.Optimal
	}
	a.Seconds = now().Sub(s.started).Seconds()
	return Result{Answer: a, Certificate: c, Stats: s.stats, Warm: s.kept(a.Burns)}, nil
}

// sofar makes an answer of the best plan so far, without prices; nil without a
// plan.
func (s *solver) sofar() *problem.Answer {
	if s.plan == nil {
		return nil
	}
	e := s.m.Evaluate(s.plan)
	a := &problem.Answer{Status: problem.Feasible, Cost: e.Cost, Bound: math.Min(math.Max(s.lower(), 0), e.Cost), Parts: e.Parts,
		Burns: s.m.Burns(s.plan), Warnings: s.m.Problem.Warnings, Seconds: now().Sub(s.started).Seconds()}
	a.Gap = problem.GapOf(a.Cost, a.Bound)
	if a.Gap <= problem.OptimalGap {
		a.Status = problem.Optimal
	}
	return a
}

func (s *solver) certificate() *problem.Certificate {
	if s.tree != nil && s.tree.Bound() >= math.Max(s.bound, 0) {
		return s.tree.Certificate()
	}
	leaf := s.leaf
	if leaf == nil || s.bound < 0 {
		// Every cost is at least 0, and prices of 0 prove it.
		leaf = &problem.Leaf{}
	}
	return &problem.Certificate{
		ProblemSHA256: s.m.Problem.SHA256, Bound: math.Max(s.bound, 0), Tree: &problem.Node{Leaf: leaf},
	}
}

// prices gives the multipliers of caps and bands that are not 0: estimates of
// what one more acre, burn, dollar or burn day would save.
func (s *solver) prices() []problem.RowPrice {
	if s.leaf == nil {
		return nil
	}
	var out []problem.RowPrice
	for _, p := range s.leaf.Prices {
		switch p.Kind {
		case problem.RowApart, problem.RowNeighbors:
			// Pairs are not quantities that a manager can have more of.
		default:
			out = append(out, p)
		}
	}
	for k := range s.leaf.Years {
		if p, ok := s.yearPrice(&s.leaf.Years[k]); ok {
			out = append(out, p)
		}
	}
	return out
}

// yearPrice gives the price of an acre that comes nearest to a year block's prices
// of its units, for the bands that year blocks pay.
func (s *solver) yearPrice(b *problem.YearBlock) (problem.RowPrice, bool) {
	sum, square := 0.0, 0.0
	for n, i := range b.Units {
		sum += b.Prices[n] * s.m.Acres[i]
		square += s.m.Acres[i] * s.m.Acres[i]
	}
	if sum == 0 {
		return problem.RowPrice{}, false
	}
	r := problem.RowPrice{PerUnit: math.Abs(sum / square)}
	r.Year = b.Year
	switch w := &s.m.Problem.Weights; {
	case b.Kind == problem.YearMix:
		r.Kind, r.Mix, r.Class = problem.RowMixHigh, b.Mix, b.Class
		if sum < 0 {
			r.Kind = problem.RowMixLow
			if s.m.Problem.Mixes[b.Mix].Classes[b.Class].MinShare <= 0 {
				return r, false
			}
		}
		r.PerUnit = min(r.PerUnit, w.Mix)
	case b.Kind == problem.YearEvenness:
		r.Kind = problem.RowEvenHigh
		if sum < 0 {
			r.Kind = problem.RowEvenLow
		}
		if sum < 0 && math.IsInf(s.m.EvenLo, -1) || sum > 0 && math.IsInf(s.m.EvenHi, 1) {
			return r, false
		}
		r.PerUnit = min(r.PerUnit, w.Evenness)
	default:
		return r, false
	}
	return r, true
}
