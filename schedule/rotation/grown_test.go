package rotation

import (
	"context"
	"math/rand/v2"
	"testing"

	"emberquilt/schedule/certify"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
)

// A problem with growth is solved without it first; the answer is the best plan
// with growth all the same, and its certificate proves it for the problem as it
// is. Some of the problems must pay growth, so that the second solve is needed.
func TestGrowthIsDecidedWithAndWithout(t *testing.T) {
	flat, grown := 0, 0
	for seed := range uint64(120) {
		p, err := problem.Canonical(reference.Random(rand.New(rand.NewPCG(seed, 7)), reference.Size{}))
		if err != nil {
			t.Fatal(err)
		}
		if withoutGrowth(p) == nil {
			continue
		}
		result, err := Solve(context.Background(), p, Settings{Rounds: 400})
		if err != nil {
			t.Fatal(err)
		}
		optimum, exists := reference.Optimum(p)
		best := optimum.Cost
		if !exists {
			if result.Answer.Status != problem.Infeasible {
				t.Errorf("seed %d: %s, but there is no plan", seed, result.Answer.Status)
			}
			continue
		}
		if result.Answer.Status != problem.Optimal || result.Answer.Cost > best+1e-6 || result.Answer.Bound > best+1e-6 {
			t.Errorf("seed %d: %s with %v and bound %v, the optimum is %v", seed, result.Answer.Status, result.Answer.Cost, result.Answer.Bound, best)
		}
		report, err := certify.Check(context.Background(), p, result.Answer, result.Certificate)
		if err != nil || !report.OK() {
			t.Errorf("seed %d: %v %v", seed, err, report.Violations)
		}
		if result.Certificate.WithoutGrowth {
			flat++
			continue
		}
		grown++
		// The leaves of a problem with growth may prove more than the one without
		// can: to call them leaves without growth must not get by where they do.
		other := *result.Certificate
		other.WithoutGrowth = true
		if base, _ := reference.Optimum(withoutGrowth(p)); base.Cost < best-1e-6 {
			if proven, err := certify.Bound(context.Background(), p, &other); err == nil && proven.Bound > base.Cost+1e-6 {
				t.Errorf("seed %d: leaves without growth prove %v above %v", seed, proven.Bound, base.Cost)
			}
		}
	}
	if flat < 5 || grown < 5 {
		t.Errorf("%d problems decided without growth and %d with it: too few to tell", flat, grown)
	}
}
