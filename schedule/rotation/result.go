package rotation

import (
	"math"
	"time"

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
	a.Seconds = time.Since(s.started).Seconds()
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
		Burns: s.m.Burns(s.plan), Warnings: s.m.Problem.Warnings, Seconds: time.Since(s.started).Seconds()}
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
	return out
}
