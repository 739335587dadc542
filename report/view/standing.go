package view

import (
	"fmt"

	"emberquilt/habitat"
	"emberquilt/habitat/quantity"
)

// FirstYear says how a plan was made whose first year may stand up better than that of
// the plain plan, which is the zero value.
type FirstYear struct {
	// Toward is by what share the burn days that it was made with lie from those of the
	// poor year toward those of the median year; nil where it was not made so.
	Toward *float64
	// NearBest numbers plans nearly as good as the plain one; 0 for none of these.
	NearBest int
}

// Words says it.
func (f FirstYear) Words() string {
	switch {
	case f.NearBest > 0:
		return fmt.Sprintf("near-best plan %d", f.NearBest)
	case f.Toward == nil:
		return "the plain plan"
	case *f.Toward == 0:
		return "a plan with the burn days of the poor year"
	case *f.Toward == 1:
		return "a plan with the burn days of the median year"
	}
	return fmt.Sprintf("a plan with burn days %s of the way from the poor to the median year", Percent(*f.Toward))
}

// StandingChoice is how a plan was chosen for standing up best.
type StandingChoice struct {
	// Plans counts those that were compared, the plain one among them, ChosenIn the
	// futures in which they were.
	Plans, ChosenIn int
	// Best is the one that came to least in those.
	Best FirstYear
	// ReportedIn counts the other futures in which Best was compared with the plain
	// plan, Difference is its shortfall less that of the plain plan in them.
	ReportedIn int
	Difference habitat.Spread
}

// IsSurer reports whether the other futures confirm the choice: the 95% interval of the
// difference lies below 0.
func (c *StandingChoice) IsSurer() bool { return c.Difference.High < 0 }

// Words says which plan is kept, and why.
func (c *StandingChoice) Words() string {
	var words string
	plans := quantity.Count(c.Plans, "plan")
	d := c.Difference
	switch {
	case c.Plans == 1:
		words = "no other first year is nearly as good, so that the plain plan is kept"
	case c.Best == FirstYear{}:
		words = fmt.Sprintf("%s with different first years were rehearsed in %s, and none came to less than the plain plan", plans, quantity.Count(c.ChosenIn, "future"))
	case c.IsSurer():
		words = fmt.Sprintf(
			"of %s with different first years, this one (%s) stands up best: in %s other than those of the choice it falls short by %s acre-years less than the plain plan (95%% interval %s to %s)",
			plans,
			c.Best.Words(),
			quantity.Count(c.ReportedIn, "future"),
			within(-d.Mean, d.High-d.Low, 1),
			within(-d.High, d.High-d.Low, 1),
			within(-d.Low, d.High-d.Low, 1),
		)
	default:
		words = fmt.Sprintf(
			"of %s with different first years, %s looked best, and no difference from the plain plan was seen in %s other than those of the choice: the plain plan is kept",
			plans,
			c.Best.Words(),
			quantity.Count(c.ReportedIn, "future"),
		)
	}
	return "rehearsed: " + words + "; " + RehearsalCaution
}
