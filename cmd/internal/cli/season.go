package cli

import (
	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/preparation"
	"emberquilt/report/view"
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
			prepared := preparation.Burn{Unit: *unit, Season: burn.Season, Year: burn.Year, First: windows[0].First}
			in.Tasks = append(in.Tasks, preparation.Schedule(d.Tasks, &prepared, &d.Property.Crew, d.TasksDone, d.today)...)
		}
	}
	preparation.Sort(in.Tasks)
	in.Weather = o.warnings()
	return in, nil
}

// hasBurned reports whether a burn that counts is on record in a program year.
func (d *desk) hasBurned(unit *habitat.Unit, year date.ProgramYear) bool {
	reset, ok := d.Property.LastReset(unit, d.Records, year, d.today)
	return ok && reset.Year == year
}
