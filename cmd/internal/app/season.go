package app

import (
	"context"
	"fmt"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/preparation"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
	"emberquilt/schedule/window"
)

// Season gathers what the views of one season are computed from: the plan, and
// for each of its burns the windows and what must be done before. Years are the
// program years whose burns are looked at; none means all.
func (s *Session) Season(o *Outlook, plan *view.Plan, kept *StoredPlan, years ...date.ProgramYear) (*view.Season, error) {
	in := &view.Season{Plan: plan}
	units := s.unitsByName()
	for _, burn := range kept.Burns() {
		if plan.Became[burn.Unit] != "" {
			continue // the unit is gone since the plan was made
		}
		if len(years) > 0 && !slices.Contains(years, burn.Year) {
			continue
		}
		unit := units[burn.Unit]
		if unit == nil {
			var err error
			if unit, err = FindUnit(s.Snapshot, burn.Unit); err != nil {
				return nil, err
			}
		}
		windows, err := s.Windows(o, unit, burn)
		if err != nil {
			return nil, err
		}
		of := view.UnitWindows{Unit: burn.Unit, Season: burn.Season, Year: burn.Year, Windows: windows, Terms: o.Terms(unit, burn.Season).View()}
		if s.Property.SeasonIndex(burn.Season) < 0 {
			of.Terms.Warning = "the settings have no season " + source.Quote(burn.Season) + " anymore"
		}
		if of.Whole, err = s.wholeWindows(o, unit, burn); err != nil {
			return nil, err
		}
		isOpen := s.isAhead(unit, burn)
		if len(windows) == 0 && isOpen {
			if of.None, err = s.noWindow(o, unit, burn); err != nil {
				return nil, err
			}
			of.CountedFrom, of.IsDayLeft = s.firstUsable(o, unit, burn)
		}
		in.Windows = append(in.Windows, of)
		if isOpen && (len(windows) > 0 || !of.CountedFrom.IsZero()) {
			if len(windows) == 0 {
				windows = []window.Window{{Span: date.Span{First: of.CountedFrom, Last: of.CountedFrom}}}
			}
			prepared := s.prepared(unit, burn, windows)
			in.Tasks = append(in.Tasks, preparation.Schedule(s.Tasks, &prepared.Burn, &s.Property.Crew, s.TasksDone, s.Today)...)
			in.Follow = append(in.Follow, preparation.AfterBurn(s.Tasks, &prepared.Burn, false, &s.Property.Crew, s.TasksDone, s.Today)...)
			if len(of.Windows) > 0 {
				in.Windows[len(in.Windows)-1].TooSoon = prepared.tooSoon
				in.Windows[len(in.Windows)-1].Missed = prepared.missed
				in.Windows[len(in.Windows)-1].CountedFrom = prepared.First
			}
		}
	}
	in.Tasks = append(in.Tasks, s.afterRecords()...)
	preparation.Sort(in.Tasks)
	in.Weather = o.Warnings()
	return in, nil
}

// afterRecords gives the tasks that follow burns on record, of this program year and
// the one before, as long as their time is not long over.
func (s *Session) afterRecords() []preparation.Due {
	type key struct {
		unit string
		year date.ProgramYear
	}
	last := map[key]date.Day{}
	this := s.Property.YearOf(s.Today)
	for i := range s.Records {
		r := &s.Records[i]
		k := key{r.Unit, s.Property.YearOf(r.Through)}
		if r.Kind == habitat.Prescribed && !r.Through.After(s.Today) && k.year >= this-1 && r.Through.After(last[k]) {
			last[k] = r.Through
		}
	}
	var all []preparation.Due
	for i := range s.Units {
		for year := this - 1; year <= this; year++ {
			on, burned := last[key{s.Units[i].ID, year}]
			if !burned {
				continue
			}
			b := preparation.Burn{Unit: s.Units[i], Year: year, First: on, Grazed: s.Property.IsGrazed(s.Units[i].ID)}
			if season, _, ok := s.Property.SeasonOf(on); ok {
				b.Season = s.Property.Seasons[season].Name
			}
			done := append([]habitat.TaskDone{{Task: preparation.RecordTask, Unit: b.Unit.ID, Year: year, On: on}}, s.TasksDone...)
			all = append(all, preparation.AfterBurn(s.Tasks, &b, true, &s.Property.Crew, done, s.Today)...)
		}
	}
	return preparation.Current(all, s.Today)
}

// preparedBurn is the burn that tasks are counted back from; tooSoon names the tasks
// that leave no time for an earlier day, where that is not the first of the first window.
type preparedBurn struct {
	preparation.Burn
	tooSoon []string
	// missed names the deferments of grazing that no day of a window is in time for.
	missed []string
}

