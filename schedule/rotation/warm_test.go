package rotation

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"syscall"
	"testing"
	"time"

	"emberquilt/schedule/bench/family"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
)

// edited gives the problem with one more lock, of what the plan does not do: the
// burn of a unit that rests in one of the first years, or the rest of one that
// burns. It gives nil where no such lock stands.
func edited(t testing.TB, p *problem.Problem, burns []problem.Burn, r *rand.Rand) (*problem.Problem, problem.Lock) {
	t.Helper()
	for range 100 {
		l := problem.Lock{Unit: r.IntN(len(p.Units)), Year: p.FirstYear + r.IntN(min(3, p.T())), Season: -1}
		l.Burn = !slices.ContainsFunc(burns, func(b problem.Burn) bool { return b.Unit == l.Unit && b.Year == l.Year })
		q := p.Clone()
		q.Locks = append(q.Locks, l)
		q, err := problem.Canonical(q)
		if err != nil {
			t.Fatal(err)
		}
		if a, err := Solve(context.Background(), q, Settings{Rounds: 1, TimeLimit: -1}); err == nil && a.Answer.Status != problem.Infeasible {
			return q, l
		}
	}
	return nil, problem.Lock{}
}

// later gives the same program a year later: a plan's first year has passed as
// planned.
func later(t testing.TB, p *problem.Problem, burns []problem.Burn) *problem.Problem {
	t.Helper()
	q := p.Clone()
	q.FirstYear++
	q.Caps = append(q.Caps[1:], q.Caps[len(q.Caps)-1])
	for i := range q.Units {
		q.Units[i].Age++
	}
	for _, b := range burns {
		if b.Year == p.FirstYear {
			q.Units[b.Unit].Age = 0
		}
	}
	q.Locks = slices.DeleteFunc(q.Locks, func(l problem.Lock) bool { return l.Year < q.FirstYear })
	q.Closed = slices.DeleteFunc(q.Closed, func(c problem.Closed) bool { return c.Year < q.FirstYear })
	q.Previous = slices.DeleteFunc(q.Previous, func(b problem.UnitYear) bool { return b.Year < q.FirstYear })
	q, err := problem.Canonical(q)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

// holds reports whether a plan does what a lock says.
func holds(burns []problem.Burn, l problem.Lock) bool {
	return l.Burn == slices.ContainsFunc(burns, func(b problem.Burn) bool { return b.Unit == l.Unit && b.Year == l.Year })
}

// A warm start of an edit, of the year after, or of another problem altogether
// leads to the optimum like a cold one, and its bound holds.
func TestWarmStartsEndAtTheOptimum(t *testing.T) {
	kinds := [3]int{}
	for seed := range uint64(200) {
		r := rand.New(rand.NewPCG(seed, 50))
		p := reference.Random(r, reference.Size{Locks: 20, MinUnits: 2, MaxUnits: 5, MinYears: 2, MaxYears: 6})
		first, err := Solve(context.Background(), p, Settings{Rounds: 30, TimeLimit: -1})
		if err != nil {
			t.Fatal(err)
		}
		if first.Answer.Status == problem.Infeasible {
			continue
		}
		q, kind := p, r.IntN(3)
		switch kind {
		case 0:
			if q, _ = edited(t, p, first.Answer.Burns, r); q == nil {
				continue
			}
		case 1:
			q = later(t, p, first.Answer.Burns)
		case 2:
			q = reference.Random(r, reference.Size{Locks: 20})
		}
		best, exists := reference.Optimum(q)
		warm, err := Solve(context.Background(), q, Settings{Rounds: 60, TimeLimit: -1, Warm: first.Warm})
		if err != nil {
			t.Fatal(err)
		}
		if exists != (warm.Answer.Status != problem.Infeasible) {
			t.Fatalf("seed %d: %s; a plan exists: %v", seed, warm.Answer.Status, exists)
		}
		if !exists {
			continue
		}
		check(t, q, warm)
		near := 1e-6 * max(1, best.Cost)
		if warm.Answer.Bound > best.Cost+near || warm.Answer.Cost < best.Cost-near ||
			warm.Answer.Status == problem.Optimal && warm.Answer.Cost > best.Cost+near {
			t.Fatalf("seed %d: cost %v, bound %v; the optimum is %v", seed, warm.Answer.Cost, warm.Answer.Bound, best.Cost)
		}
		kinds[kind]++
	}
	if min(kinds[0], kinds[1], kinds[2]) < 20 {
		t.Errorf("only %v of each kind", kinds)
	}
}

// The first plan that a warm solve shows holds the edit, and the answer does not
// depend on the number of threads.
func TestWarmStartsHoldTheEdit(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 51))
	for _, size := range [][3]int{{24, 5, 0}, {60, 6, 2}} {
		p := family.Property(7, size[0], size[1], size[2])
		first, err := Solve(context.Background(), p, Settings{Rounds: 8, TimeLimit: -1})
		if err != nil {
			t.Fatal(err)
		}
		for range 2 {
			q, lock := edited(t, p, first.Answer.Burns, r)
			var want *problem.Answer
			for _, threads := range []int{1, 2, 8} {
				seen := 0
				out, err := Solve(context.Background(), q, Settings{Rounds: 5, TimeLimit: -1, Threads: threads, Warm: first.Warm, Progress: func(p Progress) {
					if a := p.Answer(); a == nil || !holds(a.Burns, lock) || math.Abs(a.Cost-p.Cost) > 1e-9*p.Cost {
						t.Errorf("the plan shown after %v does not hold %+v", p.Elapsed, lock)
					}
					seen++
				}})
				if err != nil {
					t.Fatal(err)
				}
				check(t, q, out)
				if seen < 2 {
					t.Errorf("%d plans were shown", seen)
				}
				if want == nil {
					want = out.Answer
				} else if out.Answer.Cost != want.Cost || out.Answer.Bound != want.Bound || !slices.Equal(out.Answer.Burns, want.Burns) {
					t.Errorf("with %d threads cost %v and bound %v, with one %v and %v", threads, out.Answer.Cost, out.Answer.Bound, want.Cost, want.Bound)
				}
			}
		}
	}
}

