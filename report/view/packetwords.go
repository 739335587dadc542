package view

import (
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/quantity"
)

// SumWords explains the columns of the practices, and what figures that do not add up
// at sight come from.
func (v *Packet) SumWords() string {
	text := fmt.Sprintf(
		"Whole: the whole contract, line by line. To date: lines of fiscal years before %d; behind is what is missing of each, and what one line has too much makes good nothing of another; ahead is work on lines of later years. This year: lines of fiscal year %d. Over: applied beyond any line. %s",
		v.FiscalYear,
		v.FiscalYear,
		v.Early,
	)
	if slices.ContainsFunc(v.Schedule, func(r ScheduleRow) bool { return r.Until > r.FiscalYear && r.State != Canceled }) {
		text += " A line that was extended stands here under its last year, by fiscal year under its first."
	}
	if slices.ContainsFunc(v.Schedule, func(r ScheduleRow) bool { return r.State == Applied && r.lacks() > 0 }) {
		text += fmt.Sprintf(" A line that lacks no more than %s counts as done.", Figure(quantity.Tolerance.Float()))
	}
	if waived := v.waived(); len(waived) > 0 {
		text += fmt.Sprintf(" Of lines that were closed, %s planned and not applied: nothing of it remains to be done.", quantity.List(waived))
	}
	return text
}

// lacks is what a line planned and no work was credited for, also where it counts as
// done or was closed.
func (r *ScheduleRow) lacks() quantity.Exact {
	return quantity.ExactOf(r.Planned) - quantity.ExactOf(r.Applied) - quantity.ExactOf(r.Late) - quantity.ExactOf(r.Early)
}

// waived gives what closed lines planned and never got, by practice.
func (v *Packet) waived() (all []string) {
	for _, p := range v.Practices {
		var sum quantity.Exact
		for _, r := range v.Schedule {
			if r.Practice == p.Code && r.State == Closed {
				sum += r.lacks()
			}
		}
		if sum > 0 {
			all = append(all, fmt.Sprintf("%s %s of %s were", quantity.Group(sum.Float(), 1), p.Measure, p.Code))
		}
	}
	return all
}

// ScheduleWords explains the columns of the schedule.
func (v *Packet) ScheduleWords() string {
	return "Applied: in the line's fiscal years. Later and earlier: work of other years, credited to what was missing, oldest line first. By: the records behind it, as number.version and amount. Acres of practices in acres, feet of practices in feet." + v.wideWords()
}

// wideWords says how work is credited to lines of the whole property; empty without one.
func (v *Packet) wideWords() string {
	if !slices.ContainsFunc(v.Schedule, func(r ScheduleRow) bool { return r.PropertyWide && r.Line != 0 }) {
		return ""
	}
	return " Work on a unit goes to the lines of that unit first; what they do not take goes to the line of the " + habitat.WholeProperty + ", and no acre to both."
}

// StateWords says how a line stands, when its unit burns next, and by which records.
func (r *ScheduleRow) StateWords() string {
	state := string(r.State)
	if !r.On.IsZero() {
		state += ", " + r.On.String()
	}
	switch isAhead := r.State == UnderWay || r.State == Ahead; {
	case r.planWords != "":
		state += "; the plan " + r.planWords
	case r.PlanSays == Unplanned:
		state += "; no burn that counts for it is planned"
	case r.Next != 0 && r.PlanSays == TooEarly:
		state += fmt.Sprintf("; burn planned in fiscal year %d alone, before its year", r.Next)
	case r.Next != 0 && r.PlanSays == EarlyCredit:
		state += fmt.Sprintf("; burn planned in fiscal year %d, before its year, which is credited", r.Next)
	case r.Next != 0 && r.PlanSays == Late && isAhead:
		state += fmt.Sprintf("; burn planned late, in fiscal year %d", r.Next)
	case r.Next != 0:
		state += fmt.Sprintf("; burn planned in fiscal year %d", r.Next)
	}
	if len(r.Records) > 0 {
		state += "; by " + strings.Join(r.Records, ", ")
	}
	return state
}

// Head names a completion record: its number and version, where, when and how much.
func (c *CompletionRow) Head() string {
	days := c.On.Words()
	if c.Through != c.On {
		days += " to " + c.Through.Words()
	}
	applied := fmt.Sprintf("%s %s applied", quantity.Group(c.Applied, 1), c.Measure)
	if c.Kind != "" && c.Kind != habitat.Prescribed {
		applied = "nothing applied: " + string(c.Kind)
	}
	return fmt.Sprintf("%s · %s · practice %s · %s · %s", c.Record, c.Unit, c.Practice, days, applied)
}

// Behind names the records and lines behind a row.
func (r *AsBurnedRow) Behind() string {
	return strings.Join(append(append([]string(nil), r.Records...), r.Lines...), ", ")
}
