package rehearsal

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"sync/atomic"

	"emberquilt/schedule/guard"
	"emberquilt/schedule/problem"
)

// counter is shared by those that take from it.
type counter struct{ atomic.Int64 }

// take counts one more, and reports false above a limit.
func (c *counter) take(limit int64) bool { return c.Add(1) <= limit }

// run is a rehearsal under way.
type run struct {
	g     *ground
	rules []Rule
	set   Settings
	roots []*node
	kept  []counter
	// classes are the different resources of the rules, classOf that of each rule.
	classes []resources
	classOf []int

	mutex  sync.Mutex
	counts [][]Future // of each rule and future
	bounds [][]float64
	units  []unitCounts // of each rule
	done   []bool
	count  int
}

// unitCounts sum over futures what became of each unit.
type unitCounts struct {
	// overdue counts the futures in which a unit is overdue, at year·n+unit; ever
	// those in which it ever is. years and burns sum its intervals.
	overdue, ever, years, burns []int
}

func newUnitCounts(years, n int) unitCounts {
	return unitCounts{make([]int, years*n), make([]int, n), make([]int, n), make([]int, n)}
}

// Run rehearses. When ctx is canceled it gives what the futures played so far
// say, with the error of ctx, and nil where there is none yet. Any other error
// means that there is no result.
func Run(ctx context.Context, in *Input, rules []Rule, settings Settings) (*Result, error) {
	set := settings.filled()
	if err := in.validate(rules, &set); err != nil {
		return nil, err
	}
	r := &run{g: newGround(in), rules: rules, set: set, kept: make([]counter, len(rules)), done: make([]bool, set.Futures)}
	for i := range rules {
		r.roots = append(r.roots, &node{})
		r.counts = append(r.counts, make([]Future, set.Futures))
		r.units = append(r.units, newUnitCounts(in.Years, r.g.n))
		with := rules[i].resources()
		class := slices.Index(r.classes, with)
		if class < 0 {
			class = len(r.classes)
			r.classes = append(r.classes, with)
			r.bounds = append(r.bounds, make([]float64, set.Futures))
		}
		r.classOf = append(r.classOf, class)
	}
	if set.Wildfire > 0 {
		r.set.NoForesight = true
	}
	inner, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	var next atomic.Int64
	var all guard.Group
	for range min(set.Threads, set.Futures) {
		all.Go(func() {
			for inner.Err() == nil {
				at := int(next.Add(1)) - 1
				if at >= set.Futures {
					return
				}
				if err := r.play(inner, at); err != nil {
					stop(err)
				}
			}
		})
	}
	all.Wait()
	if err := context.Cause(inner); err != nil && ctx.Err() == nil {
		return nil, err
	}
	if r.count == 0 {
		return nil, ctx.Err()
	}
	return r.result(), ctx.Err()
}

// play plays one future by every rule.
func (r *run) play(ctx context.Context, at int) error {
	f := r.g.draw(&r.set, r.set.Skip+at)
	bounds := make([]float64, len(r.classes))
	if !r.set.NoForesight {
		for class, with := range r.classes {
			var err error
			if bounds[class], err = r.foresight(ctx, f, with); err != nil || ctx.Err() != nil {
				return err
			}
		}
	}
	counts, units := make([]Future, len(r.rules)), make([]unitCounts, len(r.rules))
	for i := range r.rules {
		units[i] = newUnitCounts(r.g.Years, r.g.n)
		played, err := r.playRule(ctx, f, i, &units[i])
		if err != nil || ctx.Err() != nil {
			return err
		}
		counts[i] = played.Future
		bound := bounds[r.classOf[i]]
		if cost := played.Future.Shortfall; !r.set.NoForesight && cost < bound-problem.OptimalGap*max(1, bound) {
			return fmt.Errorf("rehearsal: rule %s comes to %v in future %d, below the foresight bound of %v: a defect", r.rules[i].Name, cost, f.number, bound)
		}
		if r.set.Trace != nil {
			played.Bound, played.HasBound = bound, !r.set.NoForesight
			r.set.Trace(played)
		}
	}
	r.mutex.Lock()
	defer r.mutex.Unlock()
	for i := range counts {
		r.counts[i][at] = counts[i]
		r.units[i].add(&units[i])
	}
	for class := range bounds {
		r.bounds[class][at] = bounds[class]
	}
	r.done[at] = true
	r.count++
	if r.set.Progress != nil {
		r.set.Progress(r.count, r.set.Futures)
	}
	return nil
}

