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
func (d *desk) season(o *outlook, plan *view.Plan, kept *storedPlan) (*view.Season, error) {
	in := &view.Season{Plan: plan}
	for _, burn := range kept.burns() {
		unit, err := findUnit(d.Snapshot, burn.Unit)
		if err != nil {
			continue // the unit is gone since the plan was made
		}
		windows, err := d.windows(o, unit, burn)
		if err != nil {
			return nil, err
		}
		in.Windows = append(in.Windows, view.UnitWindows{Unit: burn.Unit, Season: burn.Season, Year: burn.Year, Windows: windows, Terms: o.terms(unit, burn.Season).view()})
		if len(windows) > 0 && !d.hasBurned(unit, burn.Year) {
			prepared := d.prepared(unit, burn, windows)
			in.Tasks = append(in.Tasks, preparation.Schedule(d.Tasks, &prepared, &d.Property.Crew, d.TasksDone, d.today)...)
		}
	}
	preparation.Sort(in.Tasks)
	in.Weather = o.warnings()
	return in, nil
}

// prepared gives the burn that tasks are counted back from: on the first day of
// a window for which all of them can still be done in time, else on the first
// day of the first window.
func (d *desk) prepared(unit *habitat.Unit, burn habitat.PlannedBurn, windows []window.Window) preparation.Burn {
	b := preparation.Burn{Unit: *unit, Season: burn.Season, Year: burn.Year}
	for i := range windows {
		b.First = windows[i].First
		if first, ok := preparation.FirstInTime(d.Tasks, &b, windows[i].Last, &d.Property.Crew, d.TasksDone, d.today); ok {
			b.First = first
			return b
		}
	}
	b.First = windows[0].First
	return b
}

// hasBurned reports whether a burn that counts is on record in a program year.
func (d *desk) hasBurned(unit *habitat.Unit, year date.ProgramYear) bool {
	reset, ok := d.Property.LastReset(unit, d.Records, year, d.today)
	return ok && reset.Year == year
}
