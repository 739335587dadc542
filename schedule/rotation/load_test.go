package rotation

import (
	"context"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"emberquilt/schedule/bench/family"
	"emberquilt/schedule/certify"
	"emberquilt/schedule/problem"
)

// underLoad makes limits go by processor time until the test ends: a second of two
// processors is 1.7 of one thread's, so that a solve of one thread does about what one of
// two does on a quiet machine.
func underLoad(t *testing.T) {
	begun, from := time.Now(), cpu()
	now = func() time.Time { return begun.Add(time.Duration(float64(cpu()-from) / 1.7)) }
	usual := at
	at = func(when time.Time, do func()) func() bool {
		ctx, stop := context.WithCancel(context.Background())
		go func() {
			for ctx.Err() == nil && now().Before(when) {
				time.Sleep(5 * time.Millisecond)
			}
			if ctx.Err() == nil {
				do()
			}
		}()
		return func() bool {
			held := ctx.Err() == nil
			stop()
			return held
		}
	}
	t.Cleanup(func() { now, at = time.Now, usual })
}

// loadProblem gives growth-UNITS and paper-size-SEED of package family, or a file of the
// reference data.
func loadProblem(t *testing.T, name string) *problem.Problem {
	for _, f := range []struct {
		prefix           string
		years, lookahead int
	}{{"growth-", 15, 5}, {"paper-size-", 15, 0}} {
		if rest, ok := strings.CutPrefix(name, f.prefix); ok {
			n, err := strconv.Atoi(rest)
			if err != nil {
				t.Fatal(err)
			}
			if f.lookahead == 0 {
				return family.Property(uint64(n), 711, f.years, 0)
			}
			return family.Property(1, n, f.years, f.lookahead)
		}
	}
	return read(t, name)
}

// TestUnderLoad solves NAMES with LIMIT seconds each as two quiet processors would have
// them, on one thread of a machine with other work, for each of SEEDS.
func TestUnderLoad(t *testing.T) {
	names := strings.Fields(os.Getenv("NAMES"))
	if len(names) == 0 || os.Getenv("LOAD") == "" {
		t.Skip("LOAD or NAMES is empty; set NAMES to problems, LIMIT to seconds")
	}
	underLoad(t)
	limit, _ := strconv.ParseFloat(os.Getenv("LIMIT"), 64)
	every, _ := strconv.ParseFloat(os.Getenv("EVERY"), 64)
	seeds := strings.Fields(os.Getenv("SEEDS"))
	if len(seeds) == 0 {
		seeds = []string{"1"}
	}
	for _, name := range names {
		p := loadProblem(t, name)
		for _, seed := range seeds {
			n, _ := strconv.Atoi(seed)
			last := 0.0
			r, err := Solve(context.Background(), p, Settings{TimeLimit: time.Duration(limit * float64(time.Second)), Seed: uint64(n), Threads: 1, Progress: func(g Progress) {
				if at := g.Elapsed.Seconds(); every > 0 && at >= last+every {
					last = at
					t.Logf("   %5.1f s cost %.2f bound %.2f gap %.4f", at, g.Cost, g.Bound, g.Gap)
				}
			}})
			if err != nil {
				t.Fatal(err)
			}
			checked := cpu()
			report, err := certify.Check(context.Background(), p, r.Answer, r.Certificate)
			if err != nil || !report.OK() {
				t.Errorf("%s: %v %v", name, err, report.Violations)
			}
			a := r.Answer
			t.Logf("%s seed %d limit %g: %s cost %.3f bound %.3f gap %.4f after %.1f s, %d rounds, root %.2f, checked in %.2f s",
				name, n, limit, a.Status, a.Cost, a.Bound, a.Gap, a.Seconds, r.Stats.Rounds, r.Stats.RootBound, (cpu() - checked).Seconds())
		}
	}
}
