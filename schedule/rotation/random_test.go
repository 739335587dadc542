package rotation_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
	"emberquilt/schedule/rotation"
)

// TestWildNumbers solves problems whose acres, weights and intervals differ by many
// powers of ten. What is shown must be right to the same relative digits.
func TestWildNumbers(t *testing.T) {
	proven, all := 0, 0
	for seed := range uint64(150) {
		p := reference.Random(rand.New(rand.NewPCG(seed, 33)), reference.Size{Wild: true, MaxUnits: 4, MinUnits: 1, Locks: 10})
		optimum, exists := reference.Optimum(p)
		a := solveChecked(t, p, rotation.Settings{TimeLimit: 150 * time.Millisecond, Threads: 2, Seed: seed})
		if exists != (a.Status != problem.Infeasible) {
			t.Errorf("%s; a plan exists: %v", a.Status, exists)
		}
		if exists {
			checkAgainst(t, fmt.Sprint("seed ", seed), a, optimum.Cost)
			all++
			if a.Status == problem.Optimal {
				proven++
			}
		}
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
	}
	t.Logf("%d of %d proven within 0.15 s", proven, all)
}

// TestRandomProblems solves random problems and holds them against the
// joint-age optimum: no bound above it, no cost below it, and the optimum itself
// where it claims to be proven. Certificates are checked on the way.
//
// The seeds are 0 … 299; EMBERQUILT_SEEDS=from:count takes others.
func TestRandomProblems(t *testing.T) {
	from, count := 0, 300
	if env := os.Getenv("EMBERQUILT_SEEDS"); env != "" {
		if n, err := fmt.Sscanf(env, "%d:%d", &from, &count); n != 2 || err != nil {
			t.Fatalf("EMBERQUILT_SEEDS: %q; accepts from:count", env)
		}
	} else if testing.Short() {
		count = 60
	}
	var proven, best, infeasible int
	for seed := from; seed < from+count; seed++ {
		p := reference.Random(rand.New(rand.NewPCG(uint64(seed), 30)), reference.Size{Locks: 15})
		optimum, exists := reference.Optimum(p)
		a := solveChecked(t, p, rotation.Settings{TimeLimit: 150 * time.Millisecond, Threads: 1 + seed%2, Seed: uint64(seed)})
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
		if !exists || a.Status == problem.Infeasible {
			if exists || a.Status != problem.Infeasible {
				t.Fatalf("seed %d: %s; a plan exists: %v", seed, a.Status, exists)
			}
			infeasible++
			continue
		}
		checkAgainst(t, fmt.Sprint("seed ", seed), a, optimum.Cost)
		if a.Status == problem.Optimal {
			proven++
		}
		if a.Cost <= optimum.Cost+1e-6*max(1, optimum.Cost) {
			best++
		}
	}
	t.Logf("seeds %d to %d: %d infeasible; of the others %d proven within 0.15 s, %d with a best plan", from, from+count-1, infeasible, proven, best)
}
