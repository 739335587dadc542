package rotation

import (
	"context"
	"time"
)

// clock divides a time limit. The rounds have all but its end, so that an answer
// proven in them does not depend on it; then the cooling at work is brought to an
// end in a hurry; and what is left is for making the answer.
type clock struct {
	started time.Time
	limit   time.Duration // 0 or less: none
	// parent is the caller's context, rounds is done when the rounds are to end.
	parent, rounds context.Context
	stop           context.CancelFunc
	timer          *time.Timer
	// reserve is kept for making the answer.
	reserve time.Duration
}

// roundsPart is the part of the limit that the rounds have, lastPart is after which
// long coolings are hurried, and leastReserve is kept for the answer at least.
// reserveTimes is how many times as long as the pass over a plan that is measured
// the answer may take to make.
const (
	roundsPart   = 0.92
	lastPart     = 0.7
	leastReserve = 0.03
	reserveTimes = 4
)

func newClock(ctx context.Context, limit time.Duration, started time.Time) *clock {
	c := &clock{started: started, limit: limit, parent: ctx}
	c.rounds, c.stop = context.WithCancel(ctx)
	if limit > 0 {
		c.reserve = part(limit, leastReserve)
		c.timer = time.AfterFunc(time.Until(started.Add(part(limit, roundsPart))), c.stop)
	}
	return c
}

func part(limit time.Duration, of float64) time.Duration { return time.Duration(of * float64(limit)) }

// measure times a pass over a plan, as making the answer takes some of: on a large
// problem or a machine with other work the rounds end earlier.
func (c *clock) measure(pass func()) {
	if c.limit <= 0 {
		return
	}
	began := time.Now()
	pass()
	if need := reserveTimes * time.Since(began); need > c.reserve {
		c.reserve = min(need, c.limit/4)
		if c.timer.Stop() {
			c.timer.Reset(time.Until(c.started.Add(part(c.limit, roundsPart+leastReserve) - c.reserve)))
		}
	}
}

// isLast reports whether the last part of the limit has begun.
func (c *clock) isLast() bool {
	return c.limit > 0 && time.Since(c.started) > part(c.limit, lastPart)
}

// roundsLeft gives the nanoseconds until the rounds end.
func (c *clock) roundsLeft() float64 {
	return float64(max(0, time.Until(c.started.Add(part(c.limit, roundsPart)))))
}

// isOver reports whether the limit, and not the caller, has ended the rounds.
func (c *clock) isOver() bool { return c.limit > 0 && c.rounds.Err() != nil && c.parent.Err() == nil }

// finish brings the cooling at work to an end, where the limit has ended the rounds.
func (s *solver) finish() {
	if !s.clock.isOver() || s.stepTime == 0 {
		return
	}
	end := s.clock.started.Add(s.clock.limit - s.clock.reserve)
	left := time.Until(end)
	if left <= 0 {
		return
	}
	ctx, stop := context.WithDeadline(s.clock.parent, end)
	defer stop()
	s.searcher.Finish(ctx, int64(finishPart*float64(left)/s.stepTime), s.set.Threads)
	s.takeBest()
}

// finishPart is how much of the time that is left the end of a cooling may take by
// the pace of late; the sweeps after it take some.
const finishPart = 0.8