func (u *unitCounts) add(v *unitCounts) {
	for k, list := range [][]int{u.overdue, u.ever, u.years, u.burns} {
		for at, x := range [][]int{v.overdue, v.ever, v.years, v.burns}[k] {
			list[at] += x
		}
	}
}

// playRule plays one future by one rule.
func (r *run) playRule(ctx context.Context, f *future, rule int, units *unitCounts) (*Played, error) {
	g, how := r.g, &r.rules[rule]
	p := g.Problem
	c := newCosts(p)
	ages := make([]int, g.n)
	for i := range ages {
		ages[i] = p.Units[i].Age
	}
	played := &Played{Rule: how.Name, Number: f.number, Drawn: f.drawn}
	out := &played.Future
	out.InBands = make([]int, len(p.Mixes))
	inBands := make([]bool, len(p.Mixes))
	var now *node
	for k := range g.Years {
		y := g.newYear(f, k, how, ages)
		shown := PlayedYear{Ages: slices.Clone(ages)}
		if how.MostOverdueFirst {
			y.burnDue()
		} else {
			before := now
			if k == 0 {
				now = r.roots[rule]
			} else {
				now = before.child(k, ages, &r.kept[rule])
			}
			if err := now.make(ctx, r, how, k, ages, before); err != nil || ctx.Err() != nil {
				return played, err
			}
			if k > 0 {
				out.Changed += g.changed(before, now)
				out.Decisions += g.n * (g.PlanYears - 1)
			}
			if now.cut {
				out.Cut++
			}
			if !(k == 0 && how.First != nil) {
				out.Plans++
			}
			out.Dropped += now.dropped
			y.follow(now.plan[:g.n], now.wait, now.waitNext)
			shown.Plan = now.solved.Answer.Burns
		}
		out.Planned, out.Done, out.InSeason = out.Planned+y.planned, out.Done+y.done, out.InSeason+y.inSeason
		acres, overdue, late := 0.0, 0.0, 0
		for i := range ages {
			u := &p.Units[i]
			ages[i]++
			switch {
			case y.season[i] >= 0:
				out.Burns++
				units.years[i] += ages[i]
				units.burns[i]++
				acres += u.Acres
				ages[i] = 0
				shown.Burned = append(shown.Burned, problem.Burn{Unit: i, Year: p.FirstYear + k, Season: int(y.season[i])})
			case f.wild != nil && f.wild[k][i]:
				ages[i] = 0
			}
			if ages[i] >= u.MaxInterval {
				units.overdue[k*g.n+i]++
				units.ever[i] = 1
				overdue += u.Acres
				late++
				out.WorstLate = max(out.WorstLate, ages[i]-u.MaxInterval+1)
			}
		}
		out.Acres, out.OverdueAcres, out.OverdueUnits = append(out.Acres, acres), append(out.OverdueAcres, overdue), append(out.OverdueUnits, late)
		out.Parts = sum(out.Parts, c.year(ages, y.season, inBands))
		for m, ok := range inBands {
			if ok {
				out.InBands[m]++
			}
		}
		played.Years = append(played.Years, shown)
	}
	out.Shortfall = out.Parts.Total()
	return played, nil
}

// changed counts the units and years that both plans show in which one burns and
// the other rests.
func (g *ground) changed(before, now *node) int {
	n := 0
	for t := range g.PlanYears - 1 {
		for i := range g.n {
			was := (t+1)*g.n+i < len(before.plan) && before.plan[(t+1)*g.n+i] >= 0
			if was != (now.plan[t*g.n+i] >= 0) {
				n++
			}
		}
	}
	return n
}
