package whatif

import (
	"context"
	"errors"
	"fmt"

	"emberquilt/schedule/problem"
)

// Solve finds a plan. An infeasible problem is an Answer with that status and
// no error.
//
// A solver that has no time left gives ErrNoTime; what was found until then comes back
// with that error.
type Solve func(ctx context.Context, p *problem.Problem) (*problem.Answer, error)

// Range is what is known of a difference in acre-years: the difference of the
// two plans at hand, and the ends between which that of the two optima lies.
type Range struct {
	AtHand      float64
	Least, Most float64
}

// difference gives second − first.
func difference(first, second *problem.Answer) Range {
	return Range{AtHand: second.Cost - first.Cost, Least: second.Bound - first.Cost, Most: second.Cost - first.Bound}
}

// Other is the answer to "what if this unit did the other thing that year".
type Other struct {
	// Lock is the choice that was forced.
	Lock problem.Lock
	// Answer is the best plan with it; its Status is infeasible and its Clashes
	// say why, where no plan exists.
	Answer *problem.Answer
	// Extra is what the other choice costs; it means nothing where no plan
	// exists.
	Extra Range
}

// Burns reports whether a plan burns a unit in a year, and in which season.
func Burns(a *problem.Answer, unit, year int) (season int, ok bool) {
	for _, b := range a.Burns {
		if b.Unit == unit && b.Year == year {
			return b.Season, true
		}
	}
	return -1, false
}

// ErrNoTime says that the time of a command is over.
var ErrNoTime = errors.New("the time is over")

// Otherwise solves again with the choice of one unit and year reversed. A lock
// of that unit and year is taken away first, so that the question can be asked
// of locked choices too.
func Otherwise(ctx context.Context, solve Solve, p *problem.Problem, a *problem.Answer, unit, year int) (*Other, error) {
	_, burns := Burns(a, unit, year)
	lock := problem.Lock{Unit: unit, Year: year, Burn: !burns, Season: -1, By: problem.ByQuestion}
	q := p.Clone()
	q.Locks = append(withoutLock(q.Locks, unit, year), lock)
	second, err := solve(ctx, q)
	if err != nil {
		return nil, fmt.Errorf("solve with %s reversed in %d: %w", p.Units[unit].ID, year, err)
	}
	other := &Other{Lock: lock, Answer: second}
	if second.Status != problem.Infeasible {
		other.Extra = difference(a, second)
	}
	return other, nil
}

func withoutLock(locks []problem.Lock, unit, year int) []problem.Lock {
	kept := locks[:0:0]
	for _, l := range locks {
		if l.Unit != unit || l.Year != year {
			kept = append(kept, l)
		}
	}
	return kept
}
