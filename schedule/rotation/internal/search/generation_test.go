package search

import (
	"context"
	"math"
	"testing"
)

// A machine may be slower or faster than planned for: the last cooling ends with the
// steps that there are, whether they turn out to be more or fewer, early or late, and
// what is cut short is no more than sweeps.
func TestExpectEndsTheLastCoolingWithTheSteps(t *testing.T) {
	for _, there := range []int64{100_000, 300_000, 900_000} {
		x := New(load(t, "small-105"), 1, 300_000)
		x.Run(context.Background(), 10_000, 1)
		begun, at := 0, int64(0)
		for x.steps < there {
			// An estimate that is off by half at first and comes right.
			off := 1 + 0.5*float64(there-x.steps)/float64(there)
			x.Expect(int64(off * float64(there-x.steps)))
			if begun != x.begun {
				begun, at = x.begun, x.steps
			}
			x.Run(context.Background(), 2000, 1)
		}
		open := float64(x.left()) / float64(x.work)
		if sweeps := int64(mostWalks * (mostSweeps + 1) * x.in.N); x.begun == begun && open > 0.02 || at > there/2 || x.steps > there+sweeps+2000 {
			t.Errorf("%d steps: the last cooling began at %d, ended %v, %.3f of it open", there, at, x.begun != begun, open)
		}
	}
}

// crowded gives a searcher whose generation has several walks.
func crowded(t *testing.T, name string, planned int64) *Searcher {
	t.Helper()
	x := New(load(t, name), 1, planned)
	for len(x.walks) < fewestMany {
		x.Run(context.Background(), 50_000, 1)
	}
	return x
}

func TestFollowIsThere(t *testing.T) {
	x := crowded(t, "small-105", 0)
	x.Run(context.Background(), 10*int64(x.in.N), 1)
	from, to := x.walks[0], x.walks[1]
	to.follow(from)
	from.resum()
	if to.total != from.total || to.violated != from.violated || to.mark != from.mark {
		t.Errorf("total %v, violated %d, mark %v where the other has %v, %d, %v",
			to.total, to.violated, to.mark, from.total, from.violated, from.mark)
	}
	to.move(1)
	before := from.total
	if from.resum(); from.total != before {
		t.Error("a move of one walk changed the other")
	}
}

func TestChooseReplacesTheWorst(t *testing.T) {
	x := crowded(t, "medium-103", 0)
	x.Run(context.Background(), int64(x.in.N), 1)
	for k, w := range x.walks {
		w.mark = float64(100 + k) // the first is the best
	}
	many := len(x.walks)
	x.choose()
	replaced := int(replaced * min(1, float64(x.in.N)/fullUnits) * float64(many))
	if replaced == 0 {
		t.Fatal("nothing to be replaced: the test sees nothing")
	}
	for k, w := range x.walks {
		want := float64(100 + k)
		if k >= many-replaced {
			want = float64(100 + many - 1 - k)
		}
		if w.mark != want {
			t.Errorf("walk %d of %d has mark %v, want %v", k, many, w.mark, want)
		}
	}
}

// The last planned generation ends with the plan of steps, but for the sweeps
// that follow a cooling.
func TestPlannedStepsEndACooling(t *testing.T) {
	const planned = 2_000_000
	x := New(load(t, "small-105"), 1, planned)
	last := int64(0)
	for x.steps < planned*3/2 {
		work := x.work
		x.Run(context.Background(), 5000, 1)
		if x.work != work {
			if x.work == planned/spare && last > 0 {
				break
			}
			last = x.steps
		}
	}
	sweeps := int64(mostWalks * (mostSweeps + 1) * x.in.N)
	if d := x.steps - planned; d < 0 || d > sweeps+5000 {
		t.Errorf("the last planned cooling ended after %d steps of %d", x.steps, planned)
	}
}

func TestHurryEndsInTime(t *testing.T) {
	for _, steps := range []int64{0, 1000, 100_000} {
		x := crowded(t, "small-105", 3_000_000)
		x.Run(context.Background(), 200_000, 1)
		from, work := x.steps, x.work
		x.Hurry(steps)
		for x.work == work && x.steps < from+5_000_000 {
			x.Run(context.Background(), 1000, 1)
		}
		sweeps := int64(len(x.walks) * (mostSweeps + 1) * x.in.N)
		if d := x.steps - from; d > steps+sweeps+1000*int64(len(x.walks)) {
			t.Errorf("hurried to end within %d steps, took %d", steps, d)
		}
		if plan, cost, ok := x.Best(); !ok || math.Abs(x.in.Evaluate(plan).Cost-cost) > 1e-6 {
			t.Errorf("best after a hurry: %v, %v", cost, ok)
		}
	}
	x := crowded(t, "small-105", 3_000_000)
	need := int64(0)
	for _, w := range x.walks {
		need += w.left()
	}
	before := x.walks[0].cycle
	if x.Hurry(need); x.walks[0].cycle != before {
		t.Error("a cooling that is done in time was shortened")
	}
}
