package main

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// form is how the log of a solver is read. Each of lines matches a line that
// says how far it has come, with groups named cost, bound and time as far as the
// line has them; one without a time is of the end.
type form struct {
	lines   []*regexp.Regexp
	optimal *regexp.Regexp
}

var (
	cbcForm = form{[]*regexp.Regexp{
		regexp.MustCompile(`^Continuous objective value is (?P<bound>\S+) - (?P<time>\S+) seconds`),
		regexp.MustCompile(`^Cbc\d+I Integer solution of (?P<cost>\S+) found .*\((?P<time>\S+) seconds\)`),
		regexp.MustCompile(`^Cbc0010I After .* tree, (?P<cost>\S+) best solution, best possible (?P<bound>\S+) \((?P<time>\S+) seconds\)`),
		regexp.MustCompile(`^Objective value: +(?P<cost>\S+)`),
		regexp.MustCompile(`^Lower bound: +(?P<bound>\S+)`),
	}, regexp.MustCompile(`(?m)^Result - Optimal solution found`)}
	highsForm = form{[]*regexp.Regexp{
		regexp.MustCompile(`^[ A-Za-z]{1,3} +\S+ +\S+ +\S+ +\S+% +(?P<bound>\S+) +(?P<cost>\S+) .* (?P<time>[\d.]+)s$`),
		regexp.MustCompile(`^  Primal bound +(?P<cost>\S+)`),
		regexp.MustCompile(`^  Dual bound +(?P<bound>\S+)`),
	}, regexp.MustCompile(`(?m)^  Status +Optimal`)}
)

// course is how far a solver came, and when.
type course struct {
	// steps are in the order of the log; seconds are of the solver's own clock,
	// +Inf for what its report at the end says.
	steps []step
	// optimal says that it proved its plan; seconds is the wall time it took.
	optimal bool
	seconds float64
	// trouble says why there may be less than wanted.
	trouble string
}

type step struct {
	seconds float64
	state
}

// unknown is the state of a solver that has said nothing; its bound is −Inf.
var unknown = state{math.Inf(1), math.Inf(-1)}

// read gives the course that a log tells of a run of so many seconds.
func (f form) read(log string, seconds float64) course {
	c := course{optimal: f.optimal.MatchString(log), seconds: seconds}
	now := unknown
	for line := range strings.Lines(log) {
		line = strings.TrimRight(line, "\r\n ")
		for _, form := range f.lines {
			found := form.FindStringSubmatch(line)
			if found == nil {
				continue
			}
			at, good := math.Inf(1), true
			for k, name := range form.SubexpNames() {
				if name == "" {
					continue
				}
				x, err := strconv.ParseFloat(found[k], 64)
				switch {
				case err != nil:
					good = false
				case name == "time":
					at = x
				case math.Abs(x) > 1e40: // CBC writes 1e+50 for none, HiGHS inf
				case name == "cost":
					now.cost = x
				case name == "bound":
					now.bound = x
				}
			}
			if good {
				c.steps = append(c.steps, step{at, now})
			}
		}
	}
	return c
}

// at gives what the solver had after so many seconds of its own clock; +Inf
// stands for its end.
func (c *course) at(seconds float64) state {
	now := unknown
	for _, s := range c.steps {
		if s.seconds <= seconds {
			now = s.state
		}
	}
	return now
}

// say writes the state after so many seconds as a cell of the table.
func (c *course) say(seconds float64) string {
	now, text := c.at(seconds), ""
	switch {
	case c.optimal && c.seconds <= seconds:
		return fmt.Sprintf("optimal %s in %.1f s", number(now.cost, 1), c.seconds)
	case math.IsInf(now.cost, 1) && math.IsInf(now.bound, -1):
		if c.trouble != "" {
			return c.trouble
		}
		text = "neither plan nor bound"
	case math.IsInf(now.cost, 1):
		text = "no plan, bound " + number(now.bound, 1)
	case math.IsInf(now.bound, -1):
		text = number(now.cost, 1) + ", no bound"
	default:
		text = fmt.Sprintf("%s, bound %s, gap %s", number(now.cost, 1), number(now.bound, 1), percent(now.gap()))
	}
	if math.IsInf(seconds, 1) {
		text += fmt.Sprintf(" in %.0f s", c.seconds)
		if c.trouble != "" {
			text += "; " + c.trouble
		}
	}
	return text
}
