package cli

import (
	"bytes"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/preparation"
	"emberquilt/habitat/source"
	"emberquilt/report/table"
	"emberquilt/store"
)

func (a *terminal) tasksCommand() *cobra.Command {
	var show showFlags
	var days int
	cmd := &cobra.Command{
		Use:   "tasks [UNIT]",
		Short: "List what must be done before the planned burns, the late ones first",
		Long: withStatus(`Tasks lists what must be done before the burns of the newest plan: late tasks first, then
those that can be done now. It counts back from the first day of each burn's first window.
With a unit it lists all tasks of the unit's next burn, those that are done too.
"tasks done" notes that one is done; "tasks list" shows or changes the list itself.

`+caution, statusBadInput),
		Example: "  emberquilt tasks --due 21\n  emberquilt tasks done \"Creek Patch\" 2027 \"disk the breaks\" --on 2026-11-20",
		GroupID: groupRecord,
		Args:    argsBetween(0, "UNIT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if days < 0 || days > 3660 {
				return flagError("due", "0 to 3660 days", "%d is not a number of days", days)
			}
			return a.session(cmd.Context(), app.ToRead, func(d *app.Session) error {
				c, err := d.Contents(cmd.Context(), 0)
				if err != nil {
					return err
				}
				if len(args) > 0 {
					return a.unitTasks(c, args[0], &show)
				}
				due := preparation.Within(c.Season.Tasks, d.Today.AddDays(days))
				if len(due) == 0 && !a.json && !show.csv {
					return a.say("nothing must be done in the next %d days", days)
				}
				return a.printSheet(tasksSheet(due), &show)
			})
		},
	}
	show.register(cmd)
	cmd.Flags().IntVar(&days, "due", 42, "those whose time begins within so many `DAYS`")
	cmd.AddCommand(a.tasksDoneCommand(), a.tasksListCommand())
	return cmd
}

// unitTasks lists all tasks of a unit's next burn.
func (a *terminal) unitTasks(c *app.Contents, name string, show *showFlags) error {
	unit, err := app.FindUnit(c.Session.Snapshot, name)
	if err != nil {
		return err
	}
	var all []preparation.Due
	for _, d := range c.Season.Tasks {
		switch {
		case d.Unit != unit.ID || len(all) > 0 && d.Year > all[0].Year:
		case len(all) > 0 && d.Year < all[0].Year:
			all = []preparation.Due{d}
		default:
			all = append(all, d)
		}
	}
	if len(all) == 0 && !a.json && !show.csv {
		return a.say("plan %d burns %s in none of its years, or nothing is to be done before", c.Stored.Number, unit.ID)
	}
	slices.SortStableFunc(all, func(x, y preparation.Due) int { return x.By.Compare(y.By) })
	return a.printSheet(tasksSheet(all), show)
}

func tasksSheet(due []preparation.Due) *table.Sheet {
	sheet := &table.Sheet{Name: "tasks", Header: []string{"state", "by", "from", "unit", "program_year", "task", "waits_for"}}
	for _, d := range due {
		waits := ""
		for i, name := range d.WaitsFor {
			if i > 0 {
				waits += ", "
			}
			waits += name
		}
		sheet.Rows = append(sheet.Rows, []any{string(d.State), d.By, d.From, d.Unit, d.Year, d.Task.Name, waits})
	}
	return sheet
}

func (a *terminal) tasksDoneCommand() *cobra.Command {
	var on dayFlag
	var undo bool
	cmd := &cobra.Command{
		Use:   "done UNIT YEAR TASK",
		Short: "Note that a task was done for a unit's burn",
		Long:  withStatus(`Done notes the day on which a task was done for a unit's burn of a program year.`, statusBadInput),
		Args:  exactArgs("UNIT", "YEAR", "TASK"),
		RunE: func(cmd *cobra.Command, args []string) error {
			year, err := parseYear(args[1])
			if err != nil {
				return err
			}
			return a.session(cmd.Context(), app.ToChange, func(d *app.Session) error {
				return a.taskDone(cmd, d, args[0], year, args[2], on.Day, undo)
			})
		},
	}
	cmd.Flags().Var(&on, "on", "the day (default: today)")
	cmd.Flags().BoolVar(&undo, "undo", false, "take back that it was done")
	return cmd
}

func (a *terminal) taskDone(cmd *cobra.Command, d *app.Session, name string, year date.ProgramYear, task string, on date.Day, undo bool) error {
	unit, err := app.FindUnit(d.Snapshot, name)
	if err != nil {
		return err
	}
	known := false
	for i := range d.Tasks {
		known = known || d.Tasks[i].Name == task
	}
	if !known {
		return &source.Error{Position: source.Position{File: "TASK"}, Found: quote(task) + " is not a task of " + d.Property.Name,
			Accepts: "a task's name as it is listed", Hint: "emberquilt tasks list shows them"}
	}
	if on.IsZero() {
		on = d.Today
	}
	if on.After(d.Today) {
		return flagError("on", "a date up to "+d.Today.String(), "%s is in the future", on)
	}
	at, err := a.moment()
	if err != nil {
		return err
	}
	done := habitat.TaskDone{Task: task, Unit: unit.ID, Year: year, On: on}
	words := fmt.Sprintf("%s was done for %s in %d on %s", task, unit.ID, year, on)
	err = d.Store.Update(cmd.Context(), at, words, func(tx *store.Tx) error {
		if undo {
			return tx.RemoveTaskDone(done)
		}
		return tx.PutTaskDone(done)
	})
	if err != nil {
		return err
	}
	if undo {
		words = fmt.Sprintf("%s is not done for %s in %d", task, unit.ID, year)
	}
	return a.say("%s", words)
}

func (a *terminal) tasksListCommand() *cobra.Command {
	var apply string
	cmd := &cobra.Command{
		Use:   "list",
		Short: "Show the list of tasks as TOML, or change it",
		Long: withStatus(`List prints the list of preparation tasks, with their lead times and what each rests on.
A new property begins with the starter list; --load replaces the list by a file.`, statusBadInput),
		Example: "  emberquilt tasks list > tasks.toml\n  emberquilt tasks list --load tasks.toml",
		Args:    exactArgs(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if apply != "" {
				return a.applyTasks(cmd, apply)
			}
			return a.snapshot(cmd.Context(), func(snapshot *store.Snapshot) error {
				if !a.json {
					return preparation.Write(a.Out, snapshot.Tasks)
				}
				var text bytes.Buffer
				if err := preparation.Write(&text, snapshot.Tasks); err != nil {
					return err
				}
				return a.printJSON(map[string]string{"toml": text.String()})
			})
		},
	}
	cmd.Flags().StringVar(&apply, "load", "", "replace the list by that of `FILE`, - for standard input")
	return cmd
}

func (a *terminal) applyTasks(cmd *cobra.Command, path string) error {
	file, name, err := a.open(path)
	if err != nil {
		return err
	}
	defer file.Close()
	tasks, err := preparation.Read(file, name)
	if err != nil {
		return err
	}
	at, err := a.moment()
	if err != nil {
		return err
	}
	return a.change(cmd.Context(), func(s *store.Store) error {
		removed := 0
		err := s.Update(cmd.Context(), at, "change the list of tasks", func(tx *store.Tx) error {
			snapshot, err := tx.Snapshot()
			if err != nil {
				return err
			}
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
		if err != nil {
			return err
		}
		return a.say("the list has %d tasks; %d were taken away", len(tasks), removed)
	})
}