// trace follows a solve: when plans were shown, in processor time, and their costs.
type trace struct {
	at   []time.Duration
	cost []float64
	end  time.Duration
}

// processorTime gives what the process has used so far.
func processorTime(tb testing.TB) time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		tb.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// follow solves on one thread until so much processor time is used.
func follow(tb testing.TB, p *problem.Problem, warm *Warm, most time.Duration) (trace, Result) {
	tb.Helper()
	var tr trace
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	began := processorTime(tb)
	r, err := Solve(ctx, p, Settings{TimeLimit: -1, planned: most, Threads: 1, Warm: warm, Progress: func(p Progress) {
		used := processorTime(tb) - began
		tr.at, tr.cost = append(tr.at, used), append(tr.cost, p.Cost)
		if used > most {
			stop()
		}
	}})
	if err != nil {
		tb.Fatal(err)
	}
	tr.end = processorTime(tb) - began
	return tr, r
}

// within gives when a cost was first at most so much.
func (tr *trace) within(cost float64) time.Duration {
	for k, c := range tr.cost {
		if c <= cost {
			return tr.at[k]
		}
	}
	return tr.end
}

// BenchmarkWarm measures warm starts beside cold ones in the same run: milliseconds
// of processor time to the first plan that is shown, and to one within 1% of the
// best that either found, after an edit and a year later. Each has three seconds.
func BenchmarkWarm(b *testing.B) {
	for _, size := range [][3]int{{24, 5, 0}, {100, 10, 0}, {300, 15, 0}} {
		p := family.Property(3, size[0], size[1], size[2])
		_, first := follow(b, p, nil, 5*time.Second)
		for _, kind := range []string{"edit", "later"} {
			b.Run(problemName(size, kind), func(b *testing.B) {
				r := rand.New(rand.NewPCG(1, 52))
				var sums [8]float64
				for range b.N {
					q := later(b, p, first.Answer.Burns)
					if kind == "edit" {
						q, _ = edited(b, p, first.Answer.Burns, r)
					}
					cold, c := follow(b, q, nil, 3*time.Second)
					warm, w := follow(b, q, first.Warm, 3*time.Second)
					best := min(c.Answer.Cost, w.Answer.Cost)
					for k, x := range []float64{ms(warm.at[0]), ms(cold.at[0]), ms(warm.within(1.01 * best)), ms(cold.within(1.01 * best)),
						100 * (w.Answer.Cost/best - 1), 100 * (c.Answer.Cost/best - 1), 100 * w.Answer.Gap, 100 * c.Answer.Gap} {
						sums[k] += x / float64(b.N)
					}
				}
				for k, name := range []string{"warm-first-ms", "cold-first-ms", "warm-1%-ms", "cold-1%-ms", "warm-off-%", "cold-off-%", "warm-gap-%", "cold-gap-%"} {
					b.ReportMetric(sums[k], name)
				}
			})
		}
	}
}

func ms(d time.Duration) float64 { return float64(d) / float64(time.Millisecond) }

func problemName(size [3]int, kind string) string {
	return fmt.Sprintf("%s-%dx%d", kind, size[0], size[1])
}
