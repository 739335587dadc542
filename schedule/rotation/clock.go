package rotation

import (
	"context"
	"time"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation/internal/sweep"
)

// What a limit goes by: now, and what is done at a time. Measurements on a machine with
// other work put processor time in their place (load_test.go).
var (
	now = time.Now
	at  = func(when time.Time, do func()) (hold func() bool) {
		return time.AfterFunc(time.Until(when), do).Stop
	}
)

// clock divides a time limit. The rounds have all but its end, so that an answer
// proven in them does not depend on it; then the cooling at work is brought to an
// end in a hurry and the neighborhoods of the best plan are searched; and what is left is
// for making the answer.
type clock struct {
	started time.Time
	limit   time.Duration // 0 or less: none
	// parent is the caller's context, rounds is done when the rounds are to end.
	parent, rounds context.Context
	stop           context.CancelFunc
	// hold keeps the timer from ending the rounds, and reports whether it was in time.
	hold func() bool
	// reserve is kept for making the answer.
	reserve time.Duration
}

// roundsPart is the part of the limit that the rounds have, and leastReserve is kept for
// the answer at least.
// reserveTimes is how many times as long as the pass over a plan that is measured
// the answer may take to make.
const (
	roundsPart   = 0.92
	leastReserve = 0.03
	reserveTimes = 4
)

func newClock(ctx context.Context, limit time.Duration, started time.Time) *clock {
	c := &clock{started: started, limit: limit, parent: ctx}
	c.rounds, c.stop = context.WithCancel(ctx)
	if limit > 0 {
		c.reserve = part(limit, leastReserve)
		c.hold = at(started.Add(part(limit, roundsPart)), c.stop)
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
	began := now()
	pass()
	if need := reserveTimes * now().Sub(began); need > c.reserve {
		c.reserve = min(need, c.limit/4)
		if c.hold() {
			c.hold = at(c.started.Add(part(c.limit, roundsPart+leastReserve)-c.reserve), c.stop)
		}
	}
}

// isAfter reports whether a part of the limit is over.
func (c *clock) isAfter(of float64) bool {
	return c.limit > 0 && now().Sub(c.started) > part(c.limit, of)
}

// roundsLeft gives the nanoseconds until the rounds end.
func (c *clock) roundsLeft() float64 {
	return float64(max(0, c.started.Add(part(c.limit, roundsPart)).Sub(now())))
}

// coolingLeft gives the nanoseconds until coolings are to end, which is after the rounds,
// by a part of the time that is left then.
func (c *clock) coolingLeft(part float64) float64 {
	last := (1-roundsPart)*float64(c.limit) - float64(c.reserve) // that finish has
	return c.roundsLeft() + max(0, part*last)
}

// isOver reports whether the limit, and not the caller, has ended the rounds.
func (c *clock) isOver() bool { return c.limit > 0 && c.rounds.Err() != nil && c.parent.Err() == nil }

// finish brings the cooling at work to an end, where the limit has ended the rounds, and
// searches the plan's neighborhoods in the rest of the time.
func (s *solver) finish() {
	if !s.clock.isOver() || s.stepTime == 0 {
		return
	}
	end := s.clock.started.Add(s.clock.limit - s.clock.reserve)
	left := end.Sub(now())
	if left <= 0 {
		return
	}
	ctx, stop := context.WithCancel(s.clock.parent)
	defer stop()
	defer at(end, stop)()
	_, most := s.lastParts()
	s.searcher.Finish(ctx, int64(most*float64(left)/s.stepTime), s.set.Threads)
	s.takeBest()
	if s.isPolished() {
		s.polishLast(ctx)
	}
}

// isPolished reports whether the last plan's neighborhoods are searched: not where units
// are so few that sweeps see all of them at once, nor where cycles of units or years in
// pairs do better.
func (s *solver) isPolished() bool {
	return s.m.N > sweep.MaxUnits && s.exchanger == nil && s.yearPairs == nil
}

// polishLast searches neighborhoods of the best plan until ctx is done. What a cooling
// leaves is seldom the best of its neighborhoods.
func (s *solver) polishLast(ctx context.Context) {
	for s.plan != nil && ctx.Err() == nil && problem.GapOf(s.cost, s.lower()) > s.set.Gap {
		if better, _ := s.polisher.Step(ctx, s.plan, s.cost, s.engine.Price, polishWork); better != nil {
			s.searcher.Offer(better)
			s.takeBest()
		}
	}
}

// lastParts gives how much of the time after the rounds coolings are planned to take, and
// how much their end may take by the pace of late; the sweeps after it take some.
func (s *solver) lastParts() (planned, most float64) {
	if s.isPolished() {
		return 0.2, 0.4
	}
	return 0.6, 0.8
}
