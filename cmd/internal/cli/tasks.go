package cli

import (
	"bytes"
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/preparation"
	"emberquilt/report/table"
	"emberquilt/report/view"
)

// tasksOptions are those of the tasks command.
type tasksOptions struct {
	show showFlags
	// unit asks for all tasks of its next burn; empty for those of all that begin
	// within so many days.
	unit string
	days int
	all  allFlag
}

func (a *terminal) tasksCommand() *cobra.Command {
	var o tasksOptions
	cmd := &cobra.Command{
		Use:   "tasks [UNIT]",
		Short: "List what must be done before the planned burns, the late ones first",
		Long: withStatus(`Tasks lists what must be done before the burns of the adopted plan: late tasks first, then
those that can be done now. It counts back from the first day of each burn's first window.
With a unit it lists all tasks of the unit's next burn, those that are done too.
"tasks done" notes that one is done; "tasks list" shows or changes the list itself.

`+allHelp+"\n\n"+caution, statusBadInput),
		Example: "  emberquilt tasks --due 21\n  emberquilt tasks done \"Creek Patch\" 2027 \"disk the breaks\" --on 2026-11-20",
		GroupID: groupRecord,
		Args:    argsBetween(0, "UNIT"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.unit = firstOf(args)
			return a.runTasks(cmd.Context(), o)
		},
	}
	o.show.register(cmd)
	o.all.register(cmd)
	cmd.Flags().IntVar(&o.days, "due", 42, "those whose time begins within so many `DAYS`")
	cmd.AddCommand(a.tasksDoneCommand(), a.tasksListCommand())
	return cmd
}

func (a *terminal) runTasks(ctx context.Context, o tasksOptions) error {
	switch {
	case o.all.folder != "" && o.unit != "":
		return usagef("UNIT and --all cannot be combined; use one")
	case o.all.folder != "":
		if err := app.CheckDays("due", o.days); err != nil {
			return namedAs(err, sameFlag)
		}
		return a.overAll(
			ctx,
			&o.all,
			&o.show,
			ofAll{
				shows: true,
				name:  "tasks",
				doing: "looking for tasks",
				none:  fmt.Sprintf("nothing must be done in the next %d days", o.days),
				one: func(s *app.Session) (any, *table.Sheet, error) {
					due, err := s.TasksDue(ctx, o.days)
					rows := table.TasksSheet(due)
					return rows.Objects(), rows, err
				},
			},
		)
	case o.unit != "":
		return a.runUnitTasks(ctx, o)
	}
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		due, err := s.TasksDue(ctx, o.days)
		if err != nil {
			return err
		}
		if err := a.sayOvertaken(ctx, s); err != nil {
			return err
		}
		if len(due) == 0 && !a.json && !o.show.csv {
			return a.say("nothing must be done in the next %d days", o.days)
		}
		return a.printSheet(table.TasksSheet(due), &o.show)
	})
}

// runUnitTasks prints all tasks of a unit's next burn.
func (a *terminal) runUnitTasks(ctx context.Context, o tasksOptions) error {
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		tasks, err := s.TasksOf(ctx, o.unit)
		if err != nil {
			return err
		}
		if err := a.sayOvertaken(ctx, s); err != nil {
			return err
		}
		if len(tasks.All) == 0 && !a.json && !o.show.csv {
			return a.say("plan %d burns %s in none of its years, or nothing is to be done before", tasks.Plan, tasks.Unit)
		}
		return a.printSheet(table.TasksSheet(tasks.All), &o.show)
	})
}

func (a *terminal) tasksDoneCommand() *cobra.Command {
	var o app.TaskOptions
	var on dayFlag
	cmd := &cobra.Command{
		Use:   "done UNIT YEAR TASK",
		Short: "Note that a task was done for a unit's burn",
		Long:  withStatus(`Done notes the day on which a task was done for a unit's burn of a program year.`, statusBadInput),
		Args:  exactArgs("UNIT", "YEAR", "TASK"),
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			o.Unit, o.Task, o.On = args[0], args[2], on.Day
			if o.Year, err = parseYear(args[1]); err != nil {
				return err
			}
			return a.runTaskDone(cmd.Context(), o)
		},
	}
	cmd.Flags().Var(&on, "on", "the day (default: today)")
	cmd.Flags().BoolVar(&o.Undo, "undo", false, "take back that it was done")
	return cmd
}

func (a *terminal) runTaskDone(ctx context.Context, o app.TaskOptions) error {
	return a.session(ctx, app.ToChange, func(s *app.Session) error {
		done, err := s.NoteTask(ctx, o)
		if err != nil {
			return err
		}
		return a.say("%s", view.TaskWords(done, o.Undo))
	})
}

func (a *terminal) tasksListCommand() *cobra.Command {
	var load string
	var starters bool
	cmd := &cobra.Command{
		Use:   "list",
		Short: "Show the list of tasks as TOML, or change it",
		Long: withStatus(`List prints the list of preparation tasks, with their lead times and what each rests on.
A new property begins with the starter list; --load replaces the list by a file, and
--starters adds those of the starter list that are not on it, such as what follows a
burn on the list of an older property.`, statusBadInput),
		Example: "  emberquilt tasks list > tasks.toml\n  emberquilt tasks list --load tasks.toml",
		Args:    exactArgs(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			switch {
			case load != "" && starters:
				return usagef("--load and --starters cannot be combined; use one")
			case load != "":
				return a.runLoadTasks(cmd.Context(), load)
			case starters:
				return a.runAddStarters(cmd.Context())
			}
			return a.runListTasks(cmd.Context())
		},
	}
	cmd.Flags().StringVar(&load, "load", "", "replace the list by that of `FILE`, - for standard input")
	cmd.Flags().BoolVar(&starters, "starters", false, "add the starter tasks that are not on the list")
	return cmd
}

func (a *terminal) runAddStarters(ctx context.Context) error {
	return a.session(ctx, app.ToChange, func(s *app.Session) error {
		added, err := s.AddStarterTasks(ctx)
		if err != nil {
			return err
		}
		return a.say("%s", view.StartersWords(added, len(s.Tasks)))
	})
}

// runListTasks prints the list of tasks.
func (a *terminal) runListTasks(ctx context.Context) error {
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		if !a.json {
			return preparation.Write(a.Out, s.Tasks)
		}
		var text bytes.Buffer
		if err := preparation.Write(&text, s.Tasks); err != nil {
			return err
		}
		return a.printJSON(map[string]string{"toml": text.String()})
	})
}

// runLoadTasks replaces the list of tasks by that of a file.
func (a *terminal) runLoadTasks(ctx context.Context, path string) error {
	file, name, err := a.open(path)
	if err != nil {
		return err
	}
	defer file.Close()
	tasks, err := preparation.Read(file, name)
	if err != nil {
		return err
	}
	return a.session(ctx, app.ToChange, func(s *app.Session) error {
		removed, err := s.ReplaceTasks(ctx, tasks)
		if err != nil {
			return err
		}
		return a.say("the list has %d tasks; %d were taken away", len(tasks), removed)
	})
}
