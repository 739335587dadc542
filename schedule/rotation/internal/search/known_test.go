package search

import (
	"bufio"
	"context"
	"os"
	"strconv"
	"strings"
	"testing"

	"emberquilt/schedule/rotation/internal/model"
	"emberquilt/testdata/refdata"
)

// known reads the best costs of the development problems whose names start
// with prefix; see the README beside them for the outside methods that found
// them.
func known(t *testing.T, prefix string) map[string]float64 {
	t.Helper()
	file, err := os.Open(refdata.Bench(t, "results.tsv"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	out := map[string]float64{}
	for lines := bufio.NewScanner(file); lines.Scan(); {
		field := strings.Split(lines.Text(), "\t")
		if cost, err := strconv.ParseFloat(field[1], 64); err == nil && strings.HasPrefix(field[0], prefix) {
			out[field[0]] = cost
		}
	}
	if len(out) == 0 {
		t.Fatal("no results of", prefix)
	}
	return out
}

// bestAfter runs one searcher for so many steps a unit.
func bestAfter(t *testing.T, m *model.Model, seed uint64, steps int64) float64 {
	t.Helper()
	x := New(m, seed, steps*int64(m.N))
	x.Run(context.Background(), steps*int64(m.N), 1)
	plan, cost, ok := x.Best()
	if e := m.Evaluate(plan); !ok || !e.Feasible {
		t.Fatal("no plan that stands")
	}
	return cost
}

// The optima of the tiny problems were found by two outside methods: the search
// must reach each with every seed, and must never pass below. tiny-118 is hard
// for it: of 24 seeds 6 reach the optimum in a run this short, so there one of
// them is enough.
func TestTinyOptima(t *testing.T) {
	for name, want := range known(t, "tiny-") {
		m := load(t, name)
		seeds, need := 3, 3
		if name == "tiny-118" {
			seeds, need = 24, 1
		}
		reached := 0
		for seed := range seeds {
			got := bestAfter(t, m, uint64(seed+1), 5000)
			if got < want-1e-6*max(1, want) {
				t.Errorf("%s, seed %d: cost %v is below the optimum %v", name, seed+1, got, want)
			}
			if got <= want+1e-6*max(1, want) {
				reached++
			}
		}
		if reached < need {
			t.Errorf("%s: %d of %d seeds reach the optimum %v", name, reached, seeds, want)
		}
	}
}

// The small problems are reached within 2 percent by the best of three short
// runs; longer ones and other seeds come nearer. All but small-105 are proven, so nothing may
// pass below those.
func TestSmallKnown(t *testing.T) {
	if testing.Short() {
		t.Skip("some seconds of processor time")
	}
	for name, want := range known(t, "small-") {
		m, got := load(t, name), inf
		for seed := range 3 {
			got = min(got, bestAfter(t, m, uint64(seed+1), 15_000))
		}
		t.Logf("%s: %.3f, known %.3f", name, got, want)
		if got < want-1e-6*want && name != "small-105" {
			t.Errorf("%s: cost %v is below the optimum %v", name, got, want)
		}
		if got > want*1.02 {
			t.Errorf("%s: cost %v, known %v", name, got, want)
		}
	}
}
