package main

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"runtime/debug"
	"runtime/metrics"
	"sync"
	"time"

	"emberquilt/schedule/certify"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation"
)

// outcome is what one problem gave.
type outcome struct {
	*entry
	units, years int
	answer       *problem.Answer
	stats        rotation.Stats
	seconds      float64
	// first is the state when there first was a plan and a bound; at are those
	// of the times that were asked for.
	first state
	at    []state
	// near is when the gap first was 2% or less, +Inf for never.
	near float64
	// certificate is the size in bytes, check the seconds that the check took.
	certificate int
	check       float64
	megabytes   float64
	// others is how far the other solvers came, in the order of options.others.
	others []course
}

// nearGap is the gap whose time is noted.
const nearGap = 0.02

// state is cost and bound at one time; cost is +Inf without a plan.
type state struct{ cost, bound float64 }

func (s state) gap() float64 {
	if math.IsInf(s.cost, 1) {
		return math.Inf(1)
	}
	return problem.GapOf(s.cost, max(0, s.bound)) // no plan costs less than 0
}

// twiceUnits is from how many units on a problem has twice the time.
const twiceUnits = 10_000

// measure solves one problem and has the answer checked.
func measure(ctx context.Context, e *entry, o *options) (*outcome, error) {
	p, err := e.read()
	if err != nil {
		return nil, err
	}
	r := &outcome{entry: e, units: len(p.Units), years: p.T(), at: make([]state, len(o.at)), first: state{math.Inf(1), 0}, near: math.Inf(1)}
	for k := range r.at {
		r.at[k] = state{math.Inf(1), 0}
	}
	seconds := o.seconds
	if r.units >= twiceUnits {
		seconds *= 2
	}
	debug.FreeOSMemory() // what problems before this one took does not count
	memory := watchMemory()
	started := time.Now()
	res, err := rotation.Solve(ctx, p, rotation.Settings{
		TimeLimit: time.Duration(seconds * float64(time.Second)), Threads: o.threads, Seed: o.seed,
		Progress: func(g rotation.Progress) {
			now := state{g.Cost, max(0, g.Bound)}
			if math.IsInf(r.first.cost, 1) {
				r.first = now
			}
			if now.gap() <= nearGap {
				r.near = min(r.near, g.Elapsed.Seconds())
			}
			for k, at := range o.at {
				if g.Elapsed.Seconds() <= at {
					r.at[k] = now
				}
			}
		},
	})
	r.seconds = time.Since(started).Seconds()
	r.megabytes = memory()
	if err != nil {
		return nil, err
	}
	r.answer, r.stats = res.Answer, res.Stats
	if r.answer.Gap <= nearGap {
		r.near = min(r.near, r.seconds)
	}
	for k, at := range o.at { // a solve that ended before
		if r.seconds <= at {
			r.at[k] = state{r.answer.Cost, r.answer.Bound}
		}
	}
	if err := r.verify(ctx, p, res.Certificate); err != nil {
		return nil, err
	}
	for _, name := range o.others {
		r.others = append(r.others, others[name].run(ctx, p, o.seconds))
	}
	return r, nil
}

// verify writes the certificate to bytes, reads it back and checks the answer
// with it: what a user could do.
func (r *outcome) verify(ctx context.Context, p *problem.Problem, c *problem.Certificate) error {
	if r.answer.Status != problem.Infeasible {
		var b bytes.Buffer
		if err := problem.WriteCertificate(&b, c, p); err != nil {
			return err
		}
		r.certificate = b.Len()
		var err error
		if c, err = problem.ReadCertificate(&b, "certificate", p); err != nil {
			return err
		}
	}
	started := time.Now()
	report, err := certify.Check(context.WithoutCancel(ctx), p, r.answer, c)
	r.check = time.Since(started).Seconds()
	if err == nil && !report.OK() {
		err = fmt.Errorf("the answer does not hold: %s", report.Violations[0])
	}
	return err
}

// watchMemory notes the memory of the program every 50 ms, and gives the most,
// in megabytes, when it is asked to stop.
func watchMemory() (stop func() float64) {
	samples := []metrics.Sample{{Name: "/memory/classes/total:bytes"}, {Name: "/memory/classes/heap/released:bytes"}}
	var most uint64
	done := make(chan struct{})
	var group sync.WaitGroup
	group.Go(func() {
		tick := time.NewTicker(50 * time.Millisecond)
		defer tick.Stop()
		for {
			metrics.Read(samples)
			most = max(most, samples[0].Value.Uint64()-samples[1].Value.Uint64())
			select {
			case <-tick.C:
			case <-done:
				return
			}
		}
	})
	return func() float64 {
		close(done)
		group.Wait()
		return float64(most) / 1e6
	}
}
