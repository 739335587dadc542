package reference

import (
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"emberquilt/schedule/problem"
	"emberquilt/testdata/refdata"
)

// TestOptimaOfBench holds the reference itself against optima that were found
// elsewhere, by another joint-age program and by HiGHS (bench/results.tsv).
func TestOptimaOfBench(t *testing.T) {
	bench := refdata.Bench(t, "")
	table, err := os.ReadFile(filepath.Join(bench, "results.tsv"))
	if err != nil {
		t.Fatal(err)
	}
	checked := 0
	for _, line := range strings.Split(string(table), "\n") {
		cells := strings.Split(line, "\t")
		if !strings.HasPrefix(line, "tiny-") {
			continue
		}
		want, err := strconv.ParseFloat(cells[1], 64)
		if err != nil {
			t.Fatal(err)
		}
		p := load(t, filepath.Join(bench, "problems", cells[0]+".json"))
		got, ok := Optimum(p)
		if !ok || math.Abs(got.Cost-want) > 1e-6*max(1, want) {
			t.Errorf("%s: optimum %v (plan: %v), outside methods found %v", cells[0], got.Cost, ok, want)
		}
		if again := Cost(p, got.Burns).Total(); math.Abs(again-got.Cost) > 1e-9*max(1, want) {
			t.Errorf("%s: the plan costs %v, the program says %v", cells[0], again, got.Cost)
		}
		checked++
	}
	if checked < 24 {
		t.Errorf("only %d problems were checked", checked)
	}
}

// TestOptimumBeatsRandomPlans draws random feasible plans: none may cost less.
func TestOptimumBeatsRandomPlans(t *testing.T) {
	plans := 0
	for seed := range uint64(200) {
		r := rand.New(rand.NewPCG(seed, 1))
		p := Random(r, Size{Locks: 20})
		best, ok := Optimum(p)
		if !ok {
			continue
		}
		s := newSolver(p)
		for range 50 {
			burns, fine := s.randomPlan(r)
			if !fine {
				continue
			}
			plans++
			if cost := Cost(p, burns).Total(); cost < best.Cost-1e-9*max(1, best.Cost) {
				t.Fatalf("seed %d: a plan of cost %v beats the optimum %v", seed, cost, best.Cost)
			}
		}
	}
	if plans < 2000 {
		t.Errorf("only %d feasible plans were drawn", plans)
	}
}

func (s *solver) randomPlan(r *rand.Rand) ([]problem.Burn, bool) {
	var burns []problem.Burn
	age := make([]int, len(s.p.Units))
	for i := range age {
		age[i] = s.p.Units[i].Age
	}
	for t := range s.p.T() {
		sets := s.burnSets(t)
		if len(sets) == 0 {
			return nil, false
		}
		set := sets[r.IntN(len(sets))]
		for i := range age {
			age[i]++
			if set.season[i] < 0 {
				continue
			}
			if age[i] < s.p.Units[i].MinInterval {
				return nil, false
			}
			age[i] = 0
			burns = append(burns, problem.Burn{Unit: i, Year: s.p.FirstYear + t, Season: int(set.season[i])})
		}
	}
	return burns, true
}

func load(t *testing.T, file string) *problem.Problem {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	p, err := problem.Read(f, filepath.Base(file))
	if err != nil {
		t.Fatal(err)
	}
	return p
}
