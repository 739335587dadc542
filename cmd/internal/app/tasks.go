package app

import (
	"context"
	"reflect"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/preparation"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
	"emberquilt/store"
)

// TasksDue lists what must be done before the burns of the adopted plan, of what
// begins within so many days: late tasks first.
func (s *Session) TasksDue(ctx context.Context, days int) ([]preparation.Due, error) {
	if err := CheckDays("due", days); err != nil {
		return nil, err
	}
	c, err := s.Contents(ctx, 0)
	if err != nil {
		return nil, err
	}
	return preparation.Within(c.Season.Tasks, s.Today.AddDays(days)), nil
}

// CheckDays refuses a number of days that nobody plans ahead.
func CheckDays(option string, days int) error {
	if days < 0 || days > 3660 {
		return badOption(option, "0 to 3660 days", "%d is not a number of days", days)
	}
	return nil
}

// UnitTasks are all tasks of a unit's next burn in a plan.
type UnitTasks struct {
	Unit string
	Plan int
	// All are in the order of their last days.
	All []preparation.Due
}

// TasksOf lists all tasks of a unit's next burn in the adopted plan, those that are
// done too, and what is left to do after burns on record.
func (s *Session) TasksOf(ctx context.Context, name string) (*UnitTasks, error) {
	c, err := s.Contents(ctx, 0)
	if err != nil {
		return nil, err
	}
	unit, err := FindUnit(s.Snapshot, name)
	if err != nil {
		return nil, err
	}
	return &UnitTasks{unit.ID, c.Stored.Number, c.unitTasks(unit.ID)}, nil
}

// unitTasks lists all tasks of a unit's next burn in the order of their last days,
// and those to do after burns on record.
func (c *Contents) unitTasks(unit string) []preparation.Due {
	var next, after []preparation.Due
	for _, d := range slices.Concat(c.Season.Tasks, c.Season.Follow) {
		switch {
		case d.Unit != unit:
		case d.Task.AfterBurn && d.State != preparation.Follows: // of a burn on record
			if d.State != preparation.Done {
				after = append(after, d)
			}
		case len(next) > 0 && d.Year > next[0].Year:
		case len(next) > 0 && d.Year < next[0].Year:
			next = []preparation.Due{d}
		default:
			next = append(next, d)
		}
	}
	all := append(after, next...)
	slices.SortStableFunc(all, func(x, y preparation.Due) int { return x.By.Compare(y.By) })
	return all
}

// TaskOptions say which task was done, or was not after all.
type TaskOptions struct {
	Unit string
	Year date.ProgramYear
	Task string
	// On is the day on which it was done; zero is today.
	On date.Day
	// Undo takes back that it was done.
	Undo bool
}

// NoteTask notes that a task was done for a unit's burn of a program year, or takes
// that back.
func (s *Session) NoteTask(ctx context.Context, o TaskOptions) (habitat.TaskDone, error) {
	done := habitat.TaskDone{Task: o.Task, Year: o.Year, On: o.On}
	unit, err := FindUnit(s.Snapshot, o.Unit)
	if err != nil {
		return done, err
	}
	done.Unit = unit.ID
	if !slices.ContainsFunc(s.Tasks, func(t habitat.Task) bool { return t.Name == o.Task }) {
		fault := &source.Error{
			Position: source.Position{File: "TASK"},
			Found:    source.Quote(o.Task) + " is not a task of " + s.Property.Name,
			Accepts:  "a task's name as it is listed",
		}
		names := make([]string, len(s.Tasks))
		for i := range s.Tasks {
			names[i] = s.Tasks[i].Name
		}
		fault.Hint = source.DidYouMean(o.Task, names)
		return done, &AdvisedError{Fault: fault, Advice: ListTasks}
	}
	if done.On.IsZero() {
		done.On = s.Today
	}
	if done.On.After(s.Today) {
		return done, badOption("on", "a date up to "+s.Today.String(), "%s is in the future", done.On)
	}
	return done, s.update(ctx, view.TaskWords(done, false), func(tx *store.Tx) error {
		if o.Undo {
			return tx.RemoveTaskDone(done)
		}
		return tx.PutTaskDone(done)
	})
}

// AddStarterTasks adds those of the starter list that the property's list lacks, and
// names them. A task that older programs gave to every unit, grazed or not, becomes one
// of grazed units, where nobody changed it.
func (s *Session) AddStarterTasks(ctx context.Context) (added []string, err error) {
	err = s.update(ctx, "add starter tasks", func(tx *store.Tx) error {
		snapshot, err := tx.Snapshot()
		if err != nil {
			return err
		}
		added = nil
		all := slices.Clone(snapshot.Tasks)
		for _, task := range preparation.Starter() {
			at := slices.IndexFunc(all, func(t habitat.Task) bool { return t.Name == task.Name })
			if at >= 0 && !isUngrazed(&all[at], &task) {
				continue
			}
			if added = append(added, task.Name); at >= 0 {
				all[at] = task
			} else {
				all = append(all, task)
			}
			if err := tx.PutTask(task); err != nil {
				return err
			}
		}
		return preparation.Validate(all)
	})
	return added, err
}

// isUngrazed reports whether a stored task is the starter task as it was before there
// were tasks of grazed units.
func isUngrazed(stored, starter *habitat.Task) bool {
	as := *stored
	as.Grazed = starter.Grazed
	return !stored.Grazed && starter.Grazed && reflect.DeepEqual(as, *starter)
}

// ReplaceTasks makes a list the property's list of tasks and gives how many of the
// former ones are gone.
func (s *Session) ReplaceTasks(ctx context.Context, tasks []habitat.Task) (removed int, err error) {
	err = s.update(ctx, "change the list of tasks", func(tx *store.Tx) error {
		snapshot, err := tx.Snapshot()
		if err != nil {
			return err
		}
		removed = 0
		kept := map[string]bool{}
		for _, task := range tasks {
			kept[task.Name] = true
			if err := tx.PutTask(task); err != nil {
				return err
			}
		}
		for _, old := range snapshot.Tasks {
			if !kept[old.Name] {
				removed++
				if err := tx.RemoveTask(old.Name); err != nil {
					return err
				}
			}
		}
		return nil
	})
	return removed, err
}
