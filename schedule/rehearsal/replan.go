package rehearsal

import (
	"context"
	"encoding/binary"
	"fmt"
	"slices"
	"sync"

	"emberquilt/schedule/problem"
)

// window gives the problem of the plan that is made at the start of year k: the
// years of its horizon, the ages that there are by then, and the burns of the plan
// before that it should keep. Locked burns of a unit that is too young for them
// by then are left out.
func (in *Input) window(base *problem.Problem, k int, ages []int, before []problem.Burn) *problem.Problem {
	q := base.Clone()
	q.FirstYear, q.Years, q.Lookahead = base.FirstYear+k, in.PlanYears, in.Lookahead
	q.Caps = q.Caps[k : k+q.T()]
	for i := range q.Units {
		q.Units[i].Age = ages[i]
	}
	last := q.FirstYear + q.T() - 1
	q.Locks = slices.DeleteFunc(q.Locks, func(l problem.Lock) bool {
		return l.Year < q.FirstYear || l.Year > last ||
			l.Burn && ages[l.Unit]+l.Year-q.FirstYear+1 < q.Units[l.Unit].MinInterval
	})
	q.Closed = slices.DeleteFunc(q.Closed, func(c problem.Closed) bool { return c.Year < q.FirstYear || c.Year > last })
	if k == 0 {
		q.KeepYears = min(q.KeepYears, q.T())
		q.Previous = slices.DeleteFunc(q.Previous, func(b problem.UnitYear) bool { return b.Year > last })
		return q
	}
	q.KeepYears, q.Previous = min(in.KeepYears, in.PlanYears-1), nil
	if q.KeepYears > 0 {
		q.Previous = []problem.UnitYear{}
		for _, b := range before {
			if b.Year >= q.FirstYear && b.Year <= last {
				q.Previous = append(q.Previous, problem.UnitYear{Unit: b.Unit, Year: b.Year})
			}
		}
	}
	return q
}

// node is a plan that was made: the same past leads to the same plan, so it is
// made once.
type node struct {
	once   sync.Once
	solved *Solved
	err    error
	// plan is the plan laid out, and wait and waitNext what it would cost to rest
	// each burn of its first and second year.
	plan           []int8
	wait, waitNext map[int]float64
	// cut says that time stopped the plan before its gap, and dropped counts the
	// locked burns that had to give way.
	cut     bool
	dropped int

	mutex    sync.Mutex
	children map[string]*node
}

// keptNodes is how many plans of a rule are kept to be met again, and keptDepth
// up to which year: later ones are hardly ever met twice.
const (
	keptNodes = 512
	keptDepth = 2
)

// child gives the node of the next year, k, with these ages.
func (n *node) child(k int, ages []int, kept *counter) *node {
	if k > keptDepth {
		return &node{}
	}
	var key []byte
	for _, age := range ages {
		key = binary.AppendUvarint(key, uint64(age))
	}
	n.mutex.Lock()
	defer n.mutex.Unlock()
	if c := n.children[string(key)]; c != nil {
		return c
	}
	c := &node{}
	if kept.take(keptNodes) {
		if n.children == nil {
			n.children = map[string]*node{}
		}
		n.children[string(key)] = c
	}
	return c
}

// make plans the year k from these ages and the plan before.
func (n *node) make(ctx context.Context, r *run, rule *Rule, k int, ages []int, before *node) error {
	n.once.Do(func() {
		base := rule.Planning
		if base == nil {
			base = r.g.Problem
		}
		var last *Solved
		var burns []problem.Burn
		if before != nil {
			last, burns = before.solved, before.solved.Answer.Burns
		}
		q := r.g.window(base, k, ages, burns)
		if k == 0 && rule.First != nil {
			n.solved = &Solved{Problem: q, Answer: &problem.Answer{Status: problem.Feasible, Burns: rule.First}}
		} else if n.err = n.solve(ctx, r, q, last); n.err != nil {
			return
		}
		c := newCosts(q)
		n.plan = layOut(q, n.solved.Answer.Burns)
		n.wait = c.waiting(n.plan, 0)
		if rule.Ahead && q.T() > 1 {
			n.waitNext = c.waiting(n.plan, 1)
		}
	})
	return n.err
}

// solve finds the plan; locked burns that cannot stand together any more give way.
func (n *node) solve(ctx context.Context, r *run, q *problem.Problem, last *Solved) error {
	for {
		solved, err := r.set.Solve(ctx, q, last)
		if err != nil {
			return fmt.Errorf("plan %d: %w", q.FirstYear, err)
		}
		if a := solved.Answer; a.Status != problem.Infeasible {
			n.solved = &Solved{Problem: q, Answer: a, Certificate: solved.Certificate, Warm: solved.Warm}
			n.cut = a.Gap > max(r.set.Gap, problem.OptimalGap)
			return nil
		}
		left := slices.DeleteFunc(slices.Clone(q.Locks), func(l problem.Lock) bool {
			return l.Burn && slices.ContainsFunc(solved.Answer.Clashes, func(c problem.Clash) bool { return slices.Contains(c.Locks, l) })
		})
		if len(left) == len(q.Locks) {
			return fmt.Errorf("plan %d: %w", q.FirstYear, problem.ErrInfeasible)
		}
		n.dropped += len(q.Locks) - len(left)
		q = q.Clone()
		q.Locks = left
	}
}
