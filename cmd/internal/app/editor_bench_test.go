package app

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"sync"
	"testing"
	"time"

	"emberquilt/habitat"
	"emberquilt/schedule/rotation"
)

// course is when plans that hold an edit came, and what each cost.
type course struct {
	at   []time.Duration
	cost []float64
}

func (c *course) best() float64 { return slices.Min(c.cost) }

// within gives when a plan came that costs no more.
func (c *course) within(cost float64) time.Duration {
	for k := range c.at {
		if c.cost[k] <= cost {
			return c.at[k]
		}
	}
	return c.at[len(c.at)-1]
}

// BenchmarkEdit measures, in wall time, what an editor takes from an edit to the
// first plan that holds it, and to one within 1% of the best that it or a solve from
// nothing finds in the same time. Run it with -benchtime 50x: the figures are medians
// over the edits, a random one each, up to eight in one draft. What an edit takes
// holds its transaction and the end of the solve before.
func BenchmarkEdit(b *testing.B) {
	for _, size := range []struct {
		units, years int
		plan, each   time.Duration
	}{{24, 5, 4 * time.Second, time.Second}, {100, 10, 6 * time.Second, 1500 * time.Millisecond}, {300, 15, 12 * time.Second, 3 * time.Second}} {
		b.Run(fmt.Sprintf("%dx%d", size.units, size.years), func(b *testing.B) {
			ctx := context.Background()
			s := landOf(b, size.units, size.years, rotation.Settings{TimeLimit: size.plan, Threads: 2})
			e := editorOf(b)
			e.Limit = size.each
			r := rand.New(rand.NewPCG(21, 1))
			var first, near, coldFirst, coldNear, off []float64
			var mu sync.Mutex
			var warm course
			var began time.Time
			var before int64
			e.Tell = func(news EditNews) {
				mu.Lock()
				defer mu.Unlock()
				if news.Serial > before && news.Holds && news.Figures.Shortfall != nil {
					warm.at, warm.cost = append(warm.at, time.Since(began)), append(warm.cost, *news.Figures.Shortfall)
				}
			}
			b.ResetTimer()
			for range b.N {
				state, err := e.State(ctx, s, 0)
				if err != nil {
					b.Fatal(err)
				}
				if len(state.Edits) >= 8 {
					if err := e.Discard(ctx, s); err != nil {
						b.Fatal(err)
					}
				}
				// The solve of the edit before is under way again, as when a user goes on.
				if err := e.GoOn(ctx, s); err != nil {
					b.Fatal(err)
				}
				var after *EditState
				for after == nil {
					step := habitat.EditStep{anyEdit(r, state)}
					mu.Lock()
					warm, began, before = course{}, time.Now(), e.now.serial
					mu.Unlock()
					got, err := e.Edit(ctx, s, 0, step)
					var refusal *EditRefusal
					if err != nil && !errors.As(err, &refusal) {
						b.Fatal(err)
					}
					if err == nil && got.Undo > state.Undo {
						after = got
					}
				}
				settled(b, e, s)
				e.mu.Lock()
				p := e.now.p
				e.mu.Unlock()
				var cold course
				started := time.Now()
				result, err := rotation.Solve(ctx, p, rotation.Settings{TimeLimit: size.each, Threads: 2, Progress: func(now rotation.Progress) {
					if now.Answer() != nil {
						cold.at, cold.cost = append(cold.at, time.Since(started)), append(cold.cost, now.Cost)
					}
				}})
				if err != nil {
					b.Fatal(err)
				}
				cold.at, cold.cost = append(cold.at, time.Since(started)), append(cold.cost, result.Answer.Cost)
				mu.Lock()
				best := min(warm.best(), cold.best())
				for _, one := range []struct {
					to *[]float64
					d  time.Duration
				}{{&first, warm.at[0]}, {&near, warm.within(1.01 * best)}, {&coldFirst, cold.at[0]}, {&coldNear, cold.within(1.01 * best)}} {
					*one.to = append(*one.to, float64(one.d)/float64(time.Millisecond))
				}
				off = append(off, 100*(cold.best()/warm.best()-1))
				mu.Unlock()
			}
			for _, figure := range []struct {
				name string
				all  []float64
			}{{"first-ms", first}, {"1%-ms", near}, {"cold-first-ms", coldFirst}, {"cold-1%-ms", coldNear}, {"cold-above-%", off}} {
				slices.Sort(figure.all)
				b.ReportMetric(figure.all[len(figure.all)/2], figure.name)
			}
			b.ReportMetric(first[len(first)*9/10], "first-9of10-ms")
		})
	}
}
