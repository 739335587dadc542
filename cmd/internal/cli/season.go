package cli

import (
	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/preparation"
	"emberquilt/report/view"
	"emberquilt/schedule/window"
)

// season gathers what the views of one season are computed from: the plan, and
// for each of its burns the windows and what must be done before.
func (d *desk) season(plan *view.Plan, kept *storedPlan) *view.Season {
	in := &view.Season{Plan: plan}
	for _, burn := range kept.burns() {
		unit, err := findUnit(d.Snapshot, burn.Unit)
		if err != nil {
			continue // the unit is gone since the plan was made
		}
		windows := d.windows(unit, burn)
		in.Windows = append(in.Windows, view.UnitWindows{Unit: burn.Unit, Season: burn.Season, Year: burn.Year, Windows: windows})
		if len(windows) > 0 && !d.hasBurned(unit, burn.Year) {
			prepared := preparation.Burn{Unit: *unit, Season: burn.Season, Year: burn.Year, First: windows[0].First}
			in.Tasks = append(in.Tasks, preparation.Schedule(d.Tasks, &prepared, &d.Property.Crew, d.TasksDone, d.today)...)
		}
	}
	preparation.Sort(in.Tasks)
	return in
}

// hasBurned reports whether a burn that counts is on record in a program year.
func (d *desk) hasBurned(unit *habitat.Unit, year date.ProgramYear) bool {
	reset, ok := d.Property.LastReset(unit, d.Records, year, d.today)
	return ok && reset.Year == year
}

// windows gives the windows of one planned burn, from today on.
func (d *desk) windows(unit *habitat.Unit, burn habitat.PlannedBurn) []window.Window {
	season := d.Property.SeasonIndex(burn.Season)
	if season < 0 {
		return nil
	}
	span := d.Property.SeasonSpan(season, burn.Year)
	if span.First.Before(d.today) && !d.today.After(span.Last) {
		span.First = d.today
	}
	var closed []date.Span
	for i := range d.Property.Closures {
		if c := &d.Property.Closures[i]; c.Covers(unit.ID) {
			closed = append(closed, c.Within(span)...)
		}
	}
	return window.FromDates(span, closed, &d.Property.Crew)
}
