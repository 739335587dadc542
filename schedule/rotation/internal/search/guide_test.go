package search

import (
	"context"
	"math"
	"slices"
	"testing"
)

// A guide to the burns of a plan leads hot walks toward it, and one away from them away
// from it; what is noted of a plan is its cost all the same.
func TestGuideLeadsHotWalks(t *testing.T) {
	m := load(t, "medium-103")
	good := New(m, 5, 0)
	good.Run(context.Background(), 100_000, 1)
	plan, _, _ := good.Best()
	toward, away := make([]float64, m.N*m.T), make([]float64, m.N*m.T)
	for at, q := range plan {
		if q >= 0 {
			toward[at] = 1
		} else {
			away[at] = 1
		}
	}
	shared := func(guide []float64) (burns float64) {
		x := New(m, 1, 0)
		x.Run(context.Background(), 20_000, 1)
		if guide != nil {
			x.Guide(guide)
		}
		w := x.walks[0]
		w.cycle = cycle{from: w.steps, steps: 1 << 30, heat: usual} // stays hot
		for range 200 {
			w.cool(context.Background(), w.steps+100, 1)
			for at, q := range w.season {
				if q >= 0 && plan[at] >= 0 {
					burns++
				}
			}
		}
		running := w.total
		if w.resum(); math.Abs(running-w.total) > 1e-6*w.total {
			t.Errorf("running cost %v, summed anew %v", running, w.total)
		}
		return burns / 200
	}
	to, none, from := shared(toward), shared(nil), shared(away)
	if to < 1.2*none || from > 0.9*none {
		t.Errorf("burns shared with the plan: %.1f toward, %.1f without a guide, %.1f away", to, none, from)
	}
}

// Walks that begin later are guided too, and a guide changes nothing but chances: two
// threads find what one does.
func TestGuidedThreadsFindTheSame(t *testing.T) {
	m := load(t, "small-105")
	share := make([]float64, m.N*m.T)
	for at := range share {
		share[at] = float64(at%7) / 7
	}
	run := func(threads int, isGuided bool) *Searcher {
		x := New(m, 3, 600_000)
		x.Run(context.Background(), 50_000, threads)
		if isGuided {
			x.Guide(share)
		}
		for range 50 {
			x.Run(context.Background(), 9000, threads)
		}
		return x
	}
	one, two, plain := run(1, true), run(2, true), run(1, false)
	if one.steps != two.steps || !slices.Equal(one.walks[0].season, two.walks[0].season) {
		t.Errorf("%d steps on one thread, %d on two, or other plans", one.steps, two.steps)
	}
	if slices.Equal(one.walks[0].season, plain.walks[0].season) {
		t.Error("a guide changed nothing: the comparison cannot fail")
	}
	for k, w := range one.walks {
		if w.guide == nil {
			t.Errorf("walk %d of %d has no guide", k, len(one.walks))
		}
	}
	if len(one.walks) < fewestMany {
		t.Errorf("only %d walks", len(one.walks))
	}
}
