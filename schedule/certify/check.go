package certify

import (
	"context"
	"fmt"
	"math"
	"strings"

	"emberquilt/schedule/problem"
)

// Tolerance is by how much a figure of an answer may differ from the one
// computed here, in acre-years and relative to figures above 1: answers may be
// rounded to six decimals.
const Tolerance = 1e-6

// Violation is one thing that does not hold.
type Violation struct {
	// Where names the place: a burn, a key of the answer, the certificate.
	Where string
	// What says what does not hold, with the numbers.
	What string
}

// String gives "where: what".
func (v Violation) String() string { return v.Where + ": " + v.What }

// Report is what a check found.
type Report struct {
	// Violations is empty when everything holds.
	Violations []Violation
	Status     problem.Status
	// Parts and Cost are those of the plan, computed here.
	Parts problem.Parts
	Cost  float64
	// Certified is what the certificate proves; HasCertificate says whether one
	// was looked at and accepted.
	Certified      Certified
	HasCertificate bool
}

// OK reports whether everything holds.
func (r *Report) OK() bool { return len(r.Violations) == 0 }

func (r *Report) bad(where, format string, args ...any) {
	r.Violations = append(r.Violations, Violation{where, fmt.Sprintf(format, args...)})
}

// Verdict gives one line on the whole, such as "the plan holds with a shortfall of 183.25;
// no plan can cost less than 180.1".
func (r *Report) Verdict() string {
	switch {
	case !r.OK() && len(r.Violations) == 1:
		return "1 thing does not hold"
	case !r.OK():
		return fmt.Sprintf("%d things do not hold", len(r.Violations))
	case r.Status == problem.Infeasible:
		return "no plan exists: every clash holds"
	}
	text := fmt.Sprintf("the plan holds with a shortfall of %s acre-years", figure(r.Cost))
	if !r.HasCertificate {
		return text + "; its bound was not checked, as there is no certificate"
	}
	gap := problem.GapOf(r.Cost, r.Certified.Bound)
	if gap <= problem.OptimalGap {
		return text + "; it is proven that no plan has less"
	}
	return text + fmt.Sprintf("; it is proven that no plan has less than %s, which is %.4g percent below", figure(r.Certified.Bound), 100*gap)
}

// figure writes an amount with as many decimals as say something.
func figure(x float64) string {
	text := fmt.Sprintf("%.6f", x)
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
}

// Check holds an answer against its problem, and against a certificate where
// there is one. It lists every violation. The error is that of ctx alone.
func Check(ctx context.Context, p *problem.Problem, a *problem.Answer, c *problem.Certificate) (*Report, error) {
	r := &Report{Status: a.Status}
	r.rows(p, a)
	if a.Status == problem.Infeasible {
		r.infeasible(p, a)
		return r, nil
	}
	if len(a.Clashes) > 0 {
		r.bad("clashes", "an answer with a plan names %d clashes", len(a.Clashes))
	}
	if !r.plan(p, a.Burns) {
		return r, nil // the cost of what is not a plan has no meaning
	}
	r.figures(a)
	if c == nil {
		return r, nil
	}
	proven, err := Bound(ctx, p, c)
	switch {
	case ctx.Err() != nil:
		return r, err
	case err != nil:
		r.bad("certificate", "%v", err)
	case !(a.Bound <= proven.Bound):
		r.bad("bound", "the answer claims %v and the certificate proves %v", a.Bound, proven.Bound)
	case r.OK() && proven.Bound > r.Cost+tolerance(r.Cost):
		// The plan is there, so that the proof must be wrong: ours, if nothing else.
		r.bad("certificate", "it proves %v, more than this plan costs (%v)", proven.Bound, r.Cost)
	default:
		r.Certified, r.HasCertificate = proven, true
	}
	return r, nil
}

func tolerance(x float64) float64 { return Tolerance * math.Max(1, math.Abs(x)) }

func near(x, y float64) bool { return math.Abs(x-y) <= tolerance(y) }

// figures holds cost, parts, bound, gap and status against each other.
func (r *Report) figures(a *problem.Answer) {
	if !near(a.Cost, r.Cost) {
		r.bad("cost", "the answer says %v, the plan costs %v", a.Cost, r.Cost)
	}
	for _, one := range []struct {
		name     string
		got, own float64
	}{
		{"overdue", a.Parts.Overdue, r.Parts.Overdue}, {"mix", a.Parts.Mix, r.Parts.Mix}, {"season", a.Parts.Season, r.Parts.Season},
		{"evenness", a.Parts.Evenness, r.Parts.Evenness}, {"neighbours", a.Parts.Neighbors, r.Parts.Neighbors}, {"keep", a.Parts.Keep, r.Parts.Keep},
	} {
		if !near(one.got, one.own) {
			r.bad("parts."+one.name, "the answer says %v, the plan has %v", one.got, one.own)
		}
	}
	if !(a.Bound <= r.Cost+tolerance(r.Cost)) {
		r.bad("bound", "%v is above the cost of the plan, %v", a.Bound, r.Cost)
	}
	gap := problem.GapOf(r.Cost, a.Bound)
	if !(math.Abs(a.Gap-gap) <= Tolerance) {
		r.bad("gap", "the answer says %v, cost and bound make it %v", a.Gap, gap)
	}
	// One rounded figure may bring a gap across the line; the line itself is
	// held to what the answer says.
	switch {
	case a.Status == problem.Optimal && min(gap, a.Gap) > problem.OptimalGap:
		r.bad("status", "it claims to be optimal, but the gap is %v", gap)
	case a.Status == problem.Feasible && max(gap, a.Gap) <= problem.OptimalGap:
		r.bad("status", "it claims to be feasible only, and the gap is %v, at most %v", gap, problem.OptimalGap)
	case a.Status != problem.Optimal && a.Status != problem.Feasible:
		r.bad("status", "%q is not a status", a.Status)
	}
	if !(a.Seconds >= 0) {
		r.bad("seconds", "%v is not a time", a.Seconds)
	}
}

// rows sees that prices and savings speak of rows that the problem has.
func (r *Report) rows(p *problem.Problem, a *problem.Answer) {
	if len(a.Prices) == 0 {
		return
	}
	x := newFrame(p).rows
	for k, price := range a.Prices {
		if _, _, err := x.find(price.Row); err != nil {
			r.bad(fmt.Sprintf("prices[%d]", k), "%v", err)
		}
	}
}
