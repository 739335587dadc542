package rotation

import (
	"context"
	"os"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"emberquilt/schedule/certify"
	"emberquilt/schedule/problem"
	"emberquilt/testdata/refdata"
)

func read(t testing.TB, name string) *problem.Problem {
	t.Helper()
	f, err := os.Open(refdata.Bench(t, "problems/"+name+".json"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	p, err := problem.Read(f, name)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// known gives the columns of results.tsv of a problem.
func known(t testing.TB, name string) (cost, bound, lp float64) {
	data, err := os.ReadFile(refdata.Bench(t, "results.tsv"))
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(string(data), "\n") {
		if f := strings.Split(line, "\t"); f[0] == name {
			number := func(text string) float64 {
				v, _ := strconv.ParseFloat(text, 64)
				return v
			}
			return number(f[1]), number(f[2]), number(f[4])
		}
	}
	return 0, 0, 0
}

// cpu gives the processor time that this process has used.
func cpu() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// withCPU gives a context that ends once the process has used so much processor
// time from now on: on a machine with other work, wall time says little.
func withCPU(limit time.Duration) (context.Context, context.CancelFunc) {
	ctx, stop := context.WithCancel(context.Background())
	from := cpu()
	go func() {
		for ctx.Err() == nil && cpu()-from < limit {
			time.Sleep(5 * time.Millisecond)
		}
		stop()
	}()
	return ctx, stop
}

// TestFamilies prints what NAMES (or a few) cost, with LIMIT seconds each.
func TestFamilies(t *testing.T) {
	names := strings.Fields(os.Getenv("NAMES"))
	if len(names) == 0 {
		t.Skip("NAMES is empty; set it to names of problems, and LIMIT to seconds")
	}
	limit, _ := strconv.ParseFloat(os.Getenv("LIMIT"), 64)
	for _, name := range names {
		// name×n is n copies of the problem side by side.
		copies := 1
		if from, many, ok := strings.Cut(name, "×"); ok {
			name = from
			copies, _ = strconv.Atoi(many)
		}
		p := read(t, name)
		if copies > 1 {
			p = tile(p, copies)
		}
		cost, _, lp := known(t, name)
		verbose := os.Getenv("VERBOSE") != ""
		start, startCPU := time.Now(), cpu()
		last := time.Duration(0)
		ctx, stop := withCPU(time.Duration(2 * limit * float64(time.Second)))
		r, err := Solve(ctx, p, Settings{TimeLimit: -1, planned: time.Duration(limit * float64(time.Second)), Threads: 2, Progress: func(p Progress) {
			if at := cpu() - startCPU; verbose && at-last > 2*time.Second {
				last = at
				t.Logf("   %.1f cpu s cost %.2f bound %.2f gap %.4f nodes %d", at.Seconds(), p.Cost, p.Bound, p.Gap, p.Nodes)
			}
		}})
		wall, used := time.Since(start).Seconds(), (cpu() - startCPU).Seconds()
		stop()
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		a := r.Answer
		checked := time.Now()
		if report, err := certify.Check(context.Background(), p, a, r.Certificate); err != nil || len(report.Violations) > 0 {
			t.Errorf("%s: %v %v", name, err, report.Violations)
		}
		t.Logf("   checked in %.2f s, %d shared leaves", time.Since(checked).Seconds(), len(r.Certificate.Shared))
		t.Logf("%-11s %-8s known %.3f lp %.2f cost %.3f bound %.3f gap %.4f wall %.2f cpu %.2f first %v unit %.2f root %.2f rounds %d nodes %d", name, a.Status, cost, lp, a.Cost, a.Bound, a.Gap, wall, used, r.Stats.FirstPlan.Round(time.Millisecond), r.Stats.UnitBound, r.Stats.RootBound, r.Stats.Rounds, r.Stats.Nodes)
	}
}