// prepared gives the burn that tasks are counted back from: on the first day of
// a window for which all of them can still be done in time, else on the first
// day of the first window.
func (s *Session) prepared(unit *habitat.Unit, burn habitat.PlannedBurn, windows []window.Window) preparedBurn {
	b := preparation.Burn{Unit: *unit, Season: burn.Season, Year: burn.Year, Grazed: s.Property.IsGrazed(unit.ID)}
	late := func(on date.Day) []string {
		at := b
		at.First = on
		return preparation.TooLate(s.Tasks, &at, &s.Property.Crew, s.TasksDone, s.Today)
	}
	b.First = windows[0].First
	missed := preparation.Missed(s.Tasks, &b, windows[len(windows)-1].Last, &s.Property.Crew, s.TasksDone, s.Today)
	isMissed := func(name string) bool { return slices.Contains(missed, name) }
	for i := range windows {
		b.First = windows[i].First
		if first, ok := preparation.FirstInTime(s.Tasks, &b, windows[i].Last, &s.Property.Crew, s.TasksDone, s.Today); ok {
			b.First = first
			if first == windows[0].First {
				return preparedBurn{b, nil, missed}
			}
			if before, ok := s.workdayBefore(first, windows[:i+1]); ok {
				return preparedBurn{b, slices.DeleteFunc(late(before), isMissed), missed} // what leaves no time a day earlier
			}
			return preparedBurn{b, nil, missed}
		}
	}
	b.First = windows[0].First
	return preparedBurn{b, slices.DeleteFunc(late(windows[len(windows)-1].Last), isMissed), missed}
}

// workdayBefore gives the last workday of windows before a day, not before today.
func (s *Session) workdayBefore(on date.Day, windows []window.Window) (day date.Day, ok bool) {
	for i := len(windows) - 1; i >= 0; i-- {
		for day = windows[i].Last; !day.Before(windows[i].First) && !day.Before(s.Today); day = day.AddDays(-1) {
			if day.Before(on) && s.Property.Crew.IsWorkday(day) {
				return day, true
			}
		}
	}
	return date.Day{}, false
}

// hasBurned reports whether a burn that counts is on record in a program year.
func (s *Session) hasBurned(unit *habitat.Unit, year date.ProgramYear) bool {
	reset, ok := s.Property.LastReset(unit, s.recordsOf(unit.ID), year, s.Today)
	return ok && reset.Year == year
}

// isAhead reports whether a planned burn can still come: its season is not over, and no
// burn of the year is on record.
func (s *Session) isAhead(unit *habitat.Unit, burn habitat.PlannedBurn) bool {
	return !view.BurnSpan(&s.Property, burn.Season, burn.Year).Last.Before(s.Today) && !s.hasBurned(unit, burn.Year)
}

// StateOf says what the records tell of a unit today.
func (s *Session) StateOf(unit *habitat.Unit) habitat.UnitState {
	return s.Property.StateOf(unit, s.recordsOf(unit.ID), s.Today)
}

// Overtaken says that a plan is not the one in force, and what changed since it was
// made; empty where it is and nothing did that it depends on.
func (s *Session) Overtaken(ctx context.Context, plan *StoredPlan) (string, error) {
	later, err := s.later(ctx, plan)
	if err != nil {
		return "", err
	}
	standing := s.Standings.Of(plan.Number)
	return view.OvertakenWords(&standing, s.Adopted(), later), nil
}

// Behind says what changed since the plan in force was made, in words that name no
// command; empty where nothing did that it depends on, or where no plan is in force.
func (s *Session) Behind(ctx context.Context) (string, error) {
	if s.Adopted() == 0 {
		return "", nil
	}
	plan, err := s.Plan(ctx, s.Adopted())
	if err != nil {
		return "", err
	}
	later, err := s.later(ctx, plan)
	if err != nil {
		return "", err
	}
	return view.BehindWords(plan.Number, later), nil
}

// later counts what changed since a plan was made, with its own burns that were missed.
func (s *Session) later(ctx context.Context, plan *StoredPlan) (later view.Later, err error) {
	since, err := s.Store.Since(ctx, plan.Data.Number(), plan.Number)
	if err != nil {
		return later, err
	}
	later = view.Later{Burns: since.Burns, Treatments: since.Treatments, Units: since.Units, Split: since.Split, Merged: since.Merged, Renamed: since.Renamed,
		Locks: since.Locks, Settings: since.Settings, Weather: since.Weather}
	for i := range s.Lineage {
		if c := &s.Lineage[i]; c.Change > plan.Data.Number() && c.Kind != habitat.Renamed { // plans follow a new name
			later.Became = append(later.Became, fmt.Sprintf("%s on %s", c.Words(), c.On.Words()))
		}
	}
	units := s.unitsByName()
	for _, burn := range plan.Burns() {
		unit := units[burn.Unit]
		if unit != nil && s.known().After(view.BurnSpan(&s.Property, burn.Season, burn.Year).Last) && !s.hasBurned(unit, burn.Year) {
			later.Missed++
		}
	}
	return later, nil
}
