package cli

import (
	"bytes"
	"context"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/preparation"
	"emberquilt/report/table"
	"emberquilt/report/view"
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
			return a.session(cmd.Context(), app.ToRead, func(s *app.Session) error {
				if len(args) > 0 {
					return a.unitTasks(cmd.Context(), s, args[0], &show)
				}
				due, err := s.TasksDue(cmd.Context(), days)
				if err != nil {
					return err
				}
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

// unitTasks prints all tasks of a unit's next burn.
func (a *terminal) unitTasks(ctx context.Context, s *app.Session, name string, show *showFlags) error {
	c, err := s.Contents(ctx, 0)
	if err != nil {
		return err
	}
	unit, err := app.FindUnit(s.Snapshot, name)
	if err != nil {
		return err
	}
	all := c.UnitTasks(unit.ID)
	if len(all) == 0 && !a.json && !show.csv {
		return a.say("plan %d burns %s in none of its years, or nothing is to be done before", c.Stored.Number, unit.ID)
	}
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
			o := app.TaskOptions{Unit: args[0], Year: year, Task: args[2], On: on.Day, Undo: undo}
			return a.session(cmd.Context(), app.ToChange, func(s *app.Session) error {
				done, err := s.NoteTask(cmd.Context(), o)
				if err != nil {
					return err
				}
				return a.say("%s", view.TaskWords(done, undo))
			})
		},
	}
	cmd.Flags().Var(&on, "on", "the day (default: today)")
	cmd.Flags().BoolVar(&undo, "undo", false, "take back that it was done")
	return cmd
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
	return a.session(cmd.Context(), app.ToChange, func(s *app.Session) error {
		removed, err := s.ReplaceTasks(cmd.Context(), tasks)
		if err != nil {
			return err
		}
		return a.say("the list has %d tasks; %d were taken away", len(tasks), removed)
	})
}
