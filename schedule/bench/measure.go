package main

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime/metrics"
	"strconv"
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
	// certificate is the size in bytes, check the seconds that the check took.
	certificate int
	check       float64
	megabytes   float64
	other       string
}

// state is cost and bound at one time; cost is +Inf without a plan.
type state struct{ cost, bound float64 }

func (s state) gap() float64 {
	if math.IsInf(s.cost, 1) {
		return math.Inf(1)
	}
	return problem.GapOf(s.cost, s.bound)
}

// measure solves one problem and has the answer checked.
func measure(ctx context.Context, e *entry, o *options) (*outcome, error) {
	p, err := e.read()
	if err != nil {
		return nil, err
	}
	r := &outcome{entry: e, units: len(p.Units), years: p.T(), at: make([]state, len(o.at)), first: state{math.Inf(1), 0}}
	for k := range r.at {
		r.at[k] = state{math.Inf(1), 0}
	}
	memory := watchMemory()
	started := time.Now()
	res, err := rotation.Solve(ctx, p, rotation.Settings{
		TimeLimit: time.Duration(o.seconds * float64(time.Second)), Threads: o.threads, Seed: o.seed,
		Progress: func(g rotation.Progress) {
			now := state{g.Cost, max(0, g.Bound)}
			if math.IsInf(r.first.cost, 1) {
				r.first = now
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
	for k, at := range o.at { // a solve that ended before
		if r.seconds <= at {
			r.at[k] = state{r.answer.Cost, r.answer.Bound}
		}
	}
	if err := r.verify(ctx, p, res.Certificate); err != nil {
		return nil, err
	}
	if o.other != "" {
		r.other = runCBC(ctx, p, o)
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

var (
	cbcSolution = regexp.MustCompile(`(?m)^Objective value:\s+(\S+)`)
	cbcBound    = regexp.MustCompile(`(?m)^Lower bound:\s+(\S+)`)
	cbcOptimal  = regexp.MustCompile(`Result - Optimal solution found`)
	cbcNone     = regexp.MustCompile(`No feasible solution found`)
)

// runCBC runs CBC on the same problem for the same wall time, on one thread
// (version 2.10.8 of Debian aborts with more), and says in a few words how far
// it came.
func runCBC(ctx context.Context, p *problem.Problem, o *options) string {
	folder, err := os.MkdirTemp("", "bench")
	if err != nil {
		return err.Error()
	}
	defer os.RemoveAll(folder)
	file := filepath.Join(folder, "p.mps")
	if err := writeFile(file, p, problem.WriteMPS); err != nil {
		return err.Error()
	}
	seconds := strconv.FormatFloat(o.seconds, 'f', -1, 64)
	// CBC looks at its clock seldom; a little after its time it is stopped.
	limited, cancel := context.WithTimeout(ctx, time.Duration(1.5*o.seconds*float64(time.Second))+5*time.Second)
	defer cancel()
	started := time.Now()
	log, err := exec.CommandContext(limited, "cbc", file, "timemode", "elapsed", "sec", seconds, "solve", "quit").CombinedOutput()
	took := time.Since(started).Seconds()
	solution, bound := cbcSolution.FindSubmatch(log), cbcBound.FindSubmatch(log)
	switch {
	case limited.Err() != nil:
		return fmt.Sprintf("did not come back in %.0f s", took)
	case err != nil:
		return err.Error()
	case cbcOptimal.Match(log) && solution != nil:
		return fmt.Sprintf("optimal %s in %.1f s", solution[1], took)
	case solution != nil && bound != nil && !cbcNone.Match(log):
		return fmt.Sprintf("%s, bound %s in %.0f s", solution[1], bound[1], took)
	case bound != nil:
		return fmt.Sprintf("no plan, bound %s in %.0f s", bound[1], took)
	}
	return fmt.Sprintf("no plan in %.0f s", took)
}
